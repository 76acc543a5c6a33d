"""The grain of a cluster's unseen stars: a haze of few bright and many faint ones is not even.

A cluster's stars that are not seen one by one shine together in the cluster's smooth shape, which
keeps its cusp. But a few of them, just below the limit, give much of that light, and an eye adds up
light over a degree or so only: a haze of them is granular. So the shape is multiplied by how many
of them really stand around each place against how many the shape has there.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.eye.thresholds import large_contrast, point_area_sr
from simview.scene.scene import Crowd, Scene

# Full width at half maximum of a Gaussian with the area of a disc, in the disc's diameters.
_WIDTH_OF_DISC: Final = math.sqrt(math.log(2.0))

# Cells in which light is counted, parts of the narrower width.
_CELLS_IN_WIDTH: Final = 4.0

# Share of a shape's brightest light below which it has no grain of its own.
_NOTHING: Final = 1e-6


def summation_deg(background_cd_m2: ArrayLike) -> NDArray[np.float64]:
    """Return the apparent width (FWHM) over which an eye adds up light on this background, deg.

    A Gaussian of the area at which Crumey's laws of the small and of the large target meet.

    Source: Crumey 2014, MNRAS 442, 2600, eq. 25 and 39 (Ricco's area).
    Checked by: tests/unit/eye/test_grain.py
    """
    area = point_area_sr(background_cd_m2) / large_contrast(background_cd_m2)
    return np.asarray(_WIDTH_OF_DISC * np.degrees(np.sqrt(4.0 / math.pi * area)))


def grain(
    scene: Scene, crowd: Crowd, light: NDArray[np.float64], *, widths_px: tuple[float, float]
) -> NDArray[np.float32]:
    """Return what a crowd's smooth shape is multiplied by, (ny, nx).

    Parameters
    ----------
    light
        (count,) of each member that is not seen, in any unit.
    widths_px
        Width (FWHM) over which the eye adds up light on the sky, and in the middle of the haze;
        in between it lies between.

    Notes
    -----
    The light of the members within the frame stays as it is. Checked by:
    tests/unit/eye/test_grain.py
    """
    shape = crowd.shape
    side = shape.shape[0]
    cell = max(min(widths_px) / _CELLS_IN_WIDTH, 1.0)
    edges = np.linspace(-side / 2.0, side / 2.0, max(2, math.ceil(side / cell)) + 1)
    stars = _counted(scene, crowd, light, edges)
    overlap = _overlap(side, edges)
    even = overlap @ shape.astype(np.float64) @ overlap.T
    if stars.sum() <= 0.0 or even.sum() <= 0.0:
        return np.ones(shape.shape, np.float32)
    even *= stars.sum() / even.sum()
    sky, middle = (_against(stars, even, side, edges, width) for width in widths_px)
    bright = shape / max(float(shape.max()), 1e-30)
    found = sky + bright.astype(np.float64) * (middle - sky)
    found[bright < _NOTHING] = 1.0
    found *= float(shape.sum()) / max(float((found * shape).sum()), 1e-30)
    return found.astype(np.float32)


def _counted(
    scene: Scene, crowd: Crowd, light: NDArray[np.float64], edges: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the members' light by cells, rows downwards."""
    x = scene.stars.x_arcsec[crowd.members] / scene.pixel_arcsec
    y = -scene.stars.y_arcsec[crowd.members] / scene.pixel_arcsec
    # Pixel n // 2 has its middle at 0: the frame reaches half a pixel further to one side.
    return np.asarray(np.histogram2d(y + 0.5, x + 0.5, (edges, edges), weights=light)[0])


def _overlap(side: int, edges: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return (cells, pixels) how much of each pixel lies in each cell, along a line."""
    low = np.arange(side) - side // 2
    inside = np.minimum(edges[1:, None], low + 1.0) - np.maximum(edges[:-1, None], low)
    return np.asarray(np.clip(inside, 0.0, 1.0))


def _against(
    stars: NDArray[np.float64],
    even: NDArray[np.float64],
    side: int,
    edges: NDArray[np.float64],
    width: float,
) -> NDArray[np.float64]:
    """Return the stars' light over the shape's, both spread over a width, at each pixel."""
    cells = np.asarray(0.5 * (edges[1:] + edges[:-1]), np.float64)
    spread = _gaussians(cells, cells, width)
    found, meant = (spread @ plane @ spread.T for plane in (stars, even))
    ratio = found / np.maximum(meant, _NOTHING * float(meant.max()))
    drawn = _between(np.arange(side, dtype=np.float64) - side // 2 + 0.5, cells)
    return np.asarray(drawn @ ratio @ drawn.T)


def _gaussians(
    places: NDArray[np.float64], cells: NDArray[np.float64], width: float
) -> NDArray[np.float64]:
    sigma = width / math.sqrt(8.0 * math.log(2.0))
    weights = np.exp(-0.5 * ((places[:, None] - cells) / sigma) ** 2)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def _between(places: NDArray[np.float64], cells: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return (places, cells) weights of straight lines between the cells' middles."""
    step = cells[1] - cells[0]
    at = np.clip((places - cells[0]) / step, 0.0, len(cells) - 1.0)
    return np.asarray(np.maximum(1.0 - np.abs(at[:, None] - np.arange(len(cells))), 0.0))
