"""Magnitudes of Moon and planets from distance and phase."""

from __future__ import annotations

import math
from typing import Final

# Polynomials in the phase angle (deg) at 1 au from Sun and Earth, ascending powers, V magnitudes.
# Source: Mallama & Hilton 2018, Astronomy and Computing 25, 10, eqs. 2 to 15 (Venus and Mercury
# for the phases up to 163 and 170 deg, Mars up to 50 deg without rotation and season, Jupiter up to
# 12 deg; Uranus with its mean latitude term; Neptune since 2000).
# Checked by: tests/truth/test_planet_brightness.py
_NEAR: Final[dict[str, tuple[float, ...]]] = {
    "mercury": (-0.613, 6.3280e-2, -1.6336e-3, 3.3644e-5, -3.4265e-7, 1.6893e-9, -3.0334e-12),
    "venus": (-4.384, -1.044e-3, 3.687e-4, -2.814e-6, 8.938e-9),
    "mars": (-1.601, 2.267e-2, -1.302e-4),
    "jupiter": (-9.395, -3.7e-4, 6.16e-4),
    "uranus": (-7.110, 6.587e-3, 1.045e-4),
    "neptune": (-7.00, 7.944e-3, 9.617e-5),
}

# Mars beyond 50 deg of phase: another polynomial.
_MARS_FAR: Final = (-0.367, -0.02573, 0.0003445)

# Uranus brightens as its dark equator turns away: per degree of latitude.
_URANUS_LATITUDE: Final = -8.4e-4

# Phase angle, deg, below which these count as full: the Earth never sees more of it.
_FULL_BELOW: Final = {"uranus": 3.1, "neptune": 1.9}


def planet_magnitude(
    name: str, sun_au: float, earth_au: float, phase_deg: float, *, latitude_deg: float = 0.0
) -> float:
    """Return the V of a planet (Saturn has a function of its own, for its rings).

    Parameters
    ----------
    sun_au, earth_au
        Its distances.
    phase_deg
        Angle Sun - planet - Earth.
    latitude_deg
        For Uranus: planetographic latitude that faces us.
    """
    terms = _NEAR[name]
    if name == "mars" and phase_deg > 50.0:
        terms = _MARS_FAR
    if phase_deg <= _FULL_BELOW.get(name, 0.0):
        terms = terms[:1]
    near = sum(term * phase_deg**power for power, term in enumerate(terms))
    if name == "uranus":
        near += _URANUS_LATITUDE * abs(latitude_deg)
    return near + 5.0 * math.log10(sun_au * earth_au)


def saturn_magnitude(
    sun_au: float, earth_au: float, phase_deg: float, tilt_deg: float, sun_tilt_deg: float
) -> float:
    """Return the V of Saturn with its rings.

    Parameters
    ----------
    tilt_deg, sun_tilt_deg
        Planetocentric latitude of the Earth and of the Sun; on opposite sides of the ring plane
        the rings count as edge-on.

    Notes
    -----
    Source: Mallama & Hilton 2018, eq. 10 (phase below 6.5 deg, ring opening below 27 deg).
    Checked by: tests/truth/test_planet_brightness.py
    """
    opening = math.sin(math.radians(math.sqrt(max(tilt_deg * sun_tilt_deg, 0.0))))
    near = -8.914 - 1.825 * opening + 0.026 * phase_deg
    near -= 0.378 * opening * math.exp(-2.25 * phase_deg)
    return near + 5.0 * math.log10(sun_au * earth_au)


# Mean diameter of the Moon's disc, arcsec: 1737.4 km at 384 400 km. Source: IAU; mean distance.
MOON_MEAN_ARCSEC: Final = 1864.6


# The Moon's disc reflectance by phase g and the Sun's longitude on it: coefficients of the three
# bands of the lunar observatory nearest V, 544.0, 549.1 and 553.8 nm (a0 to a3, b1 to b3, d1 to
# d3), and of all bands (c1 to c4, p1 to p4). Source: Kieffer & Stone 2005, Astron. J. 129, 2887,
# eq. 10 and table 4, read in a public transcription; valid from 1.55 to 97 deg.
_MOON_BANDS: Final = (
    (-2.13864, -1.60613, 0.27886, -0.16426, 0.03833, 0.01189, -0.00390, 0.37190, -0.10629, 0.01428),
    (-2.10782, -1.66736, 0.41697, -0.22026, 0.03451, 0.01452, -0.00517, 0.36814, -0.09815, 0.0),
    (-2.12504, -1.65970, 0.38409, -0.20655, 0.04052, 0.01009, -0.00388, 0.37206, -0.10745, 0.00347),
)
_MOON_C: Final = (0.00034115, -0.0013425, 0.00095906, 0.00066229)
_MOON_P: Final = (4.06054, 12.8802, -30.5858, 16.7498)
_MOON_VALID_DEG: Final = (1.55, 97.0)

# V of the Sun at 1 au. Source: Willmer 2018, ApJS 236, 47, table 3.
_SUN_V: Final = -26.76


def moon_magnitude(
    phase_deg: float,
    diameter_arcsec: float = MOON_MEAN_ARCSEC,
    *,
    sun_longitude_deg: float = 0.0,
    libration_deg: tuple[float, float] = (0.0, 0.0),
) -> float:
    """Return the Moon's V.

    Parameters
    ----------
    phase_deg
        Angle Sun - Moon - Earth.
    diameter_arcsec
        Of the disc.
    sun_longitude_deg
        Of the point with the Sun overhead, positive to the east (Crisium): about the phase while
        waxing, less it while waning; 0 gives the mean of both. A waxing Moon is the brighter one.
    libration_deg
        Latitude and longitude of the point that faces us.

    Notes
    -----
    Source: Kieffer & Stone 2005 from 1.55 deg of phase, where the Earth's shadow begins not to be
    far, up to 97 deg; beyond, the curve of Allen 1976,
    Astrophysical Quantities (as in Krisciunas & Schaefer 1991, PASP 103, 1033: 0.026 a + 4e-9 a^4),
    tied to it there, good to about 150 deg.
    Checked by: tests/truth/test_planet_brightness.py
    """
    phase = min(max(abs(phase_deg), _MOON_VALID_DEG[0]), _MOON_VALID_DEG[1])
    sun = math.copysign(min(abs(sun_longitude_deg), _MOON_VALID_DEG[1]), sun_longitude_deg)
    reflectance = _moon_reflectance(phase, math.radians(sun), libration_deg)
    sent = reflectance * math.radians(diameter_arcsec / 7200.0) ** 2
    further = _allen(max(abs(phase_deg), phase)) - _allen(phase)
    return _SUN_V - 2.5 * math.log10(sent) + further


def _allen(phase_deg: float) -> float:
    return 0.026 * phase_deg + 4e-9 * phase_deg**4


def _moon_reflectance(phase: float, sun: float, libration_deg: tuple[float, float]) -> float:
    """Return the mean of the three bands; `phase` in deg, the Sun's longitude in radians."""
    latitude, longitude = libration_deg
    p1, p2, p3, p4 = _MOON_P
    g = math.radians(phase)
    turned = _MOON_C[0] * latitude + _MOON_C[1] * longitude
    turned += sun * (_MOON_C[2] * latitude + _MOON_C[3] * longitude)
    found = []
    for a0, a1, a2, a3, b1, b2, b3, d1, d2, d3 in _MOON_BANDS:
        smooth = a0 + g * (a1 + g * (a2 + g * a3)) + sun * (b1 + sun**2 * (b2 + sun**2 * b3))
        surge = d1 * math.exp(-phase / p1) + d2 * math.exp(-phase / p2)
        found.append(math.exp(smooth + turned + surge + d3 * math.cos((phase - p3) / p4)))
    return sum(found) / len(found)
