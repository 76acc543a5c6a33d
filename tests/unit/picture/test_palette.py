"""The colours: read from afar, and told apart by colour-blind readers."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from colour_reference import lab, linear, seen_by

from simview.picture.drawing import palette


@pytest.mark.parametrize(
    ("first", "second", "ratio"),
    [
        # The ends of WCAG's scale, and its best-known border case: #767676 on white, the
        # lightest grey that passes 4.5.
        ((0, 0, 0), (255, 255, 255), 21.0),
        ((12, 34, 56), (12, 34, 56), 1.0),
        ((118, 118, 118), (255, 255, 255), 4.54),
    ],
)
def test_contrast_is_that_of_wcag(first, second, ratio):
    assert palette.contrast(first, second) == pytest.approx(ratio, abs=0.005)
    assert palette.contrast(second, first) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("name", ["INK", "SOFT", "GOOD", "WARN"])
def test_words_pass_wcag_aaa_on_the_ground(name):
    # 7 : 1 is level AAA for text of any size; AA asks for 4.5.
    assert palette.contrast(getattr(palette, name), palette.GROUND) >= 7.0


@pytest.mark.parametrize("name", ["LINE"])
def test_frames_pass_wcag_aa_for_graphics(name):
    # WCAG 2.1, 1.4.11: 3 : 1 for parts of graphics.
    assert palette.contrast(getattr(palette, name), palette.GROUND) >= 3.0


def test_field_edge_is_seen_but_stays_quiet():
    assert 1.8 <= palette.contrast(palette.RING, palette.GROUND) <= 3.5


@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_accents_stay_apart_for_colour_blind_readers(deficiency):
    # Distance in CIE L*a*b* 1976, where 2.3 is just noticeable: six times that.
    places = {
        name: lab(seen_by(deficiency, linear(getattr(palette, name))))
        for name in ("GOOD", "WARN", "SOFT")
    }
    distances = {
        (first, second): float(np.linalg.norm(places[first] - places[second]))
        for first, second in combinations(places, 2)
    }
    assert min(distances.values()) > 14.0, distances
