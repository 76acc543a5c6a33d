"""How the cells of a comparison are arranged: views, close-ups, words, tables."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from simview.errors import RangeError
from simview.picture.drawing import panel, sheet
from simview.picture.drawing.canvas import Size, is_lying, unit_of
from simview.picture.views import abreast

# How many views stand side by side.
VIEWS: Final = (1, 6)

# How a cell is arranged. Without close-ups: words above and below the view, or beside it. With
# close-ups: in a row of their own below the views, the table below or beside them, or each to the
# right of its view; on sheets that are not lying, each panel in a row of its own.
Way = Literal["stacked", "beside", "rows", "rows beside", "pairs", "across"]

# In units: between cells; words above a view, and between view and table; words beside a view;
# the heading of the close-ups; gaps between a view and the close-up beside it, and around both.
GUTTER: Final = 28
HEAD: Final = 138
TABLE_GAP: Final = 12
BESIDE: Final = 236
BESIDE_GAP: Final = 30
TABLE_MOST: Final = 340
STRIP: Final = 52
PAIR_GAP: Final = 24
PAIR_MARGIN: Final = 44
ROW: Final = sheet.ROW_STEP * sheet.BODY

# Share of the height left to both rows that the views get at the most beside close-ups: where an
# object is small, its close-up is what the sheet is for. Choice.
VIEW_SHARE: Final = 0.46


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
    way
        How a cell is arranged.
    patch_px
        Side of every close-up; 0 without close-ups.
    across
        Where panels stand in rows, each with its close-up: how; None elsewhere.
    """

    size: Size
    pixels_per_degree: float
    fields_deg: tuple[float, ...]
    seen_px: tuple[int, ...]
    columns: int
    lines: int
    cell_px: tuple[float, float]
    way: Way
    patch_px: int = 0
    across: abreast.Abreast | None = None

    @property
    def diameters_px(self) -> tuple[float, ...]:
        """Diameter of each field stop."""
        return tuple(f * self.pixels_per_degree for f in self.fields_deg)


def compare_geometry(
    size: Size, fields_deg: Sequence[float], *, rows: int = 4, close_ups: bool = False
) -> CompareGeometry:
    """Lay a comparison out: the arrangement in which views, or close-ups, come out largest.

    Parameters
    ----------
    size
        Width and height of the sheet in pixels.
    fields_deg
        Apparent field of each view, 1 to 6 of them.
    rows
        Rows of figures for each view.
    close_ups
        Whether each view has a close-up.

    Raises
    ------
    RangeError
        For a size that sheets cannot have, or too many views.
    """
    count = len(fields_deg)
    if not VIEWS[0] <= count <= VIEWS[1]:
        raise RangeError("views", got=count, allowed=f"{VIEWS[0]} to {VIEWS[1]}")
    ways: tuple[Way, ...] = ("rows", "rows beside", "pairs") if close_ups else ("stacked", "beside")
    if close_ups and not is_lying(size):
        return _across(size, fields_deg)
    most = 1 if close_ups else min(2, count) if is_lying(size) else count
    tried = [
        _Plan.of(size, count, rows, lines, way) for lines in range(1, most + 1) for way in ways
    ]
    plan = max(tried, key=lambda p: p.worth)
    scale = (plan.seen - 2.0 * panel.ring_px(plan.seen) - 2.0) / max(fields_deg)
    return CompareGeometry(
        size=size,
        pixels_per_degree=scale,
        fields_deg=tuple(fields_deg),
        seen_px=tuple(panel.seen_px(f, scale) for f in fields_deg),
        columns=plan.columns,
        lines=plan.lines,
        cell_px=plan.cell,
        way=plan.way,
        patch_px=2 * int(plan.patch // 2),
    )


def _across(size: Size, fields_deg: Sequence[float]) -> CompareGeometry:
    plan = abreast.lay_out(size, len(fields_deg))
    scale = (plan.side - 2.0 * panel.ring_px(plan.side) - 2.0) / max(fields_deg)
    return CompareGeometry(
        size=size,
        pixels_per_degree=scale,
        fields_deg=tuple(fields_deg),
        seen_px=tuple(panel.seen_px(f, scale) for f in fields_deg),
        columns=1,
        lines=len(fields_deg),
        cell_px=(sheet.content_area(size).width, plan.pitch),
        way="across",
        patch_px=plan.patch_px,
        across=plan,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plan:
    """One arrangement: room for a view's diameter and a close-up's side, size of a cell."""

    way: Way
    columns: int
    lines: int
    cell: tuple[float, float]
    seen: float
    patch: float

    @property
    def worth(self) -> float:
        """How much it shows: close-ups first."""
        return self.patch + 0.5 * min(self.seen, self.patch) if self.patch else self.seen

    @classmethod
    def of(cls, size: Size, count: int, rows: int, lines: int, way: Way) -> _Plan:
        """Arrange `count` cells in `lines` lines.

        Parameters
        ----------
        size
            Of the sheet, pixels.
        count
            Of panels.
        rows
            Of figures below each.
        lines
            In how many lines the panels stand.
        way
            Where their words go.
        """
        area, unit = sheet.content_area(size), unit_of(size)
        columns = math.ceil(count / lines)
        width = (area.width - (columns - 1) * GUTTER * unit) / columns
        height = (area.height - (lines - 1) * GUTTER * unit) / lines
        seen, patch = _rooms(way, width / unit, height / unit, rows)
        return cls(
            way=way,
            columns=columns,
            lines=lines,
            cell=(width, height),
            seen=seen * unit,
            patch=patch * unit,
        )


def _rooms(way: Way, width: float, height: float, rows: int) -> tuple[float, float]:
    """Return the room for a view's diameter and for a close-up's side, all in units."""
    table = TABLE_GAP + rows * ROW
    if way == "beside":
        return min(height, width - BESIDE - BESIDE_GAP), 0.0
    if way == "stacked":
        return min(width, height - HEAD - table), 0.0
    if way == "pairs":
        side = min((width - PAIR_GAP - PAIR_MARGIN) / 2.0, height - HEAD - STRIP - table)
        return side, side
    left = height - HEAD - STRIP - (table if way == "rows" else 0.0)
    widest = width if way == "rows" else width - BESIDE - BESIDE_GAP
    patch = min(widest, left - min(width, VIEW_SHARE * left))
    return min(width, left - patch), max(2.0, patch)


def spare_px(geometry: CompareGeometry, rows: int) -> float:
    """Return the height that a cell leaves over on a tall sheet."""
    unit = unit_of(geometry.size)
    table = (TABLE_GAP + rows * ROW) * unit
    largest, patch = max(geometry.diameters_px), geometry.patch_px
    if geometry.way == "beside":
        return 0.0
    used = HEAD * unit + largest + table
    if geometry.way == "rows":
        used += STRIP * unit + patch
    elif geometry.way == "rows beside":
        used += STRIP * unit + max(patch, table) - table
    elif geometry.way == "pairs":
        used += STRIP * unit + max(largest, patch) - largest
    return max(0.0, geometry.cell_px[1] - used)
