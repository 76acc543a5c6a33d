"""Contrast at a few frequencies.

A telescope passes coarse detail with full contrast and fine detail with less, until at
aperture / wavelength nothing is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """How a telescope passes contrast, at 550 nm and averaged over directions.

    Parameters
    ----------
    limit_per_arcsec
        Where contrast ends, cycles/arcsec: aperture / wavelength.
    at_parts
        At `PARTS` of that limit.
    """

    limit_per_arcsec: float
    at_parts: tuple[float, ...]


def contrast(
    scope: Telescope, *, defocus_waves: float = 0.0, extras: Extras = NO_EXTRAS
) -> Contrast:
    """Return how a telescope passes contrast.

    Parameters
    ----------
    defocus_waves, extras
        As in `simview.point_spread`.

    Notes
    -----
    Checked by: tests/truth/test_contrast_left.py
    """
    aperture = stop_for(scope, extras=extras).aperture_mm
    limit = aperture / (REFERENCE_NM * 1e-6) / ARCSEC_PER_RADIAN
    curve = _averaged(scope, np.array(PARTS) * limit, defocus_waves, extras)
    return Contrast(limit_per_arcsec=limit, at_parts=tuple(float(each) for each in curve))


def _averaged(
    scope: Telescope, frequency: Sequence[float] | Vector, defocus_waves: float, extras: Extras
) -> Vector:
    curves = [
        transfer(scope, frequency, defocus_waves=defocus_waves, angle_deg=angle, extras=extras)
        for angle in _DIRECTIONS
    ]
    return np.asarray(np.mean(curves, axis=0))
