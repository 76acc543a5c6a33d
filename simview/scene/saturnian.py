"""Where Saturn's moons stand without a date; they are drawn as Jupiter's are."""

from __future__ import annotations

import math
from typing import Final

from simview.scene.ephemeris import RADII_KM, Moonlet
from simview.scene.globe import Globe
from simview.scene.titan import TITAN_KM

# Where the moons stand without a date: distances in Saturn's radii (orbits of Allen's Astrophysical
# Quantities, memory; Titan's is the ephemeris' own) and angles in their orbits from behind the
# planet, eastwards, deg. The angles are invented.
_USUAL: Final = {
    "titan": (TITAN_KM / RADII_KM["saturn"][0], 248.0),
    "rhea": (8.75, 74.0),
    "dione": (6.26, 128.0),
    "tethys": (4.89, 281.0),
    "iapetus": (59.1, 97.0),
}

NOTE: Final = "Moons at published distances; places in their orbits invented."


def usual(globe: Globe) -> tuple[Moonlet, ...]:
    """Return Titan and four fainter moons as they stand without a date, in the equator's plane."""
    return tuple(_placed(globe, name, *where) for name, where in _USUAL.items())


def _placed(globe: Globe, name: str, radii: float, angle_deg: float) -> Moonlet:
    reach, angle = radii * globe.radius, math.radians(angle_deg)
    tilt, turn = math.radians(globe.tilt_deg), math.radians(globe.pole_angle_deg)
    right, behind = reach * math.sin(angle), reach * math.cos(angle)
    up = behind * math.sin(tilt)
    return Moonlet(
        name=name,
        x_arcsec=right * math.cos(turn) - up * math.sin(turn),
        y_arcsec=up * math.cos(turn) + right * math.sin(turn),
        depth_arcsec=behind * math.cos(tilt),
    )
