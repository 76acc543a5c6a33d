"""Saturn's moon Titan: a star beside the rings."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from simview.scene.ephemeris import RADII_KM, Moonlet
from simview.scene.globe import Globe
from simview.scene.scene import Scene, Stars
from simview.scene.star_colour import temperature_of_bv
from simview.scene.titan import TITAN_KM

# V at 1 au from Sun and Earth, and B-V. Source: Allen's Astrophysical Quantities (memory): 8.28
# and 1.28 at mean opposition.
TITAN_V: Final = -1.28
TITAN_BV: Final = 1.28

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


def with_titan(scene: Scene, globe: Globe, titan: Moonlet, sun_times_earth_au: float) -> Scene:
    """Return the scene with Titan, where the globe does not stand before or behind it."""
    if math.hypot(titan.x_arcsec, titan.y_arcsec) < globe.radius:
        return scene
    light = TITAN_V + 5.0 * math.log10(sun_times_earth_au)
    star = Stars(
        x_arcsec=np.array([titan.x_arcsec]),
        y_arcsec=np.array([titan.y_arcsec]),
        magnitude=np.array([light]),
        temperature_k=temperature_of_bv(np.array([TITAN_BV])),
    )
    return replace(scene, stars=star)
