"""Strehl against exact diffraction integrals, fault by fault.

Sources: Born & Wolf, Principles of Optics, section 9.3 (which prints the first-order tolerances
0.25, 0.94 = 4 x 0.235, 0.60, 0.35 waves); Rayleigh 1879; the numbers are |mean of exp(i phase)|^2
over the unit disc, integrated here once more. Mahajan 1983, JOSA 73, 860: exp(-(2 pi rms)^2).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview.telescope import quality

# fault: (PV / RMS, Strehl at PV 1/8, 1/4, 1/3, 1/2)
TABLE = {
    "defocus": (3.4641, (0.9496, 0.8106, 0.6839, 0.4053)),
    "spherical": (13.4164 / 4.0, (0.9464, 0.8003, 0.6698, 0.3947)),
    "coma": (8.4853 * 2.0 / 3.0, (0.9809, 0.9256, 0.8712, 0.7317)),
    "astigmatism": (4.8990, (0.9746, 0.9021, 0.8323, 0.6602)),
}
PEAK_TO_VALLEY = (1 / 8, 1 / 4, 1 / 3, 1 / 2)
SHAPES = {
    "defocus": lambda r, t: r**2,
    "spherical": lambda r, t: 4.0 * (r**4 - r**2),
    "coma": lambda r, t: (3.0 * r**3 - 2.0 * r) * np.cos(t) / 2.0,
    "astigmatism": lambda r, t: r**2 * np.cos(2.0 * t) / 2.0,
    "trefoil": lambda r, t: r**3 * np.cos(3.0 * t) / 2.0,
}


def scope(**faults):
    return simview.Telescope(
        aperture_mm=150.0, focal_length_mm=750.0, wavefront=simview.Wavefront(**faults)
    )


def integral(fault, waves, obstruction=0.0):
    """Intensity at the centre by Gauss-Legendre quadrature in r^2 and even steps in angle."""
    node, weight = np.polynomial.legendre.leggauss(60)
    low = obstruction**2
    r = np.sqrt(low + (1.0 - low) * (node[:, None] + 1.0) / 2.0)
    t = np.arange(128)[None, :] * 2.0 * np.pi / 128
    phase = 2.0 * np.pi * waves * SHAPES[fault](r, t)
    return abs((np.exp(1j * phase).mean(axis=1) * weight).sum() / 2.0) ** 2


def centre_over_perfect(telescope, **more):
    image = simview.point_spread(telescope, precise=True, **more).image
    perfect = simview.point_spread(
        simview.Telescope(
            aperture_mm=telescope.aperture_mm,
            focal_length_mm=telescope.focal_length_mm,
            obstruction=telescope.obstruction,
        ),
        precise=True,
    ).image
    return image[256, 256] / perfect[256, 256]


@pytest.mark.parametrize("fault", TABLE)
def test_centre_falls_as_the_books_table_says(fault):
    for waves, wanted in zip(PEAK_TO_VALLEY, TABLE[fault][1], strict=True):
        got = centre_over_perfect(scope(**{fault: waves}))
        # 1e-4: four printed digits (coma at 1/2 wave: 0.7317 at the centre)
        assert got == pytest.approx(wanted, abs=1e-4), waves


@pytest.mark.parametrize("fault", SHAPES)
@pytest.mark.parametrize("waves", [0.25, 1.0, 3.0])
def test_centre_is_the_diffraction_integral(fault, waves):
    got = centre_over_perfect(scope(**{fault: waves}))
    assert got == pytest.approx(integral(fault, waves), abs=2e-6)


@pytest.mark.parametrize("fault", ["defocus", "spherical"])
def test_centre_is_the_diffraction_integral_behind_an_obstruction(fault):
    telescope = simview.Telescope(
        aperture_mm=150.0,
        focal_length_mm=750.0,
        obstruction=0.35,
        wavefront=simview.Wavefront(**{fault: 0.6}),
    )
    wanted = integral(fault, 0.6, obstruction=0.35)
    assert centre_over_perfect(telescope) == pytest.approx(wanted, abs=2e-6)


def test_strehl_is_the_brightest_place_not_the_centre():
    """Coma throws its peak aside: at half a wave the peak is 2e-4 above the centre."""
    for fault, waves, tolerance in (
        ("defocus", 0.25, 5e-4),
        ("spherical", 0.25, 1e-3),
        ("coma", 0.25, 1e-3),
        ("astigmatism", 0.25, 1e-3),
    ):
        got = simview.point_spread(scope(**{fault: waves})).strehl
        assert got == pytest.approx(integral(fault, waves), abs=tolerance)
    shifted = simview.point_spread(scope(coma=1.0))
    assert shifted.strehl > integral("coma", 1.0) + 0.01
    # the image's own brightest pixel (15 of them in one wavelength / aperture) agrees
    perfect = simview.point_spread(scope()).image.max()
    assert shifted.strehl == pytest.approx(shifted.image.max() / perfect, abs=2e-3)


def test_strehl_of_a_perfect_telescope_is_one():
    assert simview.point_spread(scope()).strehl == pytest.approx(1.0, abs=1e-6)
    aside = simview.point_spread(scope(noll={2: 1.0, 3: -0.7}))
    assert aside.strehl == pytest.approx(1.0, abs=1e-5)  # tilt only moves the star


@pytest.mark.parametrize("fault", TABLE)
def test_rms_and_peak_to_valley_stand_in_the_books_ratio(fault):
    telescope = scope(**{fault: 0.4})
    assert quality.pv_waves(telescope) == pytest.approx(0.4, abs=1e-4)
    # 1e-3: the RMS is a sum over 256 x 256 samples
    assert quality.rms_waves(telescope) == pytest.approx(0.4 / TABLE[fault][0], rel=1e-3)


def test_noll_terms_add_in_squares_and_follow_mahajan():
    telescope = scope(noll={5: 0.03, 8: 0.02, 11: -0.025, 14: 0.01})
    rms = math.sqrt(0.03**2 + 0.02**2 + 0.025**2 + 0.01**2)
    assert quality.rms_waves(telescope) == pytest.approx(rms, rel=2e-3)
    wanted = math.exp(-((2.0 * math.pi * rms) ** 2))
    # Mahajan's form is good to 1 % at Strehl 0.9
    assert simview.point_spread(telescope).strehl == pytest.approx(wanted, rel=0.01)


def test_named_faults_are_the_noll_terms_they_should_be():
    # PV A: defocus a4 = A / (2 sqrt 3); W040 = 4 A: a11 = 4 A / (6 sqrt 5);
    # coma 3A/2 r^3: a8 = A / (2 sqrt 8); astigmatism a6 = A / (2 sqrt 6)
    pairs = {
        "defocus": (4, 1.0 / (2.0 * 3**0.5)),
        "spherical": (11, 4.0 / (6.0 * 5**0.5)),
        "coma": (8, 1.0 / (2.0 * 8**0.5)),
        "astigmatism": (6, 1.0 / (2.0 * 6**0.5)),
        "trefoil": (10, 1.0 / (2.0 * 8**0.5)),
    }
    for fault, (index, factor) in pairs.items():
        named = quality.wavefront_map(scope(**{fault: 0.8}))
        term = quality.wavefront_map(scope(noll={index: 0.8 * factor}))
        np.testing.assert_allclose(named, term, atol=1e-3)
