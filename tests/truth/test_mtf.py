"""Contrast transfer of clear and obstructed pupils.

Sources: Goodman, Introduction to Fourier Optics, section 6.3 (clear pupil); O'Neill 1956, JOSA
46, 285 (annular pupil; here as areas of overlapping circles, which is the same).
"""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.telescope.quality import transfer
from simview.units import ARCSEC_PER_RADIAN

CUT_OFF = 100.0 / 550e-6 / ARCSEC_PER_RADIAN  # cycles/arcsec for 100 mm at 550 nm


def scope(**more):
    return simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, **more)


def overlap(shift, a, b):
    """Area common to circles of radius a and b whose centres are `shift` apart."""
    if shift >= a + b:
        return 0.0
    if shift <= abs(a - b):
        return np.pi * min(a, b) ** 2
    cos_a = (shift**2 + a**2 - b**2) / (2 * shift * a)
    cos_b = (shift**2 + b**2 - a**2) / (2 * shift * b)
    kite = 0.5 * np.sqrt((a + b - shift) * (a + b + shift) * (shift + a - b) * (shift - a + b))
    return a**2 * np.arccos(cos_a) + b**2 * np.arccos(cos_b) - kite


def annular(nu, e):
    s = 2.0 * nu
    area = overlap(s, 1, 1) - 2.0 * overlap(s, 1, e) + overlap(s, e, e)
    return area / (np.pi * (1.0 - e**2))


def test_cut_off_of_100_mm_is_a_period_of_1_13_arcsec():
    assert pytest.approx(0.8815, abs=1e-4) == CUT_OFF
    got = transfer(scope(), [0.98 * CUT_OFF, 1.001 * CUT_OFF, 2.0 * CUT_OFF])
    assert got[0] > 1e-3
    np.testing.assert_allclose(got[1:], 0.0, atol=1e-6)


@pytest.mark.parametrize(("nu", "value"), [(0.25, 0.685038), (0.5, 0.391002), (0.75, 0.144294)])
def test_clear_pupil_follows_goodman(nu, value):
    # 5e-6: an overlap of grey samples at whole shifts; 256 of them across
    assert transfer(scope(), [nu * CUT_OFF])[0] == pytest.approx(value, abs=5e-6)


@pytest.mark.parametrize(("nu", "value"), [(0.25, 0.5412), (0.6, 0.2893)])
def test_annular_pupil_follows_oneill(nu, value):
    assert transfer(scope(obstruction=0.33), [nu * CUT_OFF])[0] == pytest.approx(value, abs=1e-4)


@pytest.mark.parametrize("angle_deg", [0.0, 33.0])
@pytest.mark.parametrize("e", [0.0, 0.2, 0.5])
def test_any_frequency_in_any_direction_is_the_overlap_of_circles(angle_deg, e):
    nu = np.linspace(0.02, 0.98, 25)
    got = transfer(scope(obstruction=e), nu * CUT_OFF, angle_deg=angle_deg)
    wanted = [annular(n, e) for n in nu]
    # between whole shifts the overlap is interpolated
    np.testing.assert_allclose(got, wanted, atol=3e-4)


def test_transfer_of_the_image_is_that_of_the_pupil():
    """The image's own Fourier transform, by a plain sum, against the pupil's overlap."""
    star = simview.point_spread(
        scope(obstruction=0.25, wavefront=simview.Wavefront(coma=0.4, astigmatism=0.2)),
        pixel_arcsec=0.25,
        pixels=512,
        precise=True,
    )
    nu = np.array([0.1, 0.35, 0.7]) * CUT_OFF
    x = (np.arange(512) - 256) * 0.25
    row = star.image.sum(axis=0)
    summed = np.abs(np.exp(-2j * np.pi * nu[:, None] * x[None, :]) @ row)
    # the grid leaves out 1 % of the light, nearly even over the square
    np.testing.assert_allclose(summed, transfer(star.scope, nu), atol=3e-3)


def test_defocus_lowers_and_reverses_contrast():
    """One wave of defocus: first zero of the transfer near 0.38 of the geometric formula's."""
    nu = np.linspace(0.01, 0.99, 197)
    got = transfer(scope(), nu * CUT_OFF, defocus_waves=2.0)
    # geometric limit (Hopkins 1955, Proc. Roy. Soc. A 231, 91): 2 J1(a)/a, a = 8 pi W nu (1 - nu)
    first = nu[np.argmax(got < 1e-2)]
    a = 8.0 * np.pi * 2.0 * first * (1.0 - first)
    assert a == pytest.approx(3.8317, rel=0.03)
