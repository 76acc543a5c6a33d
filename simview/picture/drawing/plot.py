"""What a plotted sheet is made of: axes with round ticks, smooth curves, dashes, fills.

Lengths are sheet pixels; nothing here knows what is plotted.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from PIL import ImageDraw

from simview.errors import RangeError
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import Colour

Point = tuple[float, float]

# Digits of round numbers, from the roomiest choice to the tightest.
_DIGITS: Final = (
    (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0),
    (1.0, 2.0, 3.0, 5.0, 7.0),
    (1.0, 2.0, 3.0, 5.0),
    (1.0, 2.0, 5.0),
    (1.0, 3.0),
    (1.0,),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Values along a line of the sheet.

    Parameters
    ----------
    low, high
        Values at its ends, low < high; more than 0 on a logarithmic axis.
    start_px, end_px
        Where they stand; `end_px` may be the smaller, for an axis that runs upwards.
    scale
        "log" or "linear".
    """

    low: float
    high: float
    start_px: float
    end_px: float
    scale: Literal["log", "linear"] = "log"

    def __post_init__(self) -> None:
        least = 0.0 if self.scale == "log" else -math.inf
        if not least < self.low < self.high < math.inf:
            raise RangeError("axis", got=(self.low, self.high), allowed="two rising numbers")

    def at(self, value: float) -> float:
        """Return where a value stands; values past the ends are held there."""
        held = min(max(value, self.low), self.high)
        return self.start_px + (self.end_px - self.start_px) * self._share(held)

    def holds(self, value: float) -> bool:
        """Return whether a value lies between the ends."""
        return self.low <= value <= self.high

    def _share(self, value: float) -> float:
        if self.scale == "log":
            return math.log(value / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)

    def labelled(self, least_gap_px: float) -> list[float]:
        """Return round values, as many as stand no closer than `least_gap_px`."""
        if self.scale == "linear":
            return self._even(least_gap_px)
        for digits in _DIGITS:
            found = self._decades(digits)
            places = [self.at(value) for value in found]
            gaps = [abs(b - a) for a, b in itertools.pairwise(places)]
            if len(found) >= 2 and min(gaps) >= least_gap_px:
                return found
        return self._decades((1.0,)) or [self.low]

    def small(self) -> list[float]:
        """Return the values of unlabelled ticks: all whole digits of each decade."""
        return self._decades(range(1, 10)) if self.scale == "log" else []

    def _decades(self, digits: Iterable[float]) -> list[float]:
        first, last = math.floor(math.log10(self.low)), math.ceil(math.log10(self.high))
        values = [d * 10.0**k for k in range(first, last + 1) for d in digits]
        return [value for value in values if self.holds(value)]

    def _even(self, least_gap_px: float) -> list[float]:
        room = abs(self.end_px - self.start_px)
        coarse = (self.high - self.low) * least_gap_px / room
        decade = 10.0 ** math.floor(math.log10(coarse))
        step = next(d * decade for d in (1.0, 2.0, 5.0, 10.0) if d * decade >= coarse)
        first, last = math.ceil(self.low / step - 1e-9), math.floor(self.high / step + 1e-9)
        return [k * step for k in range(first, last + 1)]


def draw_curve(
    canvas: Canvas,
    points: Sequence[Point],
    width: float,
    colour: Colour,
    *,
    dash: tuple[float, float] | None = None,
) -> None:
    """Draw a smooth line through points, solid or in dashes (length on, length off).

    Parameters
    ----------
    points
        Along the line, pixels.
    width, colour
        Of the line; the width in pixels.
    dash
        Length on and length off, pixels; None for a solid line.
    """
    if len(points) < 2:
        return
    pieces = [list(points)] if dash is None else dashes(points, *dash)

    def paint(draw: ImageDraw.ImageDraw, at: Callable[[float, float], Point]) -> None:
        fine = canvas.fine(width)
        for piece in pieces:
            places = [at(*point) for point in piece]
            draw.line(places, fill=255, width=fine, joint="curve")
            # Round ends, where Pillow leaves square ones.
            for x, y in (places[0], places[-1]):
                draw.ellipse((x - fine / 2, y - fine / 2, x + fine / 2, y + fine / 2), fill=255)

    canvas.shape(_box(points, width), colour, paint)


def fill_under(canvas: Canvas, points: Sequence[Point], base_px: float, colour: Colour) -> None:
    """Fill the area between a curve and a horizontal line."""
    if len(points) < 2:
        return
    corners = [*points, (points[-1][0], base_px), (points[0][0], base_px)]

    def paint(draw: ImageDraw.ImageDraw, at: Callable[[float, float], Point]) -> None:
        draw.polygon([at(*corner) for corner in corners], fill=255)

    canvas.shape(_box(corners, 1.0), colour, paint)


def draw_triangle(canvas: Canvas, tip: Point, size: float, colour: Colour) -> None:
    """Draw a full triangle that points upwards at `tip`."""
    x, y = tip
    corners = [(x, y), (x - 0.6 * size, y + size), (x + 0.6 * size, y + size)]

    def paint(draw: ImageDraw.ImageDraw, at: Callable[[float, float], Point]) -> None:
        draw.polygon([at(*corner) for corner in corners], fill=255)

    canvas.shape(_box(corners, 1.0), colour, paint)


def clipped(curve: Sequence[Point], low: float, high: float) -> list[Point]:
    """Return the part of a curve between two powers, its ends interpolated."""
    answer = [(p, v) for p, v in curve if low < p < high]
    for end in (low, high):
        for (p, v), (q, w) in itertools.pairwise(curve):
            if p <= end <= q:
                value = v + (w - v) * (end - p) / (q - p)
                answer = [(end, value), *answer] if end == low else [*answer, (end, value)]
                break
    return answer


def dashes(points: Sequence[Point], on: float, off: float) -> list[list[Point]]:
    """Cut a line through points into dashes of even length along it, the first whole."""
    answer: list[list[Point]] = []
    piece: list[Point] = [points[0]]
    left, drawing = on, True
    for start, end in itertools.pairwise(points):
        here, length = start, math.dist(start, end)
        while length > left:
            step = left / length
            here = (here[0] + (end[0] - here[0]) * step, here[1] + (end[1] - here[1]) * step)
            length -= left
            if drawing:
                answer.append([*piece, here])
            drawing = not drawing
            piece, left = [here], on if drawing else off
        left -= length
        if drawing:
            piece.append(end)
    if drawing and len(piece) > 1:
        answer.append(piece)
    return answer


def _box(points: Sequence[Point], width: float) -> tuple[float, float, float, float]:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs) - width, min(ys) - width, max(xs) + width, max(ys) + width
