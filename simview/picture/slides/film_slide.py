"""A film as a slide: its frames beside a title and figures that stand still."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from simview.picture.drawing import text
from simview.picture.drawing.tongue import decimal, say, speaking, spoken
from simview.picture.films.moving import Moving
from simview.picture.slides.arrange import page
from simview.picture.slides.paint import paint
from simview.picture.slides.plan import Plan, plan
from simview.picture.slides.printed import footer_of
from simview.picture.slides.records import Figure, Panel, Print, Size, Slide, Wish


def picture_side(size: Size, title: str) -> int:
    """Return the side in pixels of a film's own picture on a slide of this size."""
    side = plan(size, title, 1, insets=False).side
    return max(128, min(2048, side - side % 2))


def slide_film(moving: Moving, wish: Wish, size: Size) -> Moving:
    """Return a film of whole slides.

    Parameters
    ----------
    moving
        Bare frames as large as `picture_side` says.
    wish
        Its title; the film's own where it has none.
    """
    title = wish.title or moving.title
    planned = plan(size, title, 1, insets=False)
    blank = np.zeros((planned.side, planned.side, 3), np.uint8)
    label = wish.labels[0] if wish.labels else ""
    slide = Slide(
        title=title,
        panels=(Panel(picture=blank, label=label),),
        figures=_figures(moving),
        footer=footer_of(wish),
    )

    # Frames are asked for later, when another language may be spoken.
    language = spoken()

    def still(number: int) -> Print:
        with speaking(language):
            return _still(slide, planned, wish, moving.counts[number] if moving.counts else "")

    return replace(
        moving,
        frames=_frames(moving, still, planned.corners[0]),
        title=title,
        recipe={**moving.recipe, "slide": wish.recipe(), "slide_size": list(size)},
        tells=slide.tells(),
    )


def _still(slide: Slide, planned: Plan, wish: Wish, count: str) -> Print:
    """Return a slide without its moving picture; `count` is the figure that changes."""
    if count:
        slide = replace(slide, figures=(Figure(value=count, words=say("magnification")),))
    return np.asarray(paint(page(slide, planned, wish)), np.uint8)


def _figures(moving: Moving) -> tuple[Figure, ...]:
    """Return power and pace."""
    told = []
    power = moving.figures.get("power")
    if isinstance(power, int | float):
        told.append(Figure(value=text.times(float(power)), words=say("magnification")))
    motion = moving.recipe.get("motion", {})
    slow, drift = motion.get("slow"), moving.figures.get("drift_seconds")
    if motion.get("drift_arcsec_s") and slow == 1.0 and isinstance(drift, float):
        told.append(Figure(value=f"{drift:.0f} s", words=say("to cross the field")))
    travel = moving.figures.get("focus_travel_mm")
    if isinstance(travel, float):
        told.append(Figure(value=f"±{text.figure(travel)} mm", words=say("in and out of focus")))
    elif isinstance(slow, int | float):
        if slow == 1.0:
            told.append(Figure(value=say("True speed"), words=say("as fast as in life")))
        else:
            told.append(Figure(value=f"{decimal(f'{slow:g}')}×", words=say("slower than in life")))
    return tuple(told)


def _frames(
    moving: Moving, still: Callable[[int], Print], corner: tuple[int, int]
) -> Iterator[Print]:
    x, y = corner
    ground, told = still(0), 0
    for number, frame in enumerate(moving.frames):
        if moving.counts and moving.counts[number] != moving.counts[told]:
            ground, told = still(number), number
        whole = ground.copy()
        high, wide = frame.shape[:2]
        whole[y : y + high, x : x + wide] = frame
        yield whole
