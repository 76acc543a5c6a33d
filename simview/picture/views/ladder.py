"""The ladder: one object at rising powers, what is seen above, the same patch cut out below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL.Image import Image

from simview.errors import RangeError
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, is_lying, unit_of
from simview.picture.drawing.palette import GOOD, LINE, SOFT, WARN, Colour
from simview.picture.drawing.sheet import Area, Limit, SheetText
from simview.picture.drawing.tongue import say
from simview.picture.views import abreast
from simview.power.records import State
from simview.power.words import ground, wordings
from simview.scene.scene import TargetKind

# How many steps a ladder can have.
STEPS: Final = (2, 8)

# Heights in units: power and label above a view; heading and band between the rows; the table of
# figures, with one line of the object's own, and each further one; spaces.
_HEAD: Final = 104
_MIDDLE: Final = 82
_FIGURES: Final = 146
_LINE: Final = 28
_TAIL: Final = 6

# Widths in units: between columns, between patch and figures, of the figures beside a patch.
_GUTTER: Final = 20
_BESIDE_GAP: Final = 20
_BESIDE: Final = 212
_TABLE_MOST: Final = 320

_COLOURS: Final[dict[State, Colour]] = {
    "low": SOFT,
    "enough": GOOD,
    "hidden": SOFT,
    "tight": GOOD,
    "full": SOFT,
    "air": SOFT,
    "light": SOFT,
    "empty": WARN,
    "plain": SOFT,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderStep:
    """One power of a ladder.

    Parameters
    ----------
    power
        Times.
    label
        What gives it: "6 mm eyepiece, 3× Barlow".
    seen
        (n, n, 3) sRGB of the whole field, n from the geometry.
    patch
        (n, n, 3) sRGB of the object's patch, n from the geometry.
    exit_pupil_mm
        Diameter of the beam that leaves the eyepiece.
    brightness
        Light on each patch of the retina against the first step.
    limits
        What limits detail at the object: aperture, air, eye.
    state
        What its power is worth: see `simview.power.records`.
    worth
        The same in words, from the fullest down; () for what is said of any such object.
    lines
        Rows of the table that stand instead of the brightness: (name, value).
    """

    power: float
    label: str
    seen: NDArray[np.uint8]
    patch: NDArray[np.uint8]
    exit_pupil_mm: float
    brightness: float
    limits: tuple[Limit, ...] = ()
    state: State = "low"
    worth: tuple[str, ...] = ()
    lines: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderGeometry:
    """How large everything on a ladder is, in pixels.

    Parameters
    ----------
    pixels_per_degree
        Of apparent angle, in the upper row, the same in every panel.
    fields_deg
        Apparent field of each panel.
    seen_px
        Side of each upper picture; the field's centre is the middle of pixel n // 2.
    patch_px
        Side of every lower picture.
    column_px
        Width of a column.
    beside
        True when figures stand beside the patch, False when below.
    rows
        Where steps stand in rows: how; None where they stand in columns.
    lines
        Lines of figures that the object has of its own.
    """

    size: Size
    pixels_per_degree: float
    fields_deg: tuple[float, ...]
    seen_px: tuple[int, ...]
    patch_px: int
    column_px: float
    beside: bool
    rows: abreast.Abreast | None = None
    lines: int = 1

    @property
    def figures(self) -> int:
        """Height of the figures below a patch, units; 0 where they stand beside it."""
        return 0 if self.beside else _FIGURES + _LINE * (self.lines - 1)

    @property
    def diameters_px(self) -> tuple[float, ...]:
        """Diameter of each field stop."""
        return tuple(f * self.pixels_per_degree for f in self.fields_deg)


def ladder_geometry(size: Size, fields_deg: Sequence[float], *, lines: int = 1) -> LadderGeometry:
    """Lay a ladder out.

    Parameters
    ----------
    size
        Width and height of the sheet in pixels.
    fields_deg
        Apparent field of each step, 2 to 8 of them.
    lines
        Lines of figures that the object has of its own; of several close pairs one each.

    Raises
    ------
    RangeError
        For a size that sheets cannot have, or too few or too many steps.
    """
    area = sheet.content_area(size)
    count = len(fields_deg)
    if not STEPS[0] <= count <= STEPS[1]:
        raise RangeError("powers", got=count, allowed=f"{STEPS[0]} to {STEPS[1]} of them")
    if not is_lying(size):
        return _in_rows(size, fields_deg)
    unit = unit_of(size)
    column = (area.width - (count - 1) * _GUTTER * unit) / count
    beside, seen, patch = max(
        (
            _rows(area, column, unit, below=below)
            for below in (0, _FIGURES + _LINE * (max(lines, 1) - 1))
        ),
        key=lambda rows: rows[1] + rows[2],
    )
    # The ring around the largest field must stay inside its column too.
    scale = (seen - 2.0 * panel.ring_px(seen) - 2.0) / max(fields_deg)
    return LadderGeometry(
        size=size,
        pixels_per_degree=scale,
        fields_deg=tuple(fields_deg),
        seen_px=tuple(panel.seen_px(f, scale) for f in fields_deg),
        patch_px=2 * int(patch // 2),
        column_px=column,
        beside=beside,
        lines=max(lines, 1),
    )


def _in_rows(size: Size, fields_deg: Sequence[float]) -> LadderGeometry:
    rows = abreast.lay_out(size, len(fields_deg))
    scale = (rows.side - 2.0 * panel.ring_px(rows.side) - 2.0) / max(fields_deg)
    return LadderGeometry(
        size=size,
        pixels_per_degree=scale,
        fields_deg=tuple(fields_deg),
        seen_px=tuple(panel.seen_px(f, scale) for f in fields_deg),
        patch_px=rows.patch_px,
        column_px=rows.side,
        beside=True,
        rows=rows,
    )


def _rows(area: Area, column: float, unit: float, *, below: int) -> tuple[bool, float, float]:
    """Return (beside, side of the upper views, side of the patches) for one arrangement.

    `below` is the height of the figures below patches in units; 0 puts them beside.
    """
    beside = below == 0
    fixed = _HEAD + _MIDDLE + _TAIL + below
    height = area.height - fixed * unit
    widest = column - (_BESIDE + _BESIDE_GAP) * unit if beside else column - 4 * unit
    seen = min(column, 0.53 * height)
    patch = max(0.0, min(widest, height - seen))
    if patch < 120 * unit:
        return beside, 0.0, 0.0
    return beside, min(column, height - patch), patch


def draw_ladder(
    geometry: LadderGeometry,
    words: SheetText,
    steps: Sequence[LadderStep],
    *,
    patch_arcsec: float,
    kind: TargetKind = "planet",
) -> Image:
    """Draw a ladder.

    Parameters
    ----------
    geometry
        From `ladder_geometry`, with a field for each step.
    words
        Title, subtitle, caption, footer.
    steps
        In rising order of power.
    patch_arcsec
        True angle across every patch.
    kind
        What stands in the views: the band between the rows speaks accordingly.

    Raises
    ------
    SimviewError
        Where a picture has not the size that the geometry asks for.
    """
    if len(steps) != len(geometry.fields_deg):
        raise RangeError(
            "steps", got=len(steps), allowed=f"{len(geometry.fields_deg)}, as in the geometry"
        )
    for step, side in zip(steps, geometry.seen_px, strict=True):
        sheet.check_view(step.seen, side, "seen")
        sheet.check_view(step.patch, geometry.patch_px, "patch")
    canvas = Canvas(geometry.size)
    if geometry.rows is not None:
        sheet.draw_words(canvas, words, pixels_per_degree=geometry.pixels_per_degree)
        lines = [
            _line(step, kind, diameter)
            for step, diameter in zip(steps, geometry.diameters_px, strict=True)
        ]
        what = ground(kind)
        abreast.draw(canvas, geometry.rows, lines, patch_arcsec=patch_arcsec, what=what)
        return canvas.image
    begun = [
        panel.begin_field(canvas, step.seen, diameter)
        for step, diameter in zip(steps, geometry.diameters_px, strict=True)
    ]
    sheet.draw_words(canvas, words, pixels_per_degree=geometry.pixels_per_degree)
    area = sheet.content_area(geometry.size)
    tallest = max(geometry.diameters_px)
    spare = _spare(canvas, geometry, area)
    top = area.top + 0.3 * spare
    row = top + canvas.px(_HEAD) + tallest / 2.0
    middle = row + tallest / 2.0 + canvas.px(8) + 0.4 * spare
    below = middle + canvas.px(_MIDDLE - 8)
    scale = _bars(canvas, geometry, steps)
    for index, step in enumerate(steps):
        left = area.left + index * (geometry.column_px + _GUTTER * canvas.unit)
        centre = left + geometry.column_px / 2.0
        _draw_head(canvas, step, centre, top, geometry.column_px)
        diameter = geometry.diameters_px[index]
        panel.place_field(canvas, step.seen, diameter, (centre, row), begun[index])
        _draw_patch(canvas, geometry, step, (left, below), scale)
    where = say("cut from each view above")
    sheet.draw_patch_heading(
        canvas,
        geometry.patch_px,
        patch_arcsec,
        middle - canvas.px(8),
        where=where,
        what=ground(kind),
    )
    band = [(s.state, _worth(s, kind)) for s in steps]
    _draw_band(canvas, geometry, band, middle + canvas.px(54))
    return canvas.image


def _line(step: LadderStep, kind: TargetKind, diameter_px: float) -> abreast.Line:
    return abreast.Line(
        seen=step.seen,
        diameter_px=diameter_px,
        patch=step.patch,
        power=text.times(step.power),
        label=step.label,
        state=_worth(step, kind),
        colour=_frame(step.state),
        empty=step.state == "empty",
        rows=_table(step),
        limits=step.limits,
    )


def _worth(step: LadderStep, kind: TargetKind) -> tuple[str, ...]:
    return step.worth or tuple(say(words) for words in wordings(kind, step.state))


def _frame(state: State) -> Colour:
    return WARN if state == "empty" else GOOD if state == "enough" else LINE


def _table(step: LadderStep) -> list[tuple[str, str]]:
    return [
        (say("exit pupil"), f"{text.figure(step.exit_pupil_mm)} mm"),
        *(step.lines or ((say("brightness"), text.share(step.brightness)),)),
    ]


def _spare(canvas: Canvas, geometry: LadderGeometry, area: Area) -> float:
    """Return the height that is left over on a tall sheet."""
    fixed = _HEAD + _MIDDLE + _TAIL + geometry.figures
    used = max(geometry.diameters_px) + geometry.patch_px + fixed * canvas.unit
    return max(0.0, area.height - used)


def _draw_head(canvas: Canvas, step: LadderStep, centre: float, top: float, room: float) -> None:
    """Write the power, large, and what gives it."""
    size, base = canvas.px(sheet.POWER), top + canvas.px(50)
    words = text.times(step.power)
    radius, gap = canvas.px(13), canvas.px(11)
    mark = 2 * radius + gap if step.state == "empty" else 0
    x = centre - (text.width_px(words, size, "bold") + mark) / 2.0
    length = canvas.write((x, base), words, size, weight="bold")
    if mark:
        panel.draw_empty_mark(canvas, x + length + gap + radius, base - 0.36 * size, radius)
    small, least = canvas.px(sheet.SMALL), canvas.px(sheet.LEAST)
    size = text.fitting_size(step.label, room, largest_px=small, smallest_px=least)
    lines = text.wrap(step.label, room, size)
    lines = [lines[0], text.cut(" ".join(lines[1:]), room, size)][: len(lines)]
    for index, line in enumerate(lines):
        base = top + canvas.px(82 if len(lines) == 1 else 72) + index * text.line_px(size)
        canvas.write((centre, base), line, size, colour=SOFT, align="middle")


def _draw_patch(
    canvas: Canvas,
    geometry: LadderGeometry,
    step: LadderStep,
    corner: tuple[float, float],
    scale: sheet.BarScale,
) -> None:
    """Draw a patch in its frame, and the figures beside or below it."""
    side, table = geometry.patch_px, scale.room_px
    used = side + _BESIDE_GAP * canvas.unit + table if geometry.beside else side
    x = round(corner[0] + (geometry.column_px - used) / 2.0)
    y = round(corner[1])
    canvas.paste(step.patch, (x, y))
    ends, empty = (x, y, x + side, y + side), step.state == "empty"
    panel.draw_frame(canvas, ends, canvas.px(3), _frame(step.state), dashed=empty)
    place: tuple[float, float]
    if geometry.beside:
        place = (x + side + _BESIDE_GAP * canvas.unit, y + canvas.px(2))
    else:
        place = (corner[0] + (geometry.column_px - table) / 2.0, y + side + canvas.px(8))
    height = sheet.draw_rows(canvas, _table(step), place, table, canvas.px(sheet.SMALL))
    place = (place[0], place[1] + height + canvas.px(2))
    sheet.draw_limits(canvas, step.limits, place, scale)


def _bars(canvas: Canvas, geometry: LadderGeometry, steps: Sequence[LadderStep]) -> sheet.BarScale:
    room = geometry.column_px
    if geometry.beside:
        room -= geometry.patch_px + _BESIDE_GAP * canvas.unit
    table = min(room, _TABLE_MOST * canvas.unit)
    limits = [limit for step in steps for limit in step.limits]
    stacked = geometry.beside and table < 280 * canvas.unit
    return sheet.bar_scale(canvas, limits, table, stacked=stacked)


def _draw_band(
    canvas: Canvas,
    geometry: LadderGeometry,
    steps: Sequence[tuple[State, tuple[str, ...]]],
    y: float,
) -> None:
    """Draw the band that tells where power helps, where it is enough, where it is empty."""
    area = sheet.content_area(geometry.size)
    pitch = geometry.column_px + _GUTTER * canvas.unit
    first = 0
    for (state, said), group in groupby(steps):
        count = len(list(group))
        left = area.left + first * pitch
        right = left + count * pitch - _GUTTER * canvas.unit
        _draw_span(canvas, state, said, (left, right), y)
        first += count


def _draw_span(
    canvas: Canvas, state: State, said: Sequence[str], ends: tuple[float, float], y: float
) -> None:
    left, right = ends
    colour, size = _COLOURS[state], canvas.px(sheet.SMALL)
    radius, gap, half = canvas.px(9), canvas.px(10), canvas.px(3) / 2.0
    mark = 2 * radius + gap if state in _MARKS else 0
    room = right - left - 2 * canvas.px(24) - mark - 2 * gap
    words = next((w for w in said if text.width_px(w, size, "bold") <= room), said[-1])
    length = mark + text.width_px(words, size, "bold")
    x = (left + right - length) / 2.0
    for start, end in ((left, x - gap), (x + length + gap, right)):
        if state == "empty":
            panel.draw_dashes(canvas, (start, y - half, end, y + half), colour)
        else:
            canvas.box((start, y - half, end, y + half), colour)
    for end in (left, right - 2 * half):
        canvas.box((end, y - half, end + 2 * half, y + canvas.px(9)), colour)
    if state in _MARKS:
        _MARKS[state](canvas, x + radius, y, radius)
    canvas.write((x + mark, y + 0.36 * size), words, size, colour=colour, weight="bold")


# No mark where nothing is judged.
_MARKS: Final[dict[State, Callable[[Canvas, float, float, float], None]]] = {
    "low": panel.draw_more_mark,
    "enough": panel.draw_enough_mark,
    "hidden": panel.draw_air_mark,
    "tight": panel.draw_more_mark,
    "full": panel.draw_enough_mark,
    "air": panel.draw_air_mark,
    "empty": panel.draw_empty_mark,
}
