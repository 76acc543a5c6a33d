"""Slides made again from the recipes that they carry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from simview.errors import ChoiceError
from simview.picture import recipe
from simview.picture.drawing.tongue import ENGLISH, known, speaking
from simview.picture.prints.printing import Progress
from simview.picture.slides import (
    collimation_slide,
    compare_slide,
    eyepiece_slide,
    star_slide,
    targets_slide,
    view_slide,
)
from simview.picture.slides.records import Size, SlideSheet, Wish
from simview.picture.views.cases import of_recipe


def again(
    given: Mapping[str, Any], *, size: Size | None = None, progress: Progress | None = None
) -> SlideSheet:
    """Make a slide again from its recipe; its logo, which is a file, is left out.

    Raises
    ------
    SimviewError
        Where the recipe is broken, or of a command that makes no slides.
    """
    told = dict(given)
    wish, language = wish_of(told)
    with speaking(language):
        return _again(told, wish, size, progress)


def _again(
    told: dict[str, Any], wish: Wish, size: Size | None, progress: Progress | None
) -> SlideSheet:
    alone = {
        "startest": star_slide.again,
        "targets": targets_slide.again,
        "eyepiece": eyepiece_slide.again,
        "collimate": collimation_slide.again,
    }.get(str(told.get("command")))
    if alone is not None:
        return alone(told, wish, size)
    made = recipe.read(told, any_shape=True)
    common: dict[str, Any] = {
        "wish": wish,
        "size": size or made.size,
        "engine": made.engine,
        "display": made.display,
        "progress": progress,
    }
    if made.command == "compare":
        return compare_slide.compare_slide(of_recipe(made), **common)
    common |= {"sky": made.sky, "observer": made.observer}
    if made.command == "ladder":
        powers = made.further["powers"]
        return view_slide.ladder_slide(made.kits[0], made.target, powers=powers, **common)
    if made.command == "detail":
        from simview.picture.detail.detail_sheet import detail

        of_detail = {key: common[key] for key in ("wish", "size", "sky", "observer")}
        sheet = detail(made.kits[0], made.target, powers=made.further["powers"], **of_detail)
        assert isinstance(sheet, SlideSheet)
        return sheet
    if made.command == "view":
        choice = {"eyepiece": made.further["eyepiece"], "power": made.further["power"]}
        return view_slide.view_slide(made.kits[0], made.target, **choice, **common)
    raise ChoiceError("recipe command", got=made.command, allowed="view, ladder, compare, detail")


def wish_of(told: dict[str, Any]) -> tuple[Wish, str]:
    """Take what a slide's maker wanted, and its language, out of a recipe."""
    with recipe.reading():
        asked = dict(told.pop("slide"))
        wish = Wish(
            title=str(asked["title"]),
            footer=None if asked["footer"] is None else str(asked["footer"]),
            paper="white" if asked["paper"] == "white" else "dark",
            labels=tuple(str(label) for label in asked["labels"]),
        )
    return wish, known(str(asked.get("language", ENGLISH)))
