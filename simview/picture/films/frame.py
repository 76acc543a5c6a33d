"""One frame of a film: the picture, and below it a strip that says what it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from simview.errors import RangeError
from simview.picture.drawing import text
from simview.picture.drawing.palette import GROUND, INK, LINE, SOFT, Colour
from simview.picture.drawing.panel import scale_bar

Print = NDArray[np.uint8]

# Sides of a film's picture, pixels.
LEAST_SIDE, MOST_SIDE = 128, 2048

# Height of the strip and its type against the picture's side.
_STRIP: Final = 0.14
_LARGE: Final = 0.040
_SMALL: Final = 0.034


def check_side(side: int) -> int:
    """Return the side if a film can have it.

    Raises
    ------
    RangeError
        Outside 128 to 2048, or odd, which video programs refuse.
    """
    if isinstance(side, bool) or not isinstance(side, int) or not LEAST_SIDE <= side <= MOST_SIDE:
        raise RangeError("--size", got=side, allowed=f"{LEAST_SIDE} to {MOST_SIDE} pixels")
    if side % 2:
        raise RangeError("--size", got=side, allowed="an even number of pixels")
    return side


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The words below the picture.

    Parameters
    ----------
    first, second
        Two lines; shortened where they are too long.
    pixels_per_arcsec
        For the scale bar; None for no strip's bar.
    """

    first: str
    second: str
    pixels_per_arcsec: float | None = None


def frame_size(side: int, *, bare: bool) -> tuple[int, int]:
    """Return width and height of a frame; `bare` is without the strip."""
    return (side, side if bare else side + _strip_px(side))


def _strip_px(side: int) -> int:
    return 2 * round(_STRIP * side / 2.0)


def draw_strip(strip: Strip, side: int) -> Print:
    """Draw the strip, the same below every frame."""
    height = _strip_px(side)
    image = Image.new("RGB", (side, height), GROUND)
    draw = ImageDraw.Draw(image)
    pad = round(0.028 * side)
    room = side - 2.0 * pad
    draw.line((0, 0, side, 0), fill=LINE)
    if strip.pixels_per_arcsec is not None:
        room -= _draw_bar(draw, strip.pixels_per_arcsec, side, pad)
    for share, base, words, colour in (
        (_LARGE, 0.42, strip.first, INK),
        (_SMALL, 0.82, strip.second, SOFT),
    ):
        _line(draw, (pad, base * height), words, room, round(share * side), colour)
    return np.asarray(image, np.uint8)


def _line(
    draw: ImageDraw.ImageDraw,
    place: tuple[float, float],
    words: str,
    room: float,
    size: int,
    colour: Colour,
) -> None:
    fitted = text.fitting_size(
        words, room, largest_px=max(size, 8), smallest_px=max(round(0.75 * size), 8)
    )
    font = text.font(fitted)
    draw.text(place, text.cut(words, room, fitted), font=font, fill=colour, anchor="ls")


def _draw_bar(draw: ImageDraw.ImageDraw, pixels_per_arcsec: float, side: int, pad: int) -> float:
    """Draw the scale bar at the right end; return the room that it takes."""
    bar = scale_bar(pixels_per_arcsec, 0.2 * side)
    right, height = side - pad, _strip_px(side)
    y, thick = round(0.34 * height), max(2, side // 256)
    draw.rectangle((right - bar.length_px, y, right, y + thick - 1), fill=INK)
    for x in (right - bar.length_px, right - thick + 1):
        draw.rectangle((x, y - 2 * thick, x + thick - 1, y + 3 * thick), fill=INK)
    size = round(_SMALL * side)
    place = (right - bar.length_px / 2.0, 0.82 * height)
    draw.text(place, bar.label, font=text.font(max(size, 8)), fill=SOFT, anchor="ms")
    return max(bar.length_px, text.width_px(bar.label, size)) + 1.5 * pad


def composed(picture: Print, strip: Print | None) -> Print:
    """Return a frame: the picture with the strip below it."""
    return picture if strip is None else np.concatenate((picture, strip))


def enlarged(picture: Print, side: int) -> Print:
    """Return a picture at the film's size; smooth, since it was sampled finely enough."""
    if picture.shape[0] == side:
        return picture
    resized = Image.fromarray(picture).resize((side, side), Image.Resampling.BICUBIC)
    return np.asarray(resized, np.uint8)
