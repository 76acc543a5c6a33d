"""The usual layers of air against the profiles that they are taken from, integrated anew.

Hufnagel-Valley "5/7" and Bufton's wind, as Andrews & Phillips 2005, Laser Beam Propagation through
Random Media, chapter 12, give them.
"""

import numpy as np
import pytest

from simview.air.seeing import fried_r0_m
from simview.air.wind import LAYERS, mean_wind_m_s
from simview.kit import Sky

W_M_S = 21.0
GROUND_M_S = 3.0
# Edges of the three parts, m.
PARTS = ((0.0, 500.0), (500.0, 5000.0), (5000.0, 40000.0))
WAVES_PER_M = 2.0 * np.pi / 0.5e-6


def cn2(h):
    return (
        0.00594 * (W_M_S / 27.0) ** 2 * (1e-5 * h) ** 10 * np.exp(-h / 1000.0)
        + 2.7e-16 * np.exp(-h / 1500.0)
        + 1.7e-14 * np.exp(-h / 100.0)
    )


def wind(h, ground=GROUND_M_S):
    return ground + 30.0 * np.exp(-(((h - 9400.0) / 4800.0) ** 2))


def integral(of, low, high):
    """Simpson's rule in steps of 1 m: nothing here is finer than 100 m."""
    h = np.linspace(low, high, 2 * round(high - low) + 1)
    weights = np.full(len(h), 2.0)
    weights[1::2] = 4.0
    weights[[0, -1]] = 1.0
    return float((weights * of(h)).sum() * (h[1] - h[0]) / 3.0)


def whole(of):
    return integral(of, 0.0, 40000.0)


def test_profile_has_the_r0_and_the_isoplanatic_angle_that_sasiela_tabulates():
    # Sasiela 1994, Electromagnetic Wave Propagation in Turbulence, table for "HV-21": 4.96 cm and
    # 6.90 urad at 0.5 um. The formulas are Fried's (1966, 1982): so the profile is typed right.
    assert (0.423 * WAVES_PER_M**2 * whole(cn2)) ** -0.6 == pytest.approx(0.0496, abs=5e-5)
    angle = (2.914 * WAVES_PER_M**2 * whole(lambda h: cn2(h) * h ** (5.0 / 3.0))) ** -0.6
    assert angle == pytest.approx(6.90e-6, abs=0.01e-6)


def test_profile_is_that_of_the_seeing_that_a_sky_has_by_itself():
    assert fried_r0_m(Sky().seeing_arcsec) == pytest.approx(0.0496, rel=0.02)


def test_wind_at_the_ground_is_the_one_that_goes_with_the_profile():
    # W is the root of the mean square wind from 5 to 20 km (Andrews & Phillips; from memory).
    square = integral(lambda h: wind(h) ** 2, 5000.0, 20000.0) / 15000.0
    assert square**0.5 == pytest.approx(W_M_S, rel=0.015)


@pytest.mark.parametrize("number", range(3))
def test_layer_is_its_part_of_the_profile(number):
    layer, (low, high) = LAYERS[number], PARTS[number]
    part = integral(cn2, low, high)
    # Both stand rounded in the list.
    assert layer.share == pytest.approx(part / whole(cn2), abs=0.0006)
    mean = (integral(lambda h: cn2(h) * wind(h) ** (5.0 / 3.0), low, high) / part) ** 0.6
    assert layer.wind_m_s == pytest.approx(mean, abs=0.06)


def test_layers_together_carry_the_air_as_the_profile_does():
    # The power 5/3: Roddier 1981, Progress in Optics 19, 281.
    mean = (whole(lambda h: cn2(h) * wind(h) ** (5.0 / 3.0)) / whole(cn2)) ** 0.6
    assert mean == pytest.approx(6.67, abs=0.01)
    assert mean_wind_m_s() == pytest.approx(mean, rel=0.005)
    assert sum(layer.share for layer in LAYERS) == pytest.approx(1.0, abs=1e-9)
