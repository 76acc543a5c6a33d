"""Stacks through focus and cuts along the axis.

Sources: Born & Wolf, Principles of Optics, section 8.8 (three-dimensional light near focus,
figure 8.41: intensity on the axis and in the focal plane); geometrical optics far out of focus;
poppy for whole images.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import j0

import simview
from simview import units
from simview.telescope.faults import apply_faults, parse
from simview.telescope.focus import axial_cut, radial_profile, through_focus
from simview.telescope.spread import spread_stack

UNIT = 550e-6 / 100.0 * units.ARCSEC_PER_RADIAN
FAULTY = simview.Wavefront(coma=0.5, coma_angle_deg=30.0, astigmatism=0.4, spherical=0.2)


def scope(**more):
    return simview.Telescope(aperture_mm=100.0, focal_length_mm=800.0, **more)


def test_stack_is_the_single_images_one_by_one():
    telescope = scope(objective="achromat", obstruction=0.2, wavefront=FAULTY)
    colours, travel = [480.0, 550.0, 620.0], [-4.0, 0.0, 1.5]
    grid = {"pixel_arcsec": 0.3, "pixels": 96}
    stack = through_focus(telescope, travel, wavelengths_nm=colours, **grid)
    assert stack.shape == (3, 3, 96, 96)
    for k, waves in enumerate(travel):
        alone = spread_stack(telescope, wavelengths_nm=colours, defocus_waves=waves, **grid)
        # a stack takes fewer samples of the pupil: 1.5e-3 of the peak is its promise
        np.testing.assert_allclose(stack[k], alone, atol=1.5e-3 * alone.max())


def test_stack_agrees_with_poppy():
    telescope = scope(obstruction=0.3, wavefront=FAULTY)
    grid = {"pixel_arcsec": 0.3, "pixels": 64}
    stack = through_focus(telescope, [-2.0, 2.0], precise=True, **grid)
    for k, waves in enumerate((-2.0, 2.0)):
        theirs = spread_stack(
            telescope, wavelengths_nm=[550.0], defocus_waves=waves, engine="poppy", **grid
        )
        np.testing.assert_allclose(stack[k], theirs, atol=1e-11 * theirs.max())


@pytest.mark.parametrize("fault", ["astigmatism=0.5@20", "coma=0.7@75", "trefoil=0.4@10"])
def test_inside_is_outside_turned_by_half_for_faults_without_spherical(fault):
    """Conjugation turns d + W into -d - W and the image by half.

    An odd W turned by half is -W, so inside is outside as it stands; astigmatism changes its
    sign, which is a quarter turn.
    """
    telescope = apply_faults(scope(), [parse(fault)]).scope
    inside, outside = through_focus(
        telescope, [-3.0, 3.0], pixel_arcsec=0.3, pixels=129, precise=True
    )[:, 0]
    if fault.startswith("astigmatism"):
        np.testing.assert_allclose(inside, np.rot90(outside), atol=1e-9 * inside.max())
        assert np.abs(inside - outside).max() > 0.05 * inside.max()
    else:
        # W odd: I(-d)(x) = I(d)(x)
        np.testing.assert_allclose(inside, outside, atol=1e-9 * inside.max())


def test_spherical_breaks_the_likeness_of_inside_and_outside():
    telescope = scope(wavefront=simview.Wavefront(spherical=0.25))
    inside, outside = through_focus(
        telescope, [-3.0, 3.0], pixel_arcsec=0.3, pixels=129, precise=True
    )[:, 0]
    assert np.abs(inside - outside).max() > 0.3 * inside.max()


@pytest.mark.parametrize("obstruction", [0.0, 0.33])
def test_axis_goes_dark_at_whole_waves(obstruction):
    travel = np.linspace(-3.0, 3.0, 121)
    cut = axial_cut(scope(obstruction=obstruction), travel, pixel_arcsec=0.2, pixels=65)[:, 0]
    axis = cut[:, 32] / cut[:, 32].max()
    wanted = np.sinc(travel * (1.0 - obstruction**2)) ** 2
    np.testing.assert_allclose(axis, wanted, atol=2e-4)


@pytest.mark.parametrize("waves", [0.0, 0.7, 2.0])
def test_cut_follows_lommels_integral(waves):
    """I(u, v) = |2 int J0(v r) exp(i u r^2 / 2) r dr|^2 (Born & Wolf, section 8.8, eq. 11)."""
    cut = axial_cut(scope(), [waves], pixel_arcsec=UNIT / 4, pixels=64)[0, 0]
    peak = math.pi / 4.0 / 16.0
    for k in (0, 2, 5, 9, 20):
        v = math.pi * k / 4.0

        def part(r, wave, v=v):
            return 2.0 * r * j0(v * r) * wave(2.0 * math.pi * waves * r * r)

        wanted = sum(quad(part, 0.0, 1.0, args=(w,))[0] ** 2 for w in (math.cos, math.sin))
        assert cut[32 + k] / peak == pytest.approx(wanted, abs=2e-4)


@pytest.mark.parametrize("along", ["x", "y"])
def test_cut_is_the_middle_line_of_the_stack(along):
    telescope = scope(obstruction=0.25, vanes=3, vane_mm=2.0, wavefront=FAULTY)
    travel = [-6.0, -1.0, 0.0, 2.5]
    grid = {"pixel_arcsec": 0.25, "pixels": 96}
    stack = through_focus(telescope, travel, wavelengths_nm=[500.0, 600.0], **grid)
    cut = axial_cut(telescope, travel, wavelengths_nm=[500.0, 600.0], along=along, **grid)
    line = stack[:, :, 48, :] if along == "x" else stack[:, :, :, 48]
    np.testing.assert_allclose(cut, line, atol=1e-3 * stack.max())


@pytest.mark.parametrize("waves", [8.0, 15.0])
def test_far_out_of_focus_the_shadow_has_its_geometric_size(waves):
    """The disc's diameter is travel / focal ratio; the shadow's is that times the obstruction."""
    telescope = scope(obstruction=0.4)
    travel_mm = units.focus_shift_mm(waves, telescope.focal_ratio)
    disc_mm = travel_mm / telescope.focal_ratio
    radius = disc_mm / 2.0 / telescope.focal_length_mm * units.ARCSEC_PER_RADIAN
    star = simview.point_spread(
        telescope, defocus_waves=waves, pixel_arcsec=radius / 100.0, pixels=256
    )
    place, mean = radial_profile(star.image, star.pixel_arcsec)
    plateau = np.median(mean[(place > 0.55 * radius) & (place < 0.85 * radius)])
    # a straight edge's image falls to a quarter at the geometric edge (Born & Wolf, 8.7.3)
    outer = np.interp(-0.25 * plateau, -mean[95:], place[95:])
    rising = (place > 0.25 * radius) & (place < 0.5 * radius)
    inner = np.interp(0.25 * plateau, mean[rising], place[rising])
    # the edge's own width is 1 / sqrt(8 W) of the radius; the quarter stands within a fifth of it
    width = radius / math.sqrt(8.0 * waves)
    assert outer == pytest.approx(radius, abs=0.2 * width)
    assert inner == pytest.approx(0.4 * radius, abs=0.2 * width)


def test_profile_of_an_even_disc_is_even():
    y, x = np.mgrid[-32:32, -32:32]
    radius, mean = radial_profile(np.where(np.hypot(x, y) < 20.0, 2.0, 0.0), 0.5)
    assert radius[0] == 0.0
    np.testing.assert_allclose(radius[1:30], 0.5 * np.arange(1, 30), rtol=0.02, atol=0.11)
    assert (mean[:19] == 2.0).all()
    assert (mean[22:] == 0.0).all()


def test_lens_focuses_its_colours_at_their_places():
    """Each colour of an achromat is brightest where its own focus lies."""
    telescope = simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, objective="achromat")
    from simview.telescope.colour_focus import best_visual_focus_mm

    travel = np.linspace(-3.0, 8.0, 221)
    colours = [460.0, 550.0, 650.0]
    cut = axial_cut(telescope, travel, wavelengths_nm=colours, pixel_arcsec=0.2, pixels=17)
    for k, wave in enumerate(colours):
        found = travel[int(np.argmax(cut[:, k, 8]))]
        shift = telescope.focus_shift_mm(wave) - best_visual_focus_mm(telescope)
        assert found == pytest.approx(units.waves_of_defocus(shift, 10.0), abs=0.06)
