"""A fault to guess: drawn by a seed from those that the poster shows for such a telescope."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from typing import Final

from simview.errors import SimviewError, require_choice, require_range
from simview.kit import Kit, Telescope
from simview.picture.drawing.tongue import N_
from simview.picture.startest.atlas_cells import cells_for, type_of_kit
from simview.picture.startest.words import StarWords
from simview.telescope.faults import Fault, apply_faults, kind_of, parse
from simview.telescope.flat import Hung, height_mm, seen, to_focus_mm
from simview.telescope.traced_faults import layout_word

# How hard it is to which of the poster's strengths.
DIFFICULTIES: Final = {"easy": 2, "fair": 1, "hard": 0}

# The strip's middle is where the eyepiece is in focus: a riddle of being out of it is none. Nor is
# one of a large secondary: how large this telescope's should be is not told.
_NONE: Final = ("defocus", "secondary")

# Vanes are thick where they are at least so many times the telescope's own. A choice.
_THICK: Final = 2.0

# A disc is cut off by so much of its radius at the most, that it still is a disc. A choice.
_DEEPEST_CUT: Final = 0.6

# Directions that are drawn are multiples of this, deg.
_STEP_DEG: Final = 5

# Warm air rises, whichever riddle it is.
_UPWARDS: Final = ("plume",)

# What stands where the answer would: how to look.
QUESTIONS: Final = StarWords(
    title=N_("What is wrong here?"),
    short="guess it",
    look=N_("Is every disc round? Is it lit evenly? Does the dark middle sit in the middle?"),
    means=N_("What changes from inside to outside focus, what stays, what turns over?"),
    do=N_("Name the fault; then draw the same riddle again with --answer."),
    leads=(N_("Look"), N_("Then"), N_("Say")),
)


def riddle(kit: Kit, seed: int, difficulty: str = "fair") -> tuple[Fault, ...]:
    """Return the fault that a seed hides, with a direction drawn too: the same for the same kit.

    Parameters
    ----------
    seed
        0 to 4294967295.
    difficulty
        "easy", "fair" or "hard": the poster's strong, middling or weak strength.

    Raises
    ------
    SimviewError
        For a kit without a telescope, or a value out of range.

    Notes
    -----
    Checked by: tests/unit/picture/test_star_riddles.py
    """
    require_range("--riddle", seed, 0, 2**32 - 1)
    require_choice("--difficulty", difficulty, DIFFICULTIES)
    cells = [
        cell for cell in cells_for(type_of_kit(kit)) if cell.fault.partition("=")[0] not in _NONE
    ]
    drawn = random.Random(seed)
    turned = float(drawn.randrange(0, 360, _STEP_DEG))
    for cell in drawn.sample(cells, len(cells)):
        fault = _as_it_happens(kit, parse(cell.typed()[DIFFICULTIES[difficulty]]))
        if can_be_told(kit, fault):
            fixed = fault.name in _UPWARDS or not kind_of(fault.name).directed
            return (fault if fixed else replace(fault, angle_deg=turned),)
    raise AssertionError("overcorrection can be told in every telescope")


def _as_it_happens(kit: Kit, fault: Fault) -> Fault:
    """Return the fault behind a pattern that would not come alone.

    A Newtonian's shadow stands off the middle because its flat leans, which cuts light off too.
    """
    scope = kit.telescope
    assert scope is not None
    newtonian = layout_word(scope, kit.layout) == "newtonian"
    if fault.name != "off-centre-shadow" or not newtonian or not scope.obstruction:
        return fault
    off_mm = fault.amount / 100.0 * scope.aperture_mm
    # A lean of 1 sends the star by 1 to 2 of this; on the mean of all directions by 1.5.
    star = 1.5 * to_focus_mm(scope) / scope.focal_length_mm
    lean = off_mm / height_mm(scope) / star
    while _cut(scope, lean) > _DEEPEST_CUT:
        lean *= 0.9
    return parse(f"secondary-tilt={math.degrees(lean) * 60.0:.2g}arcmin,collimated=1")


def _cut(scope: Telescope, lean: float) -> float:
    """Return how far into the mirror the dark beside a leaning flat reaches, radii."""
    found = seen(scope, Hung(lean=complex(lean)))
    return abs(found.lit) + 1.0 - found.lit_radius


def can_be_told(kit: Kit, fault: Fault) -> bool:
    """Tell whether the sheet of a kit with this fault shows something that a perfect one does not.

    Where the fault is weak that may still be hard to see; here it is what cannot be seen at all.
    """
    scope = kit.telescope
    assert scope is not None
    if fault.name == "off-centre-shadow" and not scope.obstruction:
        return False
    if fault.name == "vanes" and scope.vanes:
        return fault.amount >= _THICK * scope.vane_mm
    try:
        apply_faults(scope, (fault,), layout=kit.layout)
    except SimviewError:  # whose surfaces are not known, has no tilt that could be computed
        return False
    return True
