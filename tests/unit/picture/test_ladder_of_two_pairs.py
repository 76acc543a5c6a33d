"""A ladder of a double of two pairs has room for a line on each."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.picture.drawing import sheet
from simview.picture.prints.printing import measured
from simview.picture.views.ladder import ladder_geometry

SIZE = (1920, 1080)


@pytest.mark.parametrize("pixels", [210, 218, 232])
def test_sky_of_a_small_field_is_its_middle_not_its_soft_edge(pixels):
    # Through an eyepiece's glass a field ends softly, a fifth and more of its square lies outside.
    kit = simview.find_kit("demo:tabletop-150").kit
    view = simview.look(kit, simview.target("double-double"), power=300.0)
    wide = view.beam.apparent_field_deg
    exposure = view.expose(pixels_per_degree=pixels / wide * 0.98, pixels=pixels)
    assert exposure.fading is not None
    # What its veil hides of the sky is next to nothing: a pair has no bright surface.
    found = measured(view, exposure)
    assert found.sky_through_veil == pytest.approx(1.0, abs=0.1)
    middle = np.median(exposure.evened().extended[1, 60:-60, 60:-60])
    assert found.levels.background_td == pytest.approx(float(middle), rel=0.1)


@pytest.mark.parametrize("steps", [3, 5])
def test_each_further_line_takes_its_height_from_the_pictures(steps):
    one, two = (ladder_geometry(SIZE, [50.0] * steps, lines=lines) for lines in (1, 2))
    # All of it, with heading, band and figures, stays inside the sheet's middle.
    for geometry in (one, two):
        used = max(geometry.diameters_px) + geometry.patch_px + 104 + 82 + geometry.figures
        assert used <= sheet.content_area(SIZE).height
    if not two.beside:
        assert two.figures == one.figures + 28
