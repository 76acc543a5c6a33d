"""A loupe whose two halves show two close pairs that stand far from each other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from simview.picture.drawing import sheet
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import LINE

# A name, and where its place lies in the view: deg right and below at the eye.
Half = tuple[str, float, float]


def abreast(panels: Sequence[NDArray[np.uint8]]) -> NDArray[np.uint8]:
    """Return the middles of one or two square pictures side by side, as large as one of them."""
    if len(panels) == 1:
        return panels[0]
    side = panels[0].shape[1]
    middle = slice(side // 4, side // 4 + side // 2)
    joined = np.concatenate([panel[:, middle] for panel in panels], axis=1)
    return np.ascontiguousarray(joined[:, :side])


def draw(
    canvas: Canvas,
    halves: Sequence[Half],
    *,
    seen_at: tuple[float, float],
    loupe_at: tuple[float, float],
    radius_px: float,
    scales: tuple[float, float],
) -> None:
    """Ring the two places in the view, and name them there and in the loupe's halves.

    Parameters
    ----------
    canvas
        With the view and the loupe upon it.
    halves
        Left and right half.
    seen_at, loupe_at
        Middles of both on the sheet.
    radius_px
        Of the loupe.
    scales
        Pixels per degree in the view and in the loupe.
    """
    size, thin = canvas.px(sheet.SMALL), canvas.px(1)
    x, y = loupe_at
    ring = max(0.5 * radius_px * scales[0] / scales[1], canvas.px(10))
    for side, (name, right, below) in zip((-1.0, 1.0), halves, strict=True):
        across, down = seen_at[0] + scales[0] * right, seen_at[1] + scales[0] * below
        canvas.ring(across, down, ring, canvas.px(2), LINE)
        place = (across + ring + canvas.px(6), down + 0.35 * size)
        canvas.write(place, name, size, upon=True)
        place = (x + side * 0.45 * radius_px, y + 0.72 * radius_px)
        canvas.write(place, name, size, align="middle", upon=True)
    canvas.box((x - thin, y - radius_px, x + thin, y + radius_px), LINE)
