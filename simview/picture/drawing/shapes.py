"""What a page is drawn from, in the order in which it is drawn: words, pictures, lines, areas.

A slide is made of these; a sheet for study keeps them beside its picture where a PDF is wanted, so
that its words stay words, its lines stay lines, and only what an eye sees is a picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.picture.drawing.palette import Colour

if TYPE_CHECKING:
    from PIL.Image import Image

Print = NDArray[np.uint8]
Point = tuple[float, float]

# Where a picture carries its page, among what Pillow keeps beside it.
_KEY: Final = "simview-page"


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text; `place` is its baseline's left end, middle or right end."""

    place: Point
    text: str
    size: int
    colour: Colour
    bold: bool = False
    align: Literal["left", "middle", "right"] = "left"


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture with its top left at `corner`, as large as it is.

    Parameters
    ----------
    pixels
        (ny, nx, 3) sRGB.
    round
        Diameter of the circle that it is cut to; 0 for none.
    cover
        (ny, nx) how much of each pixel shows, 0 to 255; None for all of it.
    """

    corner: tuple[int, int]
    pixels: Print
    round: float = 0.0
    cover: Print | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A circle line; `radius` is its outer edge."""

    centre: Point
    radius: float
    width: float
    colour: Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A smooth line through points."""

    points: tuple[Point, ...]
    width: float
    colour: Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """What lies within corners."""

    corners: tuple[Point, ...]
    colour: Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A full circle, or an ellipse: its left, top, right, bottom."""

    box: tuple[float, float, float, float]
    colour: Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A filled rectangle: left, top, right, bottom."""

    corners: tuple[float, float, float, float]
    colour: Colour


Shape = Words | Picture | Ring | Stroke | Area | Disc | Box


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Shapes in the order in which they are drawn, on a ground of one colour."""

    size: tuple[int, int]
    ground: Colour
    shapes: tuple[Shape, ...] = field(default=())

    @property
    def words(self) -> tuple[Words, ...]:
        """Its words, in the order in which they are written."""
        return tuple(shape for shape in self.shapes if isinstance(shape, Words))


def keep(image: Image, page: Page) -> None:
    """Let a finished picture carry the page that it was drawn from."""
    image.info[_KEY] = page


def page_of(image: Image) -> Page | None:
    """Return the page that a picture carries; None where none was kept."""
    found = image.info.get(_KEY)
    return found if isinstance(found, Page) else None


class Recorder:
    """Takes what is painted on a mask, and tells it as shapes.

    It stands in for Pillow's drawing where `Canvas.shape` paints, and knows of its methods those
    that are used there.

    Parameters
    ----------
    fine
        How many pixels of the mask one of the sheet has.
    """

    def __init__(self, colour: Colour, fine: float) -> None:
        self.shapes: list[Shape] = []
        self._colour = colour
        self._fine = fine

    def line(
        self, xy: Sequence[Point], fill: int = 255, width: float = 1.0, joint: str | None = None
    ) -> None:
        """Tell of a line; its joints are round in any case."""
        points = tuple(self._at(point) for point in xy)
        width = width / self._fine
        self.shapes.append(Stroke(points=points, width=width, colour=self._colour))

    def polygon(self, xy: Sequence[Point], fill: int = 255) -> None:
        """Tell of an area."""
        self.shapes.append(Area(corners=tuple(map(self._at, xy)), colour=self._colour))

    def ellipse(
        self, xy: Any, fill: int | None = None, outline: int | None = None, width: float = 0.0
    ) -> None:
        """Tell of a disc, or of a circle line."""
        left, top, right, bottom = (float(value) / self._fine for value in xy)
        if fill is not None:
            box = (left, top, right, bottom)
            self.shapes.append(Disc(box=box, colour=self._colour))
        if outline is not None:
            self.shapes.append(
                Ring(
                    centre=((left + right) / 2.0, (top + bottom) / 2.0),
                    radius=(right - left) / 2.0,
                    width=width / self._fine,
                    colour=self._colour,
                )
            )

    def _at(self, point: Point) -> Point:
        return point[0] / self._fine, point[1] / self._fine
