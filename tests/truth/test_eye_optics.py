"""The eye's transfer function against the published formula.

Source: Watson 2013, "A formula for the mean human optical modulation transfer function as a
function of pupil size", Journal of Vision 13(6):18; values evaluated from its two equations.
"""

import numpy as np
import pytest

from simview.errors import RangeError
from simview.eye.optics import aberration_transfer, diffraction_transfer, human_transfer

FREQUENCIES = np.array([5.0, 10.0, 20.0, 30.0, 40.0])


@pytest.mark.parametrize(
    ("pupil", "expected"),
    [
        (2.0, (0.8647, 0.6574, 0.3530, 0.1973, 0.1112)),
        (3.0, (0.8158, 0.5626, 0.2817, 0.1641, 0.1046)),
        (4.0, (0.7129, 0.4270, 0.1967, 0.1148, 0.0754)),
        (5.0, (0.5662, 0.2953, 0.1285, 0.0750, 0.0500)),
        (6.0, (0.4308, 0.2055, 0.0872, 0.0510, 0.0343)),
    ],
)
def test_whole_eye_transfers_what_watson_found(pupil, expected):
    # 5e-4: the low-frequency and near-cut-off repairs (see aberration_transfer) reach 3e-4 here.
    np.testing.assert_allclose(human_transfer(FREQUENCIES, pupil), expected, atol=5e-4)


def test_diffraction_part_is_the_clear_pupils():
    # Goodman, Introduction to Fourier Optics: 0.685038, 0.391002, 0.144294 at a quarter, a half
    # and three quarters of the cut-off; a 2 mm pupil cuts off at 62.895 cycles/deg at 555 nm.
    cutoff = 62.895
    at = diffraction_transfer(np.array([0.25, 0.5, 0.75, 1.0, 2.0]) * cutoff, 2.0)
    np.testing.assert_allclose(at, (0.685038, 0.391002, 0.144294, 0.0, 0.0), atol=2e-5)


def test_aberration_part_is_the_formula_over_diffraction():
    u, d = 12.0, 4.0
    corner = 21.95 - 5.512 * d + 0.3922 * d**2
    cutoff = d * np.pi * 1e6 / (555.0 * 180.0)
    nu = u / cutoff
    diffraction = 2.0 / np.pi * (np.arccos(nu) - nu * np.sqrt(1.0 - nu**2))
    whole = (1.0 + (u / corner) ** 2) ** -0.62 * np.sqrt(diffraction)
    assert aberration_transfer(u, d) == pytest.approx(whole / diffraction, rel=1e-12)


def test_small_exit_pupils_see_no_aberration():
    # A mean eye is limited by diffraction below about 1.5 mm (Watson 2013 fits from 2 mm on): the
    # continued formula takes 1 % at 1.2 mm, and nothing at 1.1 mm.
    np.testing.assert_allclose(
        aberration_transfer(np.linspace(0.0, 100.0, 50), 1.2), 1.0, atol=0.01
    )
    np.testing.assert_array_equal(aberration_transfer(np.linspace(0.0, 100.0, 50), 1.1), 1.0)


def _steepest_turn(x, y):
    """Return the largest step of the slope between neighbouring intervals."""
    slope = np.diff(y) / np.diff(x)
    return np.abs(np.diff(slope)).max()


@pytest.mark.parametrize("pupil", [1.5, 1.7, 2.0, 3.0, 4.5, 6.0, 8.0])
def test_aberration_part_has_no_kink_in_frequency(pupil):
    # On a smooth curve the steps of the slope halve with the sampling; at a kink they stay.
    coarse, fine = (np.log(np.geomspace(1e-3, 120.0, n)) for n in (20001, 40001))
    ratio = _steepest_turn(fine, aberration_transfer(np.exp(fine), pupil)) / _steepest_turn(
        coarse, aberration_transfer(np.exp(coarse), pupil)
    )
    assert ratio == pytest.approx(0.5, abs=0.03)


@pytest.mark.parametrize("frequency", [1.0, 3.0, 10.0, 30.0, 60.0])
def test_aberration_part_has_no_kink_in_pupil(frequency):
    coarse, fine = (np.linspace(1.0, 9.0, n) for n in (8001, 16001))
    ratio = _steepest_turn(fine, aberration_transfer(frequency, fine)) / _steepest_turn(
        coarse, aberration_transfer(frequency, coarse)
    )
    assert ratio == pytest.approx(0.5, abs=0.05)


def test_frequency_and_pupil_broadcast():
    answer = aberration_transfer(FREQUENCIES[None, :], np.array([2.0, 4.0])[:, None])
    assert answer.shape == (2, 5)
    np.testing.assert_allclose(answer[1], aberration_transfer(FREQUENCIES, 4.0))


@pytest.mark.parametrize(("u", "d"), [(-1.0, 3.0), (np.nan, 3.0), (1.0, 0.0), (1.0, np.nan)])
def test_aberration_part_refuses_nonsense(u, d):
    with pytest.raises(RangeError):
        aberration_transfer(u, d)
