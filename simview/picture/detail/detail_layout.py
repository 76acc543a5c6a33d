"""The sheet of a curve over power: what an eye makes out, where it is enough, where it is empty.

A band on top says it in words, the curve below shows it, rules and pieces stand underneath on the
same scale of powers, and the figures that count stand large at the right. Figures and words come
in (`detail_records`), a picture goes out; nothing here knows a telescope.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from PIL.Image import Image

from simview.picture.detail.records import Fact, Manner, PowerPlot, Row, RowMark, Zone
from simview.picture.drawing import panel, sheet, text
from simview.picture.drawing.canvas import Canvas, Size, is_lying
from simview.picture.drawing.palette import GOOD, GROUND, INK, LINE, SOFT, WARN, Colour
from simview.picture.drawing.plot import Axis, Point, clipped, draw_curve, draw_triangle, fill_under
from simview.picture.drawing.sheet import SheetText
from simview.picture.drawing.tongue import decimal, say

# Ground under the curve: what can be made out. A shade above the sheet's own ground.
SEEN: Final[Colour] = (17, 24, 36)

# Places in units: the plot, the column of figures, the height of one row below the plot.
_LEFT: Final = 322
_RIGHT: Final = 1424
_BAND: Final = 20
_TOP: Final = 56
_FACTS: Final = 1478
_FACT_TOP: Final = 26
_FACT_GAP: Final = 34
_TITLE_ROOM: Final = 168
_ROW: Final = 40
_TICKS: Final = 40

_COLOURS: Final[dict[Manner, Colour]] = {
    "low": SOFT,
    "enough": GOOD,
    "air": SOFT,
    "empty": WARN,
}
_MARKS: Final[dict[Manner, Callable[[Canvas, float, float, float], None]]] = {
    "low": panel.draw_more_mark,
    "enough": panel.draw_enough_mark,
    "air": panel.draw_air_mark,
    "empty": panel.draw_empty_mark,
}


def draw_power_plot(size: Size, words: SheetText, plot: PowerPlot) -> Image:
    """Draw the sheet.

    Raises
    ------
    RangeError
        For a size that sheets cannot have.
    """
    canvas = Canvas(size)
    sheet.draw_words(canvas, words)
    whole = sheet.content_area(size)
    area = whole if is_lying(size) else replace(whole, bottom=whole.bottom - _below(canvas, plot))
    bottom = area.bottom - canvas.px(_ROW * len(plot.rows) + _TICKS + 6)
    ends = (area.top + canvas.px(_TOP), bottom)
    right = _right(canvas, plot)
    x = Axis(low=plot.powers[0], high=plot.powers[1], start_px=canvas.px(_LEFT), end_px=right)
    low, high = plot.values
    start, end = ends if plot.downwards else (ends[1], ends[0])
    y = Axis(low=low, high=high, start_px=start, end_px=end, scale=plot.scale)
    _draw_ground(canvas, plot, x, y)
    _draw_axes(canvas, plot, x, y)
    _draw_lines(canvas, plot, x, y)
    _draw_main(canvas, plot, x, y)
    _draw_band(canvas, plot.zones, x, area.top + canvas.px(_BAND))
    _draw_rows(canvas, plot.rows, x, bottom + canvas.px(_TICKS))
    if is_lying(size):
        _draw_facts(canvas, plot.facts, area)
    else:
        _draw_facts_abreast(canvas, plot.facts, replace(whole, top=area.bottom))
    return canvas.image


def _right(canvas: Canvas, plot: PowerPlot) -> float:
    """Return where the plot ends: before the figures, or at the margin where there are none."""
    wide = canvas.size[0] - canvas.px(sheet.MARGIN)
    aside = plot.facts and is_lying(canvas.size)
    return wide - canvas.px(1864 - _RIGHT) if aside else wide - canvas.px(16)


def _below(canvas: Canvas, plot: PowerPlot) -> float:
    """Return the height of the figures below the plot, on a sheet that is not lying."""
    if not plot.facts:
        return 0.0
    room, size = _abreast_px(canvas, plot.facts), canvas.px(sheet.SMALL)
    lines = max(len(text.wrap(fact.words, room, size)) for fact in plot.facts)
    return canvas.px(_FACT_TOP + 76) + lines * text.line_px(size)


def _abreast_px(canvas: Canvas, facts: Sequence[Fact]) -> float:
    """Return how wide each of the figures below the plot is."""
    area = sheet.content_area(canvas.size)
    return (area.width - (len(facts) - 1) * canvas.px(_FACT_GAP)) / len(facts)


def _draw_facts_abreast(canvas: Canvas, facts: Sequence[Fact], area: sheet.Area) -> None:
    """Write the figures that count side by side, below the plot."""
    if not facts:
        return
    room, size = _abreast_px(canvas, facts), canvas.px(sheet.SMALL)
    for index, fact in enumerate(facts):
        left = area.left + index * (room + canvas.px(_FACT_GAP))
        lines = text.wrap(fact.words, room, size)
        _draw_fact(canvas, fact, lines, (left, area.top + canvas.px(_FACT_TOP)))


def _draw_ground(canvas: Canvas, plot: PowerPlot, x: Axis, y: Axis) -> None:
    """Fill what can be made out: from the curve to the side of coarse and easy."""
    base = max(y.start_px, y.end_px)
    fill_under(canvas, [(x.at(p), y.at(v)) for p, v in plot.curve], base, SEEN)


def _draw_axes(canvas: Canvas, plot: PowerPlot, x: Axis, y: Axis) -> None:
    """Draw both scales: ticks, their values, the name of each at its end."""
    size, thin = canvas.px(sheet.SMALL), max(1, canvas.px(1))
    left, right = x.start_px, x.end_px
    top, base = min(y.start_px, y.end_px), max(y.start_px, y.end_px)
    for value in x.small():
        place = x.at(value)
        canvas.box((place, base, place + thin, base + canvas.px(7)), LINE)
    for value in x.labelled(canvas.px(86)):
        place = x.at(value)
        canvas.box((place, top, place + thin, base), _FAINT)
        canvas.box((place, base, place + thin, base + canvas.px(11)), SOFT)
        canvas.write(
            (place, base + canvas.px(34)), decimal(f"{value:g}×"), size, colour=SOFT, align="middle"
        )
    for value in y.small():
        place = y.at(value)
        canvas.box((left - canvas.px(7), place, left, place + thin), LINE)
    for value in y.labelled(canvas.px(44)):
        place = y.at(value)
        canvas.box((left, place, right, place + thin), _FAINT)
        canvas.box((left - canvas.px(11), place, left, place + thin), SOFT)
        canvas.write(
            (left - canvas.px(18), place + 0.36 * size),
            plot.unit(value),
            size,
            colour=SOFT,
            align="right",
        )
    canvas.box((left, top, left + thin, base), LINE)
    canvas.box((left, base, right, base + thin), LINE)
    _draw_title(canvas, plot, (top + base) / 2.0)
    canvas.write(
        (canvas.px(sheet.MARGIN), base + canvas.px(34)), say("magnification"), size, colour=INK
    )


# Lines of the grid behind a curve.
_FAINT: Final[Colour] = (34, 41, 54)


def _draw_title(canvas: Canvas, plot: PowerPlot, middle: float) -> None:
    """Write what is plotted beside the upper scale, in a few short lines."""
    size = canvas.px(sheet.SMALL)
    lines = text.wrap(say(plot.title), canvas.px(_TITLE_ROOM), size)
    step = text.line_px(size)
    top = middle - step * len(lines) / 2.0
    for index, words in enumerate(lines):
        place = (canvas.px(sheet.MARGIN), top + size + index * step)
        canvas.write(place, words, size, colour=INK)


Box = tuple[float, float, float, float]

# Words on the two sides of a curve.
_SIDE: Final[Colour] = (112, 124, 144)


def _draw_lines(canvas: Canvas, plot: PowerPlot, x: Axis, y: Axis) -> None:
    """Draw the thin curves and say what lies on either side of the thick one.

    Each word stands where it is clear of all lines and other words.
    """
    size = canvas.px(sheet.SMALL - 2)
    main = [(x.at(p), y.at(v)) for p, v in plot.curve]
    drawn = [
        [(x.at(p), y.at(v)) for p, v in line.points if y.holds(v) and x.holds(p)]
        for line in plot.lines
    ]
    taken = _draw_region(canvas, plot, (x, y), [main, *drawn])
    for index, (line, points) in enumerate(zip(plot.lines, drawn, strict=True)):
        if len(points) < 2:
            continue
        dash = (canvas.px(9), canvas.px(8)) if line.dashed else None
        colour = INK if line.strong else _THIN
        draw_curve(canvas, points, canvas.px(3 if line.strong else 2), colour, dash=dash)
        others = [main, *drawn[:index], *drawn[index + 1 :]]
        length = text.width_px(line.label, size)
        box = _place_label(canvas, (length, size), points, others, taken)
        if box is not None:
            taken.append(box)
            canvas.write((box[0], box[3] - 0.3 * size), line.label, size, colour=colour)


def _draw_region(
    canvas: Canvas, plot: PowerPlot, axes: tuple[Axis, Axis], lines: Sequence[Sequence[Point]]
) -> list[Box]:
    """Write what lies below and above the curve, at the foot and at the head of the plot."""
    x, y = axes
    size, gap = canvas.px(sheet.HEADING), canvas.px(18)
    top, base = min(y.start_px, y.end_px), max(y.start_px, y.end_px)
    easy, beyond = plot.region if plot.curve else ("", "")
    boxes: list[Box] = []
    rows = ((easy, base - gap - 1.1 * size, -1), (beyond, top + 0.5 * gap, 1))
    for words, upper, way in rows:
        length = text.width_px(words, size)
        first, last = x.start_px + gap, x.end_px - gap - length
        starts = np.linspace(first, last, 40)[::way] if words else ()
        for start in starts:
            box = (float(start), upper, float(start) + length, upper + 1.2 * size)
            if not any(_crosses(line, box) for line in lines):
                canvas.write((box[0], upper + 0.85 * size), words, size, colour=_SIDE)
                boxes.append(box)
                break
    return boxes


# Thin lines: paler than words, brighter than the grid.
_THIN: Final[Colour] = (136, 148, 166)


def _place_label(
    canvas: Canvas,
    extent: tuple[float, float],
    points: Sequence[Point],
    others: Sequence[Sequence[Point]],
    taken: Sequence[Box],
) -> Box | None:
    """Return the box of a label above or below its line, as far right as it stays clear.

    Where no place is clear, the first one above the line that meets no other label; None where
    there is none.
    """
    length, size = extent
    gap, second = canvas.px(5), None
    for x, _ in reversed(points):
        left = x - length - canvas.px(10)
        if left < points[0][0]:
            break
        along = [q for p, q in points if left - gap <= p <= x + gap]
        for top in (min(along) - gap - 1.15 * size, max(along) + gap):
            box = (left, top, left + length, top + 1.15 * size)
            if any(_meet(box, other) for other in taken) or top < _top_of(canvas):
                continue
            if not any(_crosses(line, box) for line in others):
                return box
            second = second or box
    return second


def _top_of(canvas: Canvas) -> float:
    return canvas.px(sheet.CONTENT_TOP + _TOP)


def _crosses(line: Sequence[Point], box: Box) -> bool:
    """Return whether a line that is sampled finely enough runs through a box."""
    return any(
        min(p, q) <= box[2] and max(p, q) >= box[0] and min(v, w) <= box[3] and max(v, w) >= box[1]
        for (p, v), (q, w) in itertools.pairwise(line)
    )


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _draw_main(canvas: Canvas, plot: PowerPlot, x: Axis, y: Axis) -> None:
    """Draw the curve in the manner of each zone: thin, thick, in dashes."""
    if not plot.curve:
        place = ((x.start_px + x.end_px) / 2.0, (y.start_px + y.end_px) / 2.0)
        room = 0.9 * (x.end_px - x.start_px)
        canvas.write_within(
            place, plot.absence, room, (sheet.HEADING, 18), colour=INK, align="middle"
        )
        return
    if len(plot.curve) == 1:
        canvas.dot(x.at(plot.curve[0][0]), y.at(plot.curve[0][1]), canvas.px(9), GOOD)
        return
    zones = plot.zones or (
        Zone(manner="enough", low=plot.powers[0], high=plot.powers[1], words=()),
    )
    for zone in zones:
        points = [(x.at(p), y.at(v)) for p, v in clipped(plot.curve, zone.low, zone.high)]
        dash = (canvas.px(15), canvas.px(13)) if zone.manner in ("air", "empty") else None
        colour = INK if zone.manner == "low" else _COLOURS[zone.manner]
        width = canvas.px(7 if zone.manner == "enough" else 5)
        draw_curve(canvas, points, width, colour, dash=dash)


def _draw_band(canvas: Canvas, zones: Sequence[Zone], x: Axis, y: float) -> None:
    """Draw all stretches of the band; below it the words of those that are narrower than these."""
    free = 0.0
    for zone in zones:
        ends = (x.at(zone.low), x.at(zone.high))
        if ends[1] - ends[0] < canvas.px(4):
            continue
        fitting = _fitting(canvas, zone, ends)
        # The shortest is hardly a word: it stands only where there is no room below.
        plain = [words for words in fitting if words != zone.words[-1]]
        taken = (
            None
            if plain or not zone.words
            else _label_below(canvas, zone, ends, y, (free, x.end_px))
        )
        free = free if taken is None else taken
        words = "" if taken is not None or not fitting else say(fitting[0])
        _draw_span(canvas, zone, ends, y, words)


def _fitting(canvas: Canvas, zone: Zone, ends: tuple[float, float]) -> list[str]:
    """Return the words that fit into a stretch of the band beside its mark, not yet said."""
    room = ends[1] - ends[0] - canvas.px(4 + 2 * 12 + 2 * 9 + 3 * 10)
    size = canvas.px(sheet.SMALL)
    return [words for words in zone.words if text.width_px(say(words), size, "bold") <= room]


def _label_below(
    canvas: Canvas,
    zone: Zone,
    ends: tuple[float, float],
    y: float,
    room: tuple[float, float],
) -> float | None:
    """Write what a narrow stretch is below it, led to; return where the next may begin, or None."""
    size, below = canvas.px(sheet.LEAST), y + canvas.px(32)
    middle, words = (ends[0] + ends[1]) / 2.0, say(zone.words[-2:][0])
    length = text.width_px(words, size)
    start = max(room[0], middle - length / 2.0, ends[0])
    if start + length > room[1]:
        return None
    end = (min(max(middle, start), start + length), below - 0.85 * size)
    canvas.stroke([(middle, y + canvas.px(11)), end], canvas.px(1), LINE)
    canvas.write((start, below), words, size, colour=_COLOURS[zone.manner])
    return start + length + canvas.px(16)


def _draw_span(canvas: Canvas, zone: Zone, ends: tuple[float, float], y: float, words: str) -> None:
    """Draw one stretch of the band: a line with hooks, mark and words in its middle."""
    left, right = ends[0] + canvas.px(2), ends[1] - canvas.px(2)
    colour, size = _COLOURS[zone.manner], canvas.px(sheet.SMALL)
    radius, gap, half = canvas.px(9), canvas.px(10), canvas.px(3) / 2.0
    length = text.width_px(words, size, "bold") if words else -gap
    x = (left + right - length - 2 * radius - gap) / 2.0
    marked = right - left > 2 * radius + 2 * gap
    middle = (x - gap, x + 2 * radius + 2 * gap + length) if marked else (right, right)
    for start, end in ((left, middle[0]), (middle[1], right)):
        if zone.manner in ("air", "empty"):
            panel.draw_dashes(canvas, (start, y - half, end, y + half), colour)
        else:
            canvas.box((start, y - half, end, y + half), colour)
    for end in (left, right - 2 * half):
        canvas.box((end, y - half, end + 2 * half, y + canvas.px(12)), colour)
    if not marked:
        return
    _MARKS[zone.manner](canvas, x + radius, y, radius)
    place = (x + 2 * radius + gap, y + 0.36 * size)
    canvas.write(place, words, size, colour=colour, weight="bold")


def _draw_rows(canvas: Canvas, rows: Sequence[Row], x: Axis, top: float) -> None:
    """Draw what stands on the scale of powers below the plot."""
    size = canvas.px(sheet.SMALL - 2)
    for index, row in enumerate(rows):
        middle = top + canvas.px(_ROW) * (index + 0.62)
        base = middle + 0.36 * size
        room = x.start_px - canvas.px(sheet.MARGIN + 14)
        place = (canvas.px(sheet.MARGIN), base)
        canvas.write_within(place, row.name, room, (sheet.SMALL - 2, 15), colour=SOFT)
        line = canvas.px(1)
        canvas.box((x.start_px, middle, x.end_px, middle + line), _FAINT)
        places = [_extent(canvas, mark, x) for mark in row.marks]
        clear = float(canvas.px(sheet.MARGIN))
        for mark, (left, right), after in zip(row.marks, places, [*places, None][1:], strict=True):
            _draw_sign(canvas, mark, x, middle)
            end = after[0] if after else x.end_px + canvas.px(24)
            clear = _label(canvas, mark, (left, right), middle, (clear, end))


def _extent(canvas: Canvas, mark: RowMark, x: Axis) -> tuple[float, float]:
    """Return the ends of a mark's own sign, without its label."""
    reach = canvas.px({"dot": 6, "tick": 2, "triangle": 12}[mark.shape])
    if mark.high > mark.low:
        reach = 0
    return x.at(mark.low) - reach, x.at(mark.high) + reach


def _draw_sign(canvas: Canvas, mark: RowMark, x: Axis, middle: float) -> None:
    colour = INK if mark.manner == "low" else _COLOURS[mark.manner]
    left, right = x.at(mark.low), x.at(mark.high)
    if mark.high > mark.low:
        half = canvas.px(5)
        canvas.box((left, middle - half, right, middle + half), colour)
    elif mark.shape == "tick":
        half = canvas.px(7)
        canvas.box((left, middle - half, left + canvas.px(2), middle + half), colour)
    elif mark.shape == "triangle":
        draw_triangle(canvas, (left, middle - canvas.px(10)), canvas.px(19), colour)
    else:
        canvas.dot(left, middle, canvas.px(6), colour)


def _label(
    canvas: Canvas,
    mark: RowMark,
    sign: tuple[float, float],
    middle: float,
    room: tuple[float, float],
) -> float:
    """Write a mark's label right or left of its sign, if there is room; return what is taken."""
    size, gap = canvas.px(sheet.SMALL - 2), canvas.px(8)
    colour = INK if mark.manner == "low" else _COLOURS[mark.manner]
    length, base = text.width_px(mark.label, size), middle + 0.36 * size
    if not mark.label:
        return sign[1]
    if sign[1] + 1.5 * gap + length <= room[1]:
        start = sign[1] + gap
    elif sign[0] - 1.5 * gap - length >= room[0]:
        start = sign[0] - gap - length
    else:
        return sign[1]
    # The row's own line must not run through the words.
    canvas.box((start - gap / 2, middle - 2, start + length + gap / 2, middle + 3), GROUND)
    canvas.write((start, base), mark.label, size, colour=colour)
    return max(sign[1], start + length)


def _draw_facts(canvas: Canvas, facts: Sequence[Fact], area: sheet.Area) -> None:
    """Write the figures that count, large, one below the other."""
    if not facts:
        return
    left = area.right - canvas.px(1864 - _FACTS)
    room, size = area.right - left, canvas.px(sheet.SMALL)
    step = text.line_px(size)
    lines = [text.wrap(fact.words, room, size) for fact in facts]
    heights = [canvas.px(66) + step * len(words) for words in lines]
    spare = area.height - sum(heights)
    between = min(max(spare / max(len(facts) - 1, 1), canvas.px(10)), canvas.px(54))
    y = area.top
    for fact, words, height in zip(facts, lines, heights, strict=True):
        _draw_fact(canvas, fact, words, (left, y))
        y += height + between


def _draw_fact(
    canvas: Canvas, fact: Fact, lines: Sequence[str], corner: tuple[float, float]
) -> None:
    left, top = corner
    size = canvas.px(sheet.SMALL)
    colour = INK if fact.manner == "low" else _COLOURS[fact.manner]
    base, x = top + canvas.px(46), left
    if fact.manner != "low":
        radius = canvas.px(13)
        _MARKS[fact.manner](canvas, x + radius, base - 0.36 * canvas.px(sheet.POWER), radius)
        x += 2 * radius + canvas.px(12)
    canvas.write((x, base), fact.figure, canvas.px(sheet.POWER), colour=colour, weight="bold")
    for index, words in enumerate(lines):
        place = (left, top + canvas.px(66) + size + index * text.line_px(size) - canvas.px(4))
        canvas.write(place, words, size, colour=SOFT)
