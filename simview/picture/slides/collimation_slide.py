"""Collimation as a slide: a star out of focus far out of line, nearly in line, in line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from simview.picture import captions
from simview.picture.collimation.collimation_asked import Collimation, figures, read, recipe
from simview.picture.collimation.mirror_back import turn_part
from simview.picture.drawing import text
from simview.picture.drawing.tongue import N_, say
from simview.picture.finished import Told
from simview.picture.prints.printing import Progress
from simview.picture.slides.plan import plan
from simview.picture.slides.printed import finished, footer_of, labels
from simview.picture.slides.records import Panel, Size, Slide, SlideSheet, Wish
from simview.telescope.flat_screws import FlatScrews

# How far off each panel is, in tolerances, and what is said of it.
_STEPS: Final = (
    (4.0, N_("Turn a screw")),
    (1.0, N_("Good enough")),
    (0.0, N_("In line")),
)

_OF_MIRRORS: Final = N_("The dark middle leans: the mirrors are out of line")
_OF_A_FLAT: Final = N_("The shadow stands off the middle: the secondary is out of line")
_AWAY: Final = N_(
    "{kit}, a star {waves} waves out of focus, no air. Turn the screw that sends the star away from"
    " the side to which the dark middle leans, a little at a time, and bring the star back to the"
    " middle of the field before each look."
)
_TOWARDS: Final = N_(
    "{kit}, a star {waves} waves out of focus, no air. Turn the screw that sends the star to the"
    " side to which the dark middle leans, a little at a time, and bring the star back to the"
    " middle of the field before each look."
)


def collimation_slide(
    asked: Collimation,
    *,
    wish: Wish,
    size: Size = (1920, 1080),
    progress: Progress | None = None,
) -> SlideSheet:
    """Show how the dark middle of a star out of focus leans while the mirrors are out of line."""
    own = _OF_A_FLAT if isinstance(asked.screws, FlatScrews) else _OF_MIRRORS
    title = wish.title or say(own)
    planned = plan(size, title, len(_STEPS), insets=False)
    named = labels(wish, [say(words) for _, words in _STEPS])
    panels = []
    for number, ((part, _), label) in enumerate(zip(_STEPS, named, strict=True)):
        tilt = asked.off_by(part)
        turns = abs(tilt) / asked.screws.turn_arcmin
        note = say("{turn} of a turn off", turn=turn_part(turns)) if part else ""
        panels.append(Panel(picture=asked.picture(tilt, planned.side), label=label, note=note))
        if progress is not None:
            progress((number + 1) / len(_STEPS), label)
    slide = Slide(
        title=title,
        panels=tuple(panels),
        footer=footer_of(wish),
        small_print=say(
            _AWAY if asked.lean > 0.0 else _TOWARDS,
            kit=captions.instrument(asked.kit),
            waves=text.figure(abs(asked.travel_waves)),
        ),
    )
    return finished(slide, planned, wish, Told(figures=figures(asked), recipe=recipe(asked, size)))


def again(given: Mapping[str, Any], wish: Wish, size: Size | None) -> SlideSheet:
    """Make it again from its recipe."""
    asked, drawn = read(given)
    return collimation_slide(asked, wish=wish, size=size or drawn)
