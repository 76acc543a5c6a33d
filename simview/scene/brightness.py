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


def moon_magnitude(phase_deg: float, diameter_arcsec: float = MOON_MEAN_ARCSEC) -> float:
    """Return the Moon's V.

    Source: Allen 1976, Astrophysical Quantities, as in Krisciunas & Schaefer 1991, PASP 103, 1033:
    V = -12.73 + 0.026 |phase| + 4e-9 phase^4 at the mean distance, good to phases of about 150
    deg.
    Checked by: tests/truth/test_planet_brightness.py
    """
    mean = -12.73 + 0.026 * abs(phase_deg) + 4e-9 * phase_deg**4
    return mean - 5.0 * math.log10(diameter_arcsec / MOON_MEAN_ARCSEC)
