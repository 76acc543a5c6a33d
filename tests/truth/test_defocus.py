"""Defocus: nulls on the axis, travel per wave, what the eye can refocus.

Source: Born & Wolf, Principles of Optics, section 8.8: on the axis I = sinc^2(W); behind an
obstruction W (1 - e^2) stands in place of W. W = dz / (8 F^2 lambda).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview import units


def centre(waves, obstruction=0.0):
    def of(defocus):
        telescope = simview.Telescope(
            aperture_mm=100.0, focal_length_mm=800.0, obstruction=obstruction
        )
        star = simview.point_spread(telescope, defocus_waves=defocus, precise=True)
        return star.image[256, 256]

    return of(waves) / of(0.0)


@pytest.mark.parametrize("waves", [0.1, 0.25, 0.5, 0.75, 1.5, -0.5, 6.3])
def test_centre_follows_sinc_squared(waves):
    # 2e-6: 256 samples across
    assert centre(waves) == pytest.approx(np.sinc(waves) ** 2, abs=2e-6)


@pytest.mark.parametrize(
    ("obstruction", "waves"), [(0.0, 1.0), (0.0, 2.0), (0.2, 1.0417), (0.33, 1.1222), (0.5, 4 / 3)]
)
def test_centre_goes_dark_at_the_nulls(obstruction, waves):
    assert centre(waves, obstruction) < 1e-6
    assert centre(0.8 * waves, obstruction) > 1e-3  # and is not dark beside them


def test_a_wave_at_f8_is_0_2816_mm():
    assert units.focus_shift_mm(1.0, 8.0) == pytest.approx(0.2816, abs=1e-6)
    assert units.waves_of_defocus(2.0 * 550e-6 * 64.0, 8.0) == pytest.approx(0.25, abs=1e-12)


@pytest.mark.parametrize(("exit_pupil_mm", "waves"), [(0.5, 0.0568), (1.0, 0.2273), (5.0, 5.682)])
def test_a_dioptre_at_the_eye_in_waves(exit_pupil_mm, waves):
    # travel for a dioptre is fe^2 / 1000 mm, at the eyepiece's focal ratio fe / exit pupil
    eyepiece_mm = 10.0
    got = units.waves_of_defocus(eyepiece_mm**2 / 1000.0, eyepiece_mm / exit_pupil_mm)
    assert got == pytest.approx(waves, abs=1e-3 * waves + 1e-4)


def test_inside_and_outside_focus_look_alike_without_spherical():
    telescope = simview.Telescope(
        aperture_mm=100.0,
        focal_length_mm=800.0,
        obstruction=0.3,
        wavefront=simview.Wavefront(),
    )
    inside, outside = (
        simview.point_spread(telescope, defocus_waves=w, precise=True).image for w in (-3.0, 3.0)
    )
    np.testing.assert_allclose(inside, outside, atol=1e-12)


def ring_means(star, edges_unit):
    """Mean light per pixel in rings between the given radii in lambda/D."""
    unit = 550e-6 / 100.0 * units.ARCSEC_PER_RADIAN
    radii = np.array(edges_unit) * unit
    inside = np.array([star.encircled(r) for r in radii])
    return np.diff(inside) / np.diff(np.pi * radii**2) * star.pixel_arcsec**2


def test_undercorrection_gathers_light_in_the_rim_inside_focus_only():
    """Geometrical optics (Welford, Aberrations of Optical Systems): where rays land.

    A ray from radius r lands 2 dW/dr wavelengths / aperture out. With 4A = 2 waves of r^4 - r^2
    and 5 waves of defocus it is (2w - 4) r + 8 r^3, doubled: outside focus it grows steadily to
    28, the density falling from the middle to a twelfth at the rim; inside focus it turns back
    at r = 0.76, piling the light up at 14.
    """
    telescope = simview.Telescope(
        aperture_mm=100.0, focal_length_mm=800.0, wavefront=simview.Wavefront(spherical=0.5)
    )
    inside, outside = (
        simview.point_spread(telescope, defocus_waves=w, pixel_arcsec=0.2, pixels=400, precise=True)
        for w in (-5.0, 5.0)
    )
    middle, _, rim = ring_means(inside, [1.0, 8.0, 12.0, 14.5])
    assert rim > 1.5 * middle
    middle, _, rim = ring_means(outside, [1.0, 8.0, 24.0, 28.0])
    assert rim < 0.25 * middle


def test_far_out_of_focus_the_disc_has_the_geometric_size():
    """The disc's diameter is travel / focal ratio; its edge has a quarter of the plateau.

    Source: geometric optics; straight edge, Born & Wolf, section 8.7.3.
    """
    waves = 12.0
    telescope = simview.Telescope(aperture_mm=100.0, focal_length_mm=800.0)
    travel_mm = units.focus_shift_mm(waves, 8.0)
    radius = travel_mm / 8.0 / 2.0 / 800.0 * units.ARCSEC_PER_RADIAN
    star = simview.point_spread(telescope, defocus_waves=waves, pixel_arcsec=0.5, pixels=256)
    assert 0.97 < star.encircled(1.1 * radius) < 1.0  # the edge diffracts 2 % farther out
    # light inside 0.7 of the radius, where the rings of the edge have calmed: half
    assert star.encircled(0.7 * radius) == pytest.approx(0.49, abs=0.02)
    plateau = 0.25 / (math.pi * radius**2)
    at_edge = np.interp(radius, np.arange(128) * 0.5, star.image[128, 128:])
    assert at_edge / plateau == pytest.approx(0.25, abs=0.05)
