"""What a ladder's band says, for every sort of object."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest

from simview.kit import Telescope
from simview.picture.drawing import sheet, text
from simview.picture.drawing.palette import GOOD, WARN
from simview.picture.views import ladder
from simview.power import records
from simview.power import words as bands
from simview.scene.scene import TargetKind

KINDS = get_args(TargetKind)
STATES = get_args(records.State)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("state", STATES)
def test_wordings_get_shorter(kind, state):
    said = bands.wordings(kind, state)
    lengths = [text.width_px(words, 22, "bold") for words in said]
    assert lengths == sorted(lengths, reverse=True)
    # The last one fits over a single panel of a ladder of eight, mark and ends included.
    assert lengths[-1] <= 208 - 2 * 24 - 18 - 3 * 10


def test_stars_and_nebulae_are_never_told_of_too_little_power():
    for kind in ("stars", "deep-sky", "moon", "photo", "daytime"):
        for state in STATES:
            assert not any("too little" in words for words in bands.wordings(kind, state))
    assert "too little" in bands.wordings("planet", "low")[0]


def test_a_pair_that_no_power_splits_is_not_told_to_take_more():
    said = bands.wordings("double", "plain")
    assert "no power splits" in said[0]
    assert not any("more" in words or "higher" in words for words in said)


def worth(state, hard=(), outcomes=()):
    found = records.Marks(pair=True, enough_from=140.0, hard=hard, outcomes=outcomes)
    scope = Telescope(aperture_mm=60.0, focal_length_mm=700.0)
    return bands.joined(bands.said("double", state, found, scope), str.format)


@pytest.mark.parametrize("state", STATES)
def test_words_on_several_pairs_name_the_one_that_they_mean(state):
    one = worth(state, ("A-B",), ("elongated",))
    both = worth(state, ("A-B", "C-D"), ("elongated", "notched"))
    for said in (one, both):
        lengths = [text.width_px(words, 22, "bold") for words in said]
        assert lengths == sorted(lengths, reverse=True)
        assert not any("the pair" in words or "this pair" in words for words in said)
    # What keeps a pair from being split holds for the one that is named, or for both.
    if state in ("low", "hidden", "plain"):
        assert "A-B" in one[0]
    if state == "plain":
        # The better one first.
        assert both[0].index("C-D") < both[0].index("A-B")


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("outcome", records.ORDER)
def test_what_a_power_is_worth_gives_no_verdict_on_the_gap_beside_the_figures_own(state, outcome):
    # "split" beside "just split" were two verdicts on one sheet.
    for pairs in ((), ("A-B",), ("A-B", "C-D")):
        for words in worth(state, pairs, (outcome,) * max(len(pairs), 1)):
            assert not re.search(r"\bis split|\bare split|^split|touching", words)


def test_a_pair_that_is_not_yet_wide_is_given_the_power_and_the_eyepiece():
    # 700 mm / 140 = 5 mm.
    assert worth("tight")[0] == "easier to see as two from 140×: a 5 mm eyepiece gives 140×"


def test_a_wide_pair_is_told_how_little_power_would_do():
    # 35 arcsec apart (Albireo's) are 6 minutes of arc from 10.3 times on: rounded up, 11.
    found = records.Marks(pair=True, enough_from=10.3, split_from=9.6)
    (full, short, *_) = bands.joined(bands.said("double", "enough", found), str.format)
    assert full == "enough power for this pair: reads as two from 11×"
    assert short == "enough power for this pair"


def test_no_power_is_named_that_the_telescope_cannot_have():
    # Albireo's 11 times in 200 mm: an exit pupil of 18 mm, of which an eye's takes 7 (common
    # practice, no source); in 60 mm it is one of 5.5 mm, which an eye takes whole.
    found = records.Marks(pair=True, enough_from=10.3, split_from=9.6)
    said = {}
    for mm in (60.0, 200.0):
        scope = Telescope(aperture_mm=mm, focal_length_mm=1200.0)
        (said[mm], *_) = bands.joined(bands.said("double", "enough", found, scope), str.format)
    assert said[60.0].endswith("from 11×")
    assert said[200.0].endswith("wide at any power of this telescope")


@pytest.mark.parametrize("state", STATES)
def test_a_pair_that_glare_hides_is_not_called_wide(state):
    found = records.Marks(pair=True, enough_from=36.0, split_from=9.6, faint=True)
    scope = Telescope(aperture_mm=60.0, focal_length_mm=700.0)
    said = bands.joined(bands.said("double", state, found, scope), str.format)
    assert not any("as two" in words for words in said)
    assert ("glare" in said[0]) == (state == "tight")
    assert ("far fainter" in said[0]) == (state == "enough")
    lengths = [text.width_px(words, 22, "bold") for words in said]
    assert lengths == sorted(lengths, reverse=True)


def test_a_binocular_and_the_naked_eye_are_offered_no_other_power_and_no_eyepiece():
    # Neither is a telescope of so many mm whose eyepiece can be changed.
    for hard in ((), ("A-B",)):
        outcomes = ("elongated",) * max(len(hard), 1)
        found = records.Marks(pair=True, enough_from=11.0, hard=hard, outcomes=outcomes)
        plain = bands.joined(bands.said("double", "plain", found), str.format)
        assert plain == (f"this power does not split {'A-B' if hard else 'this pair'}", "not split")
        tight = bands.joined(bands.said("double", "tight", found), str.format)
        assert tight == ("easier to see as two from 11×",)


def test_the_eyepiece_that_sets_a_pair_wide_is_one_that_can_be_bought():
    # 900 mm / 159 = 5.66 mm, which nobody makes; the next shorter one is 5 mm (180 times).
    found = records.Marks(pair=True, enough_from=159.0, hard=(), outcomes=())
    scope = Telescope(aperture_mm=100.0, focal_length_mm=900.0)
    (full, *_) = bands.joined(bands.said("double", "tight", found, scope), str.format)
    assert full == "easier to see as two from 159×: a 5 mm eyepiece gives 180×"


def test_each_grade_of_a_pair_that_no_power_splits_has_words_of_its_own():
    said = {outcome: worth("plain", (), (outcome,))[0] for outcome in records.ORDER[1:]}
    assert len(set(said.values())) == len(said)
    assert all("60 mm" in said[outcome] for outcome in ("notched", "limit", "elongated"))
    assert "steadier night" in said["hidden"]


def test_a_patch_of_ground_is_not_called_sky():
    assert bands.ground("daytime") == "scene"
    assert bands.ground("moon") == "sky"


def test_plain_panels_carry_no_mark_and_no_accent():
    geometry = ladder.ladder_geometry((1920, 1080), [50.0] * 3)
    steps = [
        ladder.LadderStep(
            power=30.0,
            label="an eyepiece",
            seen=np.zeros((n, n, 3), np.uint8),
            patch=np.zeros((geometry.patch_px, geometry.patch_px, 3), np.uint8),
            exit_pupil_mm=1.0,
            brightness=1.0,
            state="plain",
        )
        for n in geometry.seen_px
    ]
    words = sheet.SheetText(title="A title")
    image = ladder.draw_ladder(geometry, words, steps, patch_arcsec=60.0, kind="deep-sky")
    pixels = np.asarray(image).astype(int)
    for accent in (GOOD, WARN):
        assert not (np.abs(pixels - accent).max(axis=2) <= 12).any()


def test_no_eyepiece_is_named_for_a_tight_pair_that_is_past_the_air() -> None:
    # 900 mm: the longest piece that gives 190 times is one of 4 mm, and its 225 are past 207.
    scope = Telescope(aperture_mm=100.0, focal_length_mm=900.0)
    found = records.Marks(
        pair=True, split_from=90.0, enough_from=189.5, air_carries=207.0, empty_above=234.0
    )
    (told,) = bands.said("double", "tight", found, scope)
    assert told.wordings[0] == "easier to see as two from {power}"
    # Of one that the air carries it is.
    (told,) = bands.said("double", "tight", replace(found, air_carries=230.0), scope)
    assert told.wordings[0].format(**told.told).endswith("190×: a 4 mm eyepiece gives 225×")
