"""The eye's spectral weights against an independent library and published luminous ratios.

Independent reference: colour-science (Colour Developers), which carries the CIE tables itself.
"""

import numpy as np
import pytest
from colour_reference import STORED

from simview.eye.colour import (
    PHOTOPIC_LM_PER_W,
    SCOTOPIC_LM_PER_W,
    STEP_NM,
    WAVELENGTHS_NM,
    luminance,
    response,
)
from simview.eye.kernels import spectral_weights

TABLES = STORED["tables"]


def test_tables_are_those_of_colour_science():
    assert WAVELENGTHS_NM.tolist() == TABLES["nm"]
    expected = np.vstack((np.array(TABLES["observer"]).T, TABLES["rods"]))
    # Nine digits are written in the files.
    np.testing.assert_allclose(response(), expected, rtol=2e-9, atol=0.0)


def test_tables_lie_on_the_scene_rooms_grid():
    from simview.scene.spectrum import WAVELENGTHS_5NM

    np.testing.assert_array_equal(WAVELENGTHS_NM, WAVELENGTHS_5NM)
    assert response().shape == (4, 81)
    assert STEP_NM == 5.0


@pytest.mark.parametrize(
    ("row", "wavelength", "expected"),
    [
        # CIE 015:2018 and CIE 1951, values as printed there.
        (1, 450.0, 0.038),
        (1, 500.0, 0.323),
        (1, 550.0, 0.99495),
        (1, 555.0, 1.0),
        (1, 600.0, 0.631),
        (1, 650.0, 0.107),
        (3, 450.0, 0.455),
        (3, 500.0, 0.982),
        (3, 550.0, 0.481),
        (3, 555.0, 0.402),
        (3, 600.0, 0.03315),
        (3, 650.0, 0.000677),
    ],
)
def test_luminous_efficiency_has_the_printed_value(row, wavelength, expected):
    at = int(np.flatnonzero(wavelength == WAVELENGTHS_NM)[0])
    assert response()[row, at] == pytest.approx(expected, abs=1e-6)


def test_rods_and_cones_agree_at_555_nm():
    # The candela fixes 683 lm/W at 555 nm for any kind of vision (SI Brochure, 9th edition).
    at = int(np.flatnonzero(WAVELENGTHS_NM == 555.0)[0])
    cones = PHOTOPIC_LM_PER_W * response()[1, at]
    rods = SCOTOPIC_LM_PER_W * response()[3, at]
    assert rods == pytest.approx(cones, rel=1e-3)
    # To the digits printed: 683 / 0.401 75 at the candela's 540 THz (CIE 018:2019).
    assert pytest.approx(683.0 / 0.401750, abs=0.5) == SCOTOPIC_LM_PER_W
    assert PHOTOPIC_LM_PER_W == 683.0


def test_equal_energy_light_has_the_luminance_that_the_efficacies_give():
    # 1 W/m2/sr/nm from 380 to 780 nm in steps of 5: 683 times the sum of the independent library's
    # V (its Y), 1700 times that of its V'.
    told = spectral_weights(np.ones((1, len(WAVELENGTHS_NM))), response(), 1)[:, 0, 0]
    cones, rods = np.sum(TABLES["observer"], axis=0)[1], np.sum(TABLES["rods"])
    assert told[1] == pytest.approx(683.0 * 5.0 * cones, rel=2e-4)
    assert told[3] == pytest.approx(1700.0 * 5.0 * rods, rel=2e-4)


@pytest.mark.parametrize(
    ("kelvin", "expected"), [(2850.0, 1.410), (4000.0, 1.866), (5772.0, 2.317), (10000.0, 2.827)]
)
def test_black_bodies_have_their_scotopic_ratio(kelvin, expected):
    # CIE tables and Planck's law; Crumey 2014 uses 1.408 for Blackwell's lamp at 2850 K.
    metres = WAVELENGTHS_NM * 1e-9
    radiance = metres**-5 / np.expm1(0.0143877688 / (metres * kelvin))
    # 5 nm steps and the tails cut at 380 and 780 nm cost less than 2e-3.
    photopic, scotopic = luminance(radiance)
    assert scotopic / photopic == pytest.approx(expected, abs=3e-3)


def test_luminance_of_a_green_line_is_683_lumens_a_watt():
    line = np.zeros(81)
    line[WAVELENGTHS_NM == 555.0] = 1.0 / STEP_NM
    photopic, scotopic = luminance(line)
    assert photopic == pytest.approx(683.0)
    assert scotopic == pytest.approx(1700.0 * 0.402)


def test_tables_cannot_be_changed_by_a_caller():
    with pytest.raises(ValueError, match="read-only"):
        response()[0, 0] = 1.0
