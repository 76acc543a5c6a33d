"""Views in rows, on sheets that are not lying: view, close-up and words, from left to right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, unit_of
from simview.picture.drawing.palette import LINE, SOFT, WARN, Colour
from simview.picture.drawing.sheet import Limit
from simview.picture.drawing.tongue import say

# In units: the heading of the close-ups; between pictures and words; between rows; the least width
# of the words, and from which width on they stand in two columns; the least height of a row.
_STRIP: Final = 56
_GAP: Final = 30
_BETWEEN: Final = 22
_WORDS: Final = 330
_TWO_COLUMNS: Final = 580
_LEAST: Final = 140
_TABLE_MOST: Final = 340


@dataclass(frozen=True, slots=True, kw_only=True)
class Abreast:
    """How large everything in the rows is, in pixels.

    Parameters
    ----------
    side
        Of the room for a view and of a close-up.
    pitch
        From one row to the next.
    """

    size: Size
    side: float
    pitch: float

    @property
    def patch_px(self) -> int:
        """Side of a close-up, even."""
        return 2 * int(self.side // 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row.

    Parameters
    ----------
    seen, diameter_px
        The whole field, and the diameter of its stop.
    patch
        The close-up.
    power
        Written large: "75×".
    name, label
        Above it and below it.
    state, colour
        What its power is worth, in words from the longest to the shortest, and in which colour.
    empty
        True for empty magnification: it wears its mark.
    """

    seen: NDArray[np.uint8]
    diameter_px: float
    patch: NDArray[np.uint8]
    power: str
    label: str
    name: str = ""
    state: Sequence[str] = ()
    colour: Colour = LINE
    empty: bool = False
    rows: Sequence[tuple[str, str]] = ()
    limits: Sequence[Limit] = ()


def lay_out(size: Size, count: int) -> Abreast:
    """Return the rows of a sheet.

    Raises
    ------
    RangeError
        For a size that sheets cannot have, or more rows than it holds.
    """
    area, unit = sheet.content_area(size), unit_of(size)
    pitch = (area.height - _STRIP * unit + _BETWEEN * unit) / count
    if pitch < _LEAST * unit:
        most = int((area.height - (_STRIP - _BETWEEN) * unit) / (_LEAST * unit))
        raise RangeError(
            "panels",
            got=count,
            allowed=f"at most {most} on a sheet of this shape",
            remedy="a landscape one",
        )
    widest = (area.width - (_WORDS + 2 * _GAP) * unit) / 2.0
    return Abreast(size=size, side=min(widest, pitch - _BETWEEN * unit), pitch=pitch)


def draw(
    canvas: Canvas, plan: Abreast, lines: Sequence[Line], *, patch_arcsec: float, what: str
) -> None:
    """Draw the rows, and above them what the close-ups are.

    Parameters
    ----------
    plan
        Where the rows stand.
    lines
        View, close-up and words of each row.
    patch_arcsec
        True angle across a close-up.
    what
        Of what it shows a patch: "sky".
    """
    area, unit = sheet.content_area(plan.size), canvas.unit
    where = say("cut from each view at its left")
    top = area.top - canvas.px(8)
    sheet.draw_patch_heading(canvas, plan.patch_px, patch_arcsec, top, where=where, what=what)
    limits = [limit for line in lines for limit in line.limits]
    left = area.left + 2.0 * plan.side + 2.0 * _GAP * unit
    room = area.right - left
    two = room >= _TWO_COLUMNS * unit
    table = min((room - _GAP * unit) / 2.0 if two else room, _TABLE_MOST * unit)
    scale = sheet.bar_scale(canvas, limits, table, stacked=False)
    for index, line in enumerate(lines):
        upper = area.top + _STRIP * unit + index * plan.pitch
        upper += (plan.pitch - _BETWEEN * unit - plan.side) / 2.0
        _draw_pictures(canvas, plan, line, (area.left, upper))
        end = _draw_head(canvas, line, (left, upper), room if not two else room - table)
        beside, below = (area.right - table, upper + canvas.px(4)), (left, end + canvas.px(6))
        corner = beside if two else below
        used = sheet.draw_rows(canvas, line.rows, corner, table, canvas.px(sheet.SMALL))
        sheet.draw_limits(canvas, line.limits, (corner[0], corner[1] + used + canvas.px(2)), scale)


def _draw_pictures(canvas: Canvas, plan: Abreast, line: Line, corner: tuple[float, float]) -> None:
    x, y = corner
    centre = (x + plan.side / 2.0, y + plan.side / 2.0)
    panel.place_field(canvas, line.seen, line.diameter_px, centre)
    left, top = round(x + plan.side + _GAP * canvas.unit), round(y)
    side = line.patch.shape[0]
    canvas.paste(line.patch, (left, top))
    ends = (left, top, left + side, top + side)
    panel.draw_frame(canvas, ends, canvas.px(3), line.colour, dashed=line.empty)


def _draw_head(canvas: Canvas, line: Line, corner: tuple[float, float], room: float) -> float:
    """Write name, power, what gives it and what it is worth; return where the last line stands."""
    x, base = corner
    if line.name:
        size = canvas.px(sheet.HEADING)
        named = text.wrap(line.name, room, size, "bold")
        named = [*named[:1], text.cut(" ".join(named[1:]), room, size, "bold")][: len(named)]
        for words in named:
            base += text.line_px(size)
            canvas.write((x, base - 0.25 * size), words, size, weight="bold")
    size = canvas.px(sheet.POWER)
    base += 0.92 * size
    length = canvas.write((x, base), line.power, size, weight="bold")
    if line.empty:
        radius = canvas.px(13)
        middle = base - 0.36 * size
        panel.draw_empty_mark(canvas, x + length + canvas.px(11) + radius, middle, radius)
    base += canvas.px(32)
    units = (sheet.SMALL, sheet.LEAST)
    canvas.write_within((x, base), line.label, room, units, colour=SOFT)
    if line.state:
        size = canvas.px(sheet.SMALL)
        fitting = [w for w in line.state if len(text.wrap(w, room, size, "bold")) <= 2]
        words = fitting[0] if fitting else line.state[-1]
        colour = WARN if line.empty else SOFT if line.colour == LINE else line.colour
        for part in text.wrap(words, room, size, "bold"):
            base += text.line_px(size)
            canvas.write((x, base), part, size, colour=colour, weight="bold")
    elif line.empty:
        base += canvas.px(28)
        size = canvas.px(sheet.SMALL)
        canvas.write((x, base), say("empty magnification"), size, colour=WARN, weight="bold")
    return base
