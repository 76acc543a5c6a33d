"""Sheets from kits and targets: look, print, lay out, tell the figures.

Each function returns a whole `Sheet`; saving it is `simview.picture.save`'s part.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from PIL.Image import Image, fromarray

from simview.air.conditions import conditions
from simview.errors import RangeError
from simview.eyepiece.orientation import signs
from simview.kit import Kit, Observer, Sky
from simview.picture import captions, recipe
from simview.picture.drawing import text
from simview.picture.drawing.panel import stopped
from simview.picture.drawing.sheet import SheetText
from simview.picture.finished import (
    FOOTER,
    Sheet,
    Size,
    close_up,
    footer,
    looked_at,
    missing,
    star_px,
)
from simview.picture.prints.display import Display
from simview.picture.prints.printing import FINEST_SCALE, Print, Progress, Wanted, develop_all
from simview.picture.views.comparing import compare
from simview.picture.views.ladder import LadderStep, draw_ladder, ladder_geometry
from simview.picture.views.single import SingleView, draw_single, single_geometry
from simview.power.marks import marks, pair_of
from simview.power.records import Marks
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import View, look

# Most pixels across which one view is computed; a larger print, on paper, is drawn out from these.
# A choice: a 4K sheet's own, and 0.13 mm on A4, which is 1.1 arcmin at arm's length (0.4 m).
_MOST_COMPUTED: Final = 1600

__all__ = ["FOOTER", "Sheet", "Size", "compare", "ladder", "picture_of", "view"]


def picture_of(view: View, *, pixels_per_degree: float) -> Image:
    """Return one view as a square picture with its field stop, nothing else."""
    if not 0.5 <= pixels_per_degree <= 240.0:
        raise RangeError(
            "pixels_per_degree", got=pixels_per_degree, allowed="0.5 to 240 pixels per degree"
        )
    field = view.beam.apparent_field_deg
    side = 2 * round(field * pixels_per_degree / 2.0) + 8
    if side > 8192:
        raise RangeError(
            "pixels_per_degree",
            got=pixels_per_degree,
            allowed=f"at most {8184 / field:.0f} for a field of {field:.0f} deg",
        )
    wanted = Wanted(view=view, pixels_per_degree=pixels_per_degree, pixels=side)
    return fromarray(stopped(develop_all([wanted]).panels[0], field * pixels_per_degree))


def ladder(  # noqa: PLR0913 - the whole door of a command
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float],
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Show one object at rising powers: the view above, the same patch of it below.

    Raises
    ------
    SimviewError
        For powers that no telescope gives, a kit of one power, a size that sheets cannot have.
    """
    sky, observer = conditions((kit,), target, sky, observer)
    captions.require_telescope(kit)
    subject = target.remembering()
    views = [
        look(kit, subject, power=p, sky=sky, observer=observer, engine=engine)
        for p in sorted(powers)
    ]
    geometry = ladder_geometry(size, [view.beam.apparent_field_deg for view in views])
    patch = captions.patch_arcsec(target, views)
    seen = [
        Wanted(
            view=v,
            pixels_per_degree=geometry.pixels_per_degree,
            pixels=n,
            star_px=star_px(size),
        )
        for v, n in zip(views, geometry.seen_px, strict=True)
    ]
    close = [close_up(view, patch, geometry.patch_px, star_px(size)) for view in views]
    prints = develop_all([*seen, *close], display=display, progress=progress)
    found = marks(kit, target, sky=sky, observer=observer)
    steps = [
        _step(view, views[0], found, prints.panels[i], prints.panels[i + len(views)])
        for i, view in enumerate(views)
    ]
    words = SheetText(
        title=f"{target.title} at {text.times(views[0].beam.power)} to "
        f"{text.times(views[-1].beam.power)}",
        subtitle=f"Seen through {captions.instrument(kit)}",
        caption=captions.caption(views[0], prints),
        footer=footer(target),
    )
    return Sheet(
        image=draw_ladder(geometry, words, steps, patch_arcsec=patch, kind=target.kind),
        figures=_ladder_figures(views, found),
        recipe=recipe.write(
            "ladder",
            [kit],
            target,
            sky=sky,
            observer=observer,
            powers=[float(p) for p in powers],
            size=list(size),
            engine=engine,
            display=recipe.of_display(display),
        ),
        remarks=missing(views),
    )


def _step(view: View, first: View, found: Marks, seen: Print, patch: Print) -> LadderStep:
    power = view.beam.power
    return LadderStep(
        power=power,
        label=captions.pieces(view.beam, view.kit),
        seen=seen,
        patch=patch,
        exit_pupil_mm=view.beam.exit_pupil_mm,
        brightness=_brightness(view) / _brightness(first),
        # Nothing in a field of stars is resolved or not: there the field and the stars count.
        limits=() if view.target.kind == "stars" else captions.limits(view),
        state=found.state(power),
        lines=captions.verdict_row(view) or captions.field_rows(view),
    )


def _brightness(view: View) -> float:
    return view.path.troland_per_cd_m2()


def _ladder_figures(views: Sequence[View], found: Marks) -> dict[str, Any]:
    steps = [
        {
            **view.numbers,
            **captions.verdicts(view),
            "brightness_against_first": _brightness(view) / _brightness(views[0]),
            "in_the_box": view.beam.in_the_box,
            "empty": found.is_empty(view.beam.power),
            "limited_by": found.limited_by(view.beam.power),
        }
        for view in views
    ]
    return {
        "steps": steps,
        **found.figures(),
        "marks": found.reason,
    }


def view(  # noqa: PLR0913 - the whole door of a command
    kit: Kit,
    target: Target,
    *,
    eyepiece: int = 0,
    power: float | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Show one view whole, and its middle at a reader's own scale."""
    sky, observer = conditions((kit,), target, sky, observer)
    seen = look(
        kit, target, eyepiece=eyepiece, power=power, sky=sky, observer=observer, engine=engine
    )
    reader = (display or Display()).distance_heights
    at_power = seen.beam.power / 3600.0
    pair = pair_of(target)
    apart_deg = None if pair is None else pair[0] * at_power
    geometry = single_geometry(size, seen.beam.apparent_field_deg, reader, apart_deg=apart_deg)
    across = geometry.loupe_diameter_px / geometry.loupe_pixels_per_degree / at_power
    at = looked_at(seen, across)
    scales = (
        (geometry.pixels_per_degree, geometry.seen_px, (0.0, 0.0)),
        (geometry.loupe_pixels_per_degree, geometry.loupe_px, at),
    )
    wanted = [
        Wanted(
            view=seen,
            pixels_per_degree=scale,
            pixels=pixels,
            star_px=star_px(size),
            at_arcsec=where,
            finest=min(FINEST_SCALE, scale * _MOST_COMPUTED / pixels),
        )
        for scale, pixels, where in scales
    ]
    right, up = signs(seen.beam.orientation)
    prints = develop_all(wanted, display=display, progress=progress)
    found = marks(kit, target, sky=sky, observer=observer)
    single = SingleView(
        power=seen.beam.power,
        label=captions.pieces(seen.beam, kit),
        seen=prints.panels[0],
        loupe=prints.panels[1],
        loupe_at_deg=(right * at[0] * at_power, -up * at[1] * at_power),
        labels=tuple(
            (label.words, right * label.x_arcsec * at_power, -up * label.y_arcsec * at_power)
            for label in target.labels
        ),
        rows=captions.rows(seen),
        limits=captions.limits(seen),
        empty=found.is_empty(seen.beam.power),
    )
    words = SheetText(
        title=target.title,
        subtitle=f"Seen through {captions.instrument(kit)}, {captions.turn(seen.beam)}",
        caption=captions.caption(seen, prints, captions.BRIGHTNESS, several=False),
        footer=footer(target),
    )
    figures = {
        **captions.judged(seen, found),
        **found.figures(),
        "field_condition": seen.beam.condition,
        "orientation": seen.beam.orientation,
        "in_the_box": seen.beam.in_the_box,
    }
    return Sheet(
        image=draw_single(geometry, words, single),
        figures=figures,
        recipe=recipe.write(
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
        ),
        remarks=missing([seen]),
    )
