"""Three screws: leaning, combining, and which way the star and its dark middle go."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

import simview
from simview.errors import FitError, RangeError
from simview.telescope.faults import apply_faults
from simview.telescope.focus import through_focus
from simview.telescope.screws import Screws, star_moves
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


def dark_middle(tilt: complex, travel_waves: float) -> complex:
    """Where the dark middle of a defocused star lies against the middle of its outline.

    By the light within the outline: the darker side is the one where the ring is wide.
    """
    found = apply_faults(SCOPE, [SCREWS.fault(tilt)])
    unit = 550e-6 / 150.0 * ARCSEC_PER_RADIAN
    stack = through_focus(
        found.scope,
        (travel_waves,),
        wavelengths_nm=np.linspace(480.0, 620.0, 9),
        pixel_arcsec=0.5 * unit,
        pixels=128,
        extras=found.extras,
    )
    image = stack[0].mean(axis=0).astype(float)
    place = 0.5 * (np.arange(128) - 64)
    x, y = place[None, :], -place[:, None]
    lit = image > 0.25 * np.quantile(image, 0.99)
    outline = np.hypot(x, y) < 1.25 * np.hypot(x, y)[lit].max()
    middle = complex((x * lit).sum(), (y * lit).sum()) / lit.sum()
    inner = (np.hypot(x - middle.real, y - middle.imag) < 8.0) & outline
    dark = np.where(inner, image[inner].max() - image, 0.0) ** 2
    return complex((x * dark).sum(), (y * dark).sum()) / dark.sum() - middle


@pytest.mark.parametrize("travel", [-5.0, 5.0])
@pytest.mark.parametrize("angle", [0.0, 70.0, 200.0])
def test_dark_middle_leans_to_where_the_axis_lies(travel: float, angle: float) -> None:
    tilt = cmath.rect(3.0 * SCREWS.tolerance_arcmin, math.radians(angle))
    lean = dark_middle(tilt, travel)
    assert abs(lean) > 0.4
    assert math.cos(cmath.phase(lean) - math.radians(angle)) > 0.9


@pytest.mark.parametrize("angle", [10.0, 130.0, 250.0])
def test_star_sent_to_the_side_of_the_dark_middle_is_the_cure(angle: float) -> None:
    # The rule on the sheet: of all turns of one screw, one that sends the star towards the dark
    # middle makes the lean smaller.
    tilt = cmath.rect(3.0 * SCREWS.tolerance_arcmin, math.radians(angle))
    for screw in range(3):
        for turn in (0.02, -0.02):
            turns = [0.0, 0.0, 0.0]
            turns[screw] = turn
            change = SCREWS.tilt((turns[0], turns[1], turns[2]))
            towards = (star_moves(change) * tilt.conjugate()).real > 0.35 * abs(
                star_moves(change) * tilt
            )
            if towards:
                assert abs(tilt + change) < abs(tilt)


def test_lens_and_lengths_out_of_range_are_refused() -> None:
    lens = simview.Telescope(aperture_mm=80.0, focal_length_mm=800.0, objective="achromat")
    with pytest.raises(FitError, match="mirror"):
        Screws(scope=lens)
    for wrong in ({"circle_mm": 1.0}, {"pitch_mm": 0.0}, {"first_deg": math.nan}):
        with pytest.raises(RangeError):
            Screws(scope=SCOPE, **wrong)
