"""A film as a slide: its frames beside a title and figures that stand still."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from simview.picture.drawing import text
from simview.picture.drawing.tongue import decimal, say
from simview.picture.films.moving import Moving
from simview.picture.slides.arrange import page
from simview.picture.slides.paint import paint
from simview.picture.slides.plan import plan
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
    still = np.asarray(paint(page(slide, planned, wish)), np.uint8)
    return replace(
        moving,
        frames=_frames(moving, still, planned.corners[0]),
        title=title,
        recipe={**moving.recipe, "slide": wish.recipe(), "slide_size": list(size)},
        tells=slide.tells(),
    )


def _figures(moving: Moving) -> tuple[Figure, ...]:
    """Return power and pace."""
    told = []
    power = moving.figures.get("power")
    if isinstance(power, int | float):
        told.append(Figure(value=text.times(float(power)), words=say("magnification")))
    slow = moving.recipe.get("motion", {}).get("slow")
    if isinstance(slow, int | float):
        if slow == 1.0:
            told.append(Figure(value=say("True speed"), words=say("as fast as in life")))
        else:
            told.append(Figure(value=f"{decimal(f'{slow:g}')}×", words=say("slower than in life")))
    return tuple(told)


def _frames(moving: Moving, still: Print, corner: tuple[int, int]) -> Iterator[Print]:
    x, y = corner
    for frame in moving.frames:
        whole = still.copy()
        high, wide = frame.shape[:2]
        whole[y : y + high, x : x + wide] = frame
        yield whole
