"""A slide's shapes as a picture."""

from __future__ import annotations

import numpy as np
from PIL.Image import Image

from simview.picture.drawing.canvas import Canvas
from simview.picture.slides.records import Box, Page, Picture, Print, Ring, Stroke, Words


def paint(page: Page) -> Image:
    """Return the picture of a page, RGB."""
    canvas = Canvas(page.size, ground=page.ground, any_shape=True)
    for shape in page.shapes:
        match shape:
            case Words():
                canvas.write(
                    shape.place,
                    shape.text,
                    shape.size,
                    colour=shape.colour,
                    weight="bold" if shape.bold else "regular",
                    align=shape.align,
                )
            case Picture():
                _paste(canvas, shape)
            case Ring():
                canvas.ring(*shape.centre, shape.radius, shape.width, shape.colour)
            case Stroke():
                canvas.stroke(shape.points, shape.width, shape.colour)
            case Box():
                canvas.box(shape.corners, shape.colour)
            case _:
                raise TypeError(type(shape).__name__)
    return canvas.image


def _paste(canvas: Canvas, shape: Picture) -> None:
    if not shape.round:
        canvas.paste(shape.pixels, shape.corner)
        return
    canvas.paste(shape.pixels, shape.corner, cover(shape.pixels, shape.round))


def cover(pixels: Print, diameter: float) -> Print:
    """Return how much of each pixel a circle about the middle of pixel n // 2 covers, 0 to 255."""
    side = pixels.shape[0]
    along = np.arange(side, dtype=np.float32) - side // 2
    distance = np.sqrt(along[:, None] ** 2 + along**2)
    shares = np.clip(diameter / 2.0 + 0.5 - distance, 0.0, 1.0)
    return np.asarray(np.rint(255.0 * shares), np.uint8)
