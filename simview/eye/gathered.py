"""Stars that an eye takes for one: faint members of a cluster close to each other.

A cluster's stars that are not seen one by one are a haze, and a haze of few bright and many faint
ones is granular: here and there some of them stand close together. An eye at night adds up light
over a degree or so (Ricco's law) and cannot tell several points in such a place from one; so what
they have more than the haze has there on the mean is one more star, as faint as it is, and where
it is bright enough it is seen as one. "Resolved" is often no more than that.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.eye.reference import of_troland
from simview.eye.retina import Exposure
from simview.eye.thresholds import large_contrast, point_area_sr, seen_fraction
from simview.scene.scene import Crowd, Stars
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

# Full width at half maximum of a Gaussian with the area of a disc, in the disc's diameters.
_WIDTH_OF_DISC: Final = math.sqrt(math.log(2.0))

# Width within which stars are taken for one, in that over which an eye adds up light.
GATHERS: Final = 1.0

# Area of a Gaussian of full width 1 at half maximum, and how far it is followed, widths.
_GAUSSIAN_AREA: Final = math.pi / (4.0 * math.log(2.0))
_REACH: Final = 1.2

# A star that has less than this part of what is just seen at its place gathers nothing. Choice: a
# few of them together are no more than the haze.
_LEAST: Final = 0.15

# A star with this many times the light of one just seen is seen nine times in ten (Blackwell 1946).
_SURE: Final = 1.62


def summation_deg(background_cd_m2: ArrayLike) -> NDArray[np.float64]:
    """Return the apparent width (FWHM) over which an eye adds up light on this background, deg.

    A Gaussian of the area at which Crumey's laws of the small and of the large target meet.

    Source: Crumey 2014, MNRAS 442, 2600, eq. 25 and 39 (Ricco's area).
    Checked by: tests/unit/eye/test_gathered_stars.py
    """
    area = point_area_sr(background_cd_m2) / large_contrast(background_cd_m2)
    return np.asarray(_WIDTH_OF_DISC * np.degrees(np.sqrt(4.0 / math.pi * area)))


def gathered(exposure: Exposure, above: NDArray[np.float64], power: float) -> Exposure:
    """Return the exposure with the light of clusters' unseen stars where eyes find it.

    Parameters
    ----------
    above
        (N,) each star's light over what is just seen at its place.
    power
        Times.

    Notes
    -----
    No star is added, none moves, and their light together stays what it was. Checked by:
    tests/unit/eye/test_gathered_stars.py
    """
    scene = exposure.scene
    if not scene.crowds:
        return exposure
    behind = of_troland(np.maximum(exposure.behind_stars(), 1e-9))
    widths = GATHERS * summation_deg(behind) * 3600.0 / power
    magnitude = scene.stars.magnitude.copy()
    for crowd in scene.crowds:
        own = crowd.members
        stars = scene.stars.picked(np.arange(own.start, own.stop))
        even = _even(exposure, crowd, stars)
        light = illuminance_lux(stars.magnitude)
        moved = _moved(stars, light, above[own], widths[own], even)
        magnitude[own] = stars.magnitude - 2.5 * np.log10(moved / light)
    return replace(exposure, scene=replace(scene, stars=replace(scene.stars, magnitude=magnitude)))


def _even(exposure: Exposure, crowd: Crowd, stars: Stars) -> NDArray[np.float64]:
    """Return (count,) the share of a haze's light per arcsec2 at its stars; -1 off the frame."""
    pixel, (ny, nx) = exposure.haze_pixel_arcsec, crowd.shape.shape
    column = np.rint(nx // 2 + stars.x_arcsec / pixel).astype(int)
    row = np.rint(ny // 2 - stars.y_arcsec / pixel).astype(int)
    inside = (column >= 0) & (row >= 0) & (column < nx) & (row < ny)
    found = np.full(len(stars), -1.0)
    found[inside] = crowd.shape[row[inside], column[inside]] / ARCSEC_PER_RADIAN**2
    return found


def _moved(
    stars: Stars,
    light: NDArray[np.float64],
    above: NDArray[np.float64],
    widths: NDArray[np.float64],
    even: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the stars' light, each with what its place has more than the haze on the mean."""
    seen = seen_fraction(above)
    # A star that is surely seen by itself is told from what lies around it.
    alone = 1.0 - seen_fraction(above / _SURE)
    unseen = light * (1.0 - seen)
    whole = float(unseen.sum())
    x, y, fall = stars.x_arcsec, stars.y_arcsec, -4.0 * math.log(2.0)
    centres = np.flatnonzero((even >= 0.0) & (above > _LEAST) & (alone > 0.02))
    centres = centres[np.argsort(-light[centres])]
    moved = light.copy()
    if not len(centres):
        return moved
    order = np.argsort(x)
    reach = _REACH * widths[centres]
    from_left = (np.searchsorted(x[order], x[centres] + side * reach) for side in (-1.0, 1.0))
    for k, r, first, last in zip(centres, reach, *from_left, strict=True):
        around = order[first:last]
        square = (x[around] - x[k]) ** 2 + (y[around] - y[k]) ** 2
        around, square = around[square <= r * r], square[square <= r * r]
        share = unseen[around] * np.exp(square * (fall / widths[k] ** 2))
        share[around == k] = 0.0
        total = float(share.sum())
        mean = whole * even[k] * _GAUSSIAN_AREA * widths[k] ** 2
        more = (total - mean) * alone[k]
        if more <= 0.0:
            continue
        taken = share * (more / total)
        moved[around] -= taken
        unseen[around] -= taken
        moved[k] += more
        # What has been gathered is no one else's.
        unseen[k] = 0.0
    return np.maximum(moved, 1e-6 * light)
