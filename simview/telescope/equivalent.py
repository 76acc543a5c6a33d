"""Contrast at a few frequencies, and the perfect lens that would show as much.

A telescope passes coarse detail with full contrast and fine detail with less, until at
aperture / wavelength nothing is left. Where half of the contrast is left is a fair measure of what
it shows of a planet: the equivalent aperture is that of a perfect, unobstructed telescope that
keeps half at the same frequency.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.kit import Telescope
from simview.telescope.opening import REFERENCE_NM, stop_for
from simview.telescope.quality import transfer
from simview.telescope.terms import NO_EXTRAS, Extras
from simview.units import ARCSEC_PER_RADIAN

Vector = NDArray[np.float64]

# Frequencies that are told, parts of the aperture's own limit: coarse, middling and fine detail.
PARTS: Final = (0.25, 0.5, 0.75)

# Directions over which contrast is averaged, deg; the other half of the circle is the same.
_DIRECTIONS: Final = (0.0, 45.0, 90.0, 135.0)

# Steps of the search for half contrast.
_STEPS: Final = 201


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """How a telescope passes contrast, at 550 nm and averaged over directions.

    Parameters
    ----------
    limit_per_arcsec
        Where contrast ends, cycles/arcsec: aperture / wavelength.
    at_parts
        At `PARTS` of that limit.
    half_per_arcsec
        Where it has fallen to a half for the first time.
    equivalent_aperture_mm
        Of a perfect, unobstructed telescope that keeps half of the contrast at the same place.
    """

    limit_per_arcsec: float
    at_parts: tuple[float, ...]
    half_per_arcsec: float
    equivalent_aperture_mm: float

    @property
    def half_detail_arcsec(self) -> float:
        """Width of a dark or bright line where half of the contrast is left."""
        return 0.5 / self.half_per_arcsec


def contrast(
    scope: Telescope, *, defocus_waves: float = 0.0, extras: Extras = NO_EXTRAS
) -> Contrast:
    """Return how a telescope passes contrast.

    Parameters
    ----------
    defocus_waves, extras
        As in `simview.point_spread`.

    Checked by: tests/truth/test_equivalent_aperture.py
    """
    aperture = stop_for(scope, extras=extras).aperture_mm
    limit = aperture / (REFERENCE_NM * 1e-6) / ARCSEC_PER_RADIAN
    parts = np.linspace(0.0, 1.0, _STEPS)
    curve = _averaged(scope, parts * limit, defocus_waves, extras)
    half = _first_below(parts, curve, 0.5) * limit
    return Contrast(
        limit_per_arcsec=limit,
        at_parts=tuple(float(np.interp(part, parts, curve)) for part in PARTS),
        half_per_arcsec=half,
        equivalent_aperture_mm=half * ARCSEC_PER_RADIAN * REFERENCE_NM * 1e-6 / _half_of_circle(),
    )


def _averaged(
    scope: Telescope, frequency: Sequence[float] | Vector, defocus_waves: float, extras: Extras
) -> Vector:
    curves = [
        transfer(scope, frequency, defocus_waves=defocus_waves, angle_deg=angle, extras=extras)
        for angle in _DIRECTIONS
    ]
    return np.asarray(np.mean(curves, axis=0))


def _first_below(places: Vector, curve: Vector, level: float) -> float:
    """Return where a curve that starts at 1 first falls through a level, between samples."""
    k = int(np.argmax(curve < level))
    fall = (curve[k - 1] - level) / (curve[k - 1] - curve[k])
    return float(places[k - 1] + fall * (places[k] - places[k - 1]))


def circle_transfer(part: float) -> float:
    """Return a perfect circle's contrast at a part (0 to 1) of its limit.

    Source: Goodman, Introduction to Fourier Optics, section 6.3.
    """
    return 2.0 / math.pi * (math.acos(part) - part * math.sqrt(1.0 - part * part))


@lru_cache(maxsize=1)
def _half_of_circle() -> float:
    """Return the part of the limit where a perfect circle keeps half: 0.404."""
    low, high = 0.0, 1.0
    while high - low > 1e-12:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if circle_transfer(middle) > 0.5 else (low, middle)
    return low
