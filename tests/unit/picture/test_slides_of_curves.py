"""A curve over power, and a star test, as slides."""

from __future__ import annotations

import numpy as np
import pytest

from simview.demo import kit_path
from simview.kitfile import load_kit_file
from simview.picture.again import redo
from simview.picture.detail.detail_sheet import detail
from simview.picture.slides.records import Picture, SlideSheet, Stroke, Wish, Words
from simview.picture.slides.star_slide import star_slide
from simview.picture.startest.patterns import StarTest
from simview.scene.targets import target
from simview.telescope.faults import parse

SMALL = (960, 540)
KIT = load_kit_file(kit_path("demo:toy-refractor-50")).kit
TABLE = load_kit_file(kit_path("demo:tabletop-150")).kit


@pytest.fixture(scope="module")
def curve() -> SlideSheet:
    made = detail(KIT, target("jupiter"), size=SMALL, wish=Wish())
    assert isinstance(made, SlideSheet)
    return made


def test_curve_says_enough_and_end_in_its_title(curve: SlideSheet) -> None:
    enough, empty = curve.figures["enough_from"], curve.figures["empty_above"]
    title = " ".join(w.text for w in curve.page.shapes if isinstance(w, Words) and w.bold)
    assert f"{enough:.0f}×" in title
    assert f"{empty:.0f}×" in title
    assert "empty magnification" in title


def test_curve_rises_to_the_right_and_then_stays(curve: SlideSheet) -> None:
    """More power shows more up to a point: the line climbs, and its end is nearly level."""
    (line,) = (shape for shape in curve.page.shapes if isinstance(shape, Stroke))
    x, y = np.array(line.points).T
    assert (np.diff(x) > 0.0).all()
    assert y[-1] < y[0]
    quarter = len(y) // 4
    assert abs(y[-1] - y[-quarter]) < 0.1 * abs(y[quarter] - y[0])


def test_curve_and_star_are_made_again_from_their_recipes(curve: SlideSheet) -> None:
    again = redo(curve.recipe)
    assert np.array_equal(np.asarray(again.image), np.asarray(curve.image))


def test_star_slide_shows_three_large_pictures() -> None:
    test = StarTest(kit=TABLE, faults=(parse("coma=0.5"),))
    made = star_slide(test, wish=Wish(labels=("a", "b", "c")), size=SMALL)
    pictures = [shape for shape in made.page.shapes if isinstance(shape, Picture)]
    assert len(pictures) == 3
    assert pictures[0].pixels.shape[0] / SMALL[1] > 0.5
    # Coma leans the star to one side: its light's middle is off the picture's.
    focus = pictures[1].pixels.sum(axis=2).astype(float)
    along = np.arange(focus.shape[1]) - focus.shape[1] // 2
    assert abs((focus.sum(axis=0) * along).sum() / focus.sum()) > 1.0
    again = redo(made.recipe)
    assert np.array_equal(np.asarray(again.image), np.asarray(made.image))
