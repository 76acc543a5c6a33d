"""Side by side: several kits or eyepieces on one object, all at one apparent scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL.Image import Image

from simview.errors import RangeError
from simview.picture import panel, sheet, text
from simview.picture.canvas import Align, Canvas, Size, unit_of
from simview.picture.palette import SOFT, WARN
from simview.picture.sheet import SheetText

# How many views stand side by side.
VIEWS: Final = (1, 6)

# In units: between cells; words above a view, and between view and table; words beside a view.
_GUTTER: Final = 28
_HEAD: Final = 126
_TABLE_GAP: Final = 12
_BESIDE: Final = 236
_BESIDE_GAP: Final = 30
_TABLE_MOST: Final = 340
_ROW: Final = sheet.ROW_STEP * sheet.BODY


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareItem:
    """One view of a comparison.

    Parameters
    ----------
    power
        Times.
    name
        The kit: "114 mm tabletop reflector".
    label
        The eyepiece, or anything else that tells views apart.
    seen
        (n, n, 3) sRGB of the whole field, n from the geometry.
    rows
        Figures: (name, value).
    empty
        True where the power is empty magnification.
    """

    power: float
    name: str
    label: str
    seen: NDArray[np.uint8]
    rows: tuple[tuple[str, str], ...] = ()
    empty: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareGeometry:
    """How large everything on a comparison is, in pixels.

    Parameters
    ----------
    pixels_per_degree
        Of apparent angle, the same in every view.
    fields_deg
        Apparent field of each view.
    seen_px
        Side of each picture; the field's centre is the middle of pixel n // 2.
    columns, lines
        How many cells stand side by side, and how many rows of cells there are.
    cell_px
        Width and height of a cell.
    beside
        True when words stand to the right of a view, False when above and below.
    """

    size: Size
    pixels_per_degree: float
    fields_deg: tuple[float, ...]
    seen_px: tuple[int, ...]
    columns: int
    lines: int
    cell_px: tuple[float, float]
    beside: bool

    @property
    def diameters_px(self) -> tuple[float, ...]:
        """Diameter of each field stop."""
        return tuple(f * self.pixels_per_degree for f in self.fields_deg)


def compare_geometry(size: Size, fields_deg: Sequence[float], *, rows: int = 4) -> CompareGeometry:
    """Lay a comparison out: the arrangement in which the views come out largest.

    Parameters
    ----------
    size
        Width and height of the sheet in pixels.
    fields_deg
        Apparent field of each view, 1 to 6 of them.
    rows
        Rows of figures for each view.

    Raises
    ------
    RangeError
        For a size that sheets cannot have, or too many views.
    """
    count = len(fields_deg)
    if not VIEWS[0] <= count <= VIEWS[1]:
        raise RangeError("views", got=count, allowed=f"{VIEWS[0]} to {VIEWS[1]}")
    lines, beside = max(
        ((lines, beside) for lines in (1, 2) for beside in (False, True) if lines <= count),
        key=lambda way: _largest(size, count, rows, *way)[0],
    )
    room, cell = _largest(size, count, rows, lines, beside)
    scale = (room - 2.0 * panel.ring_px(room) - 2.0) / max(fields_deg)
    return CompareGeometry(
        size=size,
        pixels_per_degree=scale,
        fields_deg=tuple(fields_deg),
        seen_px=tuple(panel.seen_px(f, scale) for f in fields_deg),
        columns=math.ceil(count / lines),
        lines=lines,
        cell_px=cell,
        beside=beside,
    )


def _largest(
    size: Size, count: int, rows: int, lines: int, beside: bool
) -> tuple[float, tuple[float, float]]:
    """Return the room for a view's diameter and the size of a cell, for one arrangement."""
    area, unit = sheet.content_area(size), unit_of(size)
    columns = math.ceil(count / lines)
    width = (area.width - (columns - 1) * _GUTTER * unit) / columns
    height = (area.height - (lines - 1) * _GUTTER * unit) / lines
    if beside:
        room = min(height, width - (_BESIDE + _BESIDE_GAP) * unit)
    else:
        room = min(width, height - (_HEAD + _TABLE_GAP + rows * _ROW) * unit)
    return room, (width, height)


def draw_compare(
    geometry: CompareGeometry, words: SheetText, items: Sequence[CompareItem]
) -> Image:
    """Draw a comparison.

    Raises
    ------
    SimviewError
        Where a picture has not the size that the geometry asks for.
    """
    if len(items) != len(geometry.fields_deg):
        raise RangeError(
            "items", got=len(items), allowed=f"{len(geometry.fields_deg)}, as in the geometry"
        )
    for item, side in zip(items, geometry.seen_px, strict=True):
        sheet.check_view(item.seen, side, "seen")
    canvas = Canvas(geometry.size)
    sheet.draw_words(canvas, words, pixels_per_degree=geometry.pixels_per_degree)
    area = sheet.content_area(geometry.size)
    pitch = tuple(side + _GUTTER * canvas.unit for side in geometry.cell_px)
    for index, item in enumerate(items):
        line, column = divmod(index, geometry.columns)
        corner = (area.left + column * pitch[0], area.top + line * pitch[1])
        place = _draw_beside if geometry.beside else _draw_stacked
        place(canvas, geometry, item, geometry.diameters_px[index], corner)
    return canvas.image


def _draw_stacked(
    canvas: Canvas,
    geometry: CompareGeometry,
    item: CompareItem,
    diameter: float,
    corner: tuple[float, float],
) -> None:
    """Draw one cell with its words above the view and its figures below."""
    width = geometry.cell_px[0]
    centre, largest = corner[0] + width / 2.0, max(geometry.diameters_px)
    _draw_names(canvas, item, (centre, corner[1]), width)
    top = corner[1] + canvas.px(_HEAD)
    panel.place_field(canvas, item.seen, diameter, (centre, top + largest / 2.0))
    table = min(width, _TABLE_MOST * canvas.unit)
    place = (centre - table / 2.0, top + largest + canvas.px(_TABLE_GAP))
    sheet.draw_rows(canvas, item.rows, place, table, canvas.px(sheet.BODY))


def _draw_beside(
    canvas: Canvas,
    geometry: CompareGeometry,
    item: CompareItem,
    diameter: float,
    corner: tuple[float, float],
) -> None:
    """Draw one cell with all its words to the right of the view."""
    width, height = geometry.cell_px
    largest = max(geometry.diameters_px)
    ring = panel.ring_px(largest)
    centre = (corner[0] + largest / 2.0 + ring, corner[1] + height / 2.0)
    panel.place_field(canvas, item.seen, diameter, centre)
    x = corner[0] + largest + 2.0 * ring + _BESIDE_GAP * canvas.unit
    room = min(corner[0] + width - x, _TABLE_MOST * canvas.unit)
    size = canvas.px(25)
    lines = text.wrap(item.name, room, size, "bold")
    lines = [*lines[:2], text.cut(" ".join(lines[2:]), room, size, "bold")][: len(lines)]
    body = canvas.px(sheet.BODY)
    tall = len(lines) * text.line_px(size) + canvas.px(116) + len(item.rows) * sheet.ROW_STEP * body
    y = centre[1] - tall / 2.0
    for line in lines:
        y += text.line_px(size)
        canvas.write((x, y - 0.3 * size), line, size, weight="bold")
    _draw_power(canvas, item, (x, y + canvas.px(52)), "left")
    label = (x, y + canvas.px(84))
    canvas.write_within(label, item.label, room, (sheet.SMALL, 17), colour=SOFT)
    sheet.draw_rows(canvas, item.rows, (x, y + canvas.px(104)), room, body)


def _draw_names(canvas: Canvas, item: CompareItem, place: tuple[float, float], room: float) -> None:
    """Write kit, power and label above a view, centred."""
    x, top = place
    name, label = (x, top + canvas.px(24)), (x, top + canvas.px(110))
    canvas.write_within(name, item.name, room, (26, 18), weight="bold", align="middle")
    _draw_power(canvas, item, (x, top + canvas.px(80)), "middle")
    canvas.write_within(label, item.label, room, (sheet.SMALL, 17), colour=SOFT, align="middle")


def _draw_power(
    canvas: Canvas, item: CompareItem, place: tuple[float, float], align: Align
) -> None:
    """Write the power, large; with mark and word where it is empty."""
    size, small, radius = canvas.px(sheet.POWER), canvas.px(sheet.SMALL), canvas.px(13)
    power, gap = text.times(item.power), canvas.px(11)
    length = text.width_px(power, size, "bold")
    more = 2 * (gap + radius) + gap + text.width_px("empty", small, "bold") if item.empty else 0.0
    x, base = place
    if align == "middle":
        x -= (length + more) / 2.0
    canvas.write((x, base), power, size, weight="bold")
    if item.empty:
        middle = base - 0.36 * size
        panel.draw_empty_mark(canvas, x + length + gap + radius, middle, radius)
        words = (x + length + 2 * (gap + radius), middle + 0.36 * small)
        canvas.write(words, "empty", small, colour=WARN, weight="bold")
