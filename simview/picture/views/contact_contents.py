"""What a page of targets says, settled before it is drawn: views, scales, words, figures, recipe.

The sheet, the slide, a table and JSON each show these records and decide nothing of their own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from simview.errors import RangeError, require_choice
from simview.eyepiece.train import choices
from simview.kit import Kit, Observer, Sky
from simview.kitfile import kit_text, parse_kit
from simview.picture import around_views, captions
from simview.picture.drawing import text
from simview.picture.drawing.canvas import Size
from simview.picture.drawing.sheet import SheetText
from simview.picture.drawing.tongue import N_, decimal, say
from simview.picture.finished import FOOTER, Told
from simview.picture.prints.display import Display
from simview.picture.recipe import WHERE, conditions_text, reading, target_of
from simview.picture.retelling import retold, titled
from simview.picture.views.cases import LOOKS, Look
from simview.picture.views.page_words import season
from simview.power import rules
from simview.power.marks import carried
from simview.scene.long_exposure_photo import NOTE
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.units import mag_arcsec2
from simview.view import View, follow

# Pictures on one page: more would be too small for their words. A choice.
MOST: Final = 12

# How wide a picture is, in sizes of its object; a double star is set among its neighbours.
_WIDTHS: Final[Mapping[str, float]] = {
    "planet": 2.2,
    "moon": 1.6,
    "double": 8.0,
    "stars": 1.5,
    "chart": 1.4,
    "daytime": 1.0,
    "photo": 1.1,
    "deep-sky": 1.2,
}

# Small nebulae are set among some sky, too: this is added, arcsec.
_AROUND_ARCSEC: Final[Mapping[str, float]] = {"deep-sky": 40.0}

# Least width of a picture, at the eye and on the sky: narrower ones would show only blur.
_LEAST_APPARENT_DEG: Final = 0.75
_LEAST_ARCSEC: Final = 24.0

_ORIGINS: Final = N_(
    "Real: stars to V 10.5. Drawn from published figures: sizes, light, shapes, places."
    " Invented: clouds, small craters, arms and knots, fainter stars, the house."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One target of a page.

    Parameters
    ----------
    name
        The word that a command knows it by.
    season, teaches
        As in `simview.scene.target_list.Record`.
    """

    target: Target
    name: str
    season: str
    teaches: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """One target of a page, looked at and put into words.

    Parameters
    ----------
    item
        The target.
    view
        How it is seen.
    width_arcsec
        Of its picture, on the sky.
    heading, lines
        What stands beside the picture.
    """

    item: Item
    view: View
    width_arcsec: float
    heading: str
    lines: tuple[str, ...]

    def figures(self) -> dict[str, Any]:
        """Return its figures, for JSON and tables."""
        target = self.item.target
        bright = target.luminance_cd_m2
        return {
            "name": self.item.name,
            "size_arcsec": target.size_arcsec,
            "magnitude": target.magnitude,
            "mag_arcsec2": None if bright is None else float(mag_arcsec2(bright)),
            "season": self.item.season,
            "teaches": self.item.teaches,
            "power": self.view.beam.power,
            "width_arcsec": self.width_arcsec,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactContents:
    """All that a page of targets holds, before it is drawn.

    Parameters
    ----------
    contacts
        Row by row.
    shown
        What each picture shows.
    words
        Around the pictures.
    figures
        For JSON, for tables and for the picture's metadata.
    recipe
        What makes it again, but for its size.
    """

    contacts: tuple[Contact, ...]
    shown: Look
    words: SheetText
    figures: Mapping[str, Any]
    recipe: Mapping[str, Any]

    def told(self, size: Size = (1920, 1080)) -> Told:
        """Return what is said of it whether or not it is drawn: figures and recipe."""
        return Told(figures=dict(self.figures), recipe={**self.recipe, "size": list(size)})


def judge_contacts(  # noqa: PLR0913 - all that a page is made of
    items: Sequence[Item],
    kit: Kit,
    *,
    shown: Look = "eye",
    title: str = "",
    sky: Sky | None = None,
    observer: Observer | None = None,
    engine: Engine = "native",
    most: int = MOST,
    where: str = "a page",
) -> ContactContents:
    """Look at each target at the power that suits it, and say what is seen.

    Parameters
    ----------
    most, where
        How many targets go together, and onto what, for messages.

    Raises
    ------
    SimviewError
        For no targets, more than go together, an unknown look.
    """
    require_choice("look", shown, LOOKS)
    if not 1 <= len(items) <= most:
        raise RangeError(f"targets on {where}", got=len(items), allowed=f"1 to {most}")
    title = title or say("What can be looked at")
    sky, observer = sky or kit.sky or Sky(), observer or kit.observer or Observer()
    contacts = tuple(
        _contact(item, view_of(kit, item.target, sky=sky, observer=observer, engine=engine), shown)
        for item in items
    )
    return ContactContents(
        contacts=contacts,
        shown=shown,
        words=_words(title, [each.view for each in contacts], shown),
        figures={
            "kit": captions.instrument(kit),
            "look": shown,
            "targets": [each.figures() for each in contacts],
        },
        recipe={
            "command": "targets",
            "kits": [kit_text(kit)],
            "conditions": conditions_text(sky, observer),
            "targets": [_recipe(item) for item in items],
            "look": shown,
            "title": title,
            "engine": engine,
        },
    )


def read(given: Mapping[str, Any]) -> dict[str, Any]:
    """Read a recipe: what a page is made from, by name.

    Raises
    ------
    SimviewError
        Where something is missing from it or is not what it should be.
    """
    with reading():
        (words,) = given["kits"]
        rows = [dict(row) for row in given["targets"]]
        items = [
            Item(
                target=target_of(dict(row["target"])),
                name=str(row["name"]),
                season=str(row["season"]),
                teaches=str(row["teaches"]),
            )
            for row in rows
        ]
        told = parse_kit(str(given["conditions"]), where=WHERE)
        width, height = (int(side) for side in given["size"])
        return {
            "items": items,
            "kit": parse_kit(str(words), where=WHERE).kit,
            "shown": given["look"],
            "title": str(given["title"]),
            "sky": told.sky,
            "observer": told.observer,
            "size": (width, height),
            "engine": "poppy" if given.get("engine") == "poppy" else "native",
        }


def view_of(
    kit: Kit, target: Target, *, sky: Sky, observer: Observer, engine: Engine = "native"
) -> View:
    """Return the view that suits a target: the highest useful power whose field holds it.

    Where no field holds it, the widest.

    Parameters
    ----------
    kit, target, sky, observer, engine
        As in `simview.look`.
    """
    powers: list[float | None] = [*sorted({power for power, _ in choices(kit)})] or [None]
    scope = kit.telescope
    if scope is not None:
        faint = target.kind in ("deep-sky", "stars")
        highest = rules.FAINT_PER_MM * scope.aperture_mm
        if not faint:
            tonight = carried(kit, target, sky=sky, observer=observer)
            highest = rules.PER_MM * scope.aperture_mm if tonight is None else tonight
        powers = [p for p in powers if p is not None and p <= highest] or powers[:1]
    for power in reversed(powers):
        view = follow(kit, target, power=power, sky=sky, observer=observer, engine=engine)
        if power == powers[0] or wanted_arcsec(target) <= 60.0 * view.beam.true_field_arcmin:
            return view
    raise AssertionError("there is always a lowest power")


def wanted_arcsec(target: Target) -> float:
    """Return how wide a picture of the target should be, arcsec."""
    around = _AROUND_ARCSEC.get(target.kind, 0.0)
    width = _WIDTHS[target.kind] * target.size_arcsec + around
    if target.kind == "double":
        # A wide pair fills more of its picture, or its stars would be lost in it.
        width = min(width, 2.5 * target.size_arcsec + 150.0)
    return max(width, _LEAST_ARCSEC)


def width_arcsec(view: View) -> float:
    """Return how wide the picture of a view is: what is wanted, as far as the field goes."""
    least = _LEAST_APPARENT_DEG * 3600.0 / view.beam.power
    # A square that just holds the field and its edge.
    whole = 1.02 * 60.0 * view.beam.true_field_arcmin
    return min(max(wanted_arcsec(view.target), least), whole)


def _contact(item: Item, view: View, shown: Look) -> Contact:
    target, width = item.target, width_arcsec(view)
    figures = [text.angle(target.size_arcsec)]
    if target.magnitude is not None:
        figures.append(decimal(f"V {target.magnitude:.1f}".replace("-", "−")))
    if target.luminance_cd_m2 is not None:
        figures.append(decimal(f"{mag_arcsec2(target.luminance_cd_m2):.1f}/arcsec²"))
    return Contact(
        item=item,
        view=view,
        width_arcsec=width,
        heading=_heading(target),
        lines=(
            f"{item.name} · {season(item.season)}",
            " · ".join(figures),
            say("{power}, {width} wide", power=text.times(view.beam.power), width=text.angle(width))
            + _verdict(view, shown),
        ),
    )


def _heading(target: Target) -> str:
    """Return a target's title; its size stands in the lines below."""
    return re.sub(r", [\d.,]+[″′°]$", "", titled(target))


def _verdict(view: View, shown: Look) -> str:
    """Return what an eye makes of it, where that needs a word: "split", "not seen"."""
    told = "" if shown == "photo" else "".join(value for _, value in captions.verdict_row(view))
    # A glow that is seen speaks for itself.
    return "" if not told or told.endswith("×") else f" · {told.split(',')[0]}"


def _recipe(item: Item) -> dict[str, Any]:
    return {
        "name": item.name,
        "season": item.season,
        "teaches": item.teaches,
        "target": dict(item.target.recipe),
    }


def _words(title: str, views: Sequence[View], shown: Look) -> SheetText:
    first = views[0]
    # Things on the ground have an air of their own.
    on_ground = [view for view in views if view.target.level is not None][:1]
    under = [view for view in views if view.target.level is None][:1] + on_ground
    turn = captions.turn(first.beam)
    told = {"kit": around_views.through(first.kit), "turned": turn}
    if shown == "eye":
        how = say("Seen through {kit}, {turned}", **told)
        scale = N_(
            "Each picture has a scale of its own, as wide on the sky as written below it, and an"
            " exposure of its own."
        )
    else:
        how = say("As long photographs show them, in the field of {kit}, {turned}", **told)
        scale = N_("Each picture has a scale of its own, as wide on the sky as written below it.")
    says = [say(scale)]
    if shown == "eye":
        says += [captions.air_before(view.target, view.sky) for view in under]
        says += [captions.eye(first), Display().says()]
    else:
        says.append(retold(NOTE))
    return SheetText(
        title=title,
        subtitle=how,
        caption=" ".join([*says, say(_ORIGINS)]),
        footer=say(FOOTER),
    )
