"""How large everything on a slide is, before anything is drawn.

Lengths are thought out on a slide 1080 units high (or wide, on an upright one). Nothing is set in
type of less than 38 units: the capitals of the lettering, 0.73 of the type size, are then 2.56 %
of the slide's shorter side, which ten metres before a screen 1.7 m high is 15 arcmin. Signs in
halls are made for 10 to 20 (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from simview.errors import RangeError
from simview.picture.drawing import text
from simview.picture.slides.records import Size

# Type sizes in units: title and its least, words above a panel, the least of a slide, figures.
TITLE: Final = 68
TITLE_LEAST: Final = 50
LABEL: Final = 50
LEAST: Final = 38
NOTE: Final = 40
FIGURE: Final = 104

# Space in units.
MARGIN: Final = 56
GUTTER: Final = 40
GAP: Final = 22
FOOT: Final = 78

# Side of a small picture against its panel's, in a corner and beside a single panel.
CORNER: Final = 0.27
BESIDE: Final = 0.42

# Room for the words below a single picture on an upright slide, units.
_BELOW: Final = 290

# Panels that one slide can have.
MOST_PANELS: Final = 6

# Smallest and largest slide, and the range of width / height.
SMALLEST: Final = 540
LARGEST: Final = 7680
SHAPES: Final = (0.5, 2.4)


def check_slide(size: Size) -> Size:
    """Return `size` if a slide can have it: lying, square or upright.

    Raises
    ------
    RangeError
        For sides outside 540 to 7680 pixels, or a shape that layouts are not made for.
    """
    got = f"{size[0]}x{size[1]}"
    if not all(SMALLEST <= side <= LARGEST for side in size):
        raise RangeError("size", got=got, allowed=f"sides of {SMALLEST} to {LARGEST} pixels")
    if not SHAPES[0] <= size[0] / size[1] <= SHAPES[1]:
        raise RangeError("size", got=got, allowed=f"width / height from {SHAPES[0]} to {SHAPES[1]}")
    return size


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How large everything on a slide is, in pixels, before its pictures are made.

    Parameters
    ----------
    corners
        Top left of each panel's picture.
    side
        Of every panel's picture, even.
    inset_px
        Side of every small picture, even; 0 for none.
    single
        True for one panel with words beside or below it.
    pitch
        From one panel to the next in a row: the room that words above and below it have.
    """

    size: Size
    unit: float
    title: tuple[str, ...]
    title_px: int
    corners: tuple[tuple[int, int], ...]
    side: int
    inset_px: int
    single: bool
    pitch: float = 0.0

    def px(self, units: float) -> int:
        """Return a length in whole pixels."""
        return max(1, round(units * self.unit))

    @property
    def upright(self) -> bool:
        """True where the slide is no wider than high."""
        return is_upright(self.size)


def is_upright(size: Size) -> bool:
    """Return whether a slide is hardly wider than high, so that words go below its picture."""
    return size[0] <= 1.15 * size[1]


def plan(
    size: Size, title: str, count: int, *, insets: bool, labelled: bool = True, noted: bool = True
) -> Plan:
    """Lay a slide out so that its pictures come out as large as they can.

    Parameters
    ----------
    title
        As it will be written; long ones take two or three lines.
    count
        How many panels, 1 to 6.
    insets
        Whether each panel has a small picture.
    labelled, noted
        Whether there are words above, and below, the panels of a row.

    Raises
    ------
    RangeError
        For a size that slides cannot have, or too many panels.
    """
    width, height = check_slide(size)
    if not 1 <= count <= MOST_PANELS:
        raise RangeError("panels on a slide", got=count, allowed=f"1 to {MOST_PANELS}")
    unit = min(size) / 1080.0
    lines, title_px = _title(title, width - 2 * MARGIN * unit, unit)
    top = (MARGIN - 8) * unit + len(lines) * text.line_px(title_px) + 0.5 * GAP * unit
    box = (MARGIN * unit, top, width - MARGIN * unit, height - FOOT * unit)
    if count == 1:
        lying = not is_upright(size)
        corners, side = _single(box, unit, lying=lying)
        pitch = float(side)
        inset = (BESIDE if lying else CORNER) * side if insets else 0.0
    else:
        corners, side, pitch = _row(box, count, unit, labelled=labelled, noted=noted)
        inset = CORNER * side if insets else 0.0
    return Plan(
        size=size,
        unit=unit,
        title=tuple(lines),
        title_px=title_px,
        corners=tuple((round(x), round(y)) for x, y in corners),
        side=side,
        inset_px=2 * int(inset // 2),
        single=count == 1,
        pitch=pitch,
    )


def _title(title: str, room: float, unit: float) -> tuple[list[str], int]:
    """Return the lines of a title and their type size: one, two, at last three lines."""
    largest, least = round(TITLE * unit), round(TITLE_LEAST * unit)
    for most in (1, 2, 3):
        for size in range(largest, least - 1, -2):
            lines = text.wrap(title, room, size, "bold")
            if len(lines) <= most:
                return _balanced(lines, title, room, size), size
    least = round(LEAST * unit)
    lines = text.wrap(title, room, least, "bold")
    return [*lines[:2], text.cut(" ".join(lines[2:]), room, least, "bold")], least


def _balanced(lines: list[str], title: str, room: float, size: int) -> list[str]:
    """Break the same number of lines more evenly: no word stands alone on the last."""
    while len(lines) > 1 and room > 0.4 * size:
        room -= 0.5 * size
        tighter = text.wrap(title, room, size, "bold")
        if len(tighter) > len(lines):
            break
        lines = tighter
    return lines


Corners = list[tuple[float, float]]


def _single(
    box: tuple[float, float, float, float], unit: float, *, lying: bool
) -> tuple[Corners, int]:
    """Place one picture: at the left with words beside it, or on top with words below."""
    left, top, right, bottom = box
    width, height = right - left, bottom - top
    if lying:
        side = 2 * int(min(height, 0.62 * width) // 2)
        return [(left, top + (height - side) / 2.0)], side
    below = _BELOW * unit
    side = 2 * int(min(width, height - below) // 2)
    spare = max(0.0, height - below - side)
    return [(left + (width - side) / 2.0, top + 0.4 * spare)], side


def _row(
    box: tuple[float, float, float, float],
    count: int,
    unit: float,
    *,
    labelled: bool,
    noted: bool,
) -> tuple[Corners, int, float]:
    """Place several pictures in the grid in which they come out largest."""
    left, top, right, bottom = box
    above, below = _above(unit, labelled=labelled), (NOTE * 1.5 * unit if noted else 0.0)
    gutter = GUTTER * unit
    best: tuple[float, int, int] = (0.0, -1, 1)
    for columns in range(1, count + 1):
        rows = math.ceil(count / columns)
        wide = (right - left - (columns - 1) * gutter) / columns
        high = (bottom - top - (rows - 1) * 0.4 * gutter) / rows - above - below
        # Of grids with equal pictures the one whose rows are fullest.
        best = max(best, (min(wide, high), -columns, rows))
    side, columns, rows = 2 * int(best[0] // 2), -best[1], best[2]
    # What is left over stands between the panels and around them, alike.
    across = (right - left - columns * side) / (columns + 1)
    widest = (4.0 if columns == 2 else 9.0) * gutter
    across = min(max(across, gutter), widest) if columns > 1 else across
    used = columns * side + (columns - 1) * across
    x0 = left + (right - left - used) / 2.0
    cell = above + side + below
    spare = bottom - top - rows * cell - (rows - 1) * 0.4 * gutter
    y0 = top + 0.4 * max(0.0, spare)
    corners = []
    for index in range(count):
        row, column = divmod(index, columns)
        lone = count - row * columns  # a last row that is not full stands in the middle
        shift = max(0, columns - lone) * (side + across) / 2.0
        x = x0 + shift + column * (side + across)
        corners.append((x, y0 + row * (cell + 0.4 * gutter) + above))
    return corners, max(2, side), side + across


def _above(unit: float, *, labelled: bool) -> float:
    return LABEL * 1.42 * unit if labelled else 0.0


def field_px(side: int) -> float:
    """Return the diameter of a field that is drawn in a square of that side."""
    return side - 2.0 * ring_px(side) - 2.0


def ring_px(side: int) -> float:
    """Return the width of the ring around a field."""
    return max(1.5, 0.006 * side)
