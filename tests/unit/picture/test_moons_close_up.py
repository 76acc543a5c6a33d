"""A close-up of the Moon: the eye adapts to the place it rests on, and to the Moon's colour."""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview.picture.finished import looked_at
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.view import View

SIDE = 300


def view_of(power: float = 200.0, **moon: float) -> View:
    return simview.look(
        simview.find_kit("200/1200").kit, simview.target("moon", **moon), power=power
    )


def test_shadows_place_prints_lighter_than_in_the_whole_field() -> None:
    view = view_of(phase_deg=85.0)
    patch = 10.0 * 3600.0 / 200.0
    at = looked_at(view, patch)
    whole = Wanted(view=view, pixels_per_degree=6.0, pixels=SIDE)
    close = Wanted(view=view, pixels_per_degree=30.0, pixels=SIDE, at_arcsec=at)
    field, place = (np.asarray(p, float)[..., 1] for p in develop_all([whole, close]).panels)
    # The same ground in both: the middle of the close-up, turned by 180 deg in a Newtonian.
    row, column = (round(SIDE / 2 - s * 6.0 * 200.0 / 3600.0) for s in (-at[1], at[0]))
    same = field[row - 6 : row + 7, column - 6 : column + 7].mean()
    near = place[SIDE // 2 - 30 : SIDE // 2 + 31, SIDE // 2 - 30 : SIDE // 2 + 31].mean()
    # Half of the difference in light, in logarithms, is adapted to: a fifth to two thirds more
    # print light here, which is 1.08 to 1.3 times the code.
    assert 1.06 < near / same < 1.35
    # Shadows stay black.
    assert np.percentile(place, 2.0) < 16.0


def test_close_up_of_a_planet_is_printed_as_the_view_is() -> None:
    view = simview.look(simview.find_kit("200/1200").kit, simview.target("jupiter"), power=200.0)
    whole = Wanted(view=view, pixels_per_degree=20.0, pixels=SIDE)
    close = Wanted(view=view, pixels_per_degree=60.0, pixels=SIDE)
    field, place = (np.asarray(p, float)[..., 1] for p in develop_all([whole, close]).panels)
    few, many = (slice(SIDE // 2 - n, SIDE // 2 + n) for n in (10, 30))
    assert place[many, many].mean() == pytest.approx(field[few, few].mean(), abs=3.0)


@pytest.mark.parametrize("phase_deg", [50.0, 85.0, 120.0])
def test_close_up_lies_on_the_lit_side_of_the_terminator(phase_deg: float) -> None:
    view = view_of(phase_deg=phase_deg)
    target, patch = view.target, 250.0
    at = looked_at(view, patch)
    aside = math.dist(at, target.interest_arcsec)
    # Still on the terminator, but a third of its width off its middle at the most.
    assert 0.1 * patch < aside < 0.34 * patch
    towards_the_light = at[0] - target.interest_arcsec[0]
    assert towards_the_light > 0.0


# Observers call the Moon grey and white (common practice); B-V says 0.27 mag redder than sunlight:
# 0.826 of the blue, 18 codes of 210. An eye before nothing else adapts, by CIECAM's degree.
def test_moon_that_fills_the_view_is_grey_and_far_away_a_little_yellow() -> None:
    def warm(view: View, scale: float) -> float:
        panel = develop_all([Wanted(view=view, pixels_per_degree=scale, pixels=SIDE)]).panels[0]
        seen = np.asarray(panel, float)
        lit = seen[..., 1] > 0.75 * seen[..., 1].max()
        return float((seen[lit][:, 0] - seen[lit][:, 2]).mean() / seen[lit][:, 1].mean())

    near = warm(view_of(phase_deg=30.0), 6.0)
    assert 0.0 < near < 0.09
    white = np.array(view_of().white_of(np.eye(4, 3)))
    glasses = simview.look(simview.find_kit("200/1200").kit, simview.target("jupiter"), power=200.0)
    sunlit = np.array(glasses.white_of(np.eye(4, 3)))
    # Allen (memory): B-V 0.92 against the Sun's 0.65, over 110 nm; the display's blue lies some 85
    # nm below its green.
    ratio = (white / sunlit)[2] / (white / sunlit)[1]
    assert ratio == pytest.approx(10.0 ** (-0.4 * 0.27 * 85.0 / 110.0), rel=0.02)
