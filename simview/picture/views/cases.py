"""One panel of a comparison: which kit, on what, under which sky, before which eye."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from simview.kit import Kit, Observer, Sky
from simview.kitfile import parse_kit
from simview.picture import recipe
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import View, follow

# What a panel shows: what the eye sees, or what a long photograph of the same field shows.
Look = Literal["eye", "photo"]
LOOKS: Final = ("eye", "photo")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One panel of a comparison.

    Parameters
    ----------
    kit, eyepiece, power
        The eyepiece's index or None, the power or None.
    target, sky, observer
        What is looked at, through what air, by whom.
    look
        What the eye sees, or a long photograph.
    name
        What tells it from its neighbours, where the kit does not: "In a city".
    """

    kit: Kit
    target: Target
    sky: Sky
    observer: Observer
    eyepiece: int | None = None
    power: float | None = None
    look: Look = "eye"
    name: str = ""

    def recipe(self) -> dict[str, Any]:
        """Return what the recipe of a comparison does not hold for all of its panels at once."""
        return {
            "conditions": recipe.conditions_text(self.sky, self.observer),
            "target": dict(self.target.recipe),
            "name": self.name,
        }


def looked(cases: Sequence[Case], engine: Engine) -> list[View]:
    """Look at each case; equal targets are painted once."""
    remembered: dict[int, Target] = {}
    for case in cases:
        if id(case.target) not in remembered:
            remembered[id(case.target)] = case.target.remembering()
    return [
        follow(
            case.kit,
            remembered[id(case.target)],
            eyepiece=case.eyepiece or 0,
            power=case.power if case.kit.kind == "telescope" else None,
            sky=case.sky,
            observer=case.observer,
            engine=engine,
        )
        for case in cases
    ]


def of_recipe(made: recipe.Ingredients) -> list[Case]:
    """Return the panels that a comparison's recipe tells of.

    Raises
    ------
    SimviewError
        Where the recipe is broken.
    """
    further = made.further
    looks = further["looks"] or ["eye"] * len(made.kits)
    told: list[Mapping[str, Any] | None] = further["cases"] or [None] * len(made.kits)
    answer = []
    with recipe.reading():
        for kit, choice, look, own in zip(made.kits, further["choices"], looks, told, strict=True):
            target, sky, observer, name = made.target, made.sky, made.observer, ""
            if own is not None:
                read = parse_kit(str(own["conditions"]), where=recipe.WHERE)
                sky, observer = read.sky or Sky(), read.observer or Observer()
                if dict(own["target"]) != dict(made.target.recipe):
                    target = recipe.target_of(own["target"])
                name = str(own["name"])
            answer.append(
                Case(
                    kit=kit,
                    eyepiece=choice[0],
                    power=choice[1],
                    target=target,
                    sky=sky,
                    observer=observer,
                    look="photo" if look == "photo" else "eye",
                    name=name,
                )
            )
    return answer
