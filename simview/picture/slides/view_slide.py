"""From what was judged to slides: settle the words, print, draw."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from simview.kit import Kit, Observer, Sky
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.tongue import N_, say
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Progress
from simview.picture.slides import says
from simview.picture.slides.plan import plan
from simview.picture.slides.printed import (
    WHOLE,
    finished,
    footer_of,
    labels,
    panel_of,
    pictures,
    shares,
)
from simview.picture.slides.records import MOST_FIGURES, Panel, Size, Slide, SlideSheet, Wish
from simview.picture.views.judged import Contents, Judging, judge_ladder, look_once
from simview.scene.scene import Target
from simview.telescope.exposure import Engine

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

    Parameters
    ----------
    kit, target, eyepiece, power, sky, observer
        As in `simview.look`.
    wish
        The slide's own words, language and ground.
    size, engine, display, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        As `simview.picture.views.compose.view`.
    """
    looked = look_once(
        kit, target, eyepiece=eyepiece, power=power, sky=sky, observer=observer, engine=engine
    )
    return slide_of_view(looked, wish=wish, size=size, display=display, progress=progress)


def slide_of_view(
    judging: Judging,
    *,
    wish: Wish,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> SlideSheet:
    """Draw a slide of a single view.

    Parameters
    ----------
    judging
        The look, and what judges it: a slide's title says how that ends.
    wish
        The slide's own words, language and ground.
    size, display, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        For a size that slides cannot have.
    """
    judged = judging.whole
    (looked,) = judged.panels
    title = wish.title or says.view_title(looked.view, looked.marks)
    small = judged.is_small()
    planned = plan(size, title, 1, insets=small)
    printed = pictures(judged, planned, small, display, progress)
    panel = Panel(
        picture=printed[0][0],
        inset=printed[0][1],
        round=not small,
        label=wish.labels[0] if wish.labels else looked.name,
    )
    slide = Slide(
        title=title,
        panels=(panel,),
        figures=says.figures(looked.view)[:MOST_FIGURES],
        inset_words=say(_WHOLE_ALONE) if small else "",
        footer=footer_of(wish),
        small_print=says.assumed(looked.view),
    )
    return finished(slide, planned, wish, judged.told(size, display))


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

    Parameters
    ----------
    kit, target, powers, sky, observer
        As in `simview.ladder`.
    wish
        The slide's own words, language and ground.
    size, engine, display, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        As `simview.picture.views.compose.ladder`.
    """
    judged = judge_ladder(kit, target, powers=powers, sky=sky, observer=observer, engine=engine)
    return slide_of_ladder(judged, wish=wish, size=size, display=display, progress=progress)


def slide_of_ladder(
    judged: Contents,
    *,
    wish: Wish,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> SlideSheet:
    """Draw a slide of a ladder that is judged already.

    Parameters
    ----------
    judged
        What was seen, in words.
    wish
        The slide's own words, language and ground.
    size, display, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        Where labels and panels do not match, or a slide cannot hold so many.
    """
    steps, target = judged.panels, judged.target
    kit, found = steps[0].view.kit, steps[0].marks
    title = wish.title or says.ladder_title(target, kit, found, steps[-1].power)
    named = labels(wish, [text.times(step.power) for step in steps])
    small = judged.is_small()
    planned = plan(size, title, len(steps), insets=small)
    printed = pictures(judged, planned, small, display, progress)
    panels = tuple(
        panel_of(
            picture,
            label=label,
            note=says.pairs(step.view) or says.step(target.kind, step.state),
            empty=step.empty,
            small=small,
            field=field,
        )
        for picture, label, step, field in zip(
            printed, named, steps, shares(judged.views), strict=True
        )
    )
    slide = Slide(
        title=title,
        panels=panels,
        inset_words=say(WHOLE) if small else "",
        footer=footer_of(wish),
        small_print=" ".join(
            (say("Seen through {kit}.", kit=captions.instrument(kit)), says.assumed(steps[0].view))
        ),
    )
    return finished(slide, planned, wish, judged.told(size, display))
