"""A Newtonian's flat: where the focuser stands does not matter, bad telescopes are refused."""

from __future__ import annotations

import cmath
import math

import pytest

import simview
from simview.errors import FitError, SimviewError
from simview.picture import again
from simview.picture.collimation.collimation_asked import collimation
from simview.picture.collimation.collimation_sheet import collimate
from simview.telescope.faults import apply_faults, parse
from simview.telescope.flat import Hung, seen, to_focus_mm
from simview.telescope.flat_screws import FlatScrews

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
KIT = simview.Kit(telescope=SCOPE, layout="newtonian")
LENS = simview.Telescope(aperture_mm=80.0, focal_length_mm=900.0, objective="achromat")


@pytest.mark.parametrize("turn", [30.0, 90.0, -140.0])
def test_all_turns_with_the_focuser(turn: float) -> None:
    unit = cmath.rect(1.0, math.radians(turn))
    first = seen(SCOPE, Hung(shift_mm=2 + 1j, along_mm=1.5, lean=0.01 - 0.02j))
    other = seen(
        SCOPE,
        Hung(
            shift_mm=(2 + 1j) * unit,
            along_mm=1.5,
            lean=(0.01 - 0.02j) * unit,
            focuser_deg=turn,
        ),
    )
    assert other.shadow == pytest.approx(first.shadow * unit, abs=1e-9)
    assert other.lit == pytest.approx(first.lit * unit, abs=1e-9)
    assert other.lit_radius == pytest.approx(first.lit_radius, abs=1e-9)
    screws = FlatScrews(scope=SCOPE, first_deg=90.0 + turn, focuser_deg=turn)
    moves = FlatScrews(scope=SCOPE).moves()
    assert screws.moves() == pytest.approx([move * unit for move in moves], abs=1e-9)


def test_flat_of_no_margin_in_its_place_lights_all_of_the_mirror_but_a_crescent() -> None:
    # Focus so far out that the flat just fills the cone: a plane at 45 degrees cuts it farther out
    # on the side away from the focuser, which an offset of half-width / (2 F) would even out.
    slow = simview.Telescope(aperture_mm=200.0, focal_length_mm=800.0, obstruction=0.2)
    assert to_focus_mm(slow) == pytest.approx(160.0)
    even = FlatScrews(scope=slow).offset_mm
    assert even == pytest.approx(20.0 / (2.0 * 4.0))
    centred = seen(slow, Hung())
    # Set off away from the focuser and as far towards the primary, its plane stays where it was.
    off = seen(slow, Hung(shift_mm=complex(-even), along_mm=-even))
    assert abs(off.lit) < 0.05 * abs(centred.lit)
    assert off.star == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("tilt", [3.0 + 0j, -2.0 + 25.0j, 7j])
def test_turns_give_the_tilt_that_was_asked_for(tilt: complex) -> None:
    screws = FlatScrews(scope=SCOPE, focuser_deg=37.0)
    turns = screws.turns_for(tilt)
    assert screws.tilt(turns) == pytest.approx(tilt, abs=1e-9)
    assert min(map(abs, turns)) == 0.0
    # Equal turns of all three lift the flat and tilt nothing.
    assert screws.tilt((1.0, 1.0, 1.0)) == pytest.approx(0.0, abs=1e-9)


def test_tolerance_is_a_tenth_between_the_two_bands() -> None:
    s = FlatScrews(scope=SCOPE).tolerance_mm / 75.0
    assert (0.7 + s) / (0.7 - s) == pytest.approx(1.1)


@pytest.mark.parametrize(
    ("scope", "layout", "fault"),
    [
        (LENS, "refractor", "secondary-tilt=10"),
        (SCOPE, "maksutov", "secondary-tilt=10"),
        (simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0), None, "secondary-tilt=10"),
        (simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0), None, "secondary-shift=1"),
        (SCOPE, "newtonian", "secondary-tilt=900"),
    ],
)
def test_what_no_such_telescope_can_have_is_refused(scope, layout, fault: str) -> None:
    with pytest.raises(SimviewError, match="secondary"):
        apply_faults(scope, (parse(fault),), layout=layout)


def test_screws_of_a_flat_are_a_newtonians() -> None:
    for kit in (simview.Kit(telescope=LENS), simview.Kit(telescope=SCOPE, layout="cassegrain")):
        with pytest.raises(FitError, match="Newtonian"):
            collimation(kit, focuser_deg=0.0)


def test_sheet_made_again_is_the_same_and_tells_the_light_that_is_lost() -> None:
    made = collimate(collimation(KIT, colour="550", focuser_deg=30.0), size=(960, 540))
    second = again.redo(made.recipe)
    assert made.image.tobytes() == second.image.tobytes()
    lost = [row["light_lost"] for row in made.figures["rows"]]
    assert lost[0] == lost[1] == pytest.approx(0.0, abs=1e-3)
    assert 0.01 < lost[3] < 0.5
    assert made.figures["mirror"] == "secondary"


def test_flat_that_does_not_lean_has_no_direction_of_leaning() -> None:
    fault = FlatScrews(scope=SCOPE).fault(0j)
    assert (fault.amount, fault.angle_deg) == (0.0, 0.0)
