"""Light that surfaces pass, against Fresnel's formula in other words and published values."""

import numpy as np
import pytest

from simview.eyepiece.coatings import LAYER_INDEX, reflection, transmission
from simview.eyepiece.lensfile import lens
from simview.eyepiece.trace import system

AIR, CROWN = np.array([1.0]), np.array([1.5168])


def by_matrix(before: float, behind: float, turns: float) -> float:
    """Reflection of one layer by its characteristic matrix (Born & Wolf, section 1.6.2)."""
    phase = 2.0 * np.pi * turns
    layer = np.array(
        [
            [np.cos(phase), -1j / LAYER_INDEX * np.sin(phase)],
            [-1j * LAYER_INDEX * np.sin(phase), np.cos(phase)],
        ]
    )
    top = (layer[0, 0] + layer[0, 1] * behind) * before
    low = layer[1, 0] + layer[1, 1] * behind
    return float(abs((top - low) / (top + low)) ** 2)


def test_bare_crown_reflects_four_percent():
    # Hecht, Optics, section 4.6: "about 4 %" for glass of 1.5.
    assert reflection(AIR, CROWN, np.array([550.0]), "bare")[0] == pytest.approx(0.0422, abs=1e-4)


def test_quarter_wave_of_magnesium_fluoride_leaves_a_third_on_crown():
    # Born & Wolf section 1.6.4: ((n1 n3 - n2^2)/(n1 n3 + n2^2))^2; about 1.3 % on crown.
    expected = ((1.5168 - LAYER_INDEX**2) / (1.5168 + LAYER_INDEX**2)) ** 2
    got = reflection(AIR, CROWN, np.array([550.0]), "single")[0]
    assert got == pytest.approx(expected, rel=1e-12)
    assert got == pytest.approx(0.0126, abs=2e-4)


@pytest.mark.parametrize("wavelength", [420.0, 500.0, 550.0, 690.0])
@pytest.mark.parametrize("index", [1.5168, 1.62, 1.75])
def test_layer_agrees_with_the_characteristic_matrix_from_both_sides(wavelength, index):
    turns = 550.0 / wavelength / 4.0
    wave, glass = np.array([wavelength]), np.array([index])
    assert reflection(AIR, glass, wave, "single")[0] == pytest.approx(
        by_matrix(1.0, index, turns), rel=1e-9
    )
    assert reflection(glass, AIR, wave, "single")[0] == pytest.approx(
        by_matrix(index, 1.0, turns), rel=1e-9
    )


def test_four_bare_surfaces_pass_the_product_and_coats_pass_more():
    optics = system(lens("ramsden", 20.0), [550.0])
    n = optics.index[1, 0]
    bare = transmission(optics, "bare")[0]
    assert bare == pytest.approx((1.0 - ((n - 1.0) / (n + 1.0)) ** 2) ** 4, rel=1e-12)
    assert bare < transmission(optics, "single")[0] < transmission(optics, "multi")[0] < 1.0


def test_cement_reflects_next_to_nothing_and_is_never_coated():
    crown, flint = np.array([1.5168]), np.array([1.6477])
    wave = np.array([550.0])
    bare = reflection(crown, flint, wave, "bare")[0]
    assert bare == pytest.approx(0.0017, abs=1e-4)
    for coat in ("single", "multi"):
        assert reflection(crown, flint, wave, coat)[0] == bare
