"""A sheet to draw on: lengths in thousandths of a layout, text, smooth shapes.

Layouts are thought out at 1920 x 1080, square and upright ones at a width of 1350; one unit is one
pixel there and grows with the sheet, so that a sheet looks the same at any size. Pillow draws
without smoothing; shapes are therefore drawn four times as large and scaled down.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from numbers import Integral
from typing import Final, Literal, cast

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from simview import budget
from simview.errors import RangeError
from simview.picture.drawing import dress, text
from simview.picture.drawing.palette import GROUND, INK, Colour, on_white
from simview.picture.drawing.papers import dpi_of
from simview.picture.drawing.shapes import Box, Page, Picture, Recorder, Shape, Words, keep
from simview.picture.drawing.text import Weight

Size = tuple[int, int]
Align = Literal["left", "middle", "right"]

# The sheet that layouts are thought out on, pixels.
DESIGN: Final[Size] = (1920, 1080)

# Shorter side of a square or upright sheet, units: type on A4 is then as large either way.
UPRIGHT: Final = 1350

# Smallest and largest sheet, shorter side of the smallest upright one, the range of width / height
# that layouts are made for, and from where on a sheet lies.
SMALLEST: Final[Size] = (960, 540)
LARGEST: Final[Size] = (7680, 4320)
SMALLEST_UPRIGHT: Final = 720
SHAPES: Final = (0.5, 2.4)
LYING: Final = 1.25

# What a pixel of a sheet takes besides its panels, bytes: itself, and the file in the making.
# Measured with a sheet of nothing but lines and words (7680x4320).
_BYTES_PER_PIXEL: Final = 8

_FINE: Final = 4
_ANCHOR: Final = {"left": "ls", "middle": "ms", "right": "rs"}


def check_size(size: Size) -> Size:
    """Return `size` if a sheet can have it.

    Raises
    ------
    RangeError
        Outside 960x540 to 7680x4320 - upright or square 720x720 to 4320x7680 -, or of a shape
        that layouts are not made for.
    """
    if not isinstance(size, tuple | list) or len(size) != 2 or not all(map(_is_whole, size)):
        raise RangeError("size", got=size, allowed="two whole numbers, width and height in pixels")
    width, height = size
    got = f"{width}x{height}"
    lying = is_lying((width, height))
    least = SMALLEST if lying else (SMALLEST_UPRIGHT, SMALLEST_UPRIGHT)
    most = LARGEST if lying else LARGEST[::-1]
    if width < least[0] or height < least[1] or width > most[0] or height > most[1]:
        allowed = f"{least[0]}x{least[1]} to {most[0]}x{most[1]} pixels"
        raise RangeError("size", got=got, allowed=allowed)
    if not SHAPES[0] <= width / height <= SHAPES[1]:
        raise RangeError(
            "size",
            got=got,
            allowed=f"width / height from {SHAPES[0]} to {SHAPES[1]}",
            remedy="common are 1920x1080, 1080x1080 and 1080x1920",
        )
    return width, height


def check_lying(size: Size) -> Size:
    """Return `size` if a sheet can have it whose layout is made for lying ones alone.

    Raises
    ------
    RangeError
        As `check_size`, and for a square or upright one.
    """
    if not is_lying(check_size(size)):
        raise RangeError(
            "size",
            got=f"{size[0]}x{size[1]}",
            allowed=f"width / height from {LYING} to {SHAPES[1]} for this sheet",
            remedy="square and portrait go with --for slide, where there is one",
        )
    return size


def is_lying(size: Size) -> bool:
    """Return whether a sheet is so much wider than high that words go beside its pictures."""
    return size[0] >= LYING * size[1]


def _is_whole(number: object) -> bool:
    return isinstance(number, Integral) and not isinstance(number, bool)


def unit_of(size: Size) -> float:
    """Return how many pixels one unit of a layout has on a sheet of this size."""
    if not is_lying(size):
        return min(size) / UPRIGHT
    return min(size[0] / DESIGN[0], size[1] / DESIGN[1])


class Canvas:
    """A sheet in the making.

    Parameters
    ----------
    size
        Width and height in pixels.
    ground
        What it is filled with; None for what sheets wear.
    any_shape
        True for layouts that check their size themselves.
    """

    def __init__(
        self, size: Size, *, ground: Colour | None = None, any_shape: bool = False
    ) -> None:
        self.size = size if any_shape else check_size(size)
        budget.require(
            f"a picture of {size[0]}x{size[1]} pixels",
            size[0] * size[1] * _BYTES_PER_PIXEL,
            remedy="a smaller --size",
        )
        self.unit = unit_of(size)
        worn = dress.current()
        # Who names a ground has colours of their own that go with it.
        self._white = ground is None and worn.ground == "white"
        self._shapes: list[Shape] | None = [] if worn.vector else None
        self._ground = self.colour(GROUND) if ground is None else ground
        self._base = Image.new("RGB", size, self._ground)
        self._draw = ImageDraw.Draw(self._base)
        if (per_inch := dpi_of(size)) is not None:
            self._base.info["dpi"] = (per_inch, per_inch)

    def colour(self, colour: Colour) -> Colour:
        """Return a colour of the palette as it is on this sheet's ground."""
        return on_white(colour) if self._white else colour

    @property
    def dark(self) -> bool:
        """False on white paper."""
        return not self._white

    @property
    def image(self) -> Image.Image:
        """The sheet as it is now."""
        if self._shapes is not None:
            keep(self._base, Page(size=self.size, ground=self._ground, shapes=tuple(self._shapes)))
        return self._base

    @property
    def keeps_shapes(self) -> bool:
        """True where all that is drawn is kept as shapes too."""
        return self._shapes is not None

    def _keep(self, *shapes: Shape) -> None:
        if self._shapes is not None:
            self._shapes += shapes

    def px(self, units: float) -> int:
        """Return a length in whole pixels, at least 1 for anything above 0."""
        return max(round(units * self.unit), 1 if units > 0 else 0)

    def write(
        self,
        place: tuple[float, float],
        words: str,
        size_px: int,
        *,
        colour: Colour = INK,
        weight: Weight = "regular",
        align: Align = "left",
        upon: bool = False,
    ) -> float:
        """Write one line with its baseline at `place`; return its length in pixels.

        Parameters
        ----------
        upon
            True upon a picture, whose own ground is dark whatever that of the sheet.
        """
        line = Words(
            place=place,
            text=text.printable(words),
            size=size_px,
            colour=colour if upon else self.colour(colour),
            bold=weight == "bold",
            align=align,
        )
        _put(self._draw, line)
        self._keep(line)
        return text.width_px(words, size_px, weight)

    def write_within(
        self,
        place: tuple[float, float],
        words: str,
        room_px: float,
        units: tuple[float, float],
        *,
        colour: Colour = INK,
        weight: Weight = "regular",
        align: Align = "left",
    ) -> float:
        """Write one line into a given room; return its length in pixels.

        Parameters
        ----------
        units
            Type size in units: wanted, and the least; then the line ends with an ellipsis.
        """
        largest, least = (self.px(u) for u in units)
        size = text.fitting_size(
            words, room_px, largest_px=largest, smallest_px=least, weight=weight
        )
        words = text.cut(words, room_px, size, weight)
        return self.write(place, words, size, colour=colour, weight=weight, align=align)

    def box(self, corners: tuple[float, float, float, float], colour: Colour) -> None:
        """Fill a rectangle: left, top, right, bottom in pixels, right and bottom excluded."""
        x0, y0, x1, y1 = (round(c) for c in corners)
        if x1 > x0 and y1 > y0:
            self._draw.rectangle((x0, y0, x1 - 1, y1 - 1), fill=self.colour(colour))
            self._keep(Box(corners=(x0, y0, x1, y1), colour=self.colour(colour)))

    def paste(
        self,
        view: NDArray[np.uint8],
        corner: tuple[int, int],
        where: NDArray[np.bool_] | NDArray[np.uint8] | None = None,
    ) -> None:
        """Put a picture (ny, nx, 3) with its top left at `corner`.

        Parameters
        ----------
        where
            (ny, nx) which of its pixels, or how much of each, 0 to 255; None for all.
        """
        cover = where.astype(np.uint8) * 255 if where is not None and where.dtype == bool else where
        mask = None if cover is None else Image.fromarray(np.asarray(cover, np.uint8))
        self._base.paste(Image.fromarray(view), corner, mask)
        self._keep(
            Picture(
                corner=corner, pixels=view, cover=None if cover is None else cover.astype(np.uint8)
            )
        )

    def shape(
        self,
        corners: tuple[float, float, float, float],
        colour: Colour,
        paint: Callable[[ImageDraw.ImageDraw, Callable[[float, float], tuple[float, float]]], None],
    ) -> None:
        """Draw a smooth shape inside a box.

        Parameters
        ----------
        paint
            Called with a drawing of an "L" mask and a function from sheet pixels to mask pixels;
            lengths on the mask are `self.fine(length)`.
        """
        x0, y0 = int(corners[0]) - 1, int(corners[1]) - 1
        x1, y1 = int(corners[2]) + 2, int(corners[3]) + 2
        mask = Image.new("L", ((x1 - x0) * _FINE, (y1 - y0) * _FINE))
        paint(
            ImageDraw.Draw(mask),
            lambda x, y: ((x - x0) * _FINE, (y - y0) * _FINE),
        )
        mask = mask.reduce(_FINE)
        self._base.paste(Image.new("RGB", mask.size, self.colour(colour)), (x0, y0), mask)
        if self._shapes is not None:
            told = Recorder(self.colour(colour), _FINE)
            paint(cast(ImageDraw.ImageDraw, told), lambda x, y: (x * _FINE, y * _FINE))
            self._shapes += told.shapes

    @staticmethod
    def fine(length: float) -> int:
        """Return a length in pixels of `shape`'s mask."""
        return max(1, round(length * _FINE))

    def ring(self, x: float, y: float, radius: float, width: float, colour: Colour) -> None:
        """Draw a smooth circle line; `radius` is its outer edge.

        Parameters
        ----------
        x, y
            Of its middle, pixels.
        radius
            Of its outer edge, pixels.
        width
            Pixels.
        colour
            Of the line.
        """

        def paint(
            draw: ImageDraw.ImageDraw, at: Callable[[float, float], tuple[float, float]]
        ) -> None:
            corners = (*at(x - radius, y - radius), *at(x + radius, y + radius))
            draw.ellipse(corners, outline=255, width=self.fine(width))

        self.shape((x - radius, y - radius, x + radius, y + radius), colour, paint)

    def dot(self, x: float, y: float, radius: float, colour: Colour) -> None:
        """Draw a smooth disc."""

        def paint(
            draw: ImageDraw.ImageDraw, at: Callable[[float, float], tuple[float, float]]
        ) -> None:
            draw.ellipse((*at(x - radius, y - radius), *at(x + radius, y + radius)), fill=255)

        self.shape((x - radius, y - radius, x + radius, y + radius), colour, paint)

    def stroke(self, points: Sequence[tuple[float, float]], width: float, colour: Colour) -> None:
        """Draw a smooth line through points."""
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        box = (min(xs) - width, min(ys) - width, max(xs) + width, max(ys) + width)

        def paint(
            draw: ImageDraw.ImageDraw, at: Callable[[float, float], tuple[float, float]]
        ) -> None:
            draw.line([at(*p) for p in points], fill=255, width=self.fine(width))

        self.shape(box, colour, paint)


def _put(draw: ImageDraw.ImageDraw, words: Words) -> None:
    draw.text(
        (round(words.place[0]), round(words.place[1])),
        words.text,
        font=text.font(words.size, "bold" if words.bold else "regular"),
        fill=words.colour,
        anchor=_ANCHOR[words.align],
    )
