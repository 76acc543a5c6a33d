"""The sheet and the animation on collimation."""

from __future__ import annotations

import cmath
import math
import re

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.picture import again
from simview.picture.collimation.collimation_asked import MATTERS, collimation
from simview.picture.collimation.collimation_contents import sentences
from simview.picture.collimation.collimation_film import animation, moments
from simview.picture.collimation.collimation_sheet import collimate
from simview.picture.collimation.mirror_back import turn_words
from simview.picture.collimation.words import hand_words, matters_heading, sheet_text
from simview.picture.drawing import text
from simview.picture.films import again as film

SCOPE = simview.Telescope(aperture_mm=114.0, focal_length_mm=500.0, obstruction=0.3)
KIT = simview.Kit(name="Try", telescope=SCOPE, layout="newtonian")
SMALL = (960, 540)
ASKED = collimation(KIT, colour="550")


@pytest.fixture(scope="module")
def made():
    return collimate(ASKED, size=SMALL)


def test_figures_tell_the_tolerance_and_what_misses_of_it_cost(made) -> None:
    told = made.figures
    # 48 F^3 wavelength / 4 at f/4.39 (Schroeder, section 5.3).
    assert told["tolerance_mm"] == pytest.approx(12.0 * (500.0 / 114.0) ** 3 * 550e-6, rel=1e-6)
    rows = told["rows"]
    assert [row["coma_waves"] for row in rows] == pytest.approx(
        [m / 4.0 for m in MATTERS], rel=1e-3
    )
    # A quarter wave of coma: exact diffraction integral 0.9256, here over an obstructed pupil
    # with its shadow moved: 0.02.
    assert rows[1]["strehl"] == pytest.approx(0.9256, abs=0.02)
    strehls = [row["strehl"] for row in rows]
    assert strehls == sorted(strehls, reverse=True)


def test_sheet_made_again_is_the_same(made) -> None:
    second = again.redo(made.recipe)
    assert np.array_equal(np.asarray(made.image), np.asarray(second.image))


def test_step_is_a_part_of_a_turn_that_shows() -> None:
    for kit in (
        KIT,
        simview.Kit(telescope=simview.Telescope(aperture_mm=150, focal_length_mm=1200)),
    ):
        asked = collimation(kit)
        outermost = 2.0 * asked.step_turns() / asked.screws.tolerance_turns
        assert 1.8 < outermost < 8.0


def test_animation_ends_collimated_and_turns_two_screws() -> None:
    tilt = cmath.rect(12.0, math.radians(70.0))
    states = moments(ASKED, tilt)
    assert states[0].tilt == tilt
    assert abs(states[-1].tilt) < 1e-9
    turned = [state.turning for state in states if state.turning is not None]
    assert len(set(turned)) == 2
    # Nothing jumps: from frame to frame the axis moves a small part of the way.
    steps = np.abs(np.diff([state.tilt for state in states]))
    assert steps.max() < 0.2 * abs(tilt)


@pytest.mark.parametrize("rate", [1.0, 8.0, 30.0])
def test_a_screw_turns_as_long_at_any_number_of_frames(rate: float) -> None:
    states = moments(ASKED, cmath.rect(12.0, math.radians(70.0)), rate=rate)
    usual = moments(ASKED, cmath.rect(12.0, math.radians(70.0)))
    for which in {state.turning for state in usual}:
        some, others = (sum(each.turning == which for each in film) for film in (states, usual))
        # Whole frames, at most four times standing still.
        assert some / rate == pytest.approx(others / 12.0, abs=4 * 0.51 / rate + 4 * 0.51 / 12.0)


def test_animation_from_a_recipe_is_the_same_film() -> None:
    first = animation(ASKED, off_mm=1.0, towards_deg=30.0)
    second = film.again(first.recipe)
    assert second.count == first.count
    frames = zip(first.frames, second.frames, strict=True)
    for k, (one, other) in enumerate(frames):
        assert one.shape == (540, 960, 3)
        if k % 9 == 0:
            assert np.array_equal(one, other)
        if k > 30:
            break


def test_collimated_start_is_a_still_animation() -> None:
    states = moments(ASKED, 0j)
    assert {state.turning for state in states} == {None}


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        (0.25, "1/4 turn"),
        (-0.125, "1/8 turn"),
        (1.0 / 12.0, "1/12 turn"),
        (2.0, "2 turns"),
        (1.0, "1 turn"),
        (0.62, "0.62 turn"),
    ],
)
def test_turns_are_said_as_one_says_them(turn: float, words: str) -> None:
    assert turn_words(turn) == words


def test_last_sentence_tells_when_to_stop() -> None:
    # At the tolerance the light is 1.3 to 1.4 times as wide on one side; clearly less is less.
    assert re.search(r"at most 1\.[23]\d? times as wide on one side", sentences(ASKED)[-1][1])


@pytest.mark.parametrize(
    "wrong",
    [
        {"travel_waves": 0.0},
        {"travel_waves": 50.0},
        {"colour": "puce"},
        {"circle_mm": 1e6},
        {"pitch_mm": math.nan},
    ],
    ids=str,
)
def test_values_out_of_range_are_refused(wrong) -> None:
    with pytest.raises(SimviewError):
        collimation(KIT, **wrong)


MODES = {
    "primary": (KIT, None),
    "flat": (KIT, 0.0),
    **{
        layout: (
            simview.Kit(
                telescope=simview.Telescope(
                    aperture_mm=203.0, focal_length_mm=2440.0, obstruction=0.34
                ),
                layout=layout,
            ),
            None,
        )
        for layout in ("cassegrain", "schmidt-cassegrain", "maksutov")
    },
}


@pytest.mark.parametrize("mode", MODES)
def test_circle_wider_than_the_glass_is_refused(mode: str) -> None:
    kit, focuser = MODES[mode]
    scope = kit.telescope
    held = mode in ("primary", "maksutov")
    glass = scope.aperture_mm * (1.0 if held else scope.obstruction)
    for wrong in (1.01 * glass, 2.0 * scope.aperture_mm, 0.01 * glass):
        with pytest.raises(SimviewError, match=r"mm, no wider than the (primary|secondary)"):
            collimation(kit, circle_mm=wrong, focuser_deg=focuser)
    asked = collimation(kit, circle_mm=0.99 * glass, focuser_deg=focuser)
    assert asked.screws.circle_mm == pytest.approx(0.99 * glass)


@pytest.mark.parametrize("travel", [10.0, -10.0])
@pytest.mark.parametrize("mode", MODES)
def test_small_print_is_whole_and_says_what_forward_is(mode: str, travel: float) -> None:
    kit, focuser = MODES[mode]
    asked = collimation(kit, travel_waves=travel, focuser_deg=focuser)
    caption = sheet_text(asked.kit, asked.screws, travel).caption
    assert "moves towards the sky" in caption
    assert hand_words(travel) in caption
    # As the sheet sets it: four lines of the smallest type are the most.
    _, lines = text.block(caption, 1808.0, 96.0, largest_px=22, smallest_px=18)
    assert "".join(lines).replace(" ", "") == caption.replace(" ", "")


@pytest.mark.parametrize("mode", MODES)
def test_heading_of_the_tolerances_agrees_with_the_stop(mode: str) -> None:
    kit, focuser = MODES[mode]
    asked = collimation(kit, focuser_deg=focuser)
    heading = matters_heading(asked.screws)
    assert heading.startswith("Near enough")
    assert turn_words(asked.screws.tolerance_turns) in heading


def test_distance_where_nothing_leans_is_refused_in_plain_words() -> None:
    # Coma and the moved shadow cancel inside focus of a slow Newtonian.
    scope = simview.Telescope(aperture_mm=114.0, focal_length_mm=900.0, obstruction=0.3)
    kit = simview.Kit(telescope=scope, layout="newtonian")
    with pytest.raises(SimviewError, match=r"at which the dark middle leans.*--travel 5"):
        collimation(kit, travel_waves=-5.0)


def test_other_layouts_are_refused() -> None:
    with pytest.raises(SimviewError, match="Newtonian"):
        collimation(simview.Kit(telescope=SCOPE, layout="other"))
    # At f/5 nobody builds one.
    with pytest.raises(SimviewError, match="layout cassegrain"):
        collimation(simview.Kit(telescope=SCOPE, layout="cassegrain"))


@pytest.mark.parametrize("wrong", [{"off_mm": -1.0}, {"off_mm": 1e4}, {"frames_per_second": 0.0}])
def test_animation_out_of_range_is_refused(wrong) -> None:
    with pytest.raises(SimviewError):
        animation(ASKED, **wrong)


@pytest.mark.parametrize(
    "spoil", [{"kits": []}, {"pitch_mm": "one"}, {"size": None}, {"colour": 1}]
)
def test_spoilt_recipe_is_refused(made, spoil) -> None:
    with pytest.raises(SimviewError):
        again.redo(made.recipe | spoil)
