"""Where everything on the sheet of a star test is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from simview.picture.drawing import sheet
from simview.picture.drawing.canvas import Size, is_lying, unit_of
from simview.picture.drawing.sheet import Area
from simview.picture.startest.patterns import Sizes
from simview.picture.views.single import life_size

# Heights in units: of a heading; of the words under a panel; of the cut and the words under it;
# of the row of charts at the least.
HEADING: Final = 38
_LABELS: Final = 60
_CUT: Final = 92
_CUT_WORDS: Final = 30
_CHARTS: Final = 304

# Least gap between panels, and the gap between columns of the lower row.
_GAP: Final = 16
_COLUMN_GAP: Final = 40

# Columns of the lower row, in parts: profile, wavefront, figures, words.
_COLUMNS: Final = (0.225, 0.19, 0.22, 0.365)

# The same on a sheet that is not lying, in two rows, and the gap between these.
_ROWS: Final = ((0.56, 0.44), (0.38, 0.62))
_ROW_GAP: Final = 22

# Side of a panel of the perfect telescope, units.
SMALL_SIDE: Final = 98


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where everything is, in pixels."""

    area: Area
    lying: bool
    panel: int
    strip_top: float
    cut_top: float
    cut_height: int
    charts_top: float
    small: int
    centres: tuple[float, ...]

    @staticmethod
    def of(size: Size, positions: int) -> Layout:
        """Lay the sheet out."""
        area, unit = sheet.content_area(size), unit_of(size)
        pitch = area.width / positions
        charts = _CHARTS if is_lying(size) else 2 * _CHARTS + _ROW_GAP
        others = (HEADING + _LABELS + _CUT + _CUT_WORDS + charts) * unit
        side = int(min(pitch - _GAP * unit, area.height - others))
        strip_top = area.top + HEADING * unit
        cut_top = strip_top + side + _LABELS * unit
        # A tall sheet has room left: some of it for the cut, the rest for the charts.
        spare = max(0.0, area.height - others - side)
        cut_height = round(_CUT * unit + min(0.5 * spare, 2.0 * _CUT * unit))
        return Layout(
            area=area,
            lying=is_lying(size),
            panel=side // 2 * 2,
            strip_top=strip_top,
            cut_top=cut_top,
            cut_height=cut_height,
            charts_top=cut_top + cut_height + (_CUT_WORDS + 8) * unit,
            small=round(SMALL_SIDE * unit) // 2 * 2,
            centres=tuple(area.left + (k + 0.5) * pitch for k in range(positions)),
        )

    def sizes(self, size: Size) -> Sizes:
        """Return what has to be computed."""
        return Sizes(
            panel=self.panel,
            cut_width=round(self.area.width),
            cut_height=self.cut_height,
            small=self.small,
            life_size=life_size(size),
        )

    def columns(self, unit: float) -> list[Area]:
        """Return the four columns of the lower row, or of two rows where the sheet is narrow."""
        if self.lying:
            return _abreast(self.area, self.charts_top, self.area.bottom, _COLUMNS, unit)
        gap = _ROW_GAP * unit
        high = (self.area.bottom - self.charts_top - gap) / 2.0
        tops = (self.charts_top, self.charts_top + high + gap)
        return [
            column
            for top, parts in zip(tops, _ROWS, strict=True)
            for column in _abreast(self.area, top, top + high, parts, unit)
        ]


def _abreast(
    area: Area, top: float, bottom: float, parts: tuple[float, ...], unit: float
) -> list[Area]:
    """Return columns side by side whose widths are in these parts."""
    gap = _COLUMN_GAP * unit
    room = area.width - gap * (len(parts) - 1)
    columns, left = [], area.left
    for part in parts:
        right = left + part * room
        columns.append(Area(left=left, top=top, right=right, bottom=bottom))
        left = right + gap
    return columns
