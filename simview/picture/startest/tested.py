"""What a star test says before it is drawn: figures, words, and the recipe that makes it again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from simview.kitfile import kit_text, parse_kit
from simview.picture.drawing.canvas import Size
from simview.picture.recipe import WHERE, reading
from simview.picture.startest.cooling_rows import any_cooling, cooling_rows
from simview.picture.startest.patterns import StarTest, StarViews
from simview.picture.startest.riddle import riddle
from simview.picture.startest.star_figures import (
    StarFigures,
    by_name,
    figures_of,
    worst_fault,
)
from simview.picture.startest.words import (
    StarWords,
    colour_words,
    own_faults,
    words_for,
)
from simview.telescope.faults import parse


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The figures of a sheet, side by side.

    Parameters
    ----------
    own
        This telescope alone, without air.
    aired
        The same with the air that was asked for; None without air.
    glass
        The same glass without any fault.
    best
        The same pupil without fault and without colour; of a warm telescope, the same cooled down.
    """

    own: StarFigures
    aired: StarFigures | None
    glass: StarFigures
    best: StarFigures

    @classmethod
    def of(cls, views: StarViews) -> Beside:
        """Compute them."""
        found, test = views.afflicted, views.test
        best = figures_of(test.perfect)
        glass = best if test.scope.objective == "mirror" else figures_of(test.faultless)
        if test.cooling:
            cold = test.beside()
            best = figures_of(cold.scope, extras=cold.extras)
        return cls(
            own=figures_of(found.scope, extras=found.extras),
            aired=None
            if found.sky is None
            else figures_of(found.scope, extras=found.extras, sky=found.sky, with_contrast=False),
            glass=glass,
            best=best,
        )


# Strehl ratios in white and in green light that differ by less are one. A choice.
COLOURLESS: Final = 0.02


def sheet_words(test: StarTest, figures: Beside) -> StarWords:
    """Return the words for what the pattern shows: the worst fault's, or the glass's own colour."""
    worst = worst_fault(test.scope, test.faults, test.kit.layout)
    colour = figures.glass.strehl - figures.glass.strehl_white > COLOURLESS
    if worst is None and colour and test.colour == "white":
        return colour_words()
    return words_for(worst, test.scope, test.kit.layout)


def numbers(test: StarTest, figures: Beside) -> dict[str, Any]:
    """Return the figures for JSON: this telescope, then the same one without any fault.

    Where air was asked for, `strehl`, `strehl_white` and `encircled_airy` are with it, and their
    names with `_alone` are the telescope's own; `of` says so.
    """
    own, best = figures.own, figures.glass
    cold = []
    if test.cooling:
        rest = [fault for fault in test.faults if fault.name != "cooling"]
        cold = [figures.best.row(rest) | {"of": "the same, cooled down"}]
    first = own.row(test.faults) | {"of": "telescope alone"}
    if figures.aired is not None:
        aired = figures.aired
        first |= {
            "of": "one moment of air before the telescope; wavefront and contrast: telescope alone"
        }
        for name in ("strehl", "strehl_white", "encircled_airy"):
            first[f"{name}_alone"] = getattr(own, name)
            first[name] = getattr(aired, name)
    cooling = {"cooling": cooling_rows(test)} if any_cooling(test) else {}
    steps = zip(test.travel().tolist(), test.travel_mm().tolist(), strict=True)
    kit = own_faults(test.scope.wavefront)
    return {
        "rows": [
            first | {"kit_faults": by_name(kit)},
            best.row(()) | {"of": "same glass, no fault", "kit_faults": {}},
            *(row | {"kit_faults": by_name(kit)} for row in cold),
        ],
        "travel": [{"waves": waves, "mm": mm} for waves, mm in steps],
        "faults_typed": " ".join(map(str, test.faults)),
        **cooling,
    }


def recipe(test: StarTest, size: Size) -> dict[str, Any]:
    """Return what makes the sheet again."""
    # A riddle's recipe says what it is drawn from, not what was drawn.
    asked: dict[str, Any] = {"faults": [str(fault) for fault in test.faults]}
    if test.riddle is not None:
        asked = {"riddle": test.riddle, "difficulty": test.difficulty}
    return {
        "command": "startest",
        "kits": [kit_text(test.kit)],
        **asked,
        "colour": test.colour,
        "power": test.power,
        "common": test.common,
        "travel_waves": test.travel_waves,
        "positions": test.positions,
        "size": list(size),
    }


def read(given: Mapping[str, Any]) -> tuple[StarTest, Size]:
    """Read a recipe.

    Raises
    ------
    SimviewError
        Where something is missing from it or is not what it should be.
    """
    with reading():
        (words,) = given["kits"]
        hidden = given.get("riddle") is not None
        typed = [] if hidden else [str(word) for word in given["faults"]]
        width, height = (int(side) for side in given["size"])
        further = {key: given[key] for key in ("power", "common", "travel_waves", "positions")}
        colour = str(given["colour"])
        seed = given.get("riddle")
        if seed is not None and not isinstance(seed, int):
            raise TypeError("whole number")
        difficulty = str(given.get("difficulty", "fair"))
    kit = parse_kit(str(words), where=WHERE).kit
    faults = tuple(parse(word) for word in typed)
    test = StarTest(
        riddle=seed,
        difficulty=difficulty,
        kit=kit,
        faults=faults if seed is None else riddle(kit, seed, difficulty),
        colour=colour,
        **further,
    )
    return test, (width, height)
