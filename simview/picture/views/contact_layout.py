"""Where the pictures of a contact sheet stand, and how one is drawn with its words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from simview.picture.drawing import sheet, text
from simview.picture.drawing.canvas import Canvas
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

# Most rows on a page. A choice.
_ROWS: Final = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cells of a page: columns, size of a cell and of its picture, in pixels."""

    columns: int
    left: float
    top: float
    width: float
    height: float
    side_px: int

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
    heading, lines
        A line each; shortened where too long.
    """

    picture: Print
    heading: str
    lines: tuple[str, ...]


def grid_of(canvas: Canvas, count: int) -> Grid:
    """Return the grid with the largest pictures for so many cells."""
    area = sheet.content_area(canvas.size)
    gap = canvas.px(_GAP)
    words = _words_px(canvas)
    found: list[Grid] = []
    for rows in range(1, _ROWS + 1):
        columns = -(-count // rows)
        width = (area.width + gap) / columns
        height = (area.height + canvas.px(_BELOW - _ABOVE_WORDS)) / rows
        side = int(min(width - gap, height - words - canvas.px(_BELOW)))
        found.append(
            Grid(
                columns=columns,
                left=area.left,
                top=area.top,
                width=width,
                height=height,
                side_px=2 * (side // 2),
            )
        )
    return max(found, key=lambda grid: grid.side_px)


def draw_cell(canvas: Canvas, grid: Grid, place: int, cell: Cell) -> None:
    """Draw one picture in its frame, with its words below."""
    left, top = (round(value) for value in grid.corner(place))
    side = grid.side_px
    canvas.paste(cell.picture[:side, :side], (left, top))
    draw_frame(canvas, (left, top, left + side, top + side), canvas.px(1), LINE)
    room = grid.width - canvas.px(_GAP)
    base = top + side + canvas.px(_ABOVE_WORDS) + canvas.px(sheet.SMALL)
    size = canvas.px(sheet.LEAST)
    heading = cell.heading
    if text.width_px(heading, size, "bold") > room:
        # A name without its number in brackets still says what it is.
        heading = heading.split(" (")[0]
    canvas.write_within((left, base), heading, room, (sheet.SMALL, sheet.LEAST), weight="bold")
    base += round((_HEADING_STEP - 1.0) * canvas.px(sheet.SMALL))
    for index, line in enumerate(cell.lines):
        base += text.line_px(size)
        colour = INK if index == 1 else SOFT
        canvas.write((left, base), text.cut(line, room, size), size, colour=colour)


def _words_px(canvas: Canvas) -> int:
    """Return the height of the words below a picture."""
    heading = round(_HEADING_STEP * canvas.px(sheet.SMALL))
    return canvas.px(_ABOVE_WORDS) + heading + LINES * text.line_px(canvas.px(sheet.LEAST))
