"""A hand before the tube's mouth: on which side of the disc its shadow falls.

Exact rays, whose reflections and refractions an independent program confirms
(test_layout_rays.py), from one side of the tube's mouth to a little before and behind the focus;
which way is right there is told by where a star that stands to the right arrives.
"""

from __future__ import annotations

import numpy as np
import pytest

from simview.picture.collimation.words import hand_words
from simview.telescope.layouts.misplaced import layout_of
from simview.telescope.layouts.ray_wavefront import arrival, beam
from simview.telescope.layouts.surfaces import trace

SIZES = {
    "newtonian": (150.0, 750.0),
    "cassegrain": (200.0, 2400.0),
    "schmidt-cassegrain": (203.0, 2030.0),
    "maksutov": (127.0, 1500.0),
}


def side_of_disc(layout: str, travel_mm: float) -> float:
    """Where light from the mouth's right rim falls, positive to the right as the sky is drawn."""
    made = layout_of(layout, *SIZES[layout])
    rays = trace(made.surfaces, beam(made, (0.0, 0.0), np.array([[0.9, 0.0]])), 550.0)
    point, way = rays.point[0], rays.direction[0]
    to_focus = (made.image_mm - point[2]) / way[2]
    # On along the light by as much as the eyepiece is farther out.
    falls = point + (to_focus + travel_mm / abs(way[2])) * way
    right_on_sky = arrival(made, (1e-4, 0.0), 550.0) - arrival(made, (0.0, 0.0), 550.0)
    return float(falls[0] * np.sign(right_on_sky[0]))


@pytest.mark.parametrize("layout", SIZES)
@pytest.mark.parametrize("travel", [5.0, -5.0])
def test_shadow_falls_on_the_side_that_the_words_say(layout: str, travel: float) -> None:
    same = side_of_disc(layout, travel) > 0.0
    words = hand_words(travel)
    here = words[words.index("as here") : words.index("(")]
    assert ("on that screw's side" in here) == same
    assert ("on the opposite side" in here) == (not same)
    assert ("outside" if travel > 0.0 else "inside") + " focus, as here" in words
