"""A pen that draws in metres onto a picture of points."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

Point = tuple[float, float]
Colour = tuple[int, int, int]

# Rubs out what is drawn already. Where nothing is, colour and cover are 0.
NOTHING: tuple[int, int, int, int] = (0, 0, 0, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """Draws in metres (x right, y up) onto a picture with cover as its fourth channel.

    Parameters
    ----------
    per_m
        Points a metre.
    middle
        Where (0, 0) lies, points from the left and from the top.
    size
        Width and height in points.
    """

    draw: ImageDraw
    per_m: float
    middle: Point
    size: tuple[int, int]

    def at(self, point: Point) -> Point:
        """Return the place of a point given in metres."""
        return self.middle[0] + point[0] * self.per_m, self.middle[1] - point[1] * self.per_m

    def sees(self, low: Point, high: Point) -> bool:
        """Return whether any of a box, given by two corners in metres, lies on the picture."""
        left, bottom = self.at(low)
        right, top = self.at(high)
        return right >= 0.0 and bottom >= 0.0 and left <= self.size[0] and top <= self.size[1]

    def polygon(self, points: list[Point], colour: tuple[int, ...]) -> None:
        """Fill a polygon."""
        self.draw.polygon([self.at(p) for p in points], fill=colour)

    def box(self, low: Point, high: Point, colour: tuple[int, ...]) -> None:
        """Fill an upright box; thinner than a point it is left out as often as is fair."""
        if not self.sees(low, high):
            return
        left, bottom = self.at(low)
        right, top = self.at(high)
        columns = (math.ceil(left - 0.5), math.ceil(right - 0.5) - 1)
        rows = (math.ceil(top - 0.5), math.ceil(bottom - 0.5) - 1)
        if columns[1] >= columns[0] and rows[1] >= rows[0]:
            self.draw.rectangle([columns[0], rows[0], columns[1], rows[1]], fill=colour)

    def disc(self, centre: Point, half: Point, colour: tuple[int, ...]) -> None:
        """Fill an ellipse with these half-lengths."""
        x, y = self.at(centre)
        a, b = half[0] * self.per_m, half[1] * self.per_m
        if (
            max(a, b) < 0.4
            or x + a < 0
            or y + b < 0
            or x - a > self.size[0]
            or y - b > self.size[1]
        ):
            return
        self.draw.ellipse([x - a, y - b, x + a, y + b], fill=colour)

    def stroke(self, points: list[Point], width: float, colour: Colour) -> None:
        """Draw a line of that width with round joints and ends."""
        for start, end in pairwise(points):
            self.branch(start, end, (width, width), colour)
        for point in points:
            self.disc(point, (0.5 * width, 0.5 * width), colour)

    def branch(self, start: Point, end: Point, widths: Point, colour: Colour) -> None:
        """Draw a tapering piece."""
        long = max(math.hypot(end[0] - start[0], end[1] - start[1]), 1e-9)
        nx, ny = -(end[1] - start[1]) / long, (end[0] - start[0]) / long
        a, b = 0.5 * widths[0], 0.5 * widths[1]
        self.polygon(
            [
                (start[0] + nx * a, start[1] + ny * a),
                (end[0] + nx * b, end[1] + ny * b),
                (end[0] - nx * b, end[1] - ny * b),
                (start[0] - nx * a, start[1] - ny * a),
            ],
            colour,
        )
