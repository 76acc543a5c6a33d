"""Where the pictures of a contact sheet stand, and how one is drawn with its words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from simview.picture.drawing import sheet, text
from simview.picture.drawing.canvas import Canvas, is_lying
from simview.picture.drawing.palette import INK, LINE, SOFT
from simview.picture.drawing.panel import draw_frame
from simview.picture.prints.printing import Print

# In units: space between cells, from a picture to its words, below them; then the heading's
# step in type sizes.
_GAP: Final = 24
_ABOVE_WORDS: Final = 10
_BELOW: Final = 22
_HEADING_STEP: Final = 1.25

# Lines below a picture, besides its heading.
LINES: Final = 3

# Most rows on a page, lying and otherwise. Choices.
_ROWS: Final = 2
_ROWS_UPRIGHT: Final = 6

# Type of heading and lines, units: in few and wide columns, in many.
_WIDE: Final = (sheet.HEADING, sheet.SMALL)
_NARROW: Final = (sheet.SMALL, sheet.LEAST)
_FEW: Final = 4

# The same beside a picture, and the width that words have there.
_LARGE: Final = (30, sheet.BODY)
_BESIDE: Final = 250

# Pictures count as of one size where they are at least so large against the largest.
_ABOUT: Final = 0.85

# Words go beside where pictures come out at least so large against those with words below.
_NEARLY: Final = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cells of a page: columns, size of a cell and of its picture, in pixels, and of its type.

    Headings, shortened where they must be, are all of one size: the largest that fits them. Words
    stand below their pictures, or, where few pictures leave room for it, beside them.
    """

    columns: int
    left: float
    top: float
    width: float
    height: float
    side_px: int
    type_px: int
    heading_px: int
    headings: tuple[str, ...]
    beside: bool = False

    def corner(self, place: int) -> tuple[float, float]:
        """Return the top left corner of a cell, counted from 0 along rows."""
        row, column = divmod(place, self.columns)
        return self.left + column * self.width, self.top + row * self.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One picture and what is written below it.

    Parameters
    ----------
    picture
        Square; as large as the grid says, or a pixel more.
    lines
        Shortened where too long.
    """

    picture: Print
    lines: tuple[str, ...]


def grid_of(canvas: Canvas, headings: Sequence[str]) -> Grid:
    """Return the grid with the largest pictures for cells with these headings."""
    area = sheet.content_area(canvas.size)
    gap = canvas.px(_GAP)
    found: list[Grid] = []
    tried = _rows(canvas, len(headings))
    for rows in tried:
        columns = -(-len(headings) // rows)
        width = (area.width + gap) / columns
        height = (area.height + canvas.px(_BELOW - _ABOVE_WORDS)) / rows
        largest, least = (canvas.px(u) for u in (_WIDE if columns <= _FEW else _NARROW))
        side = int(min(width - gap, height - _words_px(canvas, largest, least) - canvas.px(_BELOW)))
        told = tuple(_fitted(heading, width - gap, least) for heading in headings)
        found.append(
            Grid(
                columns=columns,
                left=area.left,
                top=area.top,
                width=width,
                height=height,
                side_px=2 * (side // 2),
                type_px=least,
                heading_px=min(
                    text.fitting_size(
                        heading, width - gap, largest_px=largest, smallest_px=least, weight="bold"
                    )
                    for heading in told
                ),
                headings=told,
            )
        )
    largest = max(grid.side_px for grid in found)
    besides = [_beside(canvas, headings, rows) for rows in tried]
    widest = max(besides, key=lambda grid: grid.side_px)
    # Words beside fill a sheet whose pictures would else leave a part of it empty.
    if widest.side_px >= _NEARLY * largest:
        return widest
    if is_lying(canvas.size):
        return max(found, key=lambda grid: grid.side_px)
    # Of grids whose pictures are nearly as large, the one with the most room for words.
    nearly = [grid for grid in found if grid.side_px >= _ABOUT * largest]
    return min(nearly, key=lambda grid: grid.columns)


def _rows(canvas: Canvas, count: int) -> list[int]:
    """Return how many rows a page of so many cells may have, none of them without a cell."""
    most = _ROWS if is_lying(canvas.size) else _ROWS_UPRIGHT
    columns = [-(-count // rows) for rows in range(1, most + 1)]
    return [
        rows
        for rows, wide in enumerate(columns, start=1)
        if rows <= count and -(-count // wide) == rows
    ] or [1]


def _beside(canvas: Canvas, headings: Sequence[str], rows: int) -> Grid:
    """Return the grid with words beside the pictures, in the middle of the sheet."""
    area, gap = sheet.content_area(canvas.size), canvas.px(_GAP)
    columns = -(-len(headings) // rows)
    words = canvas.px(_BESIDE)
    width = (area.width + gap) / columns
    height = (area.height + canvas.px(_BELOW)) / rows
    side = 2 * int(min(width - words - 2 * gap, height - canvas.px(_BELOW)) // 2)
    spare = max(0.0, width - side - words - 2 * gap)
    largest, least = (canvas.px(u) for u in _LARGE)
    return Grid(
        columns=columns,
        left=area.left + (0.5 * spare if columns == 1 else 0.0),
        top=area.top,
        width=width,
        height=height,
        side_px=side,
        type_px=least,
        heading_px=largest,
        headings=tuple(headings),
        beside=True,
    )


def _fitted(heading: str, room: float, size: int) -> str:
    """Return a heading, or as much of it as fits and still says what it is."""
    for end in (" (", ", "):
        if text.width_px(heading, size, "bold") > room:
            heading = heading.split(end, maxsplit=1)[0]
    return text.cut(heading, room, size, "bold")


def draw_cell(canvas: Canvas, grid: Grid, place: int, cell: Cell) -> None:
    """Draw one picture in its frame, with its words below."""
    left, top = (round(value) for value in grid.corner(place))
    side = grid.side_px
    canvas.paste(cell.picture[:side, :side], (left, top))
    draw_frame(canvas, (left, top, left + side, top + side), canvas.px(1), LINE)
    if grid.beside:
        _write_beside(canvas, grid, place, cell, (left + side + canvas.px(_GAP), top))
        return
    room = grid.width - canvas.px(_GAP)
    base = top + side + canvas.px(_ABOVE_WORDS) + grid.heading_px
    canvas.write((left, base), grid.headings[place], grid.heading_px, weight="bold")
    base += round((_HEADING_STEP - 1.0) * grid.heading_px)
    for index, line in enumerate(cell.lines):
        base += text.line_px(grid.type_px)
        colour = INK if index == 1 else SOFT
        words = text.cut(line, room, grid.type_px)
        canvas.write((left, base), words, grid.type_px, colour=colour)


def _write_beside(
    canvas: Canvas, grid: Grid, place: int, cell: Cell, corner: tuple[float, float]
) -> None:
    """Write a cell's words at the right of its picture, from its top on."""
    x, base = corner
    room = float(canvas.px(_BESIDE))
    if not is_lying(canvas.size):
        # Few columns leave more room than words need at the least.
        room = max(room, grid.width - grid.side_px - 2 * canvas.px(_GAP))
    for line in text.wrap(grid.headings[place], room, grid.heading_px, "bold"):
        base += text.line_px(grid.heading_px)
        canvas.write((x, base - 0.3 * grid.heading_px), line, grid.heading_px, weight="bold")
    for words in cell.lines:
        # A line that is too long goes on, from one of its own dots on.
        for part in _parts(words, room, grid.type_px):
            base += text.line_px(grid.type_px)
            canvas.write((x, base), part, grid.type_px, colour=SOFT)


def _parts(words: str, room: float, size: int) -> list[str]:
    lines: list[str] = []
    for part in words.split(" · "):
        longer = f"{lines[-1]} · {part}" if lines else part
        if lines and text.width_px(longer, size) <= room:
            lines[-1] = longer
        else:
            lines += text.wrap(part, room, size)
    return lines


def _words_px(canvas: Canvas, heading_px: int, type_px: int) -> int:
    """Return the height of the words below a picture."""
    heading = round(_HEADING_STEP * heading_px)
    return canvas.px(_ABOVE_WORDS) + heading + LINES * text.line_px(type_px)
