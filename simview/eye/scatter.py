"""How the eye scatters light: the published veil about a bright point, for any width of beam."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import RangeError, require_range

Array = NDArray[np.float64]

# Angles between which the glare formula holds, deg (CIE 146:2002).
VALID_DEG: Final = (0.1, 100.0)

# A beam at least this wide, mm, scatters as the whole pupil does. CIE's formula knows no pupil; the
# one of IJspeert and others comes within 0.3 of it for pupils of 3 to 7 mm, 0.1 to 1 deg.
WIDE_MM: Final = 3.0

# Beams whose widths differ by less than this step, octaves, are treated alike. A choice: 3 %.
_STEP_OCTAVES: Final = 1.0 / 24.0

# Pigmentation of the iris: 0 black, 0.5 brown, 1 light, 1.2 very light blue (CIE 146:2002).
BROWN_EYES: Final = 0.5


def beam_pupil(used_pupil_mm: float) -> float:
    """Return the width of a beam as scatter counts it: of beams nearly alike one, at most WIDE_MM.

    So a power that is turned up asks for a few tables only.
    """
    low, high, part = beams_about(used_pupil_mm)
    return high if part >= 0.5 else low


def beams_about(used_pupil_mm: float) -> tuple[float, float, float]:
    """Return the next thinner and wider beams that are told apart, and how far between this is."""
    place = math.log2(max(used_pupil_mm, 0.05)) / _STEP_OCTAVES
    step = math.floor(place)
    low, high = (min(2.0 ** (s * _STEP_OCTAVES), WIDE_MM) for s in (step, step + 1))
    return low, high, place - step


def veil_per_lux(
    angle_deg: ArrayLike,
    age_years: float,
    pigment: float = BROWN_EYES,
    *,
    pupil_mm: float = WIDE_MM,
) -> Array:
    """Return the veiling luminance in cd/m2 that one lux at the eye spreads at an angle.

    Parameters
    ----------
    angle_deg
        From the bright source, 0.1 to 100 deg.
    age_years
        20 to 83.
    pigment
        0 (very dark eyes) to 1.2 (very light ones).
    pupil_mm
        Width of the beam that enters the eye; see `share_of_beam`.

    Raises
    ------
    RangeError
        When an angle lies outside the formula's range.

    Notes
    -----
    Source: CIE 146:2002, CIE equations for disability glare, the general formula; Vos 2003, "On
    the cause of disability glare and its dependence on glare angle, age and ocular
    pigmentation", Clin. Exp. Optom. 86, 363.
    Checked by: tests/truth/test_eye_glare.py
    """
    angle = np.asarray(angle_deg, dtype=np.float64)
    low, high = VALID_DEG
    if not np.all((angle >= low) & (angle <= high)):
        raise RangeError("angle_deg", got=angle_deg, allowed=f"{low:g} to {high:g} deg")
    require_range("age_years", age_years, 20.0, 83.0, unit="years")
    require_range("pigment", pigment, 0.0, 1.2)
    aged = 1.0 + (age_years / 62.5) ** 4
    # In products: a power takes as long as ten of them.
    near = 1.0 / angle
    wide = (5.0 * near + 0.1 * pigment) * near * aged + 0.0025 * pigment
    return np.asarray(10.0 * near**2 * near * share_of_beam(angle, pupil_mm, age_years) + wide)


# Constants of the formula by IJspeert and others: age at which wide scatter has doubled, years;
# share of light that goes there in a young eye, mean of a population; pupil at which the optics'
# faults take as much light as the image keeps, mm.
_DOUBLED_YEARS: Final = 70.0
_WIDE_SHARE: Final = 0.142
_HALF_PUPIL_MM: Final = 3.2


def share_of_beam(angle_deg: ArrayLike, pupil_mm: float, age_years: float) -> Array:
    """Return how much of a whole pupil's faults a thin beam meets at an angle, above 0 to 1.

    The published spread of light in the eye is a sum of four bells: the image itself, which for
    thin beams is diffraction; the optics' faults, which grow with the pupil; and two of wide
    scatter, which ask for no pupil. This is the second one's ratio to what it is in a pupil of
    `WIDE_MM`. It belongs to that term of CIE's formula that does not age.

    Notes
    -----
    Source: IJspeert, van den Berg & Spekreijse 1993, Vision Res. 33, 15 (its constants as public
    code states them). Measured for pupils from about 2 mm up; below that it is their formula.
    Checked by: tests/truth/test_eye_glare.py
    """
    if pupil_mm >= WIDE_MM:
        return np.ones_like(np.asarray(angle_deg, float))
    sine2 = _sine2(angle_deg)
    thin, wide = (_bell(sine2, *_faults(p, age_years)) for p in (pupil_mm, WIDE_MM))
    return np.asarray(np.minimum(thin / wide, 1.0))


def _faults(pupil_mm: float, age_years: float) -> tuple[float, float]:
    """Return the share of light that the optics' faults take, and the width of their bell, rad."""
    aged = 1.0 + (age_years / _DOUBLED_YEARS) ** 4
    near = 1.0 / (1.0 + aged / (1.0 / _WIDE_SHARE - 1.0))
    times = 1.0 + (_HALF_PUPIL_MM / pupil_mm) ** 2
    own = 1.0 / ((9000.0 - 936.0 * math.sqrt(aged)) * pupil_mm)
    return near / times, times * (math.sqrt(aged) / 2000.0 - own)


def bell(angle_deg: ArrayLike, share: float, width_rad: float) -> Array:
    """Return the light per sr that one bell of that formula has at an angle."""
    return _bell(_sine2(angle_deg), share, width_rad)


def _sine2(angle_deg: ArrayLike) -> Array:
    return np.asarray(np.sin(np.radians(np.asarray(angle_deg, float))) ** 2)


def _bell(sine2: Array, share: float, width_rad: float) -> Array:
    within = sine2 + width_rad**2 * (1.0 - sine2)
    return np.asarray(share * width_rad / (2.0 * math.pi) / (within * np.sqrt(within)))
