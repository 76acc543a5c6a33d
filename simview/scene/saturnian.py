"""Where Saturn's moon Titan stands without a date; it is drawn as Jupiter's moons are."""

from __future__ import annotations

import math
from typing import Final

from simview.scene.ephemeris import RADII_KM, Moonlet
from simview.scene.globe import Globe
from simview.scene.titan import TITAN_KM

# Where it stands in its orbit without a date, deg from behind the planet, eastwards. Invented.
_USUAL_DEG: Final = 248.0

NOTE: Final = "Titan at its published distance; where it stands in its orbit is invented."


def usual(globe: Globe) -> Moonlet:
    """Return Titan as it stands without a date, in the plane of the equator."""
    reach = TITAN_KM / RADII_KM["saturn"][0] * globe.radius
    angle, tilt = math.radians(_USUAL_DEG), math.radians(globe.tilt_deg)
    turn = math.radians(globe.pole_angle_deg)
    right, behind = reach * math.sin(angle), reach * math.cos(angle)
    up = behind * math.sin(tilt)
    return Moonlet(
        name="titan",
        x_arcsec=right * math.cos(turn) - up * math.sin(turn),
        y_arcsec=up * math.cos(turn) + right * math.sin(turn),
        depth_arcsec=behind * math.cos(tilt),
    )
