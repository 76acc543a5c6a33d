"""The eyes with which thresholds were measured, so that other eyes can be held against them.

Published thresholds stand against the luminance of what was looked at; what decides is the light
on the retina. The observers had pupils and lenses of their own: young ones. An eye behind a
telescope, or an older one, gets other light from the same luminance; here that is turned into the
luminance at which the published observers' retinas had as much.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.eye.adaptation import MESOPIC_A, MESOPIC_B, cone_efficiency
from simview.eye.media import passed

Array = NDArray[np.float64]

# Age of the observers, years: Blackwell's were 19 to 26 (Blackwell 1946, J. Opt. Soc. Am. 36, 624;
# from memory).
AGE_YEARS: Final = 23.0

# No light adapts the eye below this, cd/m2 (Crumey 2014, eq. 50 to 52: 25.1 mag/arcsec2).
DARKEST_CD_M2: Final = 1e-5

# The formula's pupil is held here, mm: it was made from pupils of 2 mm and more.
SMALLEST_MM: Final = 2.0

# Luminance and pupil have settled when a round changes the logarithm by less than this. A plain
# round leaves up to a third of the error; most rounds at the most, two by two.
_SETTLED: Final = 1e-9
_ROUNDS: Final = 12


def pupil_mm(luminance_cd_m2: ArrayLike) -> Array:
    """Return the pupil of young eyes before a large field of that luminance, mm.

    Source: de Groot & Gebhard 1952, "Pupil size as determined by adapting luminance", J. Opt. Soc.
    Am. 42, 492: log d = 0.8558 - 0.000401 (log B + 8.6)^3 with B in millilambert, the mean of
    eight studies of the time. 7.0 mm in the dark, as Crumey (2014) takes it.
    Checked by: tests/truth/test_eye_age.py
    """
    light = np.maximum(np.asarray(luminance_cd_m2, float), DARKEST_CD_M2)
    return np.asarray(np.maximum(_diameter(np.log10(light)), SMALLEST_MM))


# In millilambert by its logarithm: pi / 10 of what it is in cd/m2.
_MILLILAMBERT: Final = math.log10(math.pi / 10.0)


def _diameter(log_cd_m2: Any) -> Any:
    return 10.0 ** (0.8558 - 0.000401 * (log_cd_m2 + _MILLILAMBERT + 8.6) ** 3)


def effective_area(luminance_cd_m2: ArrayLike, pupil: ArrayLike, age_years: float) -> Array:
    """Return a pupil's area in mm2 as the retina counts it, the young lens taken for clear.

    Rods mind only the lens; for cones light near the pupil's edge counts less (Stiles-Crawford).
    Where both see, their areas are mixed by CIE 191's share of the cones.
    """
    cone_lens, rod_lens = passed(age_years, AGE_YEARS)
    share = _cones(luminance_cd_m2)
    mixed = (cone_lens * cone_efficiency(pupil)) ** share * rod_lens ** (1.0 - share)
    return np.asarray(math.pi / 4.0 * np.asarray(pupil, float) ** 2 * mixed)


def gain(luminance_cd_m2: ArrayLike, pupil: ArrayLike, age_years: float) -> Array:
    """Return the light on this retina against that on the reference one, at that luminance."""
    own = effective_area(luminance_cd_m2, pupil, age_years)
    return np.asarray(own / effective_area(luminance_cd_m2, pupil_mm(luminance_cd_m2), AGE_YEARS))


def as_seen_by(luminance_cd_m2: ArrayLike, pupil: ArrayLike, age_years: float) -> Array:
    """Return the luminance that gives the reference observer's retina as much light.

    Parameters
    ----------
    luminance_cd_m2
        Of the beam that enters the eye, not negative.
    pupil
        What it comes in through, mm: the smaller of beam and eye.
    age_years
        Of the eye, 20 to 83.

    Notes
    -----
    Checked by: tests/truth/test_eye_age.py
    """
    if np.ndim(luminance_cd_m2) == 0 and np.ndim(pupil) == 0:
        return np.asarray(_one_seen_by(float(luminance_cd_m2), float(pupil), age_years))  # type: ignore[arg-type]
    return _settled(np.asarray(luminance_cd_m2, float), pupil, age_years)


# A view asks for its sky and its object many times over.
@lru_cache(maxsize=512)
def _one_seen_by(luminance_cd_m2: float, pupil: float, age_years: float) -> float:
    first = _one_gain(luminance_cd_m2, pupil, age_years)
    return luminance_cd_m2 * _one_fixed(
        lambda share: _one_gain(luminance_cd_m2 * share, pupil, age_years), first
    )


def _one_gain(luminance_cd_m2: float, pupil: float, age_years: float) -> float:
    """Return `gain` for one luminance, in Python's own numbers: an array's cost ten times that."""
    log = math.log10(max(luminance_cd_m2, DARKEST_CD_M2))
    share = min(max(_cones_share(log), 0.0), 1.0)
    cones, rods = passed(age_years, AGE_YEARS)
    young = max(_diameter(log), SMALLEST_MM)
    own = (cones * _efficiency(pupil)) ** share * rods ** (1.0 - share)
    return float((pupil / young) ** 2 * own / _efficiency(young) ** share)


@lru_cache(maxsize=512)
def _efficiency(pupil: float) -> float:
    return float(cone_efficiency(pupil))


def _one_fixed(step: Callable[[float], float], first: float) -> float:
    """Return `_fixed` for one number."""
    at = math.log(first)
    for _ in range(_ROUNDS // 2):
        once = math.log(step(math.exp(at)))
        twice = math.log(step(math.exp(once)))
        slower, last = once - at, twice - once
        at = twice
        if abs(last) < _SETTLED:
            break
        if abs(last) < abs(slower):
            at -= last**2 / (last - slower)
    return math.exp(at)


def _settled(light: Array, pupil: ArrayLike, age_years: float) -> Array:
    return light * _fixed(
        lambda share: gain(light * share, pupil, age_years), gain(light, pupil, age_years)
    )


def _fixed(step: Callable[[Array], Array], first: Array) -> Array:
    """Return the positive numbers that `step` leaves as they are.

    Source: Aitken's delta-squared process after every two steps (Steffensen 1933), on logarithms.
    """
    at = np.log(first)
    for _ in range(_ROUNDS // 2):
        once = np.log(step(np.exp(at)))
        twice = np.log(step(np.exp(once)))
        slower, last = once - at, twice - once
        at = twice
        if np.abs(last).max(initial=0.0) < _SETTLED:
            break
        bend = last - slower
        ahead = np.divide(last**2, bend, out=np.zeros_like(last), where=bend != 0.0)
        at = at - np.where(np.abs(last) < np.abs(slower), ahead, 0.0)
    return np.asarray(np.exp(at))


def retinal_troland(luminance_cd_m2: ArrayLike) -> Array:
    """Return the light on the reference observer's retina, as the retina counts it, troland."""
    if np.ndim(luminance_cd_m2) == 0:
        return np.asarray(_one_retinal_troland(float(luminance_cd_m2)))  # type: ignore[arg-type]
    light = np.asarray(luminance_cd_m2, float)
    return light * effective_area(light, pupil_mm(light), AGE_YEARS)


# Every power of a curve asks for its object and for the same sky.
@lru_cache(maxsize=512)
def _one_retinal_troland(luminance_cd_m2: float) -> float:
    log = math.log10(max(luminance_cd_m2, DARKEST_CD_M2))
    young = max(_diameter(log), SMALLEST_MM)
    cones = _efficiency(young) ** min(max(_cones_share(log), 0.0), 1.0)
    return float(luminance_cd_m2 * math.pi / 4.0 * young**2 * cones)


def of_troland(troland: ArrayLike) -> Array:
    """Return the luminance that gives the reference observer's retina so many troland.

    Stiles-Crawford left out on both sides: a troland counts the pupil's whole area.
    """
    if np.ndim(troland) == 0:
        return np.asarray(_one_of_troland(float(troland)))  # type: ignore[arg-type]
    return _of_troland(np.asarray(troland, float))


# A print asks for its sky's and its white's many times over.
@lru_cache(maxsize=512)
def _one_of_troland(troland: float) -> float:
    return float(_of_troland(np.asarray(troland)))


def _of_troland(light: Array) -> Array:

    def area(before: Array) -> Array:
        return np.asarray(math.pi / 4.0 * pupil_mm(light / before) ** 2)

    return light / _fixed(area, np.full_like(light, 30.0))


def _cones(luminance_cd_m2: ArrayLike) -> Array:
    """Return the cones' share of white light. Source: CIE 191:2010, eq. 4."""
    light = np.maximum(np.asarray(luminance_cd_m2, float), DARKEST_CD_M2)
    return np.asarray(np.clip(_cones_share(np.log10(light)), 0.0, 1.0))


def _cones_share(log_cd_m2: Any) -> Any:
    return MESOPIC_A + MESOPIC_B * log_cd_m2
