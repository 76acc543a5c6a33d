"""Any picture made again from the recipe that it carries."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any, Final

from simview.errors import ChoiceError
from simview.picture import recipe
from simview.picture.drawing.canvas import Size
from simview.picture.prints.printing import Progress
from simview.picture.views import comparing, compose
from simview.picture.views.cases import of_recipe

# Commands whose sheets have a module of their own in this room, with a function
# ``again(given, size=None)`` that reads the recipe itself.
_HOMES: Final = {
    "eyepiece": "eyepieces.eyepiece_sheet",
    "detail": "detail.detail_sheet",
    "startest": "startest.star_sheet",
    "collimate": "collimation.collimation_sheet",
    "targets": "views.contact_sheet",
}
# Commands whose pictures can be made again.
COMMANDS: Final = ("ladder", "compare", "view", *_HOMES)


def redo(
    given: Mapping[str, Any], *, size: Size | None = None, progress: Progress | None = None
) -> compose.Sheet:
    """Make a picture again from its recipe, perhaps at another size.

    Raises
    ------
    SimviewError
        Where the recipe is broken, or from a command that is not known.
    """
    command = given.get("command")
    if not isinstance(command, str):
        raise ChoiceError("recipe command", got=command, allowed=", ".join(COMMANDS))
    if "slide" in given:
        home = import_module("simview.picture.slides.again")
        slide: compose.Sheet = home.again(given, size=size, progress=progress)
        return slide
    if command in _HOMES:
        home = import_module(f"simview.picture.{_HOMES[command]}")
        sheet: compose.Sheet = home.again(given, size=size)
        return sheet
    made = recipe.read(given)
    common: dict[str, Any] = {
        "sky": made.sky,
        "observer": made.observer,
        "size": size or made.size,
        "engine": made.engine,
        "display": made.display,
        "progress": progress,
    }
    further = made.further
    if made.command == "ladder":
        return compose.ladder(made.kits[0], made.target, powers=further["powers"], **common)
    if made.command == "compare" and further["cases"] is not None:
        common = {key: common[key] for key in ("size", "engine", "display", "progress")}
        return comparing.compare_cases(of_recipe(made), **common)
    if made.command == "compare":
        chosen = [
            (kit, index, power)
            for kit, (index, power) in zip(made.kits, further["choices"], strict=True)
        ]
        return comparing.compare(
            chosen, made.target, looks=further["looks"], airs=further["airs"], **common
        )
    if made.command == "view":
        choice = {"eyepiece": further["eyepiece"], "power": further["power"]}
        return compose.view(made.kits[0], made.target, **choice, **common)
    raise ChoiceError("recipe command", got=command, allowed=", ".join(COMMANDS))
