"""What looks at an object come to, settled before anything is printed or drawn.

A look is judged and put into words here, once; a sheet, a slide, a table and JSON each show these
records and decide nothing of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

from simview.air.conditions import conditions
from simview.errors import ChoiceError
from simview.executor.threads import beside
from simview.kit import Kit, Observer, Sky
from simview.picture import around_views, captions, limit_bars, moon_words, pair_words, recipe
from simview.picture.drawing import text
from simview.picture.drawing.canvas import Size
from simview.picture.drawing.sheet import Limit, SheetText
from simview.picture.drawing.tongue import N_, say
from simview.picture.finished import Told, footer, missing
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Prints
from simview.picture.retelling import retold, titled
from simview.picture.views import suggestion
from simview.picture.views.cases import Case, Look, looked
from simview.power.marks import marks
from simview.power.records import Limit as Limiting
from simview.power.records import Marks, State
from simview.scene import long_exposure_photo
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import View, follow


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One look, judged and put into words.

    Parameters
    ----------
    view
        The look itself.
    marks
        Where power is enough, where it turns empty, for its kit, object, sky and eye.
    shown
        What the eye sees, or what a long photograph of the same field shows.
    name
        What the look goes through: "114 mm tabletop reflector"; or what its condition is.
    label
        What gives its power: "6 mm eyepiece + 3x Barlow".
    heading
        Written large instead of the power; empty for the power.
    rows
        Its figures as a reader wants them: (name, value).
    limits
        What limits detail: aperture, air, eye.
    verdicts
        What the eye makes of the object as a whole, for JSON.
    """

    view: View
    marks: Marks
    shown: Look = "eye"
    name: str
    label: str
    heading: str = ""
    rows: tuple[tuple[str, str], ...] = ()
    limits: tuple[Limit, ...] = ()
    verdicts: Mapping[str, Any]

    @property
    def power(self) -> float:
        """Times."""
        return self.view.beam.power

    @property
    def state(self) -> State:
        """What its power is worth."""
        return self.marks.state(self.power)

    @property
    def worth(self) -> tuple[str, ...]:
        """The same in words, from the fullest wording down."""
        return suggestion.worth(self.view, self.marks, self.state)

    @property
    def empty(self) -> bool:
        """Whether its power is empty magnification; a photograph has no power."""
        return self.shown == "eye" and self.marks.is_empty(self.power)

    @property
    def limited_by(self) -> Limiting | None:
        """What stands in the way of seeing more."""
        return self.marks.limited_by(self.power) if self.shown == "eye" else None

    @property
    def retinal_light(self) -> float:
        """Troland for one cd/m2 of a surface: what brightness is compared by."""
        return self.view.path.troland_per_cd_m2()

    def figures(self) -> dict[str, Any]:
        """Return its figures by their fixed names, for JSON."""
        return {
            **self.view.numbers,
            **self.verdicts,
            "in_the_box": self.view.beam.in_the_box,
            "empty": self.empty,
            "limited_by": self.limited_by,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """All that a sheet of looks holds, before it is drawn.

    Parameters
    ----------
    target
        The object; of several the largest.
    panels
        From left to right.
    patch_arcsec
        True angle across every close-up.
    title, subtitle, footer
        Words.
    notes
        Sentences of the caption besides those on air, eye and print.
    figures
        For JSON, for tables and for the picture's metadata.
    recipe
        What makes it again, but for its size and its screen.
    engine
        Of the telescope's point spread.
    remarks
        What the reader should be told besides, a sentence each.
    """

    target: Target
    panels: tuple[Judged, ...]
    patch_arcsec: float
    title: str
    subtitle: str
    footer: str
    notes: tuple[str, ...] = ()
    figures: Mapping[str, Any]
    recipe: Mapping[str, Any]
    engine: Engine = "native"
    remarks: tuple[str, ...] = ()

    @property
    def views(self) -> list[View]:
        """The looks, from left to right."""
        return [panel.view for panel in self.panels]

    def is_small(self) -> bool:
        """Return whether the object is so small in all its views that it needs close-ups."""
        return captions.is_small(self.target, self.views)

    def caption(self, prints: Prints, *notes: str) -> str:
        """Return the caption: air, eye, how it was printed, where the object comes from."""
        eyes = [panel.view for panel in self.panels if panel.shown == "eye"]
        pointing = captions.pointing(eyes)
        return captions.caption(eyes[0], prints, *pointing, *notes, several=len(eyes) > 1)

    def words(self, prints: Prints, *more: str) -> SheetText:
        """Return the words of a sheet; `more` are sentences for its caption."""
        return SheetText(
            title=self.title,
            subtitle=self.subtitle,
            caption=self.caption(prints, *more, *self.notes),
            footer=self.footer,
        )

    def told(self, size: Size = (1920, 1080), display: Display | None = None) -> Told:
        """Return what is said of it whether or not it is drawn: figures, recipe, remarks."""
        drawn = {"size": list(size), "engine": self.engine, "display": recipe.of_display(display)}
        return Told(
            figures=dict(self.figures), recipe={**self.recipe, **drawn}, remarks=self.remarks
        )


@dataclass(frozen=True, kw_only=True)
class Judging:
    """A single look that is followed already, and that is judged when it is asked for.

    `target` is the object as it was asked for, wherever the field is pointed.
    """

    view: View
    target: Target
    judge: Callable[[], Contents]

    @cached_property
    def whole(self) -> Contents:
        """What the sheet holds."""
        return self.judge()

    def beside(self) -> Judging:
        """Return the same, being judged beside whatever the caller does next."""
        return replace(self, judge=beside(self.judge))


def judge_view(kit: Kit, target: Target, **asked: Any) -> Contents:
    """Look once, as `look_once` does, and judge what is seen."""
    return look_once(kit, target, **asked).whole


def look_once(
    kit: Kit,
    target: Target,
    *,
    eyepiece: int = 0,
    power: float | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
    engine: Engine = "native",
) -> Judging:
    """Look once; what is seen may be judged beside its picture.

    Parameters
    ----------
    kit, target, eyepiece, power, sky, observer, engine
        As in `simview.look`.

    Raises
    ------
    SimviewError
        As `simview.view.follow`.
    """
    sky, observer = conditions((kit,), target, sky, observer)
    asked: dict[str, Any] = {"eyepiece": eyepiece, "power": power}
    seen = follow(kit, target, **asked, sky=sky, observer=observer, engine=engine)

    def judge() -> Contents:
        found = marks(kit, target, sky=sky, observer=observer)
        told = recipe.write("view", [kit], target, sky=sky, observer=observer, **asked)
        contents = _of_one(seen, target, found, suggests=power is None)
        return replace(contents, recipe=told, engine=engine)

    return Judging(view=seen, target=target, judge=judge)


def _of_one(seen: View, target: Target, found: Marks, *, suggests: bool) -> Contents:
    """Return what a sheet of one look holds, but for what makes it again."""
    panel = _judged(seen, found, rows=captions.rows(seen), limits=limit_bars.limits(seen))
    better = suggestion.better_power(seen, found) if suggests else None
    own = {
        "better_power": better,
        "field_condition": seen.beam.condition,
        "orientation": seen.beam.orientation,
    }
    return Contents(
        target=target,
        panels=(panel,),
        patch_arcsec=captions.patch_arcsec(target, [seen]),
        title=titled(target),
        subtitle=say(
            "Seen through {kit}, {turned}",
            kit=around_views.through(seen.kit),
            turned=captions.stands(seen),
        ),
        footer=footer(target),
        notes=(
            *suggestion.note(seen, better),
            *moon_words.moons_note(seen),
            *limit_bars.detail_note(seen),
            *around_views.prism_note(seen),
            around_views.brightness_note(seen),
        ),
        figures={**panel.figures(), **found.figures(), **own},
        recipe={},
        remarks=missing([seen]),
    )


def judge_ladder(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float],
    sky: Sky | None = None,
    observer: Observer | None = None,
    engine: Engine = "native",
) -> Contents:
    """Look at one object at rising powers, and judge each.

    Parameters
    ----------
    kit, target, sky, observer, engine
        As in `simview.look`.
    powers
        Times, in any order.

    Raises
    ------
    SimviewError
        For powers that no telescope gives, a kit of one power.
    """
    sky, observer = conditions((kit,), target, sky, observer)
    captions.require_telescope(kit)
    subject = target.remembering()
    views = [
        follow(kit, subject, power=power, sky=sky, observer=observer, engine=engine)
        for power in sorted(powers)
    ]
    found = marks(kit, target, sky=sky, observer=observer)
    panels = tuple(
        _judged(
            view,
            found,
            rows=captions.verdict_row(view) or captions.field_rows(view),
            # In a field of stars nothing is resolved or not: there the field and the stars count.
            limits=() if target.kind == "stars" else limit_bars.short_limits(view),
        )
        for view in views
    )
    first = panels[0].retinal_light
    steps = [
        {**panel.figures(), "brightness_against_first": panel.retinal_light / first}
        for panel in panels
    ]
    low, high = (text.times(panel.power) for panel in (panels[0], panels[-1]))
    return Contents(
        target=target,
        panels=panels,
        patch_arcsec=captions.patch_arcsec(target, views),
        title=say("{object} at {low} to {high}", object=titled(target), low=low, high=high),
        subtitle=say("Seen through {kit}", kit=around_views.through(kit)),
        footer=footer(target),
        notes=pair_words.close_ups_note(target),
        figures={"steps": steps, **found.figures(), "marks": found.reason},
        recipe=recipe.write(
            "ladder",
            [kit],
            target,
            sky=sky,
            observer=observer,
            powers=[float(power) for power in powers],
        ),
        engine=engine,
        remarks=missing(views),
    )


def judge_cases(
    cases: Sequence[Case],
    *,
    engine: Engine = "native",
    written: Mapping[str, Any] | None = None,
    sky: Sky | None = None,
) -> Contents:
    """Look at each case of a comparison, and judge it.

    Parameters
    ----------
    written
        How the recipe tells of the cases, where it does not tell of each by itself.
    sky
        The sky that the recipe names; the first case's own where there is none.

    Raises
    ------
    SimviewError
        When no panel is left for the eye, and as `simview.view.follow`.
    """
    if all(case.look == "photo" for case in cases):
        raise ChoiceError("looks", got="photo alone", allowed="at least one panel for the eye")
    views = looked(cases, engine)
    found = _marks_of(cases)
    panels = tuple(
        _in_comparison(view, case, mark)
        for view, case, mark in zip(views, cases, found, strict=True)
    )
    largest = max((case.target for case in cases), key=lambda target: target.size_arcsec)
    first = cases[0]
    told = written or {
        "looks": [case.look for case in cases],
        "airs": None,
        "cases": [case.recipe() for case in cases],
    }
    return Contents(
        target=largest,
        panels=panels,
        patch_arcsec=captions.patch_arcsec(largest, views, whole=True),
        title=titled(views[0].target),
        subtitle=_compared(panels),
        footer=footer(views[0].target),
        notes=_notes(cases, views[0].target),
        figures={
            "panels": [
                _figures(panel, case.name) for panel, case in zip(panels, cases, strict=True)
            ]
        },
        recipe=recipe.write(
            "compare",
            [case.kit for case in cases],
            first.target,
            sky=sky or first.sky,
            observer=first.observer,
            choices=[[case.eyepiece, case.power] for case in cases],
            **told,
        ),
        engine=engine,
        remarks=missing(views),
    )


def _judged(
    view: View,
    found: Marks,
    *,
    rows: tuple[tuple[str, str], ...],
    limits: tuple[Limit, ...] = (),
) -> Judged:
    return Judged(
        view=view,
        marks=found,
        name=captions.instrument(view.kit),
        label=captions.pieces(view.beam, view.kit),
        rows=rows,
        limits=limits,
        verdicts=captions.verdicts(view),
    )


# What a camera does that an eye does not.
_PHOTO_ROWS: Final = (
    (N_("colours"), N_("all, deepened")),
    (N_("faint parts"), N_("brought out")),
    (N_("stars"), N_("to any depth")),
    (N_("at the eyepiece"), N_("never")),
)


def _in_comparison(view: View, case: Case, found: Marks) -> Judged:
    if case.look == "eye":
        panel = _judged(view, found, rows=captions.rows_side_by_side(view))
    else:
        panel = replace(
            _judged(view, found, rows=tuple((say(a), say(b)) for a, b in _PHOTO_ROWS)),
            shown="photo",
            name=say("Long photograph"),
            label=say("of light on the same sky"),
            heading=say("minutes"),
        )
    return replace(panel, name=case.name) if case.name else panel


def _marks_of(cases: Sequence[Case]) -> list[Marks]:
    """Return the marks of each case; those that differ in nothing but power share them."""
    found: dict[tuple[int, int, Sky, Observer], Marks] = {}
    for case in cases:
        key = (id(case.kit), id(case.target), case.sky, case.observer)
        if key not in found:
            found[key] = marks(case.kit, case.target, sky=case.sky, observer=case.observer)
    return [found[id(c.kit), id(c.target), c.sky, c.observer] for c in cases]


def _figures(panel: Judged, label: str) -> dict[str, Any]:
    return {
        **panel.figures(),
        "kit": captions.instrument(panel.view.kit),
        **panel.marks.figures(),
        "look": panel.shown,
        **({"label": label} if label else {}),
    }


def _compared(panels: Sequence[Judged]) -> str:
    """Return what is set side by side, in a sentence below the title."""
    names = dict.fromkeys(captions.instrument(panel.view.kit) for panel in panels)
    if any(panel.shown == "photo" for panel in panels):
        if len(names) > 1:
            return say("What a long photograph shows, and what an eye sees at the eyepiece")
        return say(
            "What a long photograph shows, and what an eye sees through {kit}",
            kit=around_views.through(panels[0].view.kit),
        )
    if len(names) == 1:
        return say("Seen through {kit}", kit=around_views.through(panels[0].view.kit))
    return say("Each as its own eyepiece shows it: compare the fields and the sizes")


def _notes(cases: Sequence[Case], target: Target) -> tuple[str, ...]:
    notes = [*pair_words.close_ups_note(target)]
    if target.kind != "double":
        notes.append(say(captions.BRIGHTNESS))
    if any(case.name for case in cases):
        first = say(
            "Air and eye are the first panel's; where another has its own, its name says so."
        )
        notes.insert(0, first)
    if any(case.look == "photo" for case in cases):
        notes.append(retold(long_exposure_photo.note(target)))
    return tuple(notes)
