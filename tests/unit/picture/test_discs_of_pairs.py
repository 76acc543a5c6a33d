"""Discs of double stars in print: they keep their profiles, their difference and their rings."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview import srgb
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted

PIXELS = 240
# First dark ring and first bright one of a perfect round pupil, in wavelength / diameter, and what
# the bright one has of the middle's light (Born & Wolf, Principles of Optics, section 8.5).
DARK, BRIGHT, OF_MIDDLE = 1.220, 1.635, 0.0175


def printed(name, aperture_mm, power, wide_arcsec, *, sky=None, **options):
    """Return the close-up of a pair as print luminance, white = 1, and its pixel in arcsec."""
    kit = simview.Kit(
        telescope=simview.Telescope(
            aperture_mm=aperture_mm, focal_length_mm=8.0 * aperture_mm, objective="mirror"
        ),
        eyepieces=(simview.Eyepiece(focal_length_mm=10.0),),
    )
    view = simview.look(kit, simview.target(name, **options), power=power, sky=sky)
    scale = PIXELS / (wide_arcsec * power / 3600.0)
    wanted = Wanted(view=view, pixels_per_degree=scale, pixels=PIXELS)
    print_ = srgb.linear(develop_all([wanted]).panels[0].astype(float) / 255.0)
    light = print_ @ np.array([0.2126, 0.7152, 0.0722])
    return light, wide_arcsec / PIXELS


def discs(light):
    """Return the white of each half of a picture: pixels that print at 0.9 of white or more."""
    halves = light[:, : PIXELS // 2], light[:, PIXELS // 2 :]
    return [int((half > 0.9).sum()) for half in halves], [float(h.max()) for h in halves]


@pytest.mark.parametrize("aperture_mm", [60.0, 200.0])
@pytest.mark.parametrize("first", [1.0, 4.0])
def test_star_two_magnitudes_fainter_looks_much_fainter(first, aperture_mm):
    # An eye tells such a difference at once: brightness of points goes as light to the power 0.5
    # (Stevens 1957), so it is 2.5 times; a reader sees print with a like power. Burnt out, both
    # were white discs of nearly one size, as if half a magnitude apart.
    light, _ = printed(
        "double", aperture_mm, 2.0 * aperture_mm, 16.0, double=[6.0, 90.0, first, first + 2.0]
    )
    # East is left of the first star; either way one half has the brighter one.
    white, most = discs(light)
    assert min(most) < 0.85
    # Nearly white, the brightest of its disc only: a star of the Sun's colour, low in the air, ends
    # where its red does.
    assert max(most) > 0.8
    assert min(white) == 0


def test_equal_stars_print_alike():
    light, _ = printed("double", 100.0, 200.0, 12.0, double=[5.0, 90.0, 3.0, 3.0])
    _, most = discs(light)
    assert most[0] == pytest.approx(most[1], rel=0.03)


def test_of_two_telescopes_the_one_with_more_light_burns_more_of_the_disc():
    # At one exit pupil their discs are alike at the eye.
    white = []
    for aperture_mm in (60.0, 120.0, 240.0):
        sky = simview.Sky(air="none")
        light, _ = printed(
            "double", aperture_mm, 2.0 * aperture_mm, 960.0 / aperture_mm, sky=sky,
            double=[360.0 / aperture_mm, 90.0, 2.0, 4.0],
        )  # fmt: skip
        white.append(max(discs(light)[0]))
    assert white[0] < white[1] < white[2]


@pytest.mark.parametrize("air", ["none", "best"])
@pytest.mark.parametrize("magnitude", [1.0, 3.0])
def test_first_ring_shows_at_an_exit_pupil_of_half_a_millimetre(air, magnitude):
    # Every observer's eye has it there in steady moments (common practice, no source).
    sky = simview.Sky(air=air, seeing_arcsec=1.0, altitude_deg=89.0)
    light, pixel = printed(
        "double", 60.0, 120.0, 48.0, sky=sky, double=[24.0, 90.0, magnitude, magnitude + 4.0]
    )
    rows, columns = (np.flatnonzero(light.max(axis=k) > 0.9 * light.max()) for k in (1, 0))
    y, x = np.indices(light.shape)
    away = np.hypot(x - columns.mean(), y - rows.mean()) * pixel / (550e-6 / 60.0 * 206264.8)

    def around(low, high):
        """Return the mean print of rings 0.06 wide between two radii."""
        edges = np.arange(low, high, 0.06)
        return [float(light[(away >= e) & (away < e + 0.06)].mean()) for e in edges]

    dark, bright = min(around(DARK - 0.1, DARK + 0.2)), max(around(BRIGHT - 0.2, BRIGHT + 0.2))
    # A reader tells steps of a few per cent on such a ground (`Display.just_noticeable`).
    assert bright > (1.4 if air == "none" else 1.06) * dark
    assert bright > 1.5 * float(np.mean(around(3.5, 3.8)))
    # And it stays a ring beside a disc: a tenth of the middle, as the eye has 0.0175 of its light.
    assert OF_MIDDLE < bright / float(light.max()) < 0.15


@pytest.mark.parametrize(
    ("aperture_mm", "name", "at_least"), [(200.0, "polaris", 0.1), (150.0, "rigel", 0.12)]
)
def test_companion_far_above_the_limit_is_a_plain_point(aperture_mm, name, at_least):
    # Polaris' and Rigel's companions stand 4 to 6 magnitudes above the limit there, and observers
    # hold them without effort (common practice). A tenth of white is 90 of 255 on a ground of 22.
    light, pixel = printed(name, aperture_mm, 200.0, 60.0)
    middle = np.unravel_index(light.argmax(), light.shape)
    y, x = np.indices(light.shape)
    away = np.hypot(x - middle[1], y - middle[0]) * pixel
    separation = simview.target(name).size_arcsec
    companion = light[np.abs(away - separation) < 1.0].max()
    assert at_least < companion < 0.6
