"""Earthshine in print: plain beside a thin crescent in binoculars, lost at half Moon."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.picture.prints.printing import Wanted, develop_all

SIDE = 500


def limb(phase_deg: float) -> tuple[float, float]:
    """Return the codes just inside and just outside the dark limb, in a 10 x 50 binocular."""
    pair = simview.Binocular(power=10, aperture_mm=50, true_field_deg=5.0)
    moon = simview.target("moon", phase_deg=phase_deg)
    sky = simview.Sky(sky_mag_arcsec2=20.5, altitude_deg=30.0)
    view = simview.look(simview.Kit(binocular=pair), moon, sky=sky)
    panel = develop_all([Wanted(view=view, pixels_per_degree=20.0, pixels=SIDE)]).panels[0]
    middle, radius = SIDE // 2, moon.size_arcsec / 2.0 / (3600.0 / 20.0 / 10.0)
    rows = slice(middle - 12, middle + 13)

    def at(share: float) -> float:
        # Upright, lit on the right: the dark limb is on the left.
        column = round(middle - share * radius)
        return float(np.mean(panel[rows, column - 2 : column + 3].astype(float)))

    return at(0.85), at(1.17)


@pytest.mark.parametrize("phase_deg", [150.0, 140.0, 130.0])
def test_dark_side_of_a_crescent_stands_out_in_binoculars(phase_deg: float) -> None:
    # Reported from the thin crescent to some five days after new Moon (docs/models/observed.md).
    inside, outside = limb(phase_deg)
    assert inside > outside + 6.0


def test_no_dark_limb_shows_at_half_moon() -> None:
    inside, outside = limb(90.0)
    further = limb(75.0)
    # The glare falls off from the lit side; no step at the limb is left in it.
    assert abs(inside - outside) < 6.0
    assert abs(further[0] - further[1]) < 6.0
