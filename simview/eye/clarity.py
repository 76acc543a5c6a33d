"""How wide a star's image is after the whole light path."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from simview.eye.system import LightPath
from simview.eye.transfer import transfer_curve
from simview.units import ARCSEC_PER_RADIAN

Array = NDArray[np.float64]


def airy_arcsec(path: LightPath) -> float:
    """Return lambda / D at 550 nm for the effective aperture, arcsec."""
    return ARCSEC_PER_RADIAN * 550e-6 / path.beam.aperture_mm


# The figures of a view, its panel and its close-up all ask for it.
@lru_cache(maxsize=64)
def width_arcsec(path: LightPath) -> float:
    """Return the full width at half maximum of a star's image on the retina, arcsec on the sky.

    The mean transfer curve M of telescope, air and mount, times the eye's, is turned into the
    radial profile I(r) = 2 pi int M(f) J0(2 pi f r) f df; its half-power width counts.

    Checked by: tests/unit/eye/test_clarity.py
    """
    from scipy.special import j0

    kept = transfer_curve(
        path.scope,
        path.sky,
        path.mount,
        aperture_mm=path.beam.aperture_mm,
        obstruction=path.beam.obstruction,
    )
    f = np.linspace(0.0, kept.cutoff_cycles_arcsec, 400)
    mtf = kept(f) * path.eye_factor(f)
    guess = math.hypot(airy_arcsec(path), path.blur_arcsec())
    r = np.linspace(0.0, 1.5 * guess, 200)
    profile = (mtf * f) @ j0(2.0 * np.pi * np.outer(f, r))
    return 2.0 * _first_at(r, profile, float(profile[0]) / 2.0)


def _first_at(r: Array, profile: Array, level: float) -> float:
    """Return where a falling profile first reaches `level`, its end where it never does."""
    below = np.flatnonzero(profile < level)
    if len(below) == 0:
        return float(r[-1])
    i = int(below[0])
    step = (profile[i - 1] - level) / (profile[i - 1] - profile[i])
    return float(r[i - 1] + (r[i] - r[i - 1]) * step)
