"""Comparisons: several kits or eyepieces on one object, the eye's view or a photograph's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from simview.air.conditions import conditions
from simview.errors import ChoiceError, RangeError, require_choice
from simview.eyepiece.orientation import orient
from simview.kit import Air, Kit, Observer, Sky
from simview.picture import captions
from simview.picture.drawing.tongue import say
from simview.picture.finished import Sheet, Size, close_up, star_px
from simview.picture.pair_words import dots
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Print, Prints, Progress, develop_all, edged
from simview.picture.prints.wanted import Wanted
from simview.picture.views.cases import LOOKS, Case, Look
from simview.picture.views.compare import (
    CompareGeometry,
    CompareItem,
    compare_geometry,
    draw_compare,
)
from simview.picture.views.judged import Contents, Judged, judge_cases
from simview.scene import long_exposure_photo
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import View


def compare(  # noqa: PLR0913 - the whole door of a command
    kits: Sequence[tuple[Kit, int | None, float | None]],
    target: Target,
    *,
    looks: Sequence[Look] | None = None,
    airs: Sequence[Air] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Show several kits, or one kit's eyepieces, on one object at one apparent scale.

    Parameters
    ----------
    kits
        For each panel a kit, the index of its eyepiece or None, and a power or None.
    looks
        For each panel what the eye sees or what a long photograph of that field shows; None
        for the eye in all.
    airs
        For each panel what is shown of the air; None for the sky's own in all.

    Raises
    ------
    SimviewError
        When no panel is left for the eye.
    """
    sky, observer = conditions([kit for kit, _, _ in kits], target, sky, observer)
    shown = _checked(looks, len(kits))
    skies = _skies(sky, airs, len(kits))
    cases = [
        Case(
            kit=kit,
            eyepiece=index,
            power=power,
            target=target,
            sky=own,
            observer=observer,
            look=how,
            name="" if airs is None else say(captions.AIR_NAMES[own.air]),
        )
        for (kit, index, power), own, how in zip(kits, skies, shown, strict=True)
    ]
    written = {
        "looks": list(shown),
        "airs": None if airs is None else list(airs),
        "cases": None,
    }
    judged = judge_cases(cases, engine=engine, written=written, sky=sky)
    return compare_sheet(judged, size=size, display=display, progress=progress)


def compare_cases(
    cases: Sequence[Case],
    *,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Show panels that may differ in anything: kit, target, sky, eye; one scale, one light.

    Parameters
    ----------
    cases
        One for each panel, from left to right.
    size, engine, display, progress
        As in `simview.picture.views.compose.view`.

    Raises
    ------
    SimviewError
        When no panel is left for the eye.
    """
    judged = judge_cases(cases, engine=engine)
    return compare_sheet(judged, size=size, display=display, progress=progress)


def compare_sheet(
    judged: Contents,
    *,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Draw a comparison that is judged already.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    fields = [view.beam.apparent_field_deg for view in judged.views]
    small, patch = judged.is_small(), judged.patch_arcsec
    geometry = compare_geometry(size, fields, rows=4, close_ups=small)
    printed, prints = _prints(judged.panels, geometry, patch if small else 0.0, display, progress)
    items = [_item(panel, *pair) for panel, pair in zip(judged.panels, printed, strict=True)]
    image = draw_compare(
        geometry, judged.words(prints), items, patch_arcsec=patch, kind=judged.target.kind
    )
    return judged.told(size, display).drawn(image)


def _skies(sky: Sky, airs: Sequence[Air] | None, count: int) -> tuple[Sky, ...]:
    if airs is None:
        return (sky,) * count
    if len(airs) != count:
        raise RangeError("airs", got=len(airs), allowed=f"{count}, one for each panel")
    return tuple(replace(sky, air=air) for air in airs)


def _checked(looks: Sequence[Look] | None, count: int) -> tuple[Look, ...]:
    eyes: list[Look] = ["eye"] * count
    shown = tuple(eyes if looks is None else looks)
    for each in shown:
        require_choice("look", each, LOOKS)
    if len(shown) != count:
        raise RangeError("looks", got=len(shown), allowed=f"{count}, one for each panel")
    if "eye" not in shown:
        raise ChoiceError("looks", got="photo alone", allowed="at least one panel for the eye")
    return shown


# A panel's view, and its close-up where it has one.
_Pair = tuple[Print, Print | None]


def _prints(
    judged: Sequence[Judged],
    geometry: CompareGeometry,
    patch_arcsec: float,
    display: Display | None,
    progress: Progress | None,
) -> tuple[list[_Pair], Prints]:
    """Print every panel: the eye's views under one adaptation, photographs as they are."""
    star = star_px(geometry.size)
    eyes = [i for i, panel in enumerate(judged) if panel.shown == "eye"]
    scale = geometry.pixels_per_degree
    wanted = [
        Wanted(
            view=judged[i].view,
            pixels_per_degree=scale,
            pixels=geometry.seen_px[i],
            star_px=star,
            pair_px=dots(judged[i].view, scale, star)[0],
        )
        for i in eyes
    ]
    if patch_arcsec:
        wanted += [close_up(judged[i].view, patch_arcsec, geometry.patch_px, star) for i in eyes]
    prints = develop_all(wanted, display=display, progress=progress)
    panels: list[_Pair] = []
    for i, panel in enumerate(judged):
        if panel.shown == "photo":
            pixel_arcsec = 3600.0 / (scale * panel.power)
            whole = photo_panel(panel.view, pixel_arcsec, geometry.seen_px[i])
            close = None
            if patch_arcsec:
                side = geometry.patch_px
                close = photo_panel(panel.view, patch_arcsec / side, side)
        else:
            place = eyes.index(i)
            whole = prints.panels[place]
            close = prints.panels[len(eyes) + place] if patch_arcsec else None
        panels.append((whole, close))
    return panels, prints


def photo_panel(view: View, pixel_arcsec: float, pixels: int) -> Print:
    """Return a long photograph of a view's field, turned as the view is, (pixels, pixels, 3)."""
    picture = long_exposure_photo.photograph(view.target, pixel_arcsec=pixel_arcsec, pixels=pixels)
    turned = orient(np.moveaxis(picture, -1, 0), view.beam.orientation)
    return edged(np.ascontiguousarray(np.moveaxis(turned, 0, -1)), view.beam.orientation)


def _item(panel: Judged, seen: Print, patch: Print | None) -> CompareItem:
    return CompareItem(
        power=panel.power,
        name=panel.name,
        label=panel.label,
        seen=seen,
        rows=panel.rows,
        empty=panel.empty,
        patch=patch,
        heading=panel.heading,
    )
