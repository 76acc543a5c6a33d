"""How wide a star's image is after the whole light path."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.bessel import j0
from simview.eye.system import LightPath
from simview.eye.transfer import transfer_curve
from simview.kit import Wavefront
from simview.units import ARCSEC_PER_RADIAN

Array = NDArray[np.float64]

# Height of a star's middle below which it counts as gone, per arcsec2: a blur 4 arcmin wide.
LEAST_MIDDLE: Final = 2e-5

# Parts of a star's profile that are found one after the other.
_BLOCKS: Final = 10

# Parts of a fault whose blur is asked for, waves: up to half a wave the middle only falls; past the
# last it has long gone.
SOUND_WAVES: Final = 0.5
STEP_WAVES: Final = 0.125
MOST_WAVES: Final = 4.0

_NAMED: Final = ("defocus", "spherical", "coma", "astigmatism", "trefoil")


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
    # From the middle outwards, until it has fallen to half.
    profile = np.empty(0)
    for block in np.split(r, _BLOCKS):
        profile = np.append(profile, (mtf * f) @ j0(2.0 * np.pi * np.outer(f, block)))
        if profile.min() < profile[0] / 2.0:
            break
    return 2.0 * _first_at(r[: len(profile)], profile, float(profile[0]) / 2.0)


def blur_arcsec(path: LightPath) -> float:
    """Return the full width of a star's blur, arcsec on the sky, which no fault makes less.

    A fault may leave the star's core as narrow as ever, or narrower, and carry its light away into
    rings: half the middle's height tells nothing of it. So the width without the faults of the
    glass is taken, and grows as the middle falls: twice the area where it is half as high. With
    more than half a wave the middle may come up again, in light that lies all around it: then the
    lowest that any smaller part of the same fault leaves counts.

    Checked by: tests/unit/eye/test_clarity.py
    """
    clear = replace(path, scope=replace(path.scope, wavefront=Wavefront()))
    lowest = min(middle_arcsec2(each) for each in (path, *_less_faulty(path)))
    return width_arcsec(clear) * math.sqrt(max(middle_arcsec2(clear) / lowest, 1.0))


def _less_faulty(path: LightPath) -> list[LightPath]:
    """Return the same path with parts of its wavefront error, in even steps of waves."""
    error = path.scope.wavefront
    named = {name: getattr(error, name) for name in _NAMED}
    size = sum(abs(waves) for waves in named.values()) + sum(map(abs, error.noll.values()))
    found = []
    for waves in np.arange(SOUND_WAVES, min(size, MOST_WAVES), STEP_WAVES):
        part = float(waves) / size
        less = replace(
            error,
            **{name: part * each for name, each in named.items()},
            noll={index: part * each for index, each in error.noll.items()},
        )
        found.append(replace(path, scope=replace(path.scope, wavefront=less)))
    return found


def middle_arcsec2(path: LightPath) -> float:
    """Return the height of a star's middle, all its light taken as one, per arcsec2."""
    kept = transfer_curve(
        path.scope,
        path.sky,
        path.mount,
        aperture_mm=path.beam.aperture_mm,
        obstruction=path.beam.obstruction,
    )
    f = np.linspace(0.0, kept.cutoff_cycles_arcsec, len(kept.signed))
    middle = 2.0 * math.pi * np.trapezoid(kept.signed * path.eye_factor(f) * f, f)
    return max(float(middle), LEAST_MIDDLE)


def _first_at(r: Array, profile: Array, level: float) -> float:
    """Return where a falling profile first reaches `level`, its end where it never does."""
    below = np.flatnonzero(profile < level)
    if len(below) == 0:
        return float(r[-1])
    i = int(below[0])
    step = (profile[i - 1] - level) / (profile[i - 1] - profile[i])
    return float(r[i - 1] + (r[i] - r[i - 1]) * step)
