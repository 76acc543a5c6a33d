"""The sheet on collimation: what each screw does to a star out of focus, and when to stop.

What it says is settled before, in `simview.picture.collimation.collimation_contents`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from simview.picture.collimation import daylight_sheet
from simview.picture.collimation.collimation_asked import Collimation, read
from simview.picture.collimation.collimation_contents import CollimationContents, judge_collimation
from simview.picture.collimation.mirror_back import draw_focuser, draw_mirror
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, check_lying
from simview.picture.drawing.palette import GOOD, INK, LINE, SOFT, WARN
from simview.picture.drawing.sheet import Area
from simview.picture.prints.printing import Progress
from simview.picture.views.compose import Sheet
from simview.telescope.flat_screws import FlatScrews

# Columns in units, and lengths of the grid.
_LEFT: Final = 560
_GAP: Final = 56
_ICON: Final = 190
_PANEL_GAP: Final = 12
_HEADING: Final = 40
_LABEL: Final = 32
_NEAR_LINE: Final = 27
_NEAR_LABEL: Final = 88
_ELSEWHERE: Final = 220

# How much larger the bottom row's pictures are, and how much closer around the star: from them it
# is told when to stop. Choices.
_LARGER: Final = 1.5
_CLOSER: Final = 0.82

# Between sentences.
_BETWEEN: Final = 12


def collimate(
    asked: Collimation, *, size: Size = (1920, 1080), progress: Progress | None = None
) -> Sheet:
    """Draw the sheet.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    check_lying(size)
    return draw_collimation(judge_collimation(asked), size=size, progress=progress)


def draw_collimation(
    contents: CollimationContents,
    *,
    size: Size = (1920, 1080),
    progress: Progress | None = None,
) -> Sheet:
    """Draw a sheet whose words are settled already.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    canvas = Canvas(check_lying(size))
    sheet.draw_words(canvas, contents.words)
    area = sheet.content_area(size)
    left = Area(
        left=area.left, top=area.top, right=area.left + canvas.px(_LEFT), bottom=area.bottom
    )
    right = Area(
        left=left.right + canvas.px(_GAP), top=area.top, right=area.right, bottom=area.bottom
    )
    tell = progress or (lambda _part, _words: None)
    _draw_told(canvas, left, contents)
    side = _side(canvas, right)
    _draw_turns(canvas, right, contents, side, tell)
    _draw_near(canvas, right, contents, int(_LARGER * side) // 2 * 2)
    tell(1.0, "done")
    return contents.told(size).drawn(canvas.image)


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make the sheet again from its recipe.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    if given.get("daylight"):
        return daylight_sheet.again(given, size=size)
    asked, drawn = read(given)
    return collimate(asked, size=size or drawn)


def _heading(canvas: Canvas, area: Area, top: float, words: str) -> None:
    place = (area.left, top + canvas.px(24))
    canvas.write_within(place, words, area.width, (sheet.HEADING, 17), weight="bold")


def _draw_told(canvas: Canvas, area: Area, contents: CollimationContents) -> None:
    """Draw the mirror from behind, and what to do."""
    screws = contents.asked.screws
    _heading(canvas, area, area.top, contents.mirror_heading)
    radius = min(0.25 * area.width, 0.19 * area.height)
    centre = (area.left + area.width / 2, area.top + canvas.px(_HEADING + 16) + radius)
    draw_mirror(canvas, centre, radius, screws)
    if isinstance(screws, FlatScrews):
        draw_focuser(canvas, centre, radius, screws)
    y, lead = centre[1] + radius + canvas.px(26), canvas.px(88)
    told = contents.steps
    size = next(
        (
            px
            for px in map(canvas.px, (25, 24, 23, 22))
            if _told_px(canvas, told, area, px) < area.bottom - y
        ),
        canvas.px(21),
    )
    for name, sentence in told:
        canvas.write((area.left, y + size), name, size, colour=GOOD, weight="bold")
        for line in text.wrap(sentence, area.width - lead, size):
            canvas.write((area.left + lead, y + size), line, size, colour=INK)
            y += text.line_px(size)
        y += canvas.px(_BETWEEN)


def _told_px(canvas: Canvas, told: tuple[tuple[str, str], ...], area: Area, size: int) -> float:
    """Return how high the sentences stand when written in a size."""
    lines = [text.wrap(sentence, area.width - canvas.px(88), size) for _, sentence in told]
    return sum(map(len, lines)) * text.line_px(size) + (len(told) - 1) * canvas.px(_BETWEEN)


def _side(canvas: Canvas, area: Area) -> int:
    """Return the side of a panel so that three rows, and the larger bottom one, fit."""
    words = 2 * _HEADING + _LABEL + _NEAR_LABEL + 16
    down = (area.height - canvas.px(words) - 3 * canvas.px(_PANEL_GAP)) / (3 + _LARGER)
    across = (area.width - canvas.px(_ICON)) / 5 - canvas.px(_PANEL_GAP)
    return int(min(across, down)) // 2 * 2


def _draw_turns(
    canvas: Canvas, area: Area, contents: CollimationContents, side: int, tell: Progress
) -> None:
    """Draw a row for each screw: turned back, at rest, turned forwards."""
    asked = contents.asked
    _heading(canvas, area, area.top, contents.turns_heading)
    top = round(area.top + canvas.px(_HEADING + _LABEL))
    columns = contents.rows[0][1]
    small = canvas.px(sheet.SMALL)
    # The last label is wider than its panel and stays within the margin.
    over = max(0.0, (text.width_px(columns[-1].label, small) - side) / 2)
    pitch = (area.width - canvas.px(_ICON) - side - over) / (len(columns) - 1)
    for k, turned in enumerate(columns):
        x = area.left + canvas.px(_ICON) + k * pitch + side / 2
        place = (x, top - canvas.px(10))
        colour = INK if turned.turns else GOOD
        canvas.write(place, turned.label, small, colour=colour, align="middle")
    for row, (letter, stars) in enumerate(contents.rows):
        y = top + row * (side + canvas.px(_PANEL_GAP))
        icon = canvas.px(56)
        centre = (area.left + icon, y + side / 2)
        draw_mirror(canvas, centre, icon, asked.screws, turning=row, lettered=False)
        beside = (area.left + 2.4 * icon, y + side / 2 + canvas.px(17))
        canvas.write(beside, letter, canvas.px(46), colour=WARN, weight="bold")
        for k, turned in enumerate(stars):
            tell((len(stars) * row + k) / (len(stars) * len(contents.rows)), f"screw {letter}")
            x = round(area.left + canvas.px(_ICON) + k * pitch)
            canvas.paste(asked.picture(turned.tilt, side), (x, y))
            corners = (x, y, x + side, y + side)
            frame, width = (LINE, canvas.px(1)) if turned.turns else (GOOD, canvas.px(3))
            panel.draw_frame(canvas, corners, width, frame)


def _draw_near(canvas: Canvas, area: Area, contents: CollimationContents, side: int) -> None:
    """Draw how far off is near enough."""
    top = area.bottom - canvas.px(_HEADING + _NEAR_LABEL) - side
    _heading(canvas, area, top, contents.near_heading)
    y = round(top + canvas.px(_HEADING))
    left = area.left + canvas.px(_ICON)
    beside = canvas.px(_ELSEWHERE) if contents.elsewhere else 0
    room = (area.right - left - beside - side) / (len(contents.near) - 1)
    pitch = min(room, 1.45 * side)
    small = canvas.px(sheet.SMALL)
    bases = [y + side + canvas.px(_NEAR_LINE * line) for line in (1, 2, 3)]
    for base, name in zip(bases, contents.near_names, strict=True):
        canvas.write((area.left, base), name, small, colour=SOFT)
    for k, near in enumerate(contents.near):
        x = round(left + k * pitch)
        canvas.paste(contents.asked.picture(near.tilt, side, closer=_CLOSER), (x, y))
        corners = (x, y, x + side, y + side)
        width, frame = (3, GOOD) if near.fine else (1, LINE)
        panel.draw_frame(canvas, corners, canvas.px(width), frame)
        shades = (INK if near.fine else WARN, INK, SOFT)
        for base, words, shade in zip(
            bases, (near.off, near.band, near.costs), shades, strict=True
        ):
            canvas.write((x + side / 2, base), words, small, colour=shade, align="middle")
    # Other focal ratios stand in the last column.
    column = area.right - canvas.px(_ELSEWHERE - 30)
    for line, (ratio, tolerance) in enumerate(contents.elsewhere):
        base = y + (line + 1) * text.line_px(small)
        canvas.write((column, base), ratio, small, colour=SOFT)
        canvas.write((column + canvas.px(60), base), tolerance, small, colour=INK)
