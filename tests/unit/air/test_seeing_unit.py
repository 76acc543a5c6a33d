"""The air's factor on the transfer function: what it does where."""

import math

import numpy as np
import pytest

from simview.air import seeing, turbulence
from simview.kit import Sky

FREQUENCY = np.linspace(0.0, 1.0, 11)


def factor(sky, frequency=FREQUENCY, wavelength_nm=550.0, aperture_mm=150.0):
    return seeing.transfer(
        sky, wavelength_nm=wavelength_nm, frequency=frequency, aperture_mm=aperture_mm
    )


@pytest.mark.parametrize("air", ["moment", "none"])
def test_leaves_all_when_the_air_is_a_screen_or_absent(air):
    assert np.array_equal(factor(Sky(air=air)), np.ones(11))


@pytest.mark.parametrize("air", ["long", "short"])
def test_leaves_all_when_the_seeing_is_perfect(air):
    assert np.array_equal(factor(Sky(air=air, seeing_arcsec=0.0)), np.ones(11))
    assert seeing.long_exposure_fwhm_arcsec(Sky(seeing_arcsec=0.0)) == 0.0
    assert seeing.wander_rms_arcsec(Sky(seeing_arcsec=0.0), 100.0) == 0.0


def test_takes_least_from_red_light():
    blue, green, red = (factor(Sky(), wavelength_nm=w)[5] for w in (450.0, 550.0, 650.0))
    assert blue < green < red


def test_takes_more_at_low_altitude():
    assert factor(Sky(altitude_deg=20.0))[3] < factor(Sky(altitude_deg=80.0))[3]


def test_takes_more_from_a_long_exposure_than_from_a_short_one():
    long, short = (factor(Sky(air=air)) for air in ("long", "short"))
    assert np.all(short[1:] > long[1:])
    assert short[0] == long[0] == 1.0


def test_takes_nothing_from_a_short_exposure_at_the_cut_off():
    cut_off = 0.15 / 550e-9 / 206264.806
    assert factor(Sky(air="short"), np.array([cut_off]))[0] == pytest.approx(1.0, abs=1e-9)


def test_sign_of_the_frequency_does_not_matter():
    assert np.array_equal(factor(Sky(), -FREQUENCY), factor(Sky()))


@pytest.mark.parametrize("air", ["long", "short"])
@pytest.mark.parametrize("outer_scale_m", [25.0, math.inf])
def test_single_precision_gives_the_same_to_six_figures(air, outer_scale_m):
    sky = Sky(air=air, outer_scale_m=outer_scale_m)
    single = factor(sky, FREQUENCY.astype(np.float32))
    assert single.dtype == np.float32
    assert single == pytest.approx(factor(sky), rel=2e-5, abs=1e-7)


def test_argument_is_left_as_it_was():
    frequency = FREQUENCY.copy()
    factor(Sky(), frequency)
    assert np.array_equal(frequency, FREQUENCY)


def test_endless_outer_scale_is_the_limit_of_large_ones():
    # The difference falls as the cube root of the scale: 1.42 (r / L0)^(1/3) and less.
    baseline = np.array([0.01, 0.1])
    endless = turbulence.structure_rad2(baseline, 0.1)
    gaps = [
        float(np.max(1.0 - turbulence.structure_rad2(baseline, 0.1, scale) / endless))
        for scale in (1e3, 1e6, 1e9, 1e12)
    ]
    assert gaps[0] == pytest.approx(10.0 * gaps[1], rel=0.05)
    assert gaps == sorted(gaps, reverse=True)
    assert 0.0 < gaps[-1] < 1e-4


def test_structure_function_levels_off_beyond_the_outer_scale():
    far = turbulence.structure_rad2(np.array([25.0, 50.0, 200.0]), 0.1, 10.0)
    limit = 2.0 * turbulence.VARIANCE * (10.0 / 0.1) ** (5.0 / 3.0)
    assert far == pytest.approx([limit] * 3, rel=1e-5)


def test_structure_function_is_smooth_where_the_series_ends():
    x = np.linspace(16.9, 17.1, 201) * 10.0 / (2.0 * math.pi)
    values = turbulence.structure_rad2(x, 0.1, 10.0)
    assert np.ptp(values) / values.mean() < 1e-6


def test_wander_never_turns_imaginary_for_a_tiny_outer_scale():
    assert seeing.wander_rms_arcsec(Sky(outer_scale_m=1.0), 2000.0) == 0.0


def test_image_of_the_air_is_nothing_in_space():
    assert seeing.long_exposure_fwhm_arcsec(Sky(air="none")) == 0.0
