"""Figures of eyepieces: how they scale, what they are in simple cases, what is told of the stop."""

import math

import numpy as np
import pytest

from simview.errors import RangeError
from simview.eyepiece.lens import Lens, Surface
from simview.eyepiece.lensfigures import (
    SPOT_WAVELENGTHS_NM,
    EyepieceFigures,
    eyepiece_figures,
    vignetting,
)
from simview.eyepiece.lensfile import NAMES, barlow, lens


def figures(design: str, focal: float = 25.0, ratio: float = 10.0) -> EyepieceFigures:
    return eyepiece_figures(design, focal, ratio, 40.0 * focal)


@pytest.mark.parametrize("design", NAMES)
def test_angles_do_not_change_when_the_lens_is_scaled(design):
    small, large = figures(design, 10.0), figures(design, 40.0)
    np.testing.assert_allclose(small.blur_arcmin, large.blur_arcmin, rtol=1e-6, atol=1e-6)
    np.testing.assert_allclose(
        small.lateral_colour_arcmin, large.lateral_colour_arcmin, rtol=1e-6, atol=1e-6
    )
    np.testing.assert_allclose(small.distortion, large.distortion, rtol=1e-6, atol=1e-9)
    np.testing.assert_allclose(
        small.tangential_d[1:] * 10.0, large.tangential_d[1:] * 40.0, rtol=1e-6
    )
    assert small.eye_relief_mm / 10.0 == pytest.approx(large.eye_relief_mm / 40.0, rel=1e-9)
    # Waves grow with the lens at one focal ratio.
    assert small.spherical_waves * 4.0 == pytest.approx(large.spherical_waves, rel=1e-3)


@pytest.mark.parametrize("design", NAMES)
def test_astigmatic_blur_falls_with_the_focal_ratio(design):
    fast, slow = figures(design, ratio=6.0), figures(design, ratio=12.0)
    np.testing.assert_allclose(
        fast.astigmatic_blur_arcmin, 2.0 * slow.astigmatic_blur_arcmin, rtol=1e-9, atol=1e-12
    )
    # Spherical aberration in waves falls with the fourth power; the next order is left.
    near = figures(design, ratio=20.0).spherical_waves / figures(design, ratio=40.0).spherical_waves
    assert near == pytest.approx(16.0, rel=0.02)


def test_blur_of_a_long_beam_is_the_defocus_times_the_pupil():
    # A Kellner at f/10 is nearly free of all but field curvature: the blur is a disc whose
    # diameter is dioptres x pupil, and 80 % of its light lies within sqrt(0.8) of it.
    view = figures("kellner", ratio=10.0)
    at = 12
    dioptres = abs(view.tangential_d[at] + view.sagittal_d[at]) / 2.0
    disc = math.degrees(dioptres * view.exit_pupil_mm * 1e-3) * 60.0
    assert view.blur_arcmin[at] == pytest.approx(math.sqrt(0.8) * disc, rel=0.08)


def test_refocused_blur_is_never_much_more_than_the_astigmatism_and_coma_leave():
    view = figures("kellner", ratio=10.0)
    assert (view.refocused_blur_arcmin[4:] < view.blur_arcmin[4:]).all()


@pytest.mark.parametrize("design", NAMES)
def test_light_passes_the_rims_whole_at_the_middle(design):
    view = figures(design, ratio=5.0)
    assert view.vignetting[0] == 1.0
    assert (view.vignetting > 0.95).all(), "the library is made for f/5"


def test_narrow_rims_take_light_away_from_the_edge():
    layout = lens("plossl", 25.0)
    narrow = [
        Surface(radius_mm=s.radius_mm, thickness_mm=s.thickness_mm, glass=s.glass, clear_mm=17.0)
        for s in layout.surfaces
    ]
    view = eyepiece_figures(
        Lens(name="n", title="n", surfaces=tuple(narrow), apparent_field_deg=50.0),
        None,
        5.0,
        1000.0,
    )
    assert view.vignetting[0] == 1.0
    assert view.vignetting[-1] < 0.7
    assert (np.diff(view.vignetting) < 1e-9).all()


@pytest.mark.parametrize("design", NAMES)
def test_field_stop_ends_the_field_where_it_says(design):
    view = figures(design, ratio=30.0)
    place, edge = view.place, float(view.height_mm[-1])
    heights = edge * np.array([0.98, 1.02])
    inside, outside = vignetting(place, heights, edge, stop=True)[4]
    # At 555 nm; the ring lies in the focal plane, so light just inside passes whole.
    assert inside == 1.0
    assert outside == 0.0


def test_field_stop_of_a_huygens_is_smaller_than_the_image_before_it():
    view = figures("huygens")
    # The field lens 2:1 images its focus with 0.75 (thin lenses: f / f_field = 4/3 / 2 is the
    # power ratio, 1 - s'/f_field with s' = 0.5 of the eye lens's focal length).
    assert view.field_stop_mm / view.image_field_mm == pytest.approx(0.75, rel=0.03)
    assert figures("plossl").field_stop_mm == pytest.approx(figures("plossl").image_field_mm)


def test_barlow_before_an_eyepiece_lengthens_the_eye_relief_and_the_power():
    piece = lens("plossl", 20.0)
    alone = eyepiece_figures(piece, None, 5.0, 750.0)
    both = eyepiece_figures(piece.behind(barlow(-80.0), 95.0), None, 5.0, 750.0)
    factor = alone.focal_length_mm / both.focal_length_mm
    assert 1.8 < factor < 2.2
    assert both.exit_pupil_mm == pytest.approx(alone.exit_pupil_mm / factor, rel=1e-9)
    assert both.eye_relief_mm > alone.eye_relief_mm


def test_curved_field_of_the_telescope_adds_its_own_vergence():
    flat = eyepiece_figures("plossl", 20.0, 6.0, 900.0)
    bent = eyepiece_figures("plossl", 20.0, 6.0, 900.0, field_radius_mm=-300.0)
    # Newton: light of an image dz nearer the telescope leaves converging, 1000 dz / f^2 dioptres
    # beyond infinity.
    height = flat.height_mm[8]
    shift = 1000.0 * (height**2 / (2.0 * -300.0)) / 20.0**2
    gained = (bent.sagittal_d - flat.sagittal_d)[8]
    # Off axis the beam is bent more; a fifth covers it at half the field.
    assert gained == pytest.approx(shift, rel=0.2)


def test_figures_out_of_range_are_refused():
    for ratio, distance in ((1.0, 1000.0), (10.0, 5.0), (float("nan"), 1000.0)):
        with pytest.raises(RangeError):
            eyepiece_figures("plossl", 25.0, ratio, distance)
    with pytest.raises(RangeError, match="apparent_field_deg"):
        eyepiece_figures("plossl", 25.0, 8.0, 1000.0, apparent_field_deg=2.0)


def test_spots_know_their_wavelengths():
    view = figures("plossl")
    assert view.spots.tangential.shape[0] == len(SPOT_WAVELENGTHS_NM) == 9
    assert view.at("blur_arcmin", 0.0) == view.blur_arcmin[0]
