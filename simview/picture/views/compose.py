"""Sheets of looks: print what was judged, and lay it out.

What a sheet says is settled before, in `simview.picture.views.judged`; saving it is
`simview.picture.save`'s part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from PIL.Image import Image, fromarray

from simview.errors import RangeError, require_range
from simview.eyepiece.orientation import signs
from simview.kit import Kit, Observer, Sky
from simview.picture import captions, limit_bars
from simview.picture.drawing.panel import stopped
from simview.picture.drawing.tongue import N_, say
from simview.picture.finished import FOOTER, Sheet, Size, close_up, looked_at, star_px
from simview.picture.pair_words import dots
from simview.picture.prints.display import Display
from simview.picture.prints.exposing import small
from simview.picture.prints.printing import Print, Progress, develop_all
from simview.picture.prints.wanted import FINEST_SCALE, Wanted
from simview.picture.views.halves import abreast
from simview.picture.views.judged import Contents, Judged, Judging, judge_ladder, look_once
from simview.picture.views.ladder import LadderStep, draw_ladder, ladder_geometry
from simview.picture.views.single import SingleView, draw_single, single_geometry
from simview.power.multiple import pairs_of
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import View

# Most pixels across which one view is computed; a larger print, on paper, is drawn out from these.
# A choice: a 4K sheet's own, and 0.13 mm on A4, which is 1.1 arcmin at arm's length (0.4 m).
_MOST_COMPUTED: Final = 1600

__all__ = ["FOOTER", "Sheet", "Size", "ladder", "picture_of", "view"]


def picture_of(view: View, *, pixels_per_degree: float) -> Image:
    """Return one view as a square picture with its field stop, nothing else."""
    require_range("pixels_per_degree", pixels_per_degree, 0.5, 240.0, unit="pixels per degree")
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

    Parameters
    ----------
    kit, target, sky, observer
        As in `simview.look`.
    powers
        Times, in any order.
    size, engine, display, progress
        As in `view`.

    Raises
    ------
    SimviewError
        For powers that no telescope gives, a kit of one power, a size that sheets cannot have.
    """
    judged = judge_ladder(kit, target, powers=powers, sky=sky, observer=observer, engine=engine)
    return ladder_sheet(judged, size=size, display=display, progress=progress)


def ladder_sheet(
    judged: Contents,
    *,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Draw a ladder that is judged already.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have, too few or too many steps.
    """
    views, patch = judged.views, judged.patch_arcsec
    lines = max(len(panel.rows) for panel in judged.panels)
    fields = [view.beam.apparent_field_deg for view in views]
    geometry = ladder_geometry(size, fields, lines=lines)
    star = star_px(size)
    scale = geometry.pixels_per_degree
    seen = [
        Wanted(
            view=v,
            pixels_per_degree=scale,
            pixels=n,
            star_px=star,
            pair_px=dots(v, scale, star)[0],
        )
        for v, n in zip(views, geometry.seen_px, strict=True)
    ]
    close = [close_up(view, patch, geometry.patch_px, star) for view in views]
    prints = develop_all([*seen, *close], display=display, progress=progress)
    pairs = zip(prints.panels[: len(views)], prints.panels[len(views) :], strict=True)
    steps = [
        _step(panel, judged.panels[0], *pair)
        for panel, pair in zip(judged.panels, pairs, strict=True)
    ]
    kind = judged.target.kind
    image = draw_ladder(geometry, judged.words(prints), steps, patch_arcsec=patch, kind=kind)
    return judged.told(size, display).drawn(image)


def _step(panel: Judged, first: Judged, seen: Print, patch: Print) -> LadderStep:
    return LadderStep(
        power=panel.power,
        label=panel.label,
        seen=seen,
        patch=patch,
        exit_pupil_mm=panel.view.beam.exit_pupil_mm,
        brightness=panel.retinal_light / first.retinal_light,
        limits=panel.limits,
        state=panel.state,
        worth=panel.worth,
        lines=panel.rows or _dimmer(panel),
    )


def _dimmer(panel: Judged) -> tuple[tuple[str, str], ...]:
    """Return how much dimmer than to the naked eye a surface is, for a narrow table."""
    return (captions.dimmed(panel.view, narrow=True),)


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
    """Show one view whole, and its middle at a reader's own scale.

    Parameters
    ----------
    kit, target, eyepiece, power, sky, observer
        As in `simview.look`.
    size
        Of the sheet, width and height in pixels.
    engine
        "native" or "poppy", for the telescope's point spread.
    display
        What shows the sheet; None for the usual screen.
    progress
        Told how far it is, 0 to 1, and with what; None for nobody.
    """
    looked = look_once(
        kit, target, eyepiece=eyepiece, power=power, sky=sky, observer=observer, engine=engine
    )
    return view_sheet(looked, size=size, display=display, progress=progress)


def view_sheet(
    judging: Judging,
    *,
    size: Size = (1920, 1080),
    display: Display | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Draw a single view, which is judged meanwhile.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    seen, target = judging.view, judging.target
    reader = (display or Display()).distance_heights
    at_power = seen.beam.power / 3600.0
    pairs = pairs_of(target)
    apart_deg = max(pair.separation_arcsec for pair in pairs) * at_power if pairs else None
    disc_deg = target.size_arcsec * at_power if target.kind == "planet" else None
    geometry = single_geometry(
        size, seen.beam.apparent_field_deg, reader, apart_deg=apart_deg, disc_deg=disc_deg
    )
    across = geometry.loupe_diameter_px / geometry.loupe_pixels_per_degree / at_power
    # Two close pairs far from each other share the loupe, half of it each.
    several = pairs if len(pairs) > 1 else ()
    held = [pair.middle_arcsec for pair in several] or [looked_at(seen, across)]
    scales = [(seen, geometry.pixels_per_degree, geometry.seen_px, (0.0, 0.0))]
    least, parted = dots(seen, geometry.pixels_per_degree, star_px(size))
    for which, place in enumerate(held):
        looked = seen if which == 0 else replace(seen, looks_at=which)
        scales.append((looked, geometry.loupe_pixels_per_degree, geometry.loupe_px, place))
    wanted = [
        Wanted(
            view=looked,
            pixels_per_degree=scale,
            pixels=pixels,
            star_px=star_px(size),
            pair_px=0.0 if which else least,
            at_arcsec=where,
            finest=min(FINEST_SCALE, scale * _MOST_COMPUTED / pixels),
        )
        for which, (looked, scale, pixels, where) in enumerate(scales)
    ]
    right, up = signs(seen.beam.orientation)
    judging = judging.beside() if small(wanted) else judging
    prints = develop_all(wanted, display=display, progress=progress)
    judged = judging.whole
    (panel,) = judged.panels
    single = SingleView(
        power=panel.power,
        label=panel.label,
        seen=prints.panels[0],
        loupe=abreast(prints.panels[1:]),
        loupe_at_deg=(right * held[0][0] * at_power, -up * held[0][1] * at_power),
        halves=tuple(
            (pair.name, right * x * at_power, -up * y * at_power)
            for pair, (x, y) in zip(several, held, strict=bool(several))
        ),
        labels=tuple(
            (label.words, right * label.x_arcsec * at_power, -up * label.y_arcsec * at_power)
            for label in seen.target.labels
        ),
        rows=panel.rows,
        limits=panel.limits,
        limits_say=limit_bars.limits_heading(seen),
        empty=panel.empty,
        worth=panel.worth,
    )
    told = N_("The gap shows in the loupe: the whole view is printed too small for it.")
    words = judged.words(prints, *(() if parted else (say(told),)))
    return judged.told(size, display).drawn(draw_single(geometry, words, single))
