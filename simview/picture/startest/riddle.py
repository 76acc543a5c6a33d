"""A fault to guess: drawn by a seed from those that the poster shows for such a telescope."""

from __future__ import annotations

import random
from typing import Final

from simview.errors import require_choice, require_range
from simview.kit import Kit
from simview.picture.startest.atlas_cells import cells_for, type_of_kit
from simview.picture.startest.words import StarWords
from simview.telescope.faults import Fault, parse

# How hard it is to which of the poster's strengths.
DIFFICULTIES: Final = {"easy": 2, "fair": 1, "hard": 0}

# The strip's middle is where the eyepiece is in focus: a riddle of being out of it is none.
_NONE: Final = ("defocus",)

# What stands where the answer would: how to look.
QUESTIONS: Final = StarWords(
    title="What is wrong here?",
    short="guess it",
    look="Is every disc round? Is it lit evenly? Does the dark middle sit in the middle?",
    means="What changes from inside to outside focus, what stays, what turns over?",
    do="Name the fault; then draw the same riddle again with --answer.",
    leads=("Look", "Then", "Say"),
)


def riddle(kit: Kit, seed: int, difficulty: str = "fair") -> tuple[Fault, ...]:
    """Return the fault that a seed hides, always the same for the same telescope type.

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
    """
    require_range("--riddle", seed, 0, 2**32 - 1)
    require_choice("--difficulty", difficulty, DIFFICULTIES)
    cells = [
        cell for cell in cells_for(type_of_kit(kit)) if cell.fault.partition("=")[0] not in _NONE
    ]
    typed = random.Random(seed).choice(cells).typed()
    return (parse(typed[DIFFICULTIES[difficulty]]),)
