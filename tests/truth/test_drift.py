"""Drift of the sky past a mount at rest."""

from datetime import datetime

import pytest

import simview
from simview.eyepiece.drift import drift_seconds
from simview.telescope.mount import SIDEREAL_DAY_S, drift_rate_arcsec_s


@pytest.mark.parametrize(
    ("declination_deg", "arcsec_per_second"),
    # 360 deg in a sidereal day of 86164.0905 s (Aoki et al. 1982, A&A 105, 359) times
    # cos(declination).
    [(0.0, 15.041), (30.0, 13.026), (45.0, 10.636), (60.0, 7.521), (80.0, 2.612), (-45.0, 10.636)],
)
def test_sky_moves_at_the_sidereal_rate(declination_deg, arcsec_per_second):
    assert drift_rate_arcsec_s(declination_deg) == pytest.approx(arcsec_per_second, abs=5e-4)


def test_sidereal_day_is_an_independent_librarys():
    # The Earth rotation angle of the IAU 2000 resolutions turns 1.00273781191135448 times in a
    # day of UT1; against the mean equinox that is the sidereal day, 0.0084 s shorter.
    era = pytest.importorskip("skyfield.earthlib").earth_rotation_angle
    turned = (era(2451545.25) - era(2451545.0)) % 1.0
    stellar_day_s = 86400.0 * 0.25 / turned
    assert pytest.approx(stellar_day_s - 0.0084, abs=1e-3) == SIDEREAL_DAY_S


@pytest.mark.parametrize(
    ("field_arcmin", "declination_deg", "seconds"),
    # A field of 30 arcmin at the equator: 119.7 s.
    [(30.0, 0.0, 119.67), (30.0, 60.0, 239.35), (15.0, 0.0, 59.84)],
)
def test_object_crosses_the_field_in_the_known_time(field_arcmin, declination_deg, seconds):
    assert drift_seconds(field_arcmin, declination_deg) == pytest.approx(seconds, abs=0.01)


def test_field_in_arcmin_is_a_quarter_of_the_seconds():
    # Common practice, no source: time the drift near the equator, divide by four.
    assert 1.0 / drift_seconds(1.0, 0.0) == pytest.approx(0.250684, abs=1e-6)


def test_object_at_the_pole_never_leaves():
    assert drift_seconds(30.0, 90.0) == float("inf")
    assert drift_seconds(30.0, -90.0) == float("inf")


@pytest.mark.parametrize("year", [1950, 2025, 2026, 2100])
@pytest.mark.parametrize(("ra", "dec"), [(37.9546, 89.2642), (186.65, -63.1), (297.7, 8.87)])
def test_declination_of_a_date_is_an_independent_librarys(year, ra, dec):
    # erfa, IAU 2006 precession and IAU 2000A nutation; the shortened nutation is 0.001 deg off.
    import erfa
    import numpy as np

    from simview.scene.ephemeris import declination_of_date

    days = (datetime(year, 1, 1) - datetime(2000, 1, 1, 12)).total_seconds() / 86400.0
    turned = erfa.pnm06a(2451545.0, days) @ erfa.s2c(np.radians(ra), np.radians(dec))
    expected = float(np.degrees(erfa.c2s(turned)[1]))
    got = declination_of_date(ra, dec, datetime(year, 1, 1))
    assert got == pytest.approx(expected, abs=2e-3)


def test_polaris_drifts_by_where_the_pole_stands_now_and_not_in_2000():
    # Polaris stood 44.15' from the pole in 2000 (its published declination, 89 15 51) and stands
    # 37.9' from it in 2025 (published almanacs give 37' to 38'; memory), nutation another 0.1'.
    polaris = simview.target("polaris")
    assert (90.0 - polaris.declination_deg) * 60.0 == pytest.approx(37.9, abs=0.3)
    dated = simview.target("polaris", date="2100-03-01", latitude_deg=45.0, longitude_deg=10.0)
    # Closest approach: 27.2' about 2100 (Meeus 1997, Mathematical Astronomy Morsels; memory).
    assert (90.0 - dated.declination_deg) * 60.0 == pytest.approx(27.2, abs=0.5)
