"""A planet's moons are small sharp dots in a whole view, graded by their light."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.eyepiece.orientation import signs
from simview.picture.prints import planet_dots
from simview.picture.prints.display import Display
from simview.picture.prints.printing import adapt_to, develop_all, developed, measured
from simview.picture.prints.wanted import Wanted
from simview.srgb import linear

# Of a whole field of 51 deg on a sheet of 1080 lines.
SCALE, SIDE, USUAL = 15.4, 784, 3.0
LUMINANCE = (0.2126, 0.7152, 0.0722)


def view_of(name, word, power):
    return simview.look(simview.find_kit(word).kit, simview.target(name), power=power)


def printed(view, usual=USUAL):
    wanted = Wanted(view=view, pixels_per_degree=SCALE, pixels=SIDE, star_px=usual)
    codes = develop_all([wanted]).panels[0]
    return codes, linear(codes / 255.0) @ np.array(LUMINANCE)


def moons(view):
    """Return each moon's magnitude, row and column, and pixels from the planet, by their light."""
    stars = view.target.paint(1.0, 8).stars
    right, up = signs(view.beam.orientation)
    scale = view.beam.power / 3600.0 * SCALE
    found = [
        (
            float(magnitude),
            (SIDE // 2 - round(up * y * scale), SIDE // 2 + round(right * x * scale)),
            math.hypot(x, y) * scale,
        )
        for magnitude, x, y in zip(stars.magnitude, stars.x_arcsec, stars.y_arcsec, strict=True)
    ]
    return [moon for moon in sorted(found) if moon[2] < 0.45 * SIDE]


@pytest.mark.parametrize(("word", "power"), [("60/700", 117.0), ("200/1200", 200.0)])
def test_jupiters_moons_are_points_and_the_brighter_one_is_the_brighter_point(word, power):
    view = view_of("jupiter", word, power)
    codes, light = printed(view)
    middles = []
    for _, (row, column), _ in moons(view):
        near = light[row - 6 : row + 7, column - 6 : column + 7]
        peak = float(light[row, column])
        assert peak == near.max()
        # In what a screen's codes are, half of the middle's is three pixels wide at most.
        code = codes[row, column - 6 : column + 7].mean(axis=1)
        assert np.count_nonzero(code >= code.max() / 2.0) <= 3
        middles.append(peak)
    assert len(middles) >= 3
    assert middles == sorted(middles, reverse=True)
    assert middles[0] > 1.1 * middles[-1]
    # None outshines the disc's own brightest part by more than a moon in 1 mm of exit pupil does.
    assert middles[0] < 1.1 * light[SIDE // 2 - 20 : SIDE // 2 + 21].max()


# Titan in 60 mm is a magnitude and more above what is seen there, Rhea in the glare just seen.
def test_a_faint_moon_keeps_its_light_on_a_smaller_area(monkeypatch):
    view = view_of("saturn", "60/700", 117.0)
    codes, light = printed(view)
    monkeypatch.setattr(planet_dots, "FINER_DOT", 1.0)
    _, usual = printed(view)
    faint = next(moon for moon in moons(view) if 9.0 < moon[0] < 10.0)
    row, column = faint[1]
    cut = np.s_[row - 6 : row + 7, column - 6 : column + 7]
    ground = np.median(light[cut])
    own, before = ((each[cut] - ground).clip(0.0) for each in (light, usual))
    assert own.max() > 1.6 * before.max()
    assert own.sum() == pytest.approx(before.sum(), rel=0.45)
    assert codes[row, column].max() >= np.median(codes[cut]) + 15


# Uranus itself is a dot of the usual width there.
@pytest.mark.parametrize("name", ["albireo", "uranus"])
def test_dots_of_a_field_without_a_disc_are_as_asked_for(name):
    view = view_of(name, "60/700", 50.0)
    wanted = Wanted(view=view, pixels_per_degree=SCALE, pixels=64, star_px=USUAL)
    assert planet_dots.finer(wanted) is wanted


def test_picture_whose_power_changes_under_a_hand_has_no_brighter_moons_for_dots_it_does_not_draw():
    # It holds no image of a star, only its light: one pixel.
    view = view_of("jupiter", "60/700", 117.0)
    exposure = view.expose(pixels_per_degree=SCALE, pixels=200, star_px=USUAL)
    lens = exposure.star_lens.sum(axis=(2, 3), keepdims=True)
    held = measured(view, replace(exposure, star_lens=lens, sharp=None))
    adaptation = adapt_to([held], Display())
    told, untold = (developed(held, [held], adaptation, star_px=px) for px in (USUAL, 0.0))
    assert np.array_equal(told, untold)
