"""Comparisons: several kits or eyepieces on one object, the eye's view or a photograph's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np

from simview.air.conditions import conditions
from simview.errors import ChoiceError, RangeError, require_choice
from simview.eyepiece.orientation import orient
from simview.kit import Air, Kit, Observer, Sky
from simview.picture import captions, recipe
from simview.picture.drawing.sheet import SheetText
from simview.picture.finished import Sheet, Size, close_up, footer, missing, star_px
from simview.picture.prints.display import Display
from simview.picture.prints.printing import Print, Prints, Progress, Wanted, develop_all, edged
from simview.picture.views.cases import LOOKS, Case, Look
from simview.picture.views.compare import (
    CompareGeometry,
    CompareItem,
    compare_geometry,
    draw_compare,
)
from simview.power.marks import marks
from simview.power.records import Marks
from simview.scene import long_exposure_photo
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import View, look


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
            name="" if airs is None else captions.AIR_NAMES[own.air],
        )
        for (kit, index, power), own, how in zip(kits, skies, shown, strict=True)
    ]
    written = {
        "sky": sky,
        "looks": list(shown),
        "airs": None if airs is None else list(airs),
        "cases": None,
    }
    return _compared(cases, written, size=size, engine=engine, display=display, progress=progress)


def compare_cases(
    cases: Sequence[Case],
    *,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Show panels that may differ in anything: kit, target, sky, eye; one scale, one light.

    Raises
    ------
    SimviewError
        When no panel is left for the eye.
    """
    shown = _checked([case.look for case in cases], len(cases))
    written = {
        "sky": cases[0].sky,
        "looks": list(shown),
        "airs": None,
        "cases": [case.recipe() for case in cases],
    }
    return _compared(cases, written, size=size, engine=engine, display=display, progress=progress)


def _compared(
    cases: Sequence[Case],
    written: dict[str, Any],
    *,
    size: Size,
    engine: Engine,
    display: Display | None,
    progress: Progress | None,
) -> Sheet:
    shown = [case.look for case in cases]
    remembered = {id(case.target): case.target.remembering() for case in cases}
    views = [
        look(
            case.kit,
            remembered[id(case.target)],
            eyepiece=case.eyepiece or 0,
            power=case.power if case.kit.kind == "telescope" else None,
            sky=case.sky,
            observer=case.observer,
            engine=engine,
        )
        for case in cases
    ]
    target = max((case.target for case in cases), key=lambda each: each.size_arcsec)
    small = captions.is_small(target, views)
    geometry = compare_geometry(
        size, [view.beam.apparent_field_deg for view in views], rows=4, close_ups=small
    )
    patch = captions.patch_arcsec(target, views, whole=True)
    panels, prints = _prints(views, shown, geometry, patch if small else 0.0, display, progress)
    found = {(id(case.kit), id(case.target), case.sky, case.observer): case for case in cases}
    marked = {
        key: marks(case.kit, case.target, sky=case.sky, observer=case.observer)
        for key, case in found.items()
    }
    judged = [marked[id(case.kit), id(case.target), case.sky, case.observer] for case in cases]
    items = [
        replace(item, name=case.name or item.name)
        for item, case in zip(
            (
                _item(view, how, mark, *panel)
                for view, how, mark, panel in zip(views, shown, judged, panels, strict=True)
            ),
            cases,
            strict=True,
        )
    ]
    differ = [case for case in cases if case.name]
    return Sheet(
        image=draw_compare(
            geometry,
            _words(views, shown, prints, airs=bool(differ)),
            items,
            patch_arcsec=patch,
            kind=target.kind,
        ),
        figures={"panels": _figures(views, shown, judged, cases)},
        recipe=recipe.write(
            "compare",
            [case.kit for case in cases],
            cases[0].target,
            observer=cases[0].observer,
            choices=[[case.eyepiece, case.power] for case in cases],
            size=list(size),
            engine=engine,
            display=recipe.of_display(display),
            **written,
        ),
        remarks=missing(views),
    )


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
    views: Sequence[View],
    shown: Sequence[Look],
    geometry: CompareGeometry,
    patch_arcsec: float,
    display: Display | None,
    progress: Progress | None,
) -> tuple[list[_Pair], Prints]:
    """Print every panel: the eye's views under one adaptation, photographs as they are."""
    star = star_px(geometry.size)
    eyes = [i for i, how in enumerate(shown) if how == "eye"]
    scale = geometry.pixels_per_degree
    wanted = [
        Wanted(view=views[i], pixels_per_degree=scale, pixels=geometry.seen_px[i], star_px=star)
        for i in eyes
    ]
    if patch_arcsec:
        wanted += [close_up(views[i], patch_arcsec, geometry.patch_px, star) for i in eyes]
    prints = develop_all(wanted, display=display, progress=progress)
    panels: list[_Pair] = []
    for i, (view, how) in enumerate(zip(views, shown, strict=True)):
        if how == "photo":
            whole = photo_panel(view, 3600.0 / (scale * view.beam.power), geometry.seen_px[i])
            close = None
            if patch_arcsec:
                side = geometry.patch_px
                close = photo_panel(view, patch_arcsec / side, side)
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


def _words(
    views: Sequence[View], shown: Sequence[Look], prints: Prints, *, airs: bool
) -> SheetText:
    names = dict.fromkeys(captions.instrument(view.kit) for view in views)
    subtitle = "Each as its own eyepiece shows it: compare the fields and the sizes"
    if "photo" in shown:
        subtitle = "What a long photograph shows, and what an eye sees"
        subtitle += f" through {next(iter(names))}" if len(names) == 1 else " at the eyepiece"
    elif len(names) == 1:
        subtitle = f"Seen through {next(iter(names))}"
    extra = (
        (captions.BRIGHTNESS, long_exposure_photo.note(views[0].target))
        if "photo" in shown
        else (captions.BRIGHTNESS,)
    )
    if airs:
        extra = ("This holds for the first panel; each panel names what is its own.", *extra)
    eyes = [view for view, how in zip(views, shown, strict=True) if how == "eye"]
    return SheetText(
        title=views[0].target.title,
        subtitle=subtitle,
        caption=captions.caption(eyes[0], prints, *extra, several=len(eyes) > 1),
        footer=footer(views[0].target),
    )


def _figures(
    views: Sequence[View], shown: Sequence[Look], judged: Sequence[Marks], cases: Sequence[Case]
) -> list[dict[str, Any]]:
    return [
        {
            **view.numbers,
            **captions.verdicts(view),
            "kit": captions.instrument(view.kit),
            # A photograph has no power.
            "empty": how == "eye" and mark.is_empty(view.beam.power),
            "limited_by": (mark.limited_by(view.beam.power) if how == "eye" else None),
            **mark.figures(),
            "look": how,
            **({"label": case.name} if case.name else {}),
        }
        for view, how, mark, case in zip(views, shown, judged, cases, strict=True)
    ]


def _item(view: View, how: Look, mark: Marks, seen: Print, patch: Print | None) -> CompareItem:
    if how == "photo":
        return CompareItem(
            power=view.beam.power,
            name="Long photograph",
            label="of light on the same sky",
            seen=seen,
            rows=_PHOTO_ROWS,
            patch=patch,
            heading="minutes",
        )
    return CompareItem(
        power=view.beam.power,
        name=captions.instrument(view.kit),
        label=captions.pieces(view.beam, view.kit),
        seen=seen,
        rows=captions.rows_side_by_side(view),
        empty=mark.is_empty(view.beam.power),
        patch=patch,
    )


# What a camera does that an eye does not.
_PHOTO_ROWS: Final = (
    ("colours", "all, deepened"),
    ("faint parts", "drawn out"),
    ("stars", "to any depth"),
    ("at the eyepiece", "never"),
)
