"""Colours of stars: black bodies against colour-science, B-V against published stars."""

from __future__ import annotations

import numpy as np
import pytest
from colour_reference import RGB_TO_XYZ, STORED

from simview.scene.star_colour import bv_of_temperature, rgb_of_temperature, temperature_of_bv


# colour-science: Planck's law and the CIE 1931 observer at 1 nm; ours is tabulated from 5 nm in
# mired. 0.005 in chromaticity is below what an eye tells apart.
@pytest.mark.parametrize(
    ("kelvin", "theirs"),
    list(zip(STORED["black_bodies"]["kelvin"], STORED["black_bodies"]["xy"], strict=True)),
)
def test_colour_of_a_black_body_is_that_of_colour_science(
    kelvin: float, theirs: list[float]
) -> None:
    xyz = RGB_TO_XYZ @ rgb_of_temperature(kelvin)
    np.testing.assert_allclose(xyz[:2] / xyz.sum(), theirs, atol=5e-4)


def test_colour_of_a_temperature_has_luminance_one_and_no_negative_light() -> None:
    rgb = rgb_of_temperature(np.geomspace(1000.0, 50000.0, 200))
    np.testing.assert_allclose(rgb @ [0.2126, 0.7152, 0.0722], 1.0, atol=2e-4)
    assert (rgb >= 0.0).all()


# Ballesteros 2012, EPL 97, 34008: the paper's check, the Sun B-V 0.65 -> 5778 K; Vega 0.00 and
# Antares 1.83 stand for the ends, effective temperatures 9600 and 3400-3600 K (memory; a black
# body's relation is good to some 6 % there).
def test_temperature_of_the_suns_colour_is_the_suns() -> None:
    assert temperature_of_bv(0.65) == pytest.approx(5778.0, abs=5.0)


# The same paper, eq. 14, term by term: 4600 K (1 / (0.92 x + 1.7) + 1 / (0.92 x + 0.62)).
@pytest.mark.parametrize("bv", [-0.3, 0.0, 0.4, 0.8, 1.2, 1.6])
def test_temperature_of_a_colour_index_is_ballesteros(bv: float) -> None:
    published = 4600.0 / (0.92 * bv + 1.7) + 4600.0 / (0.92 * bv + 0.62)
    assert temperature_of_bv(bv) == pytest.approx(published, rel=1e-6)


@pytest.mark.parametrize(("bv", "kelvin"), [(0.00, 9600.0), (1.83, 3500.0), (0.42, 6550.0)])
def test_temperature_of_a_known_star_is_right_within_seven_hundredths(
    bv: float, kelvin: float
) -> None:
    assert temperature_of_bv(bv) == pytest.approx(kelvin, rel=0.07)


def test_colour_index_comes_back_from_its_temperature() -> None:
    bv = np.linspace(-0.39, 2.5, 40)
    np.testing.assert_allclose(bv_of_temperature(temperature_of_bv(bv)), bv, atol=1e-9)


def test_unknown_colour_index_counts_as_the_suns() -> None:
    assert temperature_of_bv(np.nan) == pytest.approx(5772.0, abs=1e-6)
