"""What travels to a sheet, and what all sheets share: title, caption, tables of figures.

The records are plain: pictures already toned, figures already computed. The sheets live beside
this file: `ladder`, `compare`, `single`. Each first tells its geometry (how many pixels every
view needs), then draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL.Image import Image

from simview.errors import SimviewError
from simview.picture.drawing import dress, text
from simview.picture.drawing.canvas import Canvas, Size, check_size, is_lying, unit_of
from simview.picture.drawing.palette import INK, LINE, SOFT
from simview.picture.drawing.panel import draw_bar, scale_bar
from simview.picture.drawing.tongue import ENGLISH, N_, say, spoken

# Type sizes in units (pixels of a 1920 x 1080 sheet). What a hall must read is 22 or more: ten
# metres before a screen 3 m wide its small letters (0.55 of the type size) are 6.5 arcmin high,
# where an eye of 20/20 reads 5. Nothing is set in less than 18: those letters are 5.3 arcmin high.
TITLE: Final = 46
SUBTITLE: Final = 27
POWER: Final = 54
HEADING: Final = 25
BODY: Final = 23
SMALL: Final = 22
CAPTION: Final = 22
FOOTER: Final = 18
LEAST: Final = 18

# Space in units: around the sheet, to the baselines of a title and of one on two lines, to the
# subtitle's, for three lines of caption or four of the smallest type; height of a logo, its top.
MARGIN: Final = 56
TITLE_BASE: Final = 84
TITLE_LINES: Final = (48, 88)
SUBTITLE_BASE: Final = 126
CONTENT_TOP: Final = 148
CAPTION_ROOM: Final = 96
CAPTION_ROOM_UPRIGHT: Final = 150
_LINE_MORE: Final = 24
FOOTER_BASE: Final = 20
LOGO: Final = 66
LOGO_TOP: Final = 24
CAPTION_BASE: Final = 42
CONTENT_GAP: Final = 18

# Rows of a table: distance of baselines, least gap between name and value, in type sizes.
ROW_STEP: Final = 1.26
_ROW_GAP: Final = 0.4

# Type of a row in units, before a part of it is left out.
_ROW_LEAST: Final = 15


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetText:
    """The words around the views.

    Parameters
    ----------
    title, subtitle
        One line each, a long title two; shortened with an ellipsis where they are too long.
    caption
        A paragraph that states what air, eye and display are assumed to be; three lines at full
        size, four in smaller type.
    footer
        One small line at the bottom.
    """

    title: str
    subtitle: str = ""
    caption: str = ""
    footer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What keeps detail from being seen: ``Limit(name="air", arcsec=2.0)``.

    `rules` marks the one that was judged to stand in the way; where none is, the longest rules.
    """

    name: str
    arcsec: float
    rules: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """Where content goes on a sheet, in pixels: the sheet without margins, title and caption."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top


def content_area(size: Size) -> Area:
    """Return where a sheet's content goes.

    Raises
    ------
    RangeError
        For a size that sheets cannot have.
    """
    width, height = check_size(size)
    unit = unit_of(size)
    return Area(
        left=MARGIN * unit,
        top=CONTENT_TOP * unit,
        right=width - MARGIN * unit,
        bottom=height - (CAPTION_BASE + caption_room(size) + CONTENT_GAP) * unit,
    )


def caption_room(size: Size) -> int:
    """Return the height of a sheet's caption in units.

    Narrow sheets need more lines, and so do languages that say the same in more words.
    """
    room = CAPTION_ROOM if is_lying(size) else CAPTION_ROOM_UPRIGHT
    return room if spoken() == ENGLISH else room + _LINE_MORE


def check_view(view: NDArray[np.uint8], side_px: int, what: str) -> None:
    """Refuse a view of the wrong size: every panel of a sheet has a size of its own."""
    if view.shape != (side_px, side_px, 3) or view.dtype != np.uint8:
        raise SimviewError(
            what,
            got=f"{view.dtype} {view.shape}",
            allowed=f"uint8 ({side_px}, {side_px}, 3)",
            remedy="ask the sheet's geometry for the size",
        )


def draw_words(
    canvas: Canvas,
    words: SheetText,
    *,
    pixels_per_degree: float | None = None,
) -> None:
    """Draw title, subtitle, caption, footer and logo; with a scale, also the bar of apparent angle.

    Title and footer are the maker's own where the sheet's dress has them.
    """
    width, height = canvas.size
    left, right = canvas.px(MARGIN), width - canvas.px(MARGIN)
    own = dress.current()
    used = _draw_logo(canvas, own.logo) if own.logo is not None else 0.0
    _draw_title(canvas, own.title or words.title, right - left - used)
    note = _draw_scale(canvas, pixels_per_degree) if pixels_per_degree else 0.0
    room = right - left - note - canvas.px(40)
    place = (left, canvas.px(SUBTITLE_BASE))
    canvas.write_within(place, words.subtitle, room, (SUBTITLE, SMALL), colour=SOFT)
    _draw_caption(canvas, words.caption)
    base = height - canvas.px(FOOTER_BASE)
    told = words.footer if own.footer is None else own.footer
    footer = text.cut(told, right - left, canvas.px(FOOTER))
    canvas.write((right, base), footer, canvas.px(FOOTER), colour=SOFT, align="right")


def _draw_logo(canvas: Canvas, logo: Image) -> float:
    """Draw a logo in the upper right corner; return the width that a title loses by it."""
    from PIL import Image as Images

    high = canvas.px(LOGO)
    wide = min(round(logo.width * high / logo.height), round(0.2 * canvas.size[0]))
    high = max(1, round(logo.height * wide / logo.width))
    small = logo.convert("RGBA").resize((max(1, wide), high), Images.Resampling.LANCZOS)
    pixels = np.asarray(small, np.uint8)
    corner = (canvas.size[0] - canvas.px(MARGIN) - pixels.shape[1], canvas.px(LOGO_TOP))
    canvas.paste(np.ascontiguousarray(pixels[..., :3]), corner, pixels[..., 3])
    return int(pixels.shape[1]) + canvas.px(MARGIN) / 2.0


def _draw_title(canvas: Canvas, title: str, room_px: float) -> None:
    """Write a title: large, smaller, or on two lines, before any of it is left out."""
    largest, small = canvas.px(TITLE), canvas.px(0.75 * TITLE)
    size = text.fitting_size(title, room_px, largest_px=largest, smallest_px=small, weight="bold")
    lines = [title]
    if text.width_px(title, size, "bold") > room_px:
        while size > canvas.px(SMALL) and len(text.wrap(title, room_px, size, "bold")) > 2:
            size -= 1
        first, *rest = text.wrap(title, room_px, size, "bold")
        lines = [first, text.cut(" ".join(rest), room_px, size, "bold")]
    bases = (TITLE_BASE,) if len(lines) == 1 else TITLE_LINES
    for line, base in zip(lines, bases, strict=True):
        canvas.write((canvas.px(MARGIN), canvas.px(base)), line, size, weight="bold")


def _draw_scale(canvas: Canvas, pixels_per_degree: float) -> float:
    """Draw the bar of apparent angle at the right end of the subtitle; return its length."""
    bar = scale_bar(pixels_per_degree / 3600.0, canvas.px(170))
    place = (canvas.size[0] - canvas.px(MARGIN), canvas.px(SUBTITLE_BASE))
    return draw_bar(canvas, bar, place, canvas.px(SMALL), align="right", words=say(_ALIKE))


def _draw_caption(canvas: Canvas, caption: str) -> None:
    width, height = canvas.size
    left, right = canvas.px(MARGIN), width - canvas.px(MARGIN)
    room = caption_room(canvas.size)
    top = height - canvas.px(CAPTION_BASE + room)
    line = canvas.px(1)
    canvas.box((left, top - canvas.px(8), right, top - canvas.px(8) + line), LINE)
    size, lines = text.block(
        caption,
        right - left,
        canvas.px(room),
        largest_px=canvas.px(CAPTION),
        smallest_px=canvas.px(LEAST),
    )
    for index, words in enumerate(lines):
        base = top + size + index * text.line_px(size)
        canvas.write((left, base), words, size, colour=SOFT)


# What a scale of apparent angle says where nothing else is said.
_ALIKE: Final = N_("at the eye, alike in every view")

# What close-ups show: behind their scale, and before where they are cut from.
_CLOSE_UPS: Final = {
    "sky": (N_("of sky, close up"), N_("Close up: the same {angle} of sky")),
    "scene": (N_("of the scene, close up"), N_("Close up: the same {angle} of the scene")),
    "chart": (N_("of the chart, close up"), N_("Close up: the same {angle} of the chart")),
}


def draw_patch_heading(
    canvas: Canvas,
    patch_px: float,
    patch_arcsec: float,
    top: float,
    *,
    where: str,
    what: str = "sky",
) -> None:
    """Say what close-ups are, in one line across the sheet, with their scale bar.

    Parameters
    ----------
    where
        Ends the sentence: "cut from each view above".
    what
        Of what the close-up shows a patch.
    """
    size = canvas.px(HEADING)
    base = top + canvas.px(34)
    left, right = canvas.px(MARGIN), canvas.size[0] - canvas.px(MARGIN)
    bar = scale_bar(patch_px / patch_arcsec, canvas.px(170))
    small = canvas.px(SMALL)
    of, same = (say(told) for told in _CLOSE_UPS[what])
    used = draw_bar(canvas, bar, (right, base), small, align="right", words=of)
    words = f"{same.format(angle=text.angle(patch_arcsec))}, {where}"
    canvas.write((left, base), text.cut(words, right - left - used, size), size, colour=INK)


def draw_rows(
    canvas: Canvas,
    rows: Sequence[tuple[str, str]],
    place: tuple[float, float],
    room_px: float,
    size_px: int,
) -> float:
    """Write a table of names (left) and values (right); return the height used.

    Parameters
    ----------
    place
        Top left corner.
    size_px
        Type size wanted; smaller where a row is too long, down to the least of a sheet.
    """
    step = round(ROW_STEP * size_px)
    size = size_px
    while size > canvas.px(_ROW_LEAST) and any(_row_px(row, size) > room_px for row in rows):
        size -= 1
    for index, (name, value) in enumerate(rows):
        base = place[1] + size_px + index * step
        room = room_px - text.width_px(value, size) - _ROW_GAP * size
        canvas.write((place[0], base), text.cut(name, room, size), size, colour=SOFT)
        end = (place[0] + room_px, base)
        canvas.write(end, value, size, colour=INK, align="right")
    return len(rows) * step


def _row_px(row: tuple[str, str], size_px: int) -> float:
    return sum(text.width_px(words, size_px) for words in row) + _ROW_GAP * size_px


@dataclass(frozen=True, slots=True, kw_only=True)
class BarScale:
    """How bars of limits are drawn, the same in every panel so that they compare.

    Parameters
    ----------
    room_px
        Width of the whole table.
    start_px
        Where bars begin, from the table's left.
    pixels_per_arcsec
        Their scale.
    stacked
        True when bars lie below their words, for narrow tables.
    """

    room_px: float
    start_px: float
    pixels_per_arcsec: float
    stacked: bool


def bar_scale(
    canvas: Canvas, limits: Sequence[Limit], room_px: float, *, stacked: bool
) -> BarScale:
    """Scale bars so that the longest limit of a whole sheet just fits."""
    size, gap = canvas.px(SMALL), canvas.px(10)
    longest = max((limit.arcsec for limit in limits), default=1.0) or 1.0
    if stacked:
        return BarScale(
            room_px=room_px, start_px=0.0, pixels_per_arcsec=room_px / longest, stacked=True
        )
    names = max((text.width_px(limit.name, size) for limit in limits), default=0.0)
    values = max(
        (text.width_px(text.angle(limit.arcsec), size, "bold") for limit in limits), default=0.0
    )
    bars = max(0.0, room_px - names - values - 2 * gap)
    return BarScale(
        room_px=room_px,
        start_px=names + gap,
        pixels_per_arcsec=bars / longest,
        stacked=False,
    )


def draw_limits(
    canvas: Canvas, limits: Sequence[Limit], place: tuple[float, float], scale: BarScale
) -> float:
    """Draw what limits detail, a bar each; the one that rules, white and thick, sets the view.

    Returns
    -------
    The height used in pixels.
    """
    size = canvas.px(SMALL)
    step = canvas.px(38 if scale.stacked else 27)
    worst = max((limit.arcsec for limit in limits), default=0.0)
    judged = any(limit.rules for limit in limits)
    # Where none is said to rule the longest do: bars that are told by one figure together.
    ruling = {text.angle(each.arcsec) for each in limits if not judged and each.arcsec >= worst}
    for index, limit in enumerate(limits):
        base = place[1] + size + index * step
        rules = limit.rules or text.angle(limit.arcsec) in ruling
        colour = INK if rules else SOFT
        canvas.write((place[0], base), limit.name, size, colour=SOFT)
        end = (place[0] + scale.room_px, base)
        weight: text.Weight = "bold" if rules else "regular"
        value = text.angle(limit.arcsec)
        canvas.write(end, value, size, colour=colour, weight=weight, align="right")
        x = place[0] + scale.start_px
        y = base + canvas.px(10) if scale.stacked else base - 0.36 * size
        half = canvas.px(8 if rules else 4) / 2
        length = max(canvas.px(2), scale.pixels_per_arcsec * limit.arcsec)
        canvas.box((x, y - half, x + length, y + half), colour if rules else LINE)
    return len(limits) * step
