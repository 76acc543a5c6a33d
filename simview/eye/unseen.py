"""The light of stars too faint to be seen one by one: together they are a glow.

An eye in the dark adds up the light that falls within about a degree or two (Ricco's law), so a
crowd of stars, each below its threshold, shows as a patch of haze: many a cluster is that and no
more in a small telescope.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.retina import Exposure, Planes
from simview.eye.thresholds import seen_fraction
from simview.scene.scene import Scene, Stars
from simview.scene.star_colour import rgb_of_temperature
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

# Apparent width (FWHM) over which light of unseen stars is spread, deg: a Gaussian with the area of
# a disc of 2 deg, for which thresholds of a night's print are matched. Of the order of the area of
# complete summation in rod vision (Barlow 1958, J. Physiol. 141, 337; from memory).
SPREAD_DEG: Final = 1.66

# Behind an instrument of more than this power stars stand far apart at the eye, and the light of
# one that is nearly seen would be a patch that is: there the light is spread so many times as wide.
# Choices; clusters have their own shapes.
_APART_POWER: Final = 4.0
_APART: Final = 2.0

# A cell's share of a pixel's light that is none.
_NOTHING: Final = 1e-9

# Cells in which stars are counted, parts of that width.
_CELLS_IN_SPREAD: Final = 4.0


def with_unseen(
    exposure: Exposure,
    limit: float | None,
    above: NDArray[np.float64] | None = None,
    *,
    behind: bool = False,
) -> Exposure:
    """Return an exposure whose surfaces also hold the light of stars that are not seen.

    Parameters
    ----------
    limit
        Magnitude of the faintest star in the view; None leaves the exposure as it is.
    above
        (N,) each star's light over what is just seen at its place; None goes by the limit alone.
    behind
        True where only the light behind stars is asked for: a haze is not blurred by the glass.

    Notes
    -----
    Each star gives the part of its light that answers to how often it is *not* seen; whoever
    prints the stars draws the other part. A cluster's unseen members shine in the cluster's own
    shape.
    """
    if limit is None or not len(exposure.scene.stars):
        return exposure
    if above is None:
        above = 10.0 ** (0.4 * (limit - exposure.scene.stars.magnitude))
    tint = _unseen_tint(exposure.scene.stars, above)
    light = _spread_out(
        exposure.scene,
        tint,
        pixels=exposure.extended.shape[-1],
        spread_px=_spread_deg(exposure) * exposure.pixels_per_degree,
    )
    gains = exposure.lens.sum(axis=(2, 3))
    added = np.tensordot(gains, light, axes=1).astype(np.float32)
    if exposure.scene.crowds:
        added += _hazes(exposure, tint)
    if exposure.glass is not None:
        # Hazes of clusters have shapes of their own; all else is spread over degrees.
        added = exposure.glass(added, smooth=behind or not exposure.scene.crowds)
    return replace(exposure, extended=exposure.extended + added)


def _spread_deg(exposure: Exposure) -> float:
    """Return the apparent width over which light of unseen stars is spread, deg."""
    power = 3600.0 / (exposure.scene.pixel_arcsec * exposure.pixels_per_degree)
    return SPREAD_DEG * (_APART if power > _APART_POWER else 1.0)


def _hazes(exposure: Exposure, tint: NDArray[np.float64]) -> Planes:
    """Return the light on the retina of clusters' members that are not seen one by one."""
    scene = exposure.scene
    total = np.zeros((3, *scene.crowds[0].shape.shape), np.float32)
    for crowd in scene.crowds:
        whole = tint[crowd.members].sum(axis=0)
        total += whole[:, None, None].astype(np.float32) * crowd.shape
    return exposure.imaged(total)


def _unseen_tint(stars: Stars, above: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return (N, 3) the light of each star that is not seen, lux by the primaries."""
    light = illuminance_lux(stars.magnitude) * (1.0 - seen_fraction(above))
    return np.asarray(rgb_of_temperature(stars.temperature_k) * light[:, None])


def _spread_out(
    scene: Scene, tint: NDArray[np.float64], *, pixels: int, spread_px: float
) -> Planes:
    """Return light (N, 3) of stars, spread out, (3, pixels, pixels) in cd/m2.

    Beyond the painted frame the sky is taken to go on as it is inside; `spread_px` is the width
    (FWHM) over which each star's light is spread.
    """
    reach = scene.planes.shape[-1] / 2.0
    cell = max(spread_px / _CELLS_IN_SPREAD, 1.0)
    count = max(1, math.ceil(2.0 * reach / cell))
    # Cells cover just the frame, so that those at its edge are as full as the others.
    edges = np.linspace(-reach, reach, count + 1)
    density = _density(scene, tint, edges)
    spread = _spreading(pixels, edges, spread_px)
    return np.asarray(spread @ density.astype(np.float32) @ spread.T)


def _density(
    scene: Scene, tint: NDArray[np.float64], edges: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return luminance by cells, (3, count, count), rows downwards."""
    stars: Stars = scene.stars
    tint = tint.copy()
    for crowd in scene.crowds:
        tint[crowd.members] = 0.0
    x, y = stars.x_arcsec / scene.pixel_arcsec, -stars.y_arcsec / scene.pixel_arcsec
    cell_sr = ((edges[1] - edges[0]) * scene.pixel_arcsec / ARCSEC_PER_RADIAN) ** 2
    row, column = (_cell(place, edges) for place in (y, x))
    inside = (row >= 0) & (column >= 0)
    count = len(edges) - 1
    cells = row[inside] * count + column[inside]
    planes = [np.bincount(cells, tint[inside, c], count * count) for c in range(3)]
    return np.asarray(np.stack(planes).reshape(3, count, count) / cell_sr, float)


def _cell(place: NDArray[np.float64], edges: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return in which cell each place lies, -1 outside; the last edge belongs to the last cell."""
    found = np.searchsorted(edges, place, side="right") - 1
    found[place == edges[-1]] = len(edges) - 2
    found[found > len(edges) - 2] = -1
    return np.asarray(found)


def _spreading(pixels: int, edges: NDArray[np.float64], width: float) -> NDArray[np.float32]:
    """Return the weights (pixels, cells) with which each pixel's row takes the cells' light."""
    middles = 0.5 * (edges[1:] + edges[:-1])
    places = np.arange(pixels) - pixels // 2
    sigma = width / math.sqrt(8.0 * math.log(2.0))
    nearest = np.abs(places[:, None] - middles).min(axis=1)
    # The nearest cell's distance taken off keeps a pixel far from all cells within numbers.
    exponent = (places[:, None] - middles) ** 2 - nearest[:, None] ** 2
    weights = np.exp(-0.5 * exponent / sigma**2)
    # Numbers too small for single precision would slow the products down tenfold.
    weights[weights < _NOTHING] = 0.0
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), np.float32)
