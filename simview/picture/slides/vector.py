"""A slide's shapes as a page of PDF: words stay words, lines stay lines, pictures their pixels.

Written with fpdf2 (pure Python, LGPL). The lettering is embedded.
"""

from __future__ import annotations

import io
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Final

from simview.errors import SimviewError
from simview.picture.drawing import text
from simview.picture.drawing.papers import dpi_of
from simview.picture.drawing.shapes import Area, Disc, page_of
from simview.picture.finished import Sheet
from simview.picture.slides.paint import cover
from simview.picture.slides.records import (
    Box,
    Page,
    Picture,
    Ring,
    Shape,
    SlideSheet,
    Stroke,
    Words,
)

if TYPE_CHECKING:
    from fpdf import FPDF

FONT: Final = "slide"
_DATA: Final = Path(text.__file__).parents[1] / "data"
_OURS: Final = ("DejaVuSans-subset.ttf", "DejaVuSans-Bold-subset.ttf")
_WHOLE: Final = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")

# Length of a slide's longer side, points: that of a 16:9 slide 13.33 inches wide.
LONGER_PT: Final = 960.0


def document(title: str, *, whole: bool = False) -> FPDF:
    """Return an empty document in points, with the sheets' own lettering.

    Parameters
    ----------
    whole
        With the uncut font, for words that people write themselves in any language.
    """
    from fpdf import FPDF

    doc = FPDF(unit="pt")
    doc.set_margin(0.0)
    doc.set_auto_page_break(auto=False)
    regular, bold = _fonts() if whole else (_DATA / _OURS[0], _DATA / _OURS[1])
    doc.add_font(FONT, "", regular)
    doc.add_font(FONT, "B", bold)
    doc.set_title(title)
    doc.set_creator("simview")
    doc.set_lang("en")
    return doc


@lru_cache(maxsize=1)
def _fonts() -> tuple[Path, Path]:
    """Return the uncut font, which comes with matplotlib, or our cut where that is not found."""
    spec = find_spec("matplotlib")
    home = Path(spec.origin).parent / "mpl-data/fonts/ttf" if spec and spec.origin else None
    if home is None or not all((home / name).is_file() for name in _WHOLE):
        return _DATA / _OURS[0], _DATA / _OURS[1]
    return home / _WHOLE[0], home / _WHOLE[1]


@lru_cache(maxsize=1)
def _held() -> frozenset[int]:
    from fontTools.ttLib import TTFont

    with TTFont(_fonts()[0], lazy=True) as font:
        return frozenset(font.getBestCmap())


def has_glyphs(words: str) -> str:
    """Return words with a question mark for each sign that the uncut font lacks."""
    held = _held()
    return "".join(c if ord(c) in held else "?" for c in words)


def pdf_of(sheet: Sheet) -> bytes:
    """Return a sheet or slide as a PDF of one page.

    Lines are lines, words are words, and pictures stand by themselves, pixel by pixel and without
    losses. A size that is a paper's makes a page of that paper.

    Raises
    ------
    SimviewError
        For a sheet whose shapes were not kept.
    """
    if isinstance(sheet, SlideSheet):
        page, tells = sheet.page, sheet.tells
        title = tells.partition(".")[0]
    else:
        page = _page_of(sheet)
        title = next((line.text for line in page.words), "")
        tells = " ".join(line.text for line in page.words)
    per_inch = dpi_of(page.size)
    scale = 72.0 / per_inch if per_inch else LONGER_PT / max(page.size)
    doc = document(title)
    doc.add_page(format=(page.size[0] * scale, page.size[1] * scale))
    draw(doc, page, (0.0, 0.0), scale, tells=tells)
    stream = io.BytesIO()
    doc.output(stream)
    return stream.getvalue()


def _page_of(sheet: Sheet) -> Page:
    """Return the page that a sheet for study was drawn from."""
    page = page_of(sheet.image)
    if page is None:
        raise SimviewError("PDF", got="a picture", allowed="a sheet whose shapes were kept")
    return page


def draw(
    doc: FPDF, page: Page, origin: tuple[float, float], scale: float, *, tells: str = ""
) -> None:
    """Draw a page's shapes onto the document's current page.

    Parameters
    ----------
    origin
        Where its top left corner goes, points.
    scale
        Points for each pixel.
    tells
        Alternative text of its pictures.
    """
    x, y = origin
    doc.set_fill_color(*page.ground)
    doc.rect(x, y, page.size[0] * scale, page.size[1] * scale, style="F")
    for shape in page.shapes:
        _draw(doc, shape, origin, scale, tells)


def _draw(doc: FPDF, shape: Shape, origin: tuple[float, float], scale: float, tells: str) -> None:
    def at(x: float, y: float) -> tuple[float, float]:
        return origin[0] + x * scale, origin[1] + y * scale

    match shape:
        case Words():
            _write(doc, shape, at(*shape.place), scale)
        case Picture():
            _place(doc, shape, at(*shape.corner), scale, tells)
        case Ring():
            # Its line is drawn about the middle of its width.
            radius = (shape.radius - shape.width / 2.0) * scale
            doc.set_draw_color(*shape.colour)
            doc.set_line_width(shape.width * scale)
            x, y = at(*shape.centre)
            doc.ellipse(x - radius, y - radius, 2.0 * radius, 2.0 * radius)
        case Stroke():
            doc.set_draw_color(*shape.colour)
            doc.set_line_width(shape.width * scale)
            # Round where lines end and meet, as in the picture.
            with doc.local_context(stroke_cap_style=1, stroke_join_style=1):
                doc.polyline([at(*point) for point in shape.points])
        case Area():
            doc.set_fill_color(*shape.colour)
            doc.polygon([at(*point) for point in shape.corners], style="F")
        case Disc():
            left, top, right, bottom = shape.box
            doc.set_fill_color(*shape.colour)
            doc.ellipse(*at(left, top), (right - left) * scale, (bottom - top) * scale, style="F")
        case Box():
            left, top, right, bottom = shape.corners
            doc.set_fill_color(*shape.colour)
            doc.rect(*at(left, top), (right - left) * scale, (bottom - top) * scale, style="F")


def _write(doc: FPDF, words: Words, place: tuple[float, float], scale: float) -> None:
    doc.set_font(FONT, "B" if words.bold else "", words.size * scale)
    doc.set_text_color(*words.colour)
    line = text.printable(words.text)
    shift = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.align]
    doc.text(place[0] - shift * doc.get_string_width(line), place[1], line)


def _place(
    doc: FPDF, shape: Picture, corner: tuple[float, float], scale: float, tells: str
) -> None:
    from PIL import Image

    image = Image.fromarray(shape.pixels)
    if shape.round:
        image.putalpha(Image.fromarray(cover(shape.pixels, shape.round)))
    elif shape.cover is not None:
        image.putalpha(Image.fromarray(shape.cover))
    high, wide = shape.pixels.shape[:2]
    doc.image(image, *corner, wide * scale, high * scale, alt_text=tells or None)
