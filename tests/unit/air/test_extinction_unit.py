"""How the parts of the extinction share what the user states."""

import numpy as np
import pytest

from simview.air import extinction
from simview.kit import Sky

COLOURS = np.array([420.0, 480.0, 550.0, 620.0, 690.0])


def test_clean_air_reddens_more_than_hazy_air_of_the_same_dimming():
    # Per magnitude in V, Rayleigh air takes more blue than aerosol does.
    clean = extinction.extinction_mag(Sky(extinction_mag=0.14), COLOURS) / 0.14
    hazy = extinction.extinction_mag(Sky(extinction_mag=0.60), COLOURS) / 0.60
    assert clean[0] > hazy[0]
    assert clean[-1] < hazy[-1]


def test_less_than_clean_air_scales_all_parts_down():
    clean = extinction.rayleigh_mag(COLOURS) + extinction.ozone_mag(COLOURS)
    found = extinction.extinction_mag(Sky(extinction_mag=0.05), COLOURS)
    assert found / clean == pytest.approx(np.full(5, found[2] / clean[2]))


def test_nothing_is_lost_in_space_or_without_extinction():
    assert np.array_equal(extinction.transmission(Sky(air="none"), COLOURS), np.ones(5))
    assert np.array_equal(extinction.transmission(Sky(extinction_mag=0.0), COLOURS), np.ones(5))


def test_blue_is_dimmed_most():
    kept = extinction.transmission(Sky(altitude_deg=20.0), COLOURS)
    assert kept[0] < kept[1] < kept[2] < kept[4]
