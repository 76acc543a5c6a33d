"""Colours of small discs in lens telescopes: the planet's own, a violet fringe around it."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.picture.prints.printing import Wanted, develop_all

SIDE = 300


def rings(name: str, objective: str, **told: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the mean colour of a planet's disc and of what lies 1.1 to 1.4 radii out, 60 mm."""
    scope = simview.Telescope(aperture_mm=60.0, focal_length_mm=600.0, objective=objective)
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))
    # High up, so that the air spreads no colours.
    view = simview.look(
        kit, simview.target(name, **told), power=60.0, sky=simview.Sky(altitude_deg=85.0)
    )
    radius = 0.5 * view.target.size_arcsec
    scale = 0.3 * SIDE / (radius * 60.0 / 3600.0)
    shown = develop_all([Wanted(view=view, pixels_per_degree=scale, pixels=SIDE)]).panels[0]
    along = (np.arange(SIDE) - SIDE // 2) / (0.3 * SIDE)
    away = np.hypot(along[:, None], along[None, :])
    colour = np.asarray(shown, float)
    return colour[away < 0.8].mean(axis=0), colour[(away > 1.1) & (away < 1.4)].mean(axis=0)


# Common practice: a planet in a small achromat has its own colour, no yellow-green one, and a soft
# violet fringe. Its own is what a mirror of that size shows.
@pytest.mark.parametrize("name", ["jupiter", "mars"])
def test_disc_has_its_own_colour_in_an_achromat(name: str) -> None:
    lens, mirror = (rings(name, objective)[0] for objective in ("achromat", "mirror"))
    for channel in (0, 2):
        assert lens[channel] - lens[1] == pytest.approx(mirror[channel] - mirror[1], abs=6.0)


@pytest.mark.parametrize("name", ["jupiter"])
def test_fringe_of_an_achromat_is_violet(name: str) -> None:
    _, lens = rings(name, "achromat")
    _, mirror = rings(name, "mirror")
    assert lens[2] > lens[1] + 1.0
    assert lens[0] >= lens[1] - 1.0
    assert lens[2] - lens[1] > mirror[2] - mirror[1] + 1.0
