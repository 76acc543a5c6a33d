"""The eye's own faults in waves against published values, and the exit pupil that hides them."""

import numpy as np
import pytest
from scipy.special import j0

import simview
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


# The peak left by W/2 r^2 cos 2t waves of astigmatism, W = D p^2 / 8 at 550 nm: the mean over the
# angle is J0(pi W r^2), over the disc its integral in r^2. A good eye (0 D) leaves all of it.
@pytest.mark.parametrize("dioptre", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("exit_pupil", [0.7, 1.5])
def test_peak_of_a_star_falls_with_the_eyes_cylinder_as_the_integral_says(dioptre, exit_pupil):
    waves = dioptre * exit_pupil**2 / (8.0 * 0.55)
    area = (np.arange(2000) + 0.5) / 2000.0
    left = np.mean(j0(np.pi * waves * area)) ** 2
    scope = Telescope(aperture_mm=100.0, focal_length_mm=800.0)
    good, seen = (
        simview.point_spread(each, wavelengths_nm=[550.0])
        for each in (scope, with_eye(scope, exit_pupil, cylinder_dioptre=dioptre, axis_deg=20.0))
    )
    assert seen.image.max() / good.image.max() == pytest.approx(left, abs=0.005)


def test_good_eye_sees_airys_disc_behind_a_good_telescope():
    # Airy 1835: the first dark ring at 1.22 lambda / D, the first bright one 1.75 % of the peak.
    scope = Telescope(aperture_mm=100.0, focal_length_mm=800.0)
    seen = simview.point_spread(
        with_eye(scope, 5.0, cylinder_dioptre=0.0), wavelengths_nm=[550.0], pixel_arcsec=0.02
    )
    row = seen.image[seen.image.shape[0] // 2, seen.image.shape[1] // 2 :]
    row = row / row[0]
    dark = int(np.argmax(np.diff(row) > 0.0))
    assert dark * 0.02 == pytest.approx(1.21967 * 0.55e-6 / 0.1 * 206264.8, abs=0.02)
    assert row[dark:].max() == pytest.approx(0.0175, abs=0.0005)
