"""Moonlight and twilight against models and measurements from outside."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from simview.air import glow
from simview.air.lit_sky import lit, moonlight_cd_m2, twilight_cd_m2
from simview.kit import Sky
from simview.units import luminance_cd_m2, mag_arcsec2


def sky_with_moon(phase_deg: float, apart_deg: float, moon_altitude_deg: float) -> float:
    """V of the zenith of a dark mountain with the Moon up."""
    moon = moonlight_cd_m2(
        phase_deg,
        apart_deg,
        moon_altitude_deg=moon_altitude_deg,
        altitude_deg=90.0,
        extinction_mag=0.12,
    )
    return mag_arcsec2(luminance_cd_m2(21.6) + moon)


def test_full_moon_lights_the_zenith_as_the_sky_model_of_paranal_says() -> None:
    # The observatory's own model (Noll et al. 2012, A&A 543, A92; Jones et al. 2013, A&A 560, A91)
    # gives V = 18.01 at the zenith for a Moon opposite the Sun, 45 degrees up and 45 degrees away.
    # It holds the surge of the exactly full Moon, 35 % or 0.33 mag, which eq. 20 leaves out, and
    # Krisciunas & Schaefer state 8 to 23 % for the rest: 0.6 mag in all, and never brighter.
    found = sky_with_moon(0.0, 45.0, 45.0)
    assert found == pytest.approx(18.01, abs=0.6)
    assert found > 18.01


def test_quarter_moon_costs_a_dark_sky_about_two_magnitudes_less_than_the_full_one() -> None:
    # The Moon's own light: V -12.74 full, -10.0 at the quarters (Allen 1976, from memory), which
    # is 2.7 mag; the opposition surge of the full Moon is not in the formula's smooth part.
    moon = {
        phase: moonlight_cd_m2(
            phase, 60.0, moon_altitude_deg=40.0, altitude_deg=60.0, extinction_mag=0.2
        )
        for phase in (0.0, 90.0)
    }
    assert 2.5 * math.log10(moon[0.0] / moon[90.0]) == pytest.approx(2.7, abs=0.2)


def test_moon_below_the_horizon_adds_nothing() -> None:
    assert (
        moonlight_cd_m2(0.0, 90.0, moon_altitude_deg=-1.0, altitude_deg=60.0, extinction_mag=0.2)
        == 0.0
    )


@pytest.mark.parametrize(("sun_altitude_deg", "lux"), [(-6.0, 3.4), (-12.0, 0.008)])
def test_twilight_is_as_bright_as_almanacs_say(sun_altitude_deg: float, lux: float) -> None:
    # Light on level ground at the ends of civil and nautical twilight: Explanatory Supplement to
    # the Astronomical Almanac 1992 (from memory). An even sky gives E = pi L; towards the Sun it
    # is brighter than at the zenith, so a factor of 2.5 either way.
    assert 1 / 2.5 < math.pi * twilight_cd_m2(sun_altitude_deg) / lux < 2.5


def test_night_has_no_twilight_and_twilight_grows_without_a_step() -> None:
    assert twilight_cd_m2(-18.0) == 0.0
    steps = [twilight_cd_m2(-depth / 10.0) for depth in range(60, 181)]
    assert all(late <= early for early, late in pairwise(steps))


def test_added_light_is_the_sum_at_the_objects_altitude() -> None:
    sky = Sky(altitude_deg=30.0, sky_mag_arcsec2=20.5)
    added = luminance_cd_m2(19.0)
    assert glow.luminance_cd_m2(lit(sky, added)) == pytest.approx(
        glow.luminance_cd_m2(sky) + added, rel=1e-9
    )
