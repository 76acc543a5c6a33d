"""Drawing with true area means: finer points inside each pixel, averaged, in slices of rows."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Planes = NDArray[np.floating[Any]]
Draw = Callable[[Planes, Planes], Planes]

# Most points per pixel and axis: beyond it a feature that small is far below any telescope.
_MOST: Final = 48

# Points that are drawn at once; bounds the memory at about 40 bytes x this x the arrays in use.
_SLICE_POINTS: Final = 400_000


def area_mean(
    draw: Draw,
    *,
    pixel_arcsec: float,
    pixels: int,
    reach_arcsec: tuple[float, float],
    finest_arcsec: float,
) -> Planes:
    """Return what `draw` shows, each pixel the mean over its area.

    Parameters
    ----------
    draw
        Called with x (1, nx) and y (ny, 1) in arcsec, right and up from the centre; gives
        (3, ny, nx) at these points.
    pixel_arcsec, pixels
        The square frame; centre on pixel n // 2.
    reach_arcsec
        All further than this from the centre, in x and in y, is dark and not drawn.
    finest_arcsec
        Points lie no further apart than this.

    Returns
    -------
    (3, pixels, pixels) float32
    """
    planes = np.zeros((3, pixels, pixels), np.float32)
    left, right = _span(reach_arcsec[0] / pixel_arcsec, pixels)
    first, last = _span(reach_arcsec[1] / pixel_arcsec, pixels)
    fine = min(_MOST, max(1, math.ceil(pixel_arcsec / finest_arcsec)))
    columns = _points(left, right, fine, pixel_arcsec, pixels)[None, :]
    step = max(1, _SLICE_POINTS // (fine * columns.shape[1]))
    for top in range(first, last, step):
        bottom = min(top + step, last)
        rows = -_points(top, bottom, fine, pixel_arcsec, pixels)[:, None]
        drawn = draw(columns, rows)
        if fine > 1:
            shape = (3, bottom - top, fine, right - left, fine)
            drawn = drawn.reshape(shape).mean(axis=(2, 4), dtype=np.float32)
        planes[:, top:bottom, left:right] = drawn
    return planes


def _span(reach: float, pixels: int) -> tuple[int, int]:
    """Return the first pixel within reach of the centre and the one after the last."""
    middle = pixels // 2
    return max(0, math.floor(middle - reach - 1.0)), min(
        pixels, math.ceil(middle + reach + 1.0) + 1
    )


def _points(first: int, last: int, fine: int, pixel_arcsec: float, pixels: int) -> Planes:
    """Return the sampling points of pixels first..last along one axis, arcsec from the centre."""
    inside = (np.arange(fine) + 0.5) / fine - 0.5
    centres = np.arange(first, last) - pixels // 2
    return ((centres[:, None] + inside[None, :]).ravel() * pixel_arcsec).astype(np.float32)
