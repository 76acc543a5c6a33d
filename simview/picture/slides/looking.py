"""From kits and targets to slides: look, print, settle the words, draw."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from simview.air.conditions import conditions
from simview.kit import Kit, Observer, Sky
from simview.picture import captions, recipe
from simview.picture.drawing import text
from simview.picture.drawing.tongue import N_, say
from simview.picture.finished import missing
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Progress
from simview.picture.slides import says
from simview.picture.slides.plan import plan
from simview.picture.slides.printed import (
    WHOLE,
    finished,
    footer_of,
    labels,
    looked,
    panel_of,
    pictures,
    shares,
)
from simview.picture.slides.records import MOST_FIGURES, Panel, Size, Slide, SlideSheet, Wish
from simview.picture.views.cases import Case
from simview.power.marks import marks
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import look

_WHOLE_ALONE: Final = N_("The whole view in the eyepiece")


def view_slide(  # noqa: PLR0913 - the whole door of a command
    kit: Kit,
    target: Target,
    *,
    wish: Wish,
    eyepiece: int = 0,
    power: float | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> SlideSheet:
    """Show one view: the object as large as the slide allows, the whole field beside it.

    Raises
    ------
    SimviewError
        As `simview.picture.views.compose.view`.
    """
    sky, observer = conditions((kit,), target, sky, observer)
    seen = look(
        kit, target, eyepiece=eyepiece, power=power, sky=sky, observer=observer, engine=engine
    )
    found = marks(kit, target, sky=sky, observer=observer)
    title = wish.title or says.view_title(seen, found)
    small = captions.is_small(target, [seen])
    planned = plan(size, title, 1, insets=small)
    printed = pictures([seen], planned, small, target, display, progress)
    label = wish.labels[0] if wish.labels else captions.instrument(kit)
    panel = Panel(
        picture=printed[0][0],
        inset=printed[0][1],
        round=not small,
        label=label,
    )
    slide = Slide(
        title=title,
        panels=(panel,),
        figures=says.figures(seen)[:MOST_FIGURES],
        inset_words=say(_WHOLE_ALONE) if small else "",
        footer=footer_of(wish),
        small_print=says.assumed(seen),
    )
    told = {
        **captions.judged(seen, found),
        **found.figures(),
        "in_the_box": seen.beam.in_the_box,
    }
    written = recipe.write(
        "view",
        [kit],
        target,
        sky=sky,
        observer=observer,
        eyepiece=eyepiece,
        power=power,
        size=list(size),
        engine=engine,
        display=recipe.of_display(display),
    )
    return finished(slide, planned, wish, figures=told, recipe=written, remarks=missing([seen]))


def ladder_slide(  # noqa: PLR0913 - the whole door of a command
    kit: Kit,
    target: Target,
    *,
    wish: Wish,
    powers: Sequence[float],
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> SlideSheet:
    """Show one object at rising powers: close-ups of one patch, the whole views small.

    Raises
    ------
    SimviewError
        As `simview.picture.views.compose.ladder`.
    """
    sky, observer = conditions((kit,), target, sky, observer)
    captions.require_telescope(kit)
    steps = sorted(powers)
    cases = [
        Case(kit=kit, power=power, target=target, sky=sky, observer=observer) for power in steps
    ]
    views = looked(cases, engine)
    found = marks(kit, target, sky=sky, observer=observer)
    title = wish.title or says.ladder_title(target, kit, found, steps[-1])
    named = labels(wish, [text.times(view.beam.power) for view in views])
    small = captions.is_small(target, views[:1])
    planned = plan(size, title, len(views), insets=small)
    printed = pictures(views, planned, small, target, display, progress)
    panels = tuple(
        panel_of(
            picture,
            label=label,
            note=says.step(target.kind, found.state(view.beam.power)),
            empty=found.is_empty(view.beam.power),
            small=small,
            field=field,
        )
        for picture, label, view, field in zip(printed, named, views, shares(views), strict=True)
    )
    slide = Slide(
        title=title,
        panels=panels,
        inset_words=say(WHOLE) if small else "",
        footer=footer_of(wish),
        small_print=" ".join(
            (say("Seen through {kit}.", kit=captions.instrument(kit)), says.assumed(views[0]))
        ),
    )
    told = [captions.judged(view, found) for view in views]
    written = recipe.write(
        "ladder",
        [kit],
        target,
        sky=sky,
        observer=observer,
        powers=[float(p) for p in powers],
        size=list(size),
        engine=engine,
        display=recipe.of_display(display),
    )
    return finished(
        slide,
        planned,
        wish,
        figures={"steps": told, **found.figures(), "marks": found.reason},
        recipe=written,
        remarks=missing(views),
    )
