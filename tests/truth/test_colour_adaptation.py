"""The eye takes a light for white as the published model has it; checked by colour-science."""

import numpy as np
import pytest
from colour_reference import STORED

import simview
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.picture.prints.whites import D65, adapting, degree

WARM = (1.0986, 1.0, 0.3558)  # CIE illuminant A


MODEL = STORED["adaptation"]


@pytest.mark.parametrize(
    ("white", "adapted"), list(zip(MODEL["whites"], MODEL["adapted"], strict=True))
)
def test_full_adaptation_is_that_of_cat16(white, adapted):
    assert pytest.approx(MODEL["to"]) == D65
    assert adapting(tuple(white), 1.0) @ MODEL["given"] == pytest.approx(adapted, rel=1e-4)


@pytest.mark.parametrize(
    ("luminance", "expected"), list(zip(MODEL["luminance_cd_m2"], MODEL["degree"], strict=True))
)
def test_degree_of_adaptation_is_that_of_cam16(luminance, expected):
    assert degree(luminance) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_white_itself_moves_from_its_own_colour_to_that_of_the_display(share):
    seen = adapting(WARM, share) @ np.array(WARM)
    # Straight between the two in the cones' channels, and so in XYZ.
    expected = (1.0 - share) * np.array(WARM) + share * np.array(D65)
    assert seen == pytest.approx(expected, rel=1e-3)


def printed(target, scope, power, wide_deg):
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    view = simview.look(kit, simview.target(target), power=power)
    image = develop_all([Wanted(view=view, pixels_per_degree=300 / wide_deg, pixels=300)]).panels[0]
    return image.astype(float)


def test_moon_is_white_and_dazzles():
    # Observers call its bright land white; by B-V of the Moon against the Sun (0.92 and 0.65, Allen
    # 1973, from memory) it is redder than sunlight by a ratio of 0.78 from blue to green light: 29
    # codes of 250 at the most, and never so flesh-coloured as the bare light (70 codes).
    scope = simview.Telescope(aperture_mm=60.0, focal_length_mm=700.0, objective="mirror")
    image = printed("moon", scope, 60.0, 50.0)
    top = image[image.sum(axis=2) >= np.quantile(image.sum(axis=2), 0.995)].mean(axis=0)
    assert 215.0 < top[1] < 252.0
    assert 0.0 < top[0] - top[2] < 30.0


def test_venus_in_an_achromat_is_pale_with_a_violet_fringe():
    scope = simview.Telescope(aperture_mm=100.0, focal_length_mm=900.0, objective="achromat")
    image = printed("venus", scope, 90.0, 4.0)
    disc = image[image.sum(axis=2).argmax() // 300, image.sum(axis=2).argmax() % 300]
    assert disc.min() > 170.0
    assert abs(disc[0] - disc[1]) < 12.0
    blue = image[..., 2] - image[..., 1]
    fringe = np.unravel_index(blue.argmax(), blue.shape)
    red, green, most = image[fringe]
    assert most > red > green


def test_bright_stars_in_an_achromat_are_white_in_a_violet_haze():
    # Common descriptions of achromats (no single source): the star itself white, blue and violet
    # light in a haze around it, seen at high power, not at low; in a small one of f/10 there is
    # little of it, and an experienced observer called 8 codes a violet ball.
    scope = simview.Telescope(aperture_mm=60.0, focal_length_mm=600.0, objective="achromat")
    haze = []
    for power in (120.0, 30.0):
        image = printed("castor", scope, power, 2.0)
        row, column = np.unravel_index(image.sum(axis=2).argmax(), image.shape[:2])
        middle = image[row, column]
        assert middle.min() > 225.0
        assert middle.max() - middle.min() < 25.0
        # 14 to 18 arcmin away at the eye, on the side away from the companion.
        ring = image[row - 45 : row - 34, column - 10 : column + 10].mean(axis=(0, 1))
        haze.append(ring[2] - ring[1])
    assert 2.0 < haze[0] < 6.0
    assert haze[1] < 1.5
