"""A close pair's stars are finer dots in a whole view; all others are as on any other sheet."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.eyepiece.orientation import signs
from simview.picture.prints import pair_patches
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.power.multiple import pairs_of

# Of a whole field of 51 deg on a sheet of 1080 lines.
SCALE, SIDE, STAR, FINE = 15.4, 784, 3.0, 1.65


def asked(name, word, power, pair_px):
    view = simview.look(simview.find_kit(word).kit, simview.target(name), power=power)
    return Wanted(view=view, pixels_per_degree=SCALE, pixels=SIDE, star_px=STAR, pair_px=pair_px)


def both(name, word, power):
    """Return what is asked, and its print with usual and with finer dots for its pairs."""
    wanted = asked(name, word, power, FINE)
    usual, finer = (
        develop_all([each]).panels[0].astype(int)
        for each in (asked(name, word, power, 0.0), wanted)
    )
    return wanted, usual, finer


def places(wanted):
    """Return row and column of the middle of each pair."""
    right, up = signs(wanted.view.beam.orientation)
    scale = wanted.view.beam.power / 3600.0 * wanted.pixels_per_degree
    return [
        (SIDE // 2 - up * y * scale, SIDE // 2 + right * x * scale)
        for x, y in (pair.middle_arcsec for pair in pairs_of(wanted.view.target))
    ]


# Castor's third star, of V 9.8, stands 70 arcsec from the two; Epsilon Lyrae's pairs 210 apart.
@pytest.mark.parametrize(
    ("name", "word", "power"),
    [
        ("castor", "60/700", 117.0),
        ("castor", "150/1200", 200.0),
        ("double-double", "100/900", 90.0),
    ],
)
def test_other_stars_and_the_sky_are_as_without_finer_dots(name, word, power):
    wanted, usual, finer = both(name, word, power)
    y, x = np.indices((SIDE, SIDE))
    away = np.min([np.hypot(y - row, x - column) for row, column in places(wanted)], axis=0)
    changed = (usual != finer).any(axis=2)
    assert changed.sum() > 20
    assert not changed[away > 30.0].any()
    # Something else to see lies out there.
    assert usual[(away > 30.0) & (away < 150.0)].max() > usual[200:220, 200:220].max() + 10
    # The seam shows no step: past the dots both prints are alike, within the steps of 8 bits.
    assert np.abs(usual - finer)[away > 13.0].max() <= 4


@pytest.mark.parametrize("word", ["60/700", "150/1200"])
def test_pair_that_usual_dots_join_is_two_dots_in_its_place(word):
    wanted, usual, finer = both("castor", word, 117.0)
    scale = 117.0 / 3600.0 * SCALE
    right, up = signs(wanted.view.beam.orientation)
    # As STF 1110 lies: 5.62 arcsec at 49.2 degrees from north through east, east at the left.
    way = np.array([-up * np.cos(np.radians(49.2)), -right * np.sin(np.radians(49.2))])
    ends = [SIDE // 2 + part * 5.62 * scale * way for part in (-0.5, 0.0, 0.5)]
    first, between, second = (np.rint(end).astype(int) for end in ends)
    dips = [
        shown[tuple(between)].sum() / min(shown[tuple(first)].sum(), shown[tuple(second)].sum())
        for shown in (usual, finer)
    ]
    assert dips[0] > 0.97
    assert dips[1] < 0.9


def test_patch_is_cut_at_the_picture_s_edge_and_left_out_beyond_it():
    whole = np.zeros((20, 20, 3), np.uint8)
    part = np.full((8, 8, 3), 100, np.uint8)
    kept = np.ones((8, 8))
    pair_patches._lay(whole, part, (1, 19), kept)
    assert whole.any(axis=2).sum() == 5 * 5
    assert (whole[:5, 15:] == 100).all()
    pair_patches._lay(whole, part, (40, 10), kept)
    assert whole.any(axis=2).sum() == 5 * 5


def test_no_patch_where_dots_are_as_everywhere_or_nothing_is_a_pair():
    assert pair_patches.patches(asked("castor", "60/700", 117.0, 0.0)) == []
    assert pair_patches.patches(asked("castor", "60/700", 117.0, STAR)) == []
    assert pair_patches.patches(asked("jupiter", "60/700", 117.0, FINE)) == []
    assert len(pair_patches.patches(asked("double-double", "60/700", 117.0, FINE))) == 2
