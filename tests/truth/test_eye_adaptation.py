"""Rods, cones and what lies between, against published formulas and worked values."""

import numpy as np
import pytest

from simview.errors import RangeError
from simview.eye.adaptation import (
    cone_efficiency,
    cone_threshold,
    just_noticeable,
    mesopic,
    rod_threshold,
)


@pytest.mark.parametrize(
    ("photopic", "ratio", "m", "expected"),
    [
        (0.01, 1.0, 0.1002, 0.0100),
        (0.1, 2.35, 0.4830, 0.1406),
        (0.3, 0.65, 0.5808, 0.2764),
        (1.0, 1.0, 0.7670, 1.0),
        (1.0, 2.35, 0.7852, 1.1338),
    ],
)
def test_mesopic_mixture_has_its_published_values(photopic, ratio, m, expected):
    # CIE 191:2010, MES2, evaluated by its fixed-point iteration; CIE TN 004:2016.
    share, luminance = mesopic(photopic, photopic * ratio)
    assert share == pytest.approx(m, abs=1e-4)
    assert luminance == pytest.approx(expected, abs=1e-4)


def test_mixture_is_all_rods_in_the_dark_and_all_cones_by_day():
    share, luminance = mesopic([1e-3, 10.0], [2e-3, 20.0])
    np.testing.assert_array_equal(share, (0.0, 1.0))
    # In the dark only V' counts: the mesopic luminance is the scotopic one.
    np.testing.assert_allclose(luminance, (2e-3, 10.0), rtol=1e-12)


def test_mixture_settles_where_the_usual_iteration_swings():
    # Gao et al. 2017, Opt. Express 25, 18365: no convergence for extreme S/P. It must satisfy its
    # own equation instead.
    share, luminance = mesopic(0.005, 0.3)
    assert 0.0 < share < 1.0
    assert share == pytest.approx(0.7670 + 0.3334 * np.log10(luminance), abs=1e-6)


def test_colour_is_gone_at_the_published_luminance():
    # Schaefer 1993, Vistas in Astronomy 36, 311: colour fades below 1500 nL = 4.8e-3 cd/m2.
    fading = 1500.0 / (1e5 * np.pi)
    # How much colour is left is the cones' share.
    assert mesopic(fading, fading)[0] == pytest.approx(0.0, abs=0.01)
    assert mesopic(0.1, 0.1)[0] > 0.4
    assert mesopic(6.0, 6.0)[0] == 1.0


@pytest.mark.parametrize(("log", "expected"), [(-4.0, -0.72), (1.9, 0.645), (3.0, 1.745)])
def test_cone_threshold_has_its_published_branches(log, expected):
    # Ferwerda et al. 1996, SIGGRAPH 96, 249, eq. 1.
    assert np.log10(cone_threshold(10.0**log)) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("log", "expected"), [(-6.0, -2.86), (-1.44, -1.835), (1.0, 0.605)])
def test_rod_threshold_has_its_published_branches(log, expected):
    # Ferwerda et al. 1996, eq. 2.
    assert np.log10(rod_threshold(10.0**log)) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("threshold", "joints"), [(cone_threshold, (-2.6, 1.9)), (rod_threshold, (-3.94, -1.44))]
)
def test_branches_of_the_thresholds_meet(threshold, joints):
    for joint in joints:
        below, above = np.log10(threshold(10.0 ** np.array([joint - 1e-6, joint + 1e-6])))
        assert above == pytest.approx(below, abs=0.015)  # as far as the printed constants go


def test_rods_and_cones_hand_over_where_ward_larson_puts_it():
    # Ward Larson et al. 1997: at log L = -0.0184, where both curves cross.
    at = 10.0**-0.0184
    assert np.log10(rod_threshold(at)) == pytest.approx(np.log10(cone_threshold(at)), abs=0.01)
    assert just_noticeable(at) == pytest.approx(float(cone_threshold(at)) * 10.0**-0.95, rel=0.02)


@pytest.mark.parametrize(
    ("pupil", "expected"),
    [(2.0, 0.945), (4.0, 0.801), (6.0, 0.623), (7.0, 0.536), (8.0, 0.457)],
)
def test_cones_take_less_from_the_pupils_edge(pupil, expected):
    # Stiles & Crawford 1933; 0.05 / mm2: Applegate & Lakshminarayanan 1993, JOSA A 10, 1611.
    assert cone_efficiency(pupil) == pytest.approx(expected, abs=6e-4)


@pytest.mark.parametrize("pupil", [2.0, 4.0, 6.0, 7.0])
def test_cone_efficiency_is_near_le_grands(pupil):
    # Le Grand's 1 - 0.0106 d^2 + 0.0000416 d^4 (from memory), an older fit: within 0.05.
    older = 1.0 - 0.0106 * pupil**2 + 0.0000416 * pupil**4
    assert cone_efficiency(pupil) == pytest.approx(older, abs=0.05)


def test_cone_efficiency_tends_to_one():
    assert cone_efficiency(1e-3) == pytest.approx(1.0, abs=1e-6)


def test_negative_light_is_refused():
    with pytest.raises(RangeError, match="luminance"):
        mesopic(-1.0, 1.0)
