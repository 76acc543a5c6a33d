"""Brightness of the night sky against altitude: Krisciunas & Schaefer 1991, PASP 103, 1033."""

import pytest

from simview.air import glow
from simview.kit import Sky
from simview.units import luminance_cd_m2


@pytest.mark.parametrize(
    ("altitude_deg", "path"),
    # Their eq. 3, (1 - 0.96 sin^2 z)^(-1/2), by hand: z = 0, 30, 60 and 90 deg.
    [(90.0, 1.0), (60.0, 0.76**-0.5), (30.0, 0.28**-0.5), (0.0, 5.0)],
)
def test_path_through_the_glowing_layer(altitude_deg, path):
    assert glow.glow_path(altitude_deg) == pytest.approx(path, rel=1e-9)


def test_sky_at_sixty_degrees_from_the_zenith_is_brighter_by_four_tenths():
    # Their eq. 2 with their k = 0.172 mag: 1.8898 * 10^(-0.4 * 0.172 * 0.8898), 0.538 mag.
    sky = Sky(sky_mag_arcsec2=21.587, altitude_deg=30.0, extinction_mag=0.172)
    ratio = glow.luminance_cd_m2(sky) / luminance_cd_m2(21.587)
    assert ratio == pytest.approx(1.8898 * 10 ** (-0.4 * 0.172 * 0.8898), rel=1e-4)
    assert ratio == pytest.approx(1.6413, abs=2e-4)


def test_sky_at_the_zenith_is_what_the_user_says():
    sky = Sky(sky_mag_arcsec2=20.5, altitude_deg=90.0)
    assert glow.luminance_cd_m2(sky) == pytest.approx(luminance_cd_m2(20.5), rel=1e-12)


def test_sky_by_day_is_as_bright_low_as_high():
    low = glow.luminance_cd_m2(Sky(sky_mag_arcsec2=3.5, altitude_deg=10.0))
    assert low == pytest.approx(luminance_cd_m2(3.5), rel=1e-12)
