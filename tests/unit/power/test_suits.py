"""Which of a kit's own pieces suits an object better than the one that is looked at."""

import pytest

import simview
from simview.picture.views.judged import judge_view
from simview.power.records import Marks
from simview.power.suits import suiting_power
from simview.scene.targets import target

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0),
    eyepieces=tuple(simview.Eyepiece(focal_length_mm=f) for f in (40.0, 20.0, 8.0, 4.0)),
)  # 25, 50, 125 and 250 times
FOUND = Marks(enough_from=70.0, air_carries=140.0, empty_above=220.0)


@pytest.mark.parametrize("kind", ["planet", "double", "chart"])
@pytest.mark.parametrize(
    ("power", "better"), [(25.0, 125.0), (50.0, 125.0), (125.0, None), (250.0, 125.0)]
)
def test_power_between_enough_and_what_the_air_carries_suits(kind, power, better):
    assert suiting_power(KIT, FOUND, kind, power) == better


def test_cluster_is_shown_at_the_lowest_power_that_is_enough():
    found = Marks(enough_from=45.0, air_carries=250.0, empty_above=300.0)
    assert suiting_power(KIT, found, "stars", 25.0) == 50.0
    assert suiting_power(KIT, found, "planet", 25.0) == 125.0


def test_nothing_is_said_of_what_is_worth_a_look_at_any_power_or_at_none():
    assert suiting_power(KIT, FOUND, "moon", 25.0) is None
    assert suiting_power(KIT, Marks(empty_above=220.0), "double", 25.0) is None


def test_nearest_piece_is_named_where_none_is_enough():
    found = Marks(enough_from=130.0, air_carries=140.0, empty_above=220.0)
    assert suiting_power(KIT, found, "planet", 25.0) == 125.0
    assert suiting_power(KIT, found, "planet", 125.0) is None


def test_pair_that_is_split_and_tight_is_better_than_one_of_empty_power():
    found = Marks(
        pair=True, split_from=90.0, enough_from=190.0, air_carries=205.0, empty_above=230.0
    )
    assert suiting_power(KIT, found, "double", 50.0) == 125.0
    assert suiting_power(KIT, found, "double", 250.0) == 125.0
    assert suiting_power(KIT, found, "double", 125.0) is None


@pytest.mark.parametrize("name", ["epsilon-lyrae", "jupiter"])
def test_view_through_the_first_piece_names_a_better_one(name):
    shown = judge_view(KIT, target(name))
    better = shown.figures["better_power"]
    assert better == 125.0
    assert any("8 mm gives 125×" in note for note in shown.notes)
    told = judge_view(KIT, target(name), power=better)
    assert told.figures["better_power"] is None
    # The same judgement that every command gives: there nothing stands in the way of seeing it. The
    # gap of the closer pair is so pale that 190 times show it better, which no piece gives; 250 are
    # past all that the telescope gives.
    if name == "jupiter":
        assert told.figures["limited_by"] is None
    else:
        assert told.figures["splits"]["verdict"] == "split"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        # Past its aperture: a sheet that says "larger, hardly finer" is not to promise more below.
        ("saturn", "Less power shows about as much here, and brighter"),
        ("jupiter", "Less power shows about as much here, and brighter"),
        # A glow fades.
        ("m31", "Less power shows more here"),
    ],
)
def test_sentence_on_less_power_says_what_the_verdict_says(name, words):
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=60.0, focal_length_mm=700.0),
        eyepieces=tuple(simview.Eyepiece(focal_length_mm=mm) for mm in (6.0, 10.0, 25.0)),
    )
    told = judge_view(kit, target(name))
    assert any(note.startswith(words) for note in told.notes)
