"""The light that the sky itself adds to the view."""

from __future__ import annotations

import math
from typing import Final

from simview.kit import Sky
from simview.units import luminance_cd_m2 as _luminance_cd_m2

# A sky brighter than this, mag/arcsec2 (about 1 cd/m2), is lit by the Sun and not by a layer of
# glowing air: its zenith value is used everywhere. A choice.
_SUNLIT_MAG_ARCSEC2: Final = 12.6


def glow_path(altitude_deg: float) -> float:
    """Return how many zenith thicknesses of the glowing layer the line of sight crosses.

    Source: Krisciunas & Schaefer 1991, PASP 103, 1033, eq. 3: (1 - 0.96 sin^2 z)^(-1/2).
    Checked by: tests/truth/test_glow.py
    """
    return float((1.0 - 0.96 * math.cos(math.radians(altitude_deg)) ** 2) ** -0.5)


def luminance_cd_m2(sky: Sky) -> float:
    """Return the sky's own luminance at the object's altitude, seen from the ground.

    The stated brightness is the zenith's. Lower down the glowing layer is thicker and the air
    in front of it dims it: B = B_zenith X 10^(-0.4 k (X - 1)). City light grows faster towards
    the horizon than this natural law says.

    Source: Krisciunas & Schaefer 1991, PASP 103, 1033, eq. 2.
    Checked by: tests/truth/test_glow.py
    """
    zenith = _luminance_cd_m2(sky.sky_mag_arcsec2)
    if sky.sky_mag_arcsec2 < _SUNLIT_MAG_ARCSEC2:
        return zenith
    path = glow_path(sky.altitude_deg)
    return float(zenith * path * 10.0 ** (-0.4 * sky.extinction_mag * (path - 1.0)))
