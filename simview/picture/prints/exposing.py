"""Panels of a sheet exposed: views side by side, and of one view its close-ups beside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import replace
from functools import partial
from itertools import chain
from typing import Any, Final, TypeVar

import numpy as np

from simview.executor.pieces import here, pieces
from simview.executor.threads import spread_work, threads
from simview.eye.glare import Veil
from simview.eye.retina import Exposure
from simview.picture.prints import lens_hues
from simview.picture.prints.wanted import Wanted
from simview.view import View

Made = TypeVar("Made")

# Told how far the work is, 0 to 1, and what is being done.
Progress = Callable[[float, str], None]

# Most pixels of panels that are worked on side by side. A choice: twice what a sheet of 1920 x 1080
# has; one of four times as many would take more than half a gigabyte.
_SIDE_BY_SIDE: Final = 2_000_000


def expose_all(
    wanted: Sequence[Wanted],
    at_once: int,
    progress: Progress | None,
    made_of: Callable[[Wanted, Exposure], Made],
) -> list[Made]:
    """Expose every panel, the views side by side; a view's close-ups wear its whole field's veil.

    What is `made_of` a panel and its exposure is made at once, while others are still exposed. How
    far it is is told from the caller's own thread, each time a view is done.
    """
    of_views: dict[int, list[int]] = {}
    for index, panel in enumerate(wanted):
        of_views.setdefault(id(panel.view), []).append(index)
    exposures: dict[int, Made] = {}
    groups = list(of_views.values())
    todo: list[Callable[[], list[Made]]] = [
        partial(_expose_one_view, made_of, [wanted[place] for place in places]) for places in groups
    ]
    step = at_once
    if here() and at_once >= threads() and len(todo) > 1:
        # No more than there are threads are at work anyway: none waits for another. And the first
        # view has something to do before it wants anything painted.
        todo[1:1] = _painted_once(wanted)
        step = len(todo)
    done = chain.from_iterable(
        pieces(_called, todo[first : first + step]) for first in range(0, len(todo), step)
    )
    for places, found in zip(groups, filter(None, done), strict=True):
        exposures.update(zip(places, found, strict=True))
        if progress is not None:
            power = wanted[places[0]].view.beam.power
            progress(len(exposures) / (len(wanted) + 1), f"{power:.0f} times")
    return [exposures[index] for index in range(len(wanted))]


def _called(work: Callable[[], list[Made]]) -> list[Made]:
    return work()


def _painted_once(wanted: Sequence[Wanted]) -> list[Callable[[], list[Any]]]:
    """Return what paints each sampling that panels of several views want, and exposes nothing.

    Painted before any of them comes to it, it keeps none of them waiting for another.
    """
    alike: dict[tuple[object, ...], list[Wanted]] = {}
    for panel in wanted:
        if panel.view.target.remembers:
            pixel = f"{panel.pixel_arcsec():.9g}"
            alike.setdefault((panel.view.target.paint, pixel, panel.at_arcsec), []).append(panel)
    return [
        partial(_paint, max(some, key=Wanted.painted_pixels))
        for some in alike.values()
        if len(some) > 1
    ]


def _paint(panel: Wanted) -> list[Any]:
    """Paint what a panel shows, which the target remembers."""
    panel.view.alone(panel.pixel_arcsec(), panel.painted_pixels(), panel.at_arcsec)
    return []


def _expose_one_view(
    made_of: Callable[[Wanted, Exposure], Made], panels: Sequence[Wanted]
) -> list[Made]:
    """Expose the panels of one view, side by side: those after the first wear its veil."""
    veil: Future[Veil | None] = Future()

    def one(place: int) -> Made:
        panel = panels[place]
        exposure = panel.expose(veil.result) if place else _first(panel, veil)
        if panel.view.path.scope.objective != "mirror":
            exposure = _by_a_lens(panel.view, exposure)
        return made_of(panel, _without_paint(exposure))

    if not small(panels):
        return [one(place) for place in range(len(panels))]
    return spread_work(one, range(len(panels)))


def _by_a_lens(view: View, exposure: Exposure) -> Exposure:
    """Return a lens telescope's exposure with what its colours leave of the object's own."""
    if view.lens_on_planet:
        return lens_hues.own_hues(exposure)
    return replace(exposure, lit_white=lens_hues.lit_white(exposure))


def _first(panel: Wanted, veil: Future[Veil | None]) -> Exposure:
    """Expose the widest panel, and hand its veil, or what went wrong, to those that wait for it."""
    try:
        return panel.expose(tell_veil=veil.set_result)
    except BaseException as error:
        if not veil.done():
            veil.set_exception(error)
        raise


def small(panels: Sequence[Wanted]) -> bool:
    """Return whether these panels are worked on side by side: large ones take too much memory."""
    return sum(panel.pixels**2 for panel in panels) <= _SIDE_BY_SIDE


def _without_paint(exposure: Exposure) -> Exposure:
    """Return an exposure that no longer holds what was painted for it, but for the stars.

    Of the lenses' images it holds no more than is asked of it: how much light they let through,
    and the stars' image where it reaches the picture.
    """
    none = np.zeros((3, 0, 0), np.float32)
    star_lens = exposure.star_lens
    if not _reached_by_stars(exposure):
        middle = star_lens.shape[-1] // 2
        nearest = slice(max(middle - 1, 0), middle + 1)
        star_lens = star_lens[:, :, nearest, nearest].copy()
    return replace(
        exposure,
        scene=replace(exposure.scene, planes=none, lines=None, crowds=()),
        lens=exposure.lens.sum(axis=(2, 3), keepdims=True),
        star_lens=star_lens,
    )


def _reached_by_stars(exposure: Exposure) -> bool:
    """Return whether any star's image reaches into the picture."""
    reach = exposure.extended.shape[-1] + exposure.star_lens.shape[-1] + 2
    return exposure.scene.stars.any_within(0.5 * reach * exposure.scene.pixel_arcsec)
