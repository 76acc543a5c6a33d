"""The named faults' forms and directions."""

from __future__ import annotations

import numpy as np
import pytest

from simview.kit import Wavefront
from simview.telescope.pupil import axis
from simview.telescope.wavefront import path_at, path_waves

T = np.linspace(0.0, 2.0 * np.pi, 361)[None, :]
R = np.linspace(0.0, 1.0, 201)[:, None]
FAULTS = ("defocus", "spherical", "coma", "astigmatism", "trefoil")


def polar(**faults):
    return path_at(Wavefront(**faults), R * np.cos(T), R * np.sin(T))


@pytest.mark.parametrize("fault", FAULTS)
def test_strength_is_peak_to_valley_over_the_full_circle(fault):
    assert np.ptp(polar(**{fault: 0.7})) == pytest.approx(0.7, abs=1e-4)


@pytest.mark.parametrize("fault", ["coma", "astigmatism", "trefoil"])
def test_angle_turns_a_fault(fault):
    turned = polar(**{fault: 0.5, f"{fault}_angle_deg": 40.0})
    straight = polar(**{fault: 0.5})
    np.testing.assert_allclose(turned[:, 40:], straight[:, :-40], atol=1e-12)


def test_formulas_are_the_conventions():
    np.testing.assert_allclose(polar(defocus=2.0), 2.0 * R**2 + 0 * T, atol=1e-12)
    np.testing.assert_allclose(polar(spherical=1.0), 4.0 * (R**4 - R**2) + 0 * T, atol=1e-12)
    np.testing.assert_allclose(polar(coma=2.0), (3.0 * R**3 - 2.0 * R) * np.cos(T), atol=1e-12)
    np.testing.assert_allclose(polar(astigmatism=2.0), R**2 * np.cos(2.0 * T), atol=1e-12)
    np.testing.assert_allclose(polar(trefoil=2.0), R**3 * np.cos(3.0 * T), atol=1e-12)


def test_faults_add_up():
    both = polar(coma=0.3, spherical=-0.2, noll={5: 0.1})
    alone = polar(coma=0.3) + polar(spherical=-0.2) + polar(noll={5: 0.1})
    np.testing.assert_allclose(both, alone, atol=1e-12)


def test_map_has_y_upwards():
    rising = path_waves(Wavefront(noll={3: 1.0}), 32)  # the vertical tilt
    assert rising[0, 16] > 0.0 > rising[-1, 16]


def test_crop_reads_the_middle_of_the_full_circle():
    wavefront = Wavefront(spherical=0.8, coma=0.3)
    x = axis(64) * 0.5
    np.testing.assert_allclose(
        path_waves(wavefront, 64, crop=0.5), path_at(wavefront, x[None, :], -x[:, None])
    )
