"""The sheet of one eyepiece: its glass with traced light, its spots, the field as seen, figures.

What it says is settled before, in `simview.picture.eyepieces.eyepiece_contents`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from PIL.Image import Image

from simview import budget
from simview.eyepiece.lens import Lens
from simview.kit import Kit
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, check_lying, unit_of
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT, WARN, Colour
from simview.picture.drawing.sheet import Area
from simview.picture.eyepieces.eyepiece_contents import (
    BlurChart,
    EyepieceContents,
    judge_eyepiece,
    read,
)
from simview.picture.eyepieces.lens_drawing import draw_lens
from simview.picture.eyepieces.views import field_view, spot_view
from simview.picture.views.compose import Sheet

# What a pixel of the sheet takes while its spots and its field are computed, bytes. Measured at
# 3840x2160 and 7680x4320.
_BYTES_PER_PIXEL: Final = 38

# Columns in units: drawing and spots; the field; the table.
_LEFT: Final = 850
_MIDDLE: Final = 500
_GAP: Final = 44

# Heights in units: of a heading, and of the drawing.
_HEADING: Final = 40
_DRAWING: Final = 330


def eyepiece(
    kit: Kit,
    layout: Lens,
    *,
    apparent_field_deg: float | None = None,
    size: Size = (1920, 1080),
) -> Sheet:
    """Show what an eyepiece does behind a kit's telescope.

    Parameters
    ----------
    layout
        In mm, see simview.eyepiece.lensfile.
    apparent_field_deg
        Full diameter; None takes the layout's own.

    Raises
    ------
    SimviewError
        For a kit without a telescope, or a layout that does not pass the light.
    """
    check_lying(size)
    contents = judge_eyepiece(kit, layout, apparent_field_deg=apparent_field_deg)
    return draw_eyepiece(contents, size=size)


def draw_eyepiece(contents: EyepieceContents, *, size: Size = (1920, 1080)) -> Sheet:
    """Draw a sheet whose words are settled already.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have, or too little memory for it.
    """
    return contents.told(size).drawn(_draw(contents, check_lying(size)))


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make the sheet again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    told = read(given)
    return eyepiece(**{**told, "size": size or told["size"]})


def _draw(contents: EyepieceContents, size: Size) -> Image:
    """Lay the sheet out and draw it."""
    budget.require(
        f"an eyepiece's sheet of {size[0]}x{size[1]} pixels",
        size[0] * size[1] * _BYTES_PER_PIXEL,
        remedy="a smaller --size",
    )
    canvas = Canvas(size)
    sheet.draw_words(canvas, contents.words)
    area, unit = sheet.content_area(size), unit_of(size)
    # Wider sheets leave the columns as they are and share the rest out as space.
    spare = max(0.0, area.width - (1920 - 2 * sheet.MARGIN) * unit) / 2.0
    left = Area(left=area.left, top=area.top, right=area.left + _LEFT * unit, bottom=area.bottom)
    start = left.right + _GAP * unit + spare
    middle = Area(left=start, top=area.top, right=start + _MIDDLE * unit, bottom=area.bottom)
    right = Area(
        left=middle.right + _GAP * unit + spare, top=area.top, right=area.right, bottom=area.bottom
    )
    _draw_glass(canvas, left, contents)
    _draw_spots(canvas, left, contents)
    _draw_field(canvas, middle, contents)
    _draw_chart(canvas, middle, contents.chart)
    _draw_table(canvas, right, contents)
    return canvas.image


def _heading(canvas: Canvas, area: Area, top: float, words: str) -> None:
    place = (area.left, top + canvas.px(sheet.HEADING))
    canvas.write_within(place, words, area.width, (sheet.HEADING, 17), weight="bold")


def _draw_glass(canvas: Canvas, area: Area, contents: EyepieceContents) -> None:
    _heading(canvas, area, area.top, contents.rays_heading)
    top = area.top + canvas.px(_HEADING)
    inside = Area(left=area.left, top=top, right=area.right, bottom=area.top + canvas.px(_DRAWING))
    draw_lens(canvas, inside, contents.figures)
    base = inside.bottom + canvas.px(24)
    x = area.left
    for words, colour in zip(contents.bundles, (SOFT, GOOD), strict=True):
        middle = base - 0.36 * canvas.px(sheet.SMALL)
        canvas.stroke([(x, middle), (x + canvas.px(34), middle)], canvas.px(3), colour)
        x += canvas.px(44)
        x += canvas.write((x, base), words, canvas.px(sheet.SMALL), colour=SOFT) + canvas.px(36)


def _draw_spots(canvas: Canvas, area: Area, contents: EyepieceContents) -> None:
    """Two rows of spots: the eye set for the middle, and set anew for each point."""
    top = area.top + canvas.px(_DRAWING + 46)
    gap = canvas.px(12)
    label = canvas.px(112)
    side = int((area.width - label - 4 * gap) / 5)
    side = min(side, int((area.bottom - top - canvas.px(_HEADING + 34)) / 2 - gap))
    width = contents.spot_width_arcmin
    _heading(canvas, area, top, contents.spots_heading)
    for row, words in enumerate(contents.spot_rows):
        y = round(top + canvas.px(_HEADING + 8) + row * (side + gap))
        for k, line in enumerate(text.wrap(words, label - gap, canvas.px(sheet.SMALL))):
            base = y + canvas.px(30) + k * text.line_px(canvas.px(sheet.SMALL))
            canvas.write((area.left, base), line, canvas.px(sheet.SMALL), colour=SOFT)
        for column, spot in enumerate(contents.spots):
            x = round(area.left + label + column * (side + gap))
            image = spot_view(contents.figures, spot.angle_deg, side, width, refocus=row == 1)
            canvas.paste(image, (x, y))
            panel.draw_frame(canvas, (x, y, x + side, y + side), canvas.px(1))
            if row == 1:
                place = (x + side / 2, y + side + canvas.px(26))
                canvas.write(place, spot.label, canvas.px(sheet.SMALL), colour=SOFT, align="middle")


def _draw_field(canvas: Canvas, area: Area, contents: EyepieceContents) -> None:
    _heading(canvas, area, area.top, contents.field_heading)
    side = panel.even_px(area.width)
    scale = (side - canvas.px(10)) / contents.seen_deg
    x = round((area.left + area.right) / 2) - side // 2
    picture = field_view(contents.figures, side, scale)
    canvas.paste(picture, (x, round(area.top + canvas.px(_HEADING + 6))))


def _draw_chart(canvas: Canvas, area: Area, chart: BlurChart) -> None:
    """Draw the blur against the field angle, with what a sharp eye notices."""
    top = area.top + canvas.px(_HEADING + 24) + area.width
    _heading(canvas, area, top, chart.heading)
    left, right = area.left + canvas.px(58), area.right - canvas.px(8)
    upper, lower = top + canvas.px(_HEADING + 18), area.bottom - canvas.px(30)
    edge = float(chart.angle_deg[-1])

    def at(angle: float, blur: float) -> tuple[float, float]:
        x = left + (right - left) * angle / edge
        return x, lower - (lower - upper) * min(blur, chart.high_arcmin) / chart.high_arcmin

    size = canvas.px(sheet.SMALL)
    for blur, words in chart.up:
        canvas.box((left, at(0, blur)[1], right, at(0, blur)[1] + canvas.px(1)), LINE)
        place = (left - canvas.px(8), at(0, blur)[1] + 0.36 * size)
        canvas.write(place, words, size, colour=SOFT, align="right")
    for angle, words in chart.along:
        place = (at(angle, 0)[0] - (canvas.px(14) if angle == edge else 0), lower + canvas.px(26))
        canvas.write(place, words, size, colour=SOFT, align="middle")
    _curve(canvas, [at(0, chart.noticed_arcmin), at(edge, chart.noticed_arcmin)], LINE)
    for row, curve in enumerate(chart.curves):
        colour = WARN if curve.kind == "set once" else INK
        points = [at(a, b) for a, b in zip(chart.angle_deg, curve.blur_arcmin, strict=True)]
        _curve(canvas, points, colour, canvas.px(3))
        base = upper + canvas.px(22) + row * text.line_px(size)
        middle = base - 0.36 * size
        key = [(left + canvas.px(14), middle), (left + canvas.px(44), middle)]
        canvas.stroke(key, canvas.px(3), colour)
        canvas.write((left + canvas.px(54), base), curve.says, size, colour=SOFT)


def _curve(
    canvas: Canvas, points: list[tuple[float, float]], colour: Colour, width: float = 2.0
) -> None:
    canvas.stroke(points, width, colour)


def _draw_table(canvas: Canvas, area: Area, contents: EyepieceContents) -> None:
    y = area.top
    for name, rows in contents.groups:
        _heading(canvas, area, y, name)
        y += canvas.px(_HEADING)
        y += sheet.draw_rows(canvas, rows, (area.left, y), area.width, canvas.px(sheet.BODY))
        y += canvas.px(22)
