"""The wavefront's colours: even steps of lightness, told apart by colour-blind readers."""

from __future__ import annotations

import numpy as np
import pytest
from colour_reference import STORED, lab, linear, seen_by

from simview.picture.drawing.palette import GROUND
from simview.picture.startest.wavemap import full_scale, quarter_step, shades, wave_map

# Distance in CIE L*a*b* 1976 of which 2.3 is just noticeable.
NOTICED = 2.3


def test_scale_grows_lighter_to_both_ends_at_the_same_pace():
    part = np.linspace(0.0, 1.0, 21)
    early, late = (lab(linear(shades(way * part)))[:, 0] for way in (1, -1))
    assert (np.diff(early) > 0.5).all()
    assert (np.diff(late) > 0.5).all()
    # The same size of error is as light on either side, within four steps of just noticeable.
    assert np.abs(early - late).max() < 4 * NOTICED


@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_early_and_late_stay_apart_for_colour_blind_readers(deficiency):
    for part in (0.3, 0.5, 0.75):
        early, late = lab(seen_by(deficiency, linear(shades(np.array([part, -part])))))
        assert np.linalg.norm(early - late) > 6 * NOTICED


def test_colours_are_those_of_oklab():
    # The scale's middle and its two ends, computed by an independent library from the colours
    # of Oklab that are written beside them.
    for part, row in zip((0.0, 1.0, -1.0), STORED["oklab"], strict=True):
        assert np.abs(shades(np.array(part)).astype(float) - row["codes"]).max() <= 1.5


def test_closed_places_are_the_sheets_ground_and_flat_is_dark():
    waves = np.zeros((64, 64))
    waves[:32] = np.nan
    picture = wave_map(waves, 0.25, 64)
    assert (picture[:28] == GROUND).all()
    assert picture[40:].max() < 60


def test_lines_run_where_the_error_passes_a_quarter_wave():
    ramp = np.tile(np.linspace(-0.99, 0.99, 400), (400, 1))
    picture = wave_map(ramp, 1.0, 400).astype(float).mean(axis=(0, 2))
    smooth = shades(np.linspace(-0.99, 0.99, 400)).astype(float).mean(axis=1)
    line = np.flatnonzero(picture - smooth > 20.0)
    found = np.linspace(-0.99, 0.99, 400)[line]
    wanted = np.array([-0.75, -0.5, -0.25, 0.25, 0.5, 0.75])
    assert np.abs(found[:, None] - wanted).min(axis=1).max() < 0.012
    assert np.abs(wanted[:, None] - found).min(axis=1).max() < 0.012


def test_scale_is_never_finer_than_a_quarter_wave():
    assert full_scale(np.array([[0.01, np.nan]])) == 0.25
    assert full_scale(np.array([[-0.6, 0.2]])) == 1.0
    assert quarter_step(1.0) == 0.25
    assert quarter_step(10.0) == 2.0
