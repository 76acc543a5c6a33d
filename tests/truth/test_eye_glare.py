"""Light scattered in the eye against the published formula and against conservation of light."""

import numpy as np
import pytest

from simview.errors import RangeError
from simview.eye.glare import add_veil, scattered_fraction, veil_kernel, veil_per_lux


@pytest.mark.parametrize(("angle", "expected"), [(0.1, 10513.0), (1.0, 15.18), (10.0, 0.0677)])
def test_veil_has_its_published_value(angle, expected):
    # CIE 146:2002, general formula, 25 years, brown eyes (p = 0.5), cd/m2 per lux.
    assert veil_per_lux(angle, 25.0, 0.5) == pytest.approx(expected, rel=1e-3)


def test_simple_glare_formula_holds_between_one_and_thirty_degrees():
    # Stiles and Holladay's 10 / angle^2 (CIE 1939), the classic for a young eye: within a factor
    # of 1.6 from 1 to 30 degrees.
    angle = np.geomspace(1.0, 30.0, 30)
    ratio = veil_per_lux(angle, 30.0) / (10.0 / angle**2)
    assert np.all((ratio > 0.6) & (ratio < 1.6))


def test_a_few_per_cent_of_light_are_scattered_past_one_degree():
    # Vos 2003: intraocular straylight past 1 deg is a few per cent in a young eye and about twice
    # that at 70 to 80 years.
    young, old = (scattered_fraction(1.0, 90.0, age) for age in (25.0, 72.0))
    assert 0.03 < young < 0.10
    assert 1.7 < old / young < 2.5


def test_kernel_holds_the_scattered_share():
    kernel = veil_kernel(8.0, 5.0, 40.0)
    y, x = np.mgrid[-40:41, -40:41] / 8.0
    round_ = np.hypot(x, y) <= 5.0
    # 5 x 5 points a pixel miss 1/angle^3 near 0.1 deg by some per cent.
    assert kernel[round_].sum() == pytest.approx(scattered_fraction(0.1, 5.0, 40.0), rel=0.08)
    np.testing.assert_allclose(kernel, kernel.T)
    assert kernel[40, 40] < kernel[40, 41]  # nothing inside 0.1 deg


def test_even_light_stays_even():
    image = np.full((3, 60, 80), 7.0, np.float32)
    veiled = add_veil(image, pixels_per_degree=20.0, age_years=40.0, surround=7.0)
    np.testing.assert_allclose(veiled, 7.0, rtol=1e-5)


def test_bright_spot_veils_its_surroundings_as_the_formula_says():
    image = np.zeros((200, 200), np.float32)
    image[98:102, 98:102] = 1000.0
    scale = 20.0
    veiled = add_veil(image, pixels_per_degree=scale, age_years=40.0)
    # 16 pixels of 1000 cd/m2, each (1/20 deg)^2: illuminance in lux.
    lux = 16.0 * 1000.0 * np.radians(1.0 / scale) ** 2
    for offset in (30, 60, 80):
        expected = lux * veil_per_lux(offset / scale, 40.0)
        # The veil is computed on cells of 2 x 2 pixels; offset counts from the spot's middle.
        assert veiled[99, 99 + offset] == pytest.approx(float(expected), rel=0.06)
    assert 700.0 < veiled[100, 100] < 1000.0


def test_angles_outside_the_formula_are_refused():
    with pytest.raises(RangeError, match="angle_deg"):
        veil_per_lux(0.05, 40.0)
    with pytest.raises(RangeError, match="pigment"):
        veil_per_lux(1.0, 40.0, 2.0)
