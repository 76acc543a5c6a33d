"""How kits turn the view, and how pictures are turned."""

import numpy as np
import pytest

from simview.eyepiece.orientation import orient, orientation, signs
from simview.kit import Amplifier, Binocular, Diagonal, Kit, Telescope

MIRROR = Telescope(aperture_mm=114.0, focal_length_mm=450.0)
LENS = Telescope(aperture_mm=70.0, focal_length_mm=700.0, objective="achromat")
PRISM = Amplifier(factor=1.5, kind="erecting-prism")
BARLOW = Amplifier(factor=2.0)
WORDS = ["upright", "turned", "mirrored", "turned-mirrored"]


@pytest.mark.parametrize(
    ("kit", "used", "expected"),
    [
        (Kit(), (), "upright"),
        (Kit(binocular=Binocular(power=7, aperture_mm=50)), (), "upright"),
        (Kit(telescope=MIRROR), (), "turned"),
        (Kit(telescope=LENS), (), "turned"),
        (Kit(telescope=LENS, diagonal=Diagonal()), (), "mirrored"),
        (Kit(telescope=LENS, diagonal=Diagonal(kind="erecting")), (), "upright"),
        (Kit(telescope=LENS, amplifiers=(PRISM,)), (0,), "upright"),
        (Kit(telescope=MIRROR, amplifiers=(PRISM,)), (0,), "upright"),
        (Kit(telescope=MIRROR, amplifiers=(PRISM,)), (), "turned"),
        (Kit(telescope=MIRROR, amplifiers=(BARLOW,)), (0,), "turned"),
        (Kit(telescope=LENS, diagonal=Diagonal(), amplifiers=(PRISM,)), (0,), "upright"),
        (Kit(telescope=LENS, diagonal=Diagonal(), amplifiers=(PRISM,)), (), "mirrored"),
        (Kit(telescope=LENS, amplifiers=(PRISM, PRISM)), (0, 1), "turned"),
    ],
)
def test_kit_turns_the_view_as_its_mirrors_and_prisms_do(kit, used, expected):
    assert orientation(kit, used) == expected


@pytest.mark.parametrize("pixels", [(5, 7), (6, 8)])
@pytest.mark.parametrize("word", WORDS)
def test_pixel_moves_to_the_other_side_of_the_centre_pixel(pixels, word):
    ny, nx = pixels
    picture = np.zeros(pixels)
    picture[ny // 2 - 2, nx // 2 + 1] = 1.0  # two up, one to the right
    right, up = signs(word)
    row, column = np.unravel_index(orient(picture, word).argmax(), pixels)
    assert (row, column) == (ny // 2 - 2 * up, nx // 2 + right)


@pytest.mark.parametrize("word", WORDS)
def test_turning_twice_gives_the_picture_back(word):
    picture = np.random.default_rng(3).random((2, 6, 7))
    assert np.array_equal(orient(orient(picture, word), word), picture)


def test_every_plane_of_a_stack_is_turned_alike():
    stack = np.random.default_rng(3).random((3, 4, 6, 8)).astype(np.float32)
    turned = orient(stack, "mirrored")
    assert turned.dtype == np.float32
    assert np.array_equal(turned[1, 2], orient(stack[1, 2], "mirrored"))
