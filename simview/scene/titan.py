"""Saturn's large moon: where it stands."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

# Titan's orbit, ecliptic and equinox of B1950: mean longitude and node in deg at Julian date
# 2411368, longitude's motion in deg a day, longitude of its pericentre in deg and motion in deg a
# year, inclination in deg, eccentricity, and mean distance in km. Source: Meeus, Astronomical
# Algorithms (2nd ed. 1998), ch. 46, after Dourneau 1987, without terms below 0.4 deg; distance:
# JPL's mean elements of satellites (1 221 870 km).
_TITAN_EPOCH: Final = 2411368.0
_TITAN_LONGITUDE: Final = (261.1582, 22.57697855)
_TITAN_NODE: Final = 168.669
_TITAN_PERICENTRE: Final = (276.59, 0.5118)
_TITAN_INCLINATION: Final = 27.70
_TITAN_ECCENTRICITY: Final = 0.0291
TITAN_KM: Final = 1_221_870.0

# Precession in longitude from B1950 to J2000, deg. Source: IAU 1976: 50.29 arcsec a year.
_B1950: Final = 0.6985
_OBLIQUITY: Final = 23.4393


def titan_km(julian_date: float) -> Vector:
    """Return Titan's place from Saturn's centre, km, J2000 equatorial; within some 0.5 deg.

    Checked by: tests/truth/test_ephemeris.py (published elongations and period).
    """
    days = julian_date - _TITAN_EPOCH
    mean = _TITAN_LONGITUDE[0] + _TITAN_LONGITUDE[1] * days
    pericentre = _TITAN_PERICENTRE[0] + _TITAN_PERICENTRE[1] * days / 365.25
    anomaly = math.radians(mean - pericentre)
    e = _TITAN_ECCENTRICITY
    centre = 2.0 * e * math.sin(anomaly) + 1.25 * e**2 * math.sin(2.0 * anomaly)
    reach = TITAN_KM * (1.0 - e**2) / (1.0 + e * math.cos(anomaly + centre))
    along = math.radians(mean - _TITAN_NODE) + centre
    tilt, node = math.radians(_TITAN_INCLINATION), math.radians(_TITAN_NODE + _B1950)
    flat = np.array([math.cos(along), math.sin(along) * math.cos(tilt), 0.0])
    x = flat[0] * math.cos(node) - flat[1] * math.sin(node)
    y = flat[0] * math.sin(node) + flat[1] * math.cos(node)
    z = math.sin(along) * math.sin(tilt)
    slant = math.radians(_OBLIQUITY)
    turned = [
        x,
        y * math.cos(slant) - z * math.sin(slant),
        y * math.sin(slant) + z * math.cos(slant),
    ]
    return reach * np.array(turned)
