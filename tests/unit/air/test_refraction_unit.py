"""Pressure, vapour and the direction of dispersion."""

import numpy as np
import pytest

from simview.air import refraction
from simview.kit import Sky


@pytest.mark.parametrize(
    ("elevation_m", "mmhg"),
    # ICAO standard atmosphere, as tabulated: 1013.250, 898.746, 794.952, 701.085, 540.199 hPa, over
    # 1.333224.
    [(0.0, 760.0), (1000.0, 674.11), (2000.0, 596.26), (3000.0, 525.86), (5000.0, 405.18)],
)
def test_pressure_falls_as_in_the_standard_atmosphere(elevation_m, mmhg):
    assert refraction.pressure_mmhg(elevation_m) == pytest.approx(mmhg, abs=0.05)


@pytest.mark.parametrize(
    ("temperature_c", "mmhg"),
    # Saturation pressure of water: 4.58, 9.21, 17.54 mmHg at 0, 10, 20 C (any steam table).
    [(0.0, 4.58), (10.0, 9.21), (20.0, 17.54)],
)
def test_saturated_vapour_has_the_pressure_of_the_steam_tables(temperature_c, mmhg):
    assert refraction.vapour_mmhg(temperature_c, 1.0) == pytest.approx(mmhg, rel=3e-3)


def test_nothing_is_spread_at_the_zenith_or_in_space():
    colours = np.array([420.0, 550.0, 690.0])
    overhead = refraction.dispersion_arcsec(Sky(altitude_deg=90.0), colours)
    assert overhead == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)
    space = refraction.dispersion_arcsec(Sky(air="none", altitude_deg=20.0), colours)
    assert np.array_equal(space, np.zeros(3))


def test_thin_air_spreads_less():
    colours = np.array([450.0])
    sea, mountain = (
        refraction.dispersion_arcsec(Sky(elevation_m=h), colours)[0] for h in (0.0, 3000.0)
    )
    assert mountain / sea == pytest.approx(525.9 / 760.0, rel=1e-2)


def test_vapour_matters_less_than_one_percent():
    wet, dry = (
        np.diff(refraction.index(np.array([450.0, 650.0]), vapour_mmhg=v))[0] for v in (8.0, 0.0)
    )
    assert wet / dry == pytest.approx(1.0, abs=0.01)
    assert wet != dry


@pytest.mark.parametrize(
    ("altitude_deg", "excess"), [(45.0, 0.0), (20.0, 0.005), (10.0, 0.02), (3.0, 0.29)]
)
def test_flat_layers_are_too_strong_near_the_horizon_by_what_the_page_says(altitude_deg, excess):
    # Bennett 1982, J. Inst. Navigation 35, 255: whole refraction in arcmin at 10 C and 1010 hPa,
    # cot(h + 7.31 / (h + 4.4)), h in degrees.
    bent = altitude_deg + 7.31 / (altitude_deg + 4.4)
    bennett = 60.0 / np.tan(np.radians(bent))
    n = refraction.index(550.0, pressure_mmhg=1010.0 / 1.333224, temperature_c=10.0)
    flat = (n - 1.0) * 206264.806 / np.tan(np.radians(altitude_deg))
    # His formula is itself off by up to 0.07 arcmin, 3 % of refraction at 45 deg.
    assert flat / bennett - 1.0 == pytest.approx(excess, abs=0.03)
