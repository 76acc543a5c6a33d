"""Colour is seen coarser than light: hue averages, light stays sharp."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

import simview
from simview.picture.prints import chroma

PPD = 60.0


# X over Z of what only blue cones see (Smith & Pokorny 1975, their point (0.1748, 0); memory).
BLUE_X = 0.1748 / 0.8252


def grating(cycles_per_degree, *, side=256, ppd=PPD, blue=False):
    """A grating of hue at even light: red against green, or what only blue cones see."""
    wave = np.sin(2.0 * np.pi * cycles_per_degree * np.arange(side) / ppd)
    planes = np.ones((4, side, side), np.float32)
    planes[0] += 0.5 * BLUE_X * wave if blue else 0.3 * wave
    planes[2] += 0.5 * wave if blue else 0.0
    return planes


def coarse(planes, ppd=PPD):
    return chroma.hue(planes, ppd).recolour(planes, 0)


def contrast(plane):
    row = plane[plane.shape[0] // 2, 64:-64]
    return (row.max() - row.min()) / 2.0


def test_light_itself_is_not_touched():
    rng = np.random.default_rng(3)
    planes = rng.uniform(0.1, 5.0, (4, 90, 70)).astype(np.float32)
    assert np.array_equal(coarse(planes)[1], planes[1])


def test_one_hue_stays_that_hue():
    rng = np.random.default_rng(4)
    light = rng.uniform(0.1, 5.0, (64, 64))
    planes = np.stack([0.7 * light, light, 1.4 * light, light]).astype(np.float32)
    # It fades to grey by a part in thousands of the brightest: noise below has no hue.
    assert np.allclose(coarse(planes), planes[:3], rtol=5e-4)


# Two Gaussians, as in Zhang & Wandell 1997 (memory): 0.617 of 3.04 arcmin, which passes half of a
# grating of 3.7 cycles/degree, and 0.383 of 21 arcmin, which passes nothing of it and 0.09 of one
# of 1 cycle/degree. Mullen 1985 (memory) has sensitivity at a half at 1 and an eighth at 4
# cycles/degree; what is well above threshold looks less faded. 8 % for block means and linear
# interpolation, whose variances alone are matched.
@pytest.mark.parametrize(("cycles", "passes"), [(3.7, 0.617 * 0.5), (1.0, 0.617 * 0.95 + 0.034)])
def test_hue_gratings_pass_as_two_gaussians_let_them(cycles, passes):
    seen = coarse(grating(cycles, side=480))
    assert contrast(seen[0]) == pytest.approx(0.3 * passes, rel=0.08)
    assert contrast(seen[2]) < 0.01


def test_half_of_what_only_blue_cones_see_passes_at_1_06_cycles():
    # A Gaussian 25 arcmin wide at half its height, as the blue-blind part of the retina (Williams,
    # MacLeod & Hayhoe 1981): sigma 25 / 2.3548, half passes at 1.06 cycles/degree. What the other
    # cones see of it, nothing, stays nothing.
    seen = coarse(grating(1.06, blue=True))
    assert contrast(seen[2]) == pytest.approx(0.25, rel=0.08)
    assert contrast(seen[0] - BLUE_X * seen[2]) < 0.005


def disc(light=1.0, radius_deg=1.3, side=240, ppd=60.0):
    """A disc 2.6 degrees wide on black, banded at 2.2 cycles/degree, and how far out each place is.

    So wide are Jupiter and its northern belt at 200 times.
    """
    down, right = np.indices((side, side)) / ppd - side / ppd / 2.0
    away = np.hypot(down, right)
    wave = np.sin(2.0 * np.pi * 2.2 * down)
    planes = np.ones((4, side, side), np.float32)
    planes[0] += 0.3 * wave + 0.5 * BLUE_X * wave
    planes[2] += 0.5 * wave
    return (planes * (light * (away < radius_deg) + 1e-4)).astype(np.float32), away, wave


def share(plane, light, wave, where):
    """How much of a wave of hue is left in a plane over light, at some places."""
    ratio = (plane / light)[where]
    return float(np.polyfit(wave[where], ratio, 1)[0])


def test_clear_hue_of_bands_is_seen_nearly_as_it_is_and_blue_as_well_as_red():
    # Smith, Jin & Pokorny 2001, Vision Res. 41, 1007 (abstract): squares beside each other contrast
    # in hue at 0.7 cycles/degree and melt together at 9, the change is near 4 on either axis of the
    # cones. A Gaussian of which half passes at 3.7 leaves exp(-ln 2 (2.2 / 3.7)^2) = 0.78.
    planes, away, wave = disc()
    seen = chroma.hue(planes, 60.0, clear=True).recolour(planes, 0)
    inside = away < 0.8
    red, blue = (share(seen[k], seen[1], wave, inside) for k in (0, 2))
    assert blue / 0.5 == pytest.approx(0.78, abs=0.06)
    assert (red - BLUE_X * blue) / 0.3 == pytest.approx(0.78, abs=0.06)
    usual = chroma.hue(planes, 60.0).recolour(planes, 0)
    assert share(usual[2], usual[1], wave, inside) < 0.3 * blue


def test_hue_at_a_discs_edge_is_no_clearer_for_that():
    # There are the air's colours, which an edge of light masks.
    planes, away, _ = disc()
    both = [chroma.hue(planes, 60.0, clear=clear).recolour(planes, 0) for clear in (True, False)]
    rim = (away > 1.2) & (away < 1.5)
    assert np.abs(both[0] - both[1])[:, rim].max() < 0.02
    assert np.abs(both[0] - both[1])[:, away < 0.8].max() > 0.1


def test_coarse_hue_passes_and_fine_hue_melts():
    assert contrast(coarse(grating(0.1, side=1600))[0]) > 0.95 * 0.3
    assert contrast(coarse(grating(15.0))[0]) < 0.01


@pytest.mark.parametrize("ppd", [30.0, 60.0, 240.0, 1000.0])
def test_averaging_is_an_angle_not_a_number_of_pixels(ppd):
    planes = grating(3.7, side=int(12 * ppd / 3.7) // 2 * 2, ppd=ppd)
    middle = coarse(planes, ppd)[0][planes.shape[1] // 2]
    part = middle[len(middle) // 3 : -len(middle) // 3]
    assert (part.max() - part.min()) / 2.0 == pytest.approx(0.617 * 0.15, rel=0.1)


def test_nothing_is_done_where_pixels_are_coarser_than_hue():
    assert chroma.hue(grating(1.0), 5.0, of_stars=True) is None
    assert chroma.hue(grating(1.0), 3.0) is None


def test_blue_of_a_whole_field_melts_where_red_and_green_do_not():
    # At 8 pixels/degree 10.6 arcmin are 1.4 pixels: of 1.06 cycles/degree half passes (see above).
    seen = coarse(grating(1.06, blue=True, ppd=8.0), 8.0)
    assert contrast(seen[2]) == pytest.approx(0.25, rel=0.12)


def test_rows_fit_together_whatever_the_pieces():
    planes = grating(2.0)
    hue = chroma.hue(planes, PPD)
    whole = hue.recolour(planes, 0)
    parts = [hue.recolour(planes[:, a:b], a) for a, b in ((0, 77), (77, 200), (200, 256))]
    assert np.allclose(np.concatenate(parts, axis=1), whole, atol=1e-6)


def test_next_to_no_light_has_no_hue():
    planes = np.zeros((4, 160, 160), np.float32)
    planes[:, 109:111, 109:111] = np.array([0.8, 1.0, 1.2, 1.0])[:, None, None]
    planes[0, :8] = 1e-9  # rounding noise with no Y beside it
    assert np.all(np.isfinite(coarse(planes)))
    assert chroma.hue(planes, PPD).ratios[:, 0, 0] == pytest.approx([1.0, 1.0], abs=5e-3)


def defocused_blue(ppd=20.0, side=128):
    """A point whose blue is spread over 40 arcmin, all other light over 3; for three primaries."""
    along = (np.arange(side) - side // 2) * 60.0 / ppd
    radius = np.hypot(along[:, None], along[None, :])
    sharp, wide = (np.exp(-0.5 * (radius / sigma) ** 2) for sigma in (3.0, 20.0))
    point = np.stack([0.74 * sharp, sharp, 0.1 * sharp + 0.03 * wide, sharp])
    return radius, np.repeat(point[:, None], 3, axis=1).astype(np.float32)


def test_a_fixated_star_has_the_blue_of_all_its_light_and_keeps_the_rest():
    radius, lens = defocused_blue()
    seen = chroma.fixated(lens, 20.0)
    whole = lens[2].sum() / lens[1].sum()
    near = radius < 10.0
    np.testing.assert_allclose(seen[2][:, near], whole * lens[1][:, near], rtol=1e-4)
    np.testing.assert_array_equal(seen[1], lens[1])
    np.testing.assert_array_equal(seen[3], lens[3])
    # Of the other cones' hue an eighth to a quarter of what differs from the whole star's is left:
    # Mullen (1985) finds an eighth of the sensitivity at 4 cycles/degree. X without what the blue
    # cones add to it stands for them.
    light = lens[1].sum(axis=0)
    others = [planes[0] - planes[2] * 0.1748 / 0.8252 for planes in (lens, seen)]
    alike = others[0].sum(axis=(1, 2), keepdims=True) / light.sum() * light
    apart = np.abs(others[0] - alike) > 1e-3
    left = (others[1] - alike)[apart] / (others[0] - alike)[apart]
    assert left.min() > 0.125
    assert left.max() < 0.25
    # Beyond the part of the retina that is blind for blue the haze's blue is the light's own.
    np.testing.assert_array_equal(seen[1:, :, radius > 12.6], lens[1:, :, radius > 12.6])


def lone_light(wide_arcmin: float, ppd: float = 20.0, side: int = 200):
    """White light so wide on ground a hundredth as bright, its blue spread over 40 arcmin."""
    along = (np.arange(side) - side // 2) * 60.0 / ppd
    radius = np.hypot(along[:, None], along[None, :])
    lit = (radius < 0.5 * wide_arcmin).astype(np.float32)
    blurred = gaussian_filter(lit, 17.0 / 60.0 * ppd)
    light = gaussian_filter(lit, 1.0)
    others = light + BLUE_X * (blurred - light)
    return radius, np.stack([others, light, blurred, light]).astype(np.float32) + np.float32(0.01)


# Observers: a white star in a violet haze (common practice); no one sees blue or yellow in what is
# smaller than 15 to 20 arcmin (Willmer & Wright 1945; memory). So a peak in the dark is as white as
# a star is, where the light on its middle alone has a few hundredths of its blue.
def test_small_light_in_the_dark_is_no_yellow_one_in_a_lens():
    radius, planes = lone_light(10.0)
    raw = float(planes[2].max() / planes[1].max())
    blue = [
        chroma.hue(planes, 20.0, lens=lens).recolour(planes, 0)[2][radius < 4.0].mean()
        / planes[1][radius < 4.0].mean()
        for lens in (False, True)
    ]
    assert raw < 0.1
    assert blue[0] < 0.7
    assert 0.85 < blue[1] < 1.1


# What is wider than the blue-blind part keeps what the lens makes of it, and so does the fringe
# around a light: it stays as blue as it is.
def test_fringe_and_wide_ground_keep_the_colour_of_the_lens():
    for wide in (10.0, 120.0):
        radius, planes = lone_light(wide)
        plain, filled = (
            chroma.hue(planes, 20.0, lens=lens).recolour(planes, 0)[2] for lens in (False, True)
        )
        fringe = (radius > 0.5 * wide + 20.0) & (radius < 0.5 * wide + 30.0)
        np.testing.assert_allclose(filled[fringe], plain[fringe], rtol=0.02, atol=1e-6)
    inside = radius < 30.0
    np.testing.assert_allclose(filled[inside], plain[inside], rtol=0.02)


def test_a_star_whose_colours_lie_together_stays_as_it_is():
    _, lens = defocused_blue()
    lens[2] = 1.1 * lens[1]
    np.testing.assert_allclose(chroma.fixated(lens, 20.0), lens, atol=1e-5)


def test_white_star_in_a_lens_is_white_in_its_middle():
    # Observers: a white star in a violet haze (common practice). What the whole image has of X and
    # Z over Y is the star's own colour behind the air; the light alone has a seventh of the blue.
    scope = simview.Telescope(aperture_mm=60.0, focal_length_mm=700.0, objective="achromat")
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=6.0),))
    lens = simview.look(kit, "castor", power=117.0).expose(pixels_per_degree=90.0, pixels=120)
    seen = chroma.fixated(lens.star_lens, 90.0)[:3].sum(axis=1)
    middle = seen[:, seen.shape[1] // 2, seen.shape[2] // 2]
    own = lens.star_lens[:3].sum(axis=(1, 2, 3))
    np.testing.assert_allclose(middle / middle[1], own / own[1], rtol=0.06)
