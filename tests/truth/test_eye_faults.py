"""The eye's own faults in waves against published values, and the exit pupil that hides them."""

import numpy as np
import pytest

from simview.eye.eye_faults import (
    blur_arcmin,
    fault_waves,
    with_eye,
)
from simview.kit import Telescope, Wavefront

# Waves of astigmatism, peak to valley, that leave a peak of 0.8 (Marechal's limit): the
# diffraction integral below.
ASTIGMATISM_AT_08 = 0.3673


@pytest.mark.parametrize(
    ("pupil", "expected"), [(0.5, 0.0568), (1.0, 0.2273), (2.0, 0.909), (5.0, 5.682)]
)
def test_one_dioptre_is_so_many_waves(pupil, expected):
    # W = p^2 D / 8 at 550 nm, Born & Wolf, Principles of Optics, section 8.8.
    assert fault_waves(1.0, pupil) == pytest.approx(expected, abs=6e-4)


def test_marechals_astigmatism_leaves_four_fifths_of_the_peak():
    # The diffraction integral itself: A/2 r^2 cos 2t, peak |mean(exp(2 pi i W))|^2 over the disc.
    r = np.sqrt((np.arange(4000) + 0.5) / 4000.0)
    t = (np.arange(256) + 0.5) * 2.0 * np.pi / 256.0
    waves = ASTIGMATISM_AT_08 / 2.0 * np.outer(r**2, np.cos(2.0 * t))
    assert np.abs(np.exp(2j * np.pi * waves).mean()) ** 2 == pytest.approx(0.80, abs=1e-3)


def test_one_dioptre_of_astigmatism_hides_below_an_exit_pupil_of_a_millimetre():
    # Common practice, no source: spectacles stay on at low power (exit pupil of 2 mm and more) and
    # come off at high power.
    assert fault_waves(1.0, 1.0) < ASTIGMATISM_AT_08 < fault_waves(1.0, 2.0)


def test_geometric_blur_is_pupil_times_dioptres():
    # 1 D over 5 mm is 5 mrad, 17.2 arcmin.
    assert blur_arcmin(-1.0, 5.0) == pytest.approx(17.19, abs=0.01)


def test_eyes_cylinder_becomes_the_telescopes_astigmatism():
    scope = Telescope(aperture_mm=100.0, focal_length_mm=800.0)
    seen = with_eye(scope, 1.0, cylinder_dioptre=1.0, axis_deg=30.0)
    assert seen.wavefront.astigmatism == pytest.approx(0.2273, abs=1e-4)
    assert seen.wavefront.astigmatism_angle_deg == pytest.approx(30.0)


def test_crossed_astigmatisms_cancel():
    scope = Telescope(
        aperture_mm=100.0,
        focal_length_mm=800.0,
        wavefront=Wavefront(astigmatism=fault_waves(1.0, 1.0), astigmatism_angle_deg=120.0),
    )
    seen = with_eye(scope, 1.0, cylinder_dioptre=1.0, axis_deg=30.0)
    assert seen.wavefront.astigmatism == pytest.approx(0.0, abs=1e-12)


def test_good_eye_changes_nothing():
    scope = Telescope(aperture_mm=100.0, focal_length_mm=800.0)
    assert with_eye(scope, 5.0, cylinder_dioptre=0.0) is scope
