"""Stars in print: each magnitude told from the next, five above the limit white, then glare."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.eye.scatter import veil_per_lux
from simview.picture.prints import choices, hue, response, star_factors, tone
from simview.picture.prints.display import Display
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.scene.scene import Scene, Stars, Target


def adapted(td=0.02):
    planes = np.full((4, 64, 64), td, np.float32)
    from simview.eye.retina import Retina

    sky = Retina(
        extended=planes, points=np.zeros_like(planes), pixels_per_degree=15.0, eye_pupil_mm=6.0
    )
    return tone.adaptation([sky], reader=response.Reader(faintest_td=1.0))


@pytest.mark.parametrize("sky_td", [1e-4, 0.02, 0.2])
def test_star_just_seen_has_what_a_display_needs_and_five_magnitudes_more_is_white(sky_td):
    sheet = adapted(sky_td)
    needed = Display().faintest_star(sheet.sky_print)
    assert float(response.star_print(1.0, sheet)) == pytest.approx(choices.STAR_MARGIN * needed)
    assert float(response.star_print(100.0, sheet)) == pytest.approx(1.0)


@pytest.mark.parametrize("sky_td", [1e-4, 0.02, 0.2])
def test_each_magnitude_is_told_from_the_next_up_to_white(sky_td):
    # Weber's law holds above threshold: a difference of 0.4 in light is seen in small spots (four
    # times the just noticed one of Ward Larson et al. 1997 for grounds of a night's print).
    magnitudes = 10.0 ** (0.4 * np.arange(6.0))
    prints = response.star_print(magnitudes, adapted(sky_td))
    assert all(b > 1.4 * a for a, b in itertools.pairwise(prints))


def test_glaring_star_goes_on_growing():
    prints = response.star_print(np.array([1e2, 1e4, 1e6]), adapted())
    assert prints == pytest.approx([1.0, 10.0, 100.0])


def test_star_clearly_above_its_limit_outshines_the_haze_behind_it():
    # Stars half a magnitude above the limit there (seen 9 times in 10: Blackwell 1946) sparkle in a
    # globular's haze, as reports have it: they print at least half as bright again as a haze of
    # 0.1 of white, one that is not seen adds nothing, and on the plain sky nothing changes.
    sheet = adapted()
    above = np.array([0.5, 1.6, 2.5])
    before = star_factors.sparkle(above, np.full(3, 0.1), sheet)
    assert before[0] == 0.0
    assert 0.05 < before[1] < before[2] < 0.5
    assert np.all(star_factors.sparkle(above, np.full(3, sheet.sky_print), sheet) == 0.0)


def test_no_colour_is_kept_where_cones_give_their_most():
    sheet = adapted()
    # Half saturated: adapted cones at three times the view's white, unadapted ones at 2000 troland.
    light = 3.0 * sheet.white_td + 2000.0
    assert float(hue.unsaturated(light, sheet)) == pytest.approx(0.5)
    assert float(hue.unsaturated(0.0, sheet)) == 1.0


def test_a_small_dazzling_thing_keeps_less_of_its_colour_than_a_wide_one():
    # Venus of 20 000 troland fills a twentieth of what adaptation pools: white to observers. A
    # planet of 500 troland as small, and the Moon, keep three quarters and more.
    venus = replace(adapted(), white_td=20000.0, pooled_td=1000.0)
    mars = replace(adapted(), white_td=500.0, pooled_td=25.0)
    moon = replace(adapted(), white_td=20000.0, pooled_td=20000.0)
    assert float(hue.unsaturated(20000.0, venus)) < 0.25
    assert float(hue.unsaturated(500.0, mars)) > 0.75
    assert float(hue.unsaturated(20000.0, moon)) > 0.75


def field(magnitude):
    def paint(pixel_arcsec, pixels):
        stars = Stars(
            x_arcsec=np.zeros(1),
            y_arcsec=np.zeros(1),
            magnitude=np.array([magnitude]),
            temperature_k=np.array([6500.0]),
        )
        planes = np.zeros((3, pixels, pixels), np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=stars)

    return Target(
        name="star", title="Star", kind="stars", size_arcsec=3600.0, paint=paint, magnitude=4.0
    )


def printed(magnitude):
    scope = simview.Telescope(aperture_mm=100.0, focal_length_mm=800.0)
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=20.0),))
    view = simview.look(kit, field(magnitude), power=40.0)
    image = develop_all([Wanted(view=view, pixels_per_degree=20.0, pixels=400, star_px=3.0)])
    return image.panels[0].astype(float).mean(axis=2)


def test_brighter_stars_are_wider_on_the_sheet_and_their_glow_is_round():
    limit = 11.0
    images = [printed(limit - above) for above in (3.0, 5.0, 8.0, 12.0)]
    wide = [int((image > 100.0).sum()) for image in images]
    assert all(b > a for a, b in itertools.pairwise(wide))
    # From 5 magnitudes on its middle is white.
    assert min(image.max() for image in images[1:]) > 240.0
    brightest = images[-1]
    ground = np.median(brightest)
    across, along = brightest[200, 205:240] - ground, brightest[205:240, 200] - ground
    assert np.abs(across - along).max() < 6.0
    assert np.all(np.diff(across) < 4.0)


def test_glow_around_a_glaring_star_is_the_eyes_published_scatter():
    # CIE 146:2002: 0.5 deg from it, against the spot of 4 arcmin that the star fills.
    from simview.eye.glare import close_by

    scale = 20.0
    points = np.zeros((4, 101, 101), np.float32)
    points[:, 50, 50] = 1.0
    veil = close_by(points, scale, 40.0)[1, 50, 50 + 6]
    pixel_sr = np.radians(1.0 / scale) ** 2
    # Within CLOSE_DEG all of the scatter counts: at 0.3 deg.
    assert veil == pytest.approx(float(veil_per_lux(0.3, 40.0)) * pixel_sr, rel=0.1)
