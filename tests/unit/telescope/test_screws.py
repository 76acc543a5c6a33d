"""Three screws: leaning, combining, the next one to turn."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

import simview
from simview.errors import FitError, RangeError
from simview.telescope.faults import apply_faults
from simview.telescope.screws import Screws, band_ratio
from simview.units import ARCSEC_PER_RADIAN

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.25)
SCREWS = Screws(scope=SCOPE)


def plane_tilt(screws: Screws, turns: tuple[float, float, float]) -> complex:
    """The axis's lean from the plane through three lifted points, by solving for the plane."""
    assert screws.circle_mm is not None
    at = [cmath.rect(screws.circle_mm / 2.0, math.radians(a)) for a in screws.angles_deg()]
    matrix = np.array([[p.real, p.imag, 1.0] for p in at])
    slope_x, slope_y, _ = np.linalg.solve(matrix, np.array(turns) * screws.pitch_mm)
    # The normal of z = a x + b y + c is (-a, -b, 1).
    return complex(-slope_x, -slope_y) * ARCSEC_PER_RADIAN / 60.0


@pytest.mark.parametrize(
    "turns", [(1.0, 0.0, 0.0), (0.0, -0.5, 0.0), (0.2, 0.1, -0.4), (1.0, 1.0, 1.0)]
)
@pytest.mark.parametrize("first", [90.0, 0.0, 37.0])
def test_tilt_is_that_of_the_plane_through_three_points(
    turns: tuple[float, float, float], first: float
) -> None:
    screws = Screws(scope=SCOPE, first_deg=first, circle_mm=110.0, pitch_mm=0.8)
    # Small angles: the arc of a turn against its tangent, 1e-4 of it.
    assert screws.tilt(turns) == pytest.approx(plane_tilt(screws, turns), abs=5e-3)


@pytest.mark.parametrize("tilt", [3.0 + 0j, -2.0 + 5.0j, 0.7j, 0j, -4.0 - 4.0j])
def test_turns_give_the_tilt_that_was_asked_for(tilt: complex) -> None:
    turns = SCREWS.turns_for(tilt)
    assert SCREWS.tilt(turns) == pytest.approx(tilt, abs=1e-9)
    assert min(abs(turn) for turn in turns) == pytest.approx(0.0, abs=1e-12)


def test_least_turning_is_chosen() -> None:
    for angle in range(0, 360, 15):
        tilt = cmath.rect(5.0, math.radians(angle))
        turns = SCREWS.turns_for(tilt)
        # Leaving another screw alone instead adds the same turn to all three.
        others = [[t - turns[k] for t in turns] for k in range(3)]
        assert sum(map(abs, turns)) <= min(sum(map(abs, o)) for o in others) + 1e-9


def test_tolerance_is_a_quarter_wave_of_coma() -> None:
    # h = 48 F^3 wavelength / 4: 0.825 mm at f/5 and 550 nm (Schroeder, section 5.3).
    assert SCREWS.tolerance_mm == pytest.approx(48.0 * 125.0 * 550e-6 / 4.0)
    found = apply_faults(SCOPE, [SCREWS.fault(complex(SCREWS.tolerance_arcmin))])
    assert found.scope.wavefront.coma == pytest.approx(0.25, rel=1e-3)
    assert SCREWS.tolerance_turns * SCREWS.turn_arcmin == pytest.approx(SCREWS.tolerance_arcmin)


def test_next_turn_takes_the_screw_whose_side_the_mirror_leans_away_from_least() -> None:
    # Leaning straight up by twice the tolerance: A stands at the top; pushed forwards it leans
    # the mirror down.
    found = SCREWS.next_turn(2.0j * SCREWS.tolerance_arcmin)
    assert found is not None
    assert found[0] == "A"
    assert found[1] == pytest.approx(2.0 * SCREWS.tolerance_turns)
    assert SCREWS.next_turn(0.99 * SCREWS.tolerance_arcmin + 0j) is None


def test_lens_and_lengths_out_of_range_are_refused() -> None:
    lens = simview.Telescope(aperture_mm=80.0, focal_length_mm=800.0, objective="achromat")
    with pytest.raises(FitError, match="mirror"):
        Screws(scope=lens)
    for wrong in ({"circle_mm": 1.0}, {"pitch_mm": 0.0}, {"first_deg": math.nan}):
        with pytest.raises(RangeError):
            Screws(scope=SCOPE, **wrong)


@pytest.mark.parametrize(
    ("hidden", "lean", "ratio"),
    # A ring from 0.3 to 1 whose dark middle is off by 0.1: 0.8 wide there, 0.6 here. Where the
    # dark middle touches the rim or hangs over it there is nothing left to be wider than.
    [(0.3, 0.0, 1.0), (0.3, 0.1, 0.8 / 0.6), (0.5, 0.5, math.inf), (0.3, 0.9, math.inf)],
)
def test_ring_is_wider_on_the_side_its_middle_leans_away_from(
    hidden: float, lean: float, ratio: float
) -> None:
    assert band_ratio(hidden, lean) == pytest.approx(ratio)
