"""A star test as a slide: inside focus, in focus, outside focus, as large as they go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from simview.errors import RangeError
from simview.picture import captions
from simview.picture.drawing.tongue import N_, decimal, say
from simview.picture.fault_words import fault_words
from simview.picture.finished import Told
from simview.picture.slides.plan import plan
from simview.picture.slides.printed import finished, footer_of, labels
from simview.picture.slides.records import Panel, Size, Slide, SlideSheet, Wish
from simview.picture.startest.patterns import Sizes, StarTest, StarViews, in_users_terms
from simview.picture.startest.tested import Beside, numbers, read, recipe
from simview.picture.views.single import life_size

# What the speaker is told, where the picture in focus is enlarged and where it is not.
_ENLARGED: Final = N_(
    "{kit}. The star is {waves} waves inside and outside focus; the middle picture, in focus, is"
    " drawn {times} times as large. Each picture has its own brightness."
)
_ALIKE: Final = N_(
    "{kit}. The star is {waves} waves inside and outside focus; all three are drawn to one scale."
    " Each picture has its own brightness."
)

_PLACES: Final = (N_("Inside focus"), N_("In focus"), N_("Outside focus"))


def star_slide(test: StarTest, *, wish: Wish, size: Size = (1920, 1080)) -> SlideSheet:
    """Show a star inside, in and outside focus.

    Raises
    ------
    SimviewError
        Where a fault does not go with the telescope, or cannot be sampled.
    """
    three = replace(test, positions=3)
    hidden = test.riddle is not None
    title = wish.title or _title(test)
    planned = plan(size, title, 3, insets=False, noted=False)
    views = StarViews(test=three, sizes=_sizes(planned.side, size))
    try:
        views.check()
        pictures = views.panels()
        told = {"riddle": test.riddle} if hidden else numbers(three, Beside.of(views))
    except RangeError as error:
        raise in_users_terms(error) from None
    named = labels(wish, [say(place) for place in _PLACES])
    slide = Slide(
        title=title,
        panels=tuple(
            Panel(picture=picture, label=label)
            for picture, label in zip(pictures, named, strict=True)
        ),
        footer=footer_of(wish),
        small_print=say(
            _ENLARGED if views.factor > 1 else _ALIKE,
            kit=captions.instrument(test.kit),
            waves=decimal(f"{test.travel_waves:g}"),
            times=views.factor,
        ),
    )
    return finished(slide, planned, wish, Told(figures=told, recipe=recipe(test, size)))


def _title(test: StarTest) -> str:
    if test.riddle is not None:
        return say("A star test: what is wrong here?")
    faults = [fault_words(fault) for fault in test.faults]
    if not faults:
        return say("A star test: a telescope in good order")
    return say("A star test: {faults}", faults=", ".join(faults))


def _sizes(side: int, size: Size) -> Sizes:
    """Return what has to be computed: the three pictures alone."""
    return Sizes(panel=side, cut_width=2, cut_height=2, small=2, life_size=life_size(size))


def again(given: Mapping[str, Any], wish: Wish, size: Size | None) -> SlideSheet:
    """Make it again from its recipe."""
    test, drawn = read(given)
    return star_slide(test, wish=wish, size=size or drawn)
