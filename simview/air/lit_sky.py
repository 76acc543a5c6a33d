"""What the Moon and the Sun below the horizon add to the sky's light."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from simview.air.glow import glow_path
from simview.kit import Sky
from simview.units import luminance_cd_m2, mag_arcsec2

# One nanolambert in cd/m2: 1 lambert = 1e4 / pi cd/m2 (exact).
CD_M2_PER_NL: Final = 1e-5 / math.pi

# Zenith brightness in V against the Sun's zenith distance less 95 degrees, mag/arcsec2: a
# parabola. Source: Patat, Ugolnikov & Postylyakov 2006, A&A 455, 385, Table 1.
_TWILIGHT: Final = (11.84, 1.518, -0.057)

# The parabola was measured from 5 to 15 degrees; it turns at 13.3, and the night begins at 18.
DEEPEST_DEG: Final = 13.0
NIGHT_DEG: Final = 18.0


def moonlight_cd_m2(
    phase_deg: float,
    apart_deg: float,
    *,
    moon_altitude_deg: float,
    altitude_deg: float,
    extinction_mag: float,
) -> float:
    """Return the luminance that scattered moonlight adds to a place in the sky.

    Parameters
    ----------
    phase_deg
        Angle Sun, Moon, Earth: 0 at full Moon, 90 at the quarters.
    apart_deg
        From the Moon to the place.
    moon_altitude_deg, altitude_deg
        Of Moon and place; a Moon below the horizon adds nothing.
    extinction_mag
        At the zenith, V.

    Notes
    -----
    Source: Krisciunas & Schaefer 1991, PASP 103, 1033, eqs. 3, 15, 20 and 21.
    Checked by: tests/truth/test_moonlight.py
    """
    if moon_altitude_deg <= 0.0:
        return 0.0
    phase = abs(phase_deg)
    moon = 10.0 ** (-0.4 * (3.84 + 0.026 * phase + 4e-9 * phase**4))
    rayleigh = 10.0**5.36 * (1.06 + math.cos(math.radians(apart_deg)) ** 2)
    mie = 10.0 ** (6.15 - apart_deg / 40.0) if apart_deg > 10.0 else 6.2e7 / max(apart_deg, 1) ** 2
    dimmed = 10.0 ** (-0.4 * extinction_mag * glow_path(moon_altitude_deg))
    scattered = 1.0 - 10.0 ** (-0.4 * extinction_mag * glow_path(max(altitude_deg, 0.0)))
    return float((rayleigh + mie) * moon * dimmed * scattered * CD_M2_PER_NL)


def twilight_cd_m2(sun_altitude_deg: float) -> float:
    """Return the luminance that twilight adds near the zenith; none in the night.

    From 13 degrees below the horizon on it fades to nothing at 18, where astronomical night
    begins; the parabola of the source ends there.

    Checked by: tests/truth/test_moonlight.py
    """
    depth = -sun_altitude_deg
    if depth >= NIGHT_DEG:
        return 0.0
    at = min(max(depth, 5.0), DEEPEST_DEG) - 5.0
    a, b, c = _TWILIGHT
    mag = a + b * at + c * at * at
    if depth > DEEPEST_DEG:  # about one magnitude a degree, as before
        mag += depth - DEEPEST_DEG
    fades = min(1.0, (NIGHT_DEG - depth) / (NIGHT_DEG - DEEPEST_DEG))
    return luminance_cd_m2(mag) * fades


def lit(sky: Sky, added_cd_m2: float) -> Sky:
    """Return a sky with light added at the object's altitude, as its zenith's brightness.

    `added_cd_m2` is what arrives there; the natural glow's own way of growing with the path is
    taken out again, so that `glow.luminance_cd_m2` gives the sum.
    """
    path = glow_path(sky.altitude_deg)
    growth = path * 10.0 ** (-0.4 * sky.extinction_mag * (path - 1.0))
    total = luminance_cd_m2(sky.sky_mag_arcsec2) + added_cd_m2 / growth
    return replace(sky, sky_mag_arcsec2=mag_arcsec2(total))
