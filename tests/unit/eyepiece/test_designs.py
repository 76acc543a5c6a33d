"""What is usual for a design."""

import pytest

from simview.eyepiece import designs
from simview.kit import DESIGNS, Eyepiece


def test_every_design_has_its_usual_figures():
    assert set(designs.USUAL) == set(DESIGNS)


@pytest.mark.parametrize("design", DESIGNS)
def test_usual_figures_are_ones_that_a_kit_may_hold(design):
    usual = designs.USUAL[design]
    Eyepiece(
        focal_length_mm=10.0,
        design=design,
        apparent_field_deg=usual.apparent_field_deg,
        transmission=usual.transmission,
    )
    assert usual.surfaces % 2 == 0


def test_better_coating_passes_more():
    passed = [designs.SURFACE_TRANSMISSION[coating] for coating in ("none", "single", "multi")]
    assert passed == sorted(passed)
    assert max(passed) < 1.0


def test_stated_figures_win():
    piece = Eyepiece(focal_length_mm=10.0, apparent_field_deg=33.0, transmission=0.55)
    assert designs.apparent_field_deg(piece) == 33.0
    assert designs.transmission(piece) == 0.55
