"""Drawing with true area means: finer points inside each pixel, averaged, in slices of rows."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.banded import block_means, finer

Planes = NDArray[np.floating[Any]]
Draw = Callable[[Planes, Planes], Planes]

# Most points per pixel and axis: beyond it a feature that small is far below any telescope.
_MOST: Final = 48

# Points that are drawn at once; bounds the memory at about 40 bytes x this x the arrays in use.
_SLICE_POINTS: Final = 64_000


def area_mean(
    draw: Draw,
    *,
    pixel_arcsec: float,
    pixels: int,
    reach_arcsec: tuple[float, float],
    finest_arcsec: float,
    centre_arcsec: tuple[float, float] = (0.0, 0.0),
) -> Planes:
    """Return what `draw` shows, each pixel the mean over its area.

    Parameters
    ----------
    draw
        Called with x (1, nx) and y (ny, 1) in arcsec, right and up from its own centre; gives
        (3, ny, nx) at these points.
    pixel_arcsec, pixels
        The square frame; centre on pixel n // 2.
    reach_arcsec
        All further than this from the drawing's centre, in x and in y, is dark and not drawn.
    finest_arcsec
        Points lie no further apart than this.
    centre_arcsec
        Where the drawing's centre lies, right and up from the frame's.

    Returns
    -------
    (3, pixels, pixels) float32
    """
    planes = np.zeros((3, pixels, pixels), np.float32)
    over, rise = centre_arcsec
    left, right = _span(reach_arcsec[0] / pixel_arcsec, over / pixel_arcsec, pixels)
    first, last = _span(reach_arcsec[1] / pixel_arcsec, -rise / pixel_arcsec, pixels)
    if left >= right or first >= last:
        return planes
    fine = min(_MOST, max(1, math.ceil(pixel_arcsec / finest_arcsec)))
    columns = (_points(left, right, fine, pixel_arcsec, pixels) - np.float32(over))[None, :]
    step = max(1, _SLICE_POINTS // (fine * columns.shape[1]))
    for top in range(first, last, step):
        bottom = min(top + step, last)
        rows = (-_points(top, bottom, fine, pixel_arcsec, pixels) - np.float32(rise))[:, None]
        drawn = draw(columns, rows)
        planes[:, top:bottom, left:right] = block_means(np.asarray(drawn, np.float32), fine)
    return planes


def with_cusp(
    drawing: Callable[[float], Draw],
    *,
    pixel_arcsec: float,
    pixels: int,
    reach_arcsec: float,
    detail_arcsec: float,
    smooth_arcsec: float = 0.0,
    centre_arcsec: tuple[float, float] = (0.0, 0.0),
) -> Planes:
    """Return the area means of something smooth outside and sharp in its middle.

    The middle few pixels are drawn as finely as they need, the rest with few points; where pixels
    are far finer than anything outside the middle, with one for several pixels, and cubic
    convolution between them.

    Parameters
    ----------
    drawing
        Takes the spacing of its points, arcsec, and gives what is drawn.
    pixel_arcsec, pixels
        Of the picture.
    reach_arcsec
        All further from its middle than this is dark and not drawn.
    detail_arcsec
        How fine its middle is.
    smooth_arcsec
        How far apart points may lie outside its middle; 0 for a pixel at the most.
    centre_arcsec
        Its middle, to the right and up.
    """
    every = min(int(smooth_arcsec / pixel_arcsec), _MOST_APART)
    if every > 1:
        # A point at each so many'th pixel, and two beyond each edge.
        count = 2 * (pixels // (2 * every) + 3) + 1
        few = area_mean(
            drawing(pixel_arcsec),
            reach_arcsec=(reach_arcsec, reach_arcsec),
            finest_arcsec=every * pixel_arcsec * 1.0001,
            centre_arcsec=centre_arcsec,
            pixel_arcsec=every * pixel_arcsec,
            pixels=count,
        )
        planes = finer(few, every, (pixels, pixels))
        np.maximum(planes, 0.0, out=planes)
        inner = with_cusp(
            drawing,
            pixel_arcsec=pixel_arcsec,
            pixels=pixels,
            reach_arcsec=_SMOOTH_FROM * every * pixel_arcsec,
            detail_arcsec=detail_arcsec,
            centre_arcsec=centre_arcsec,
        )
        return np.where(inner > 0.0, inner, planes)
    fine = min(_FEW, max(1, math.ceil(pixel_arcsec / detail_arcsec)))
    planes = area_mean(
        drawing(pixel_arcsec / fine),
        reach_arcsec=(reach_arcsec, reach_arcsec),
        finest_arcsec=pixel_arcsec / fine * 1.0001,
        centre_arcsec=centre_arcsec,
        pixel_arcsec=pixel_arcsec,
        pixels=pixels,
    )
    if pixel_arcsec / detail_arcsec > _FEW:
        block = _CUSP_PIXELS * pixel_arcsec
        many = min(_MOST, math.ceil(pixel_arcsec / detail_arcsec))
        middle = area_mean(
            drawing(pixel_arcsec / many),
            reach_arcsec=(block, block),
            finest_arcsec=pixel_arcsec / many * 1.0001,
            centre_arcsec=centre_arcsec,
            pixel_arcsec=pixel_arcsec,
            pixels=pixels,
        )
        planes = np.where(middle > 0.0, middle, planes)
    return planes


# Points a pixel and axis outside a cusp, and how far the cusp's own drawing reaches, pixels.
_FEW: Final = 2
_CUSP_PIXELS: Final = 6.0

# Pixels for which one point outside a middle stands at the most, and in how many times as many that
# middle ends: there even the steepest cusp is smooth. Choices.
_MOST_APART: Final = 8
_SMOOTH_FROM: Final = 16.0


def fallen(depth: Planes) -> Planes:
    """Return exp(-depth) of numbers that are not negative, 0 from a depth of 60 on.

    Numbers too small for single precision to hold slow a processor down tenfold.
    """
    fall = np.exp(-np.minimum(depth, np.float32(60.0)))
    fall -= np.exp(np.float32(-60.0))
    return fall


def _span(reach: float, shift: float, pixels: int) -> tuple[int, int]:
    """Return the first pixel within reach of a point and the one after the last."""
    middle = pixels // 2 + shift
    first, last = math.floor(middle - reach - 1.0), math.ceil(middle + reach + 1.0) + 1
    return min(max(0, first), pixels), min(max(0, last), pixels)


def _points(first: int, last: int, fine: int, pixel_arcsec: float, pixels: int) -> Planes:
    """Return the sampling points of pixels first..last along one axis, arcsec from the centre."""
    inside = (np.arange(fine) + 0.5) / fine - 0.5
    centres = np.arange(first, last) - pixels // 2
    return ((centres[:, None] + inside[None, :]).ravel() * pixel_arcsec).astype(np.float32)
