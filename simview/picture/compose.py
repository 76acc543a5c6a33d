"""Sheets from kits and targets: look, print, lay out, tell the figures.

Each function returns a whole `Sheet`; saving it is `simview.picture.save`'s part.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from PIL.Image import Image, fromarray

from simview.errors import ChoiceError, RangeError
from simview.kit import Kit, Observer, Sky
from simview.picture import captions, recipe, text
from simview.picture.canvas import unit_of
from simview.picture.compare import CompareItem, compare_geometry, draw_compare
from simview.picture.ladder import LadderStep, State, draw_ladder, ladder_geometry
from simview.picture.marks import Marks, marks
from simview.picture.panel import stopped
from simview.picture.printing import Print, Progress, Wanted, develop_all
from simview.picture.sheet import SheetText
from simview.picture.single import SingleView, draw_single, single_geometry
from simview.scene.scene import Target
from simview.telescope.exposure import Engine
from simview.view import View, look

Size = tuple[int, int]
FOOTER: Final = "simview: computed, not photographed"

# Least width of a star on a 1920 x 1080 sheet, pixels. A choice: 0.9 arcmin from ten metres
# before a 3 m wide screen.
STAR_PX: Final = 2.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A finished sheet.

    Parameters
    ----------
    image
        The picture.
    figures
        For JSON and for the picture's metadata.
    recipe
        What makes it again, see `redo`.
    remarks
        What the reader should be told besides, a sentence each.
    """

    image: Image
    figures: dict[str, Any]
    recipe: dict[str, Any]
    remarks: tuple[str, ...] = ()


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
    progress: Progress | None = None,
) -> Sheet:
    """Show one object at rising powers: the view above, the same patch of it below.

    Raises
    ------
    SimviewError
        For powers that no telescope gives, a kit of one power, a size that sheets cannot have.
    """
    sky, observer = sky or Sky(), observer or Observer()
    if kit.kind != "telescope":
        raise ChoiceError(
            "kit", got=captions.instrument(kit), allowed="a telescope", remedy="use compare"
        )
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
    close = [_close_up(view, patch, geometry.patch_px, star_px(size)) for view in views]
    prints = develop_all([*seen, *close], progress=progress)
    found = marks(kit, target, sky=sky, observer=observer)
    steps = [
        _step(view, views[0], found, prints.panels[i], prints.panels[i + len(views)])
        for i, view in enumerate(views)
    ]
    words = SheetText(
        title=f"{target.title} at {text.times(views[0].beam.power)} to "
        f"{text.times(views[-1].beam.power)}",
        subtitle=f"Seen through {captions.instrument(kit)}",
        caption=captions.caption(views[0], prints.adaptation),
        footer=FOOTER,
    )
    return Sheet(
        image=draw_ladder(geometry, words, steps, patch_arcsec=patch),
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
        ),
        remarks=_missing(views),
    )


def star_px(size: Size) -> float:
    """Return the least width of a star in the print: what a hall still sees as a point."""
    return STAR_PX * unit_of(size)


def _close_up(view: View, patch_arcsec: float, pixels: int, star: float) -> Wanted:
    apparent_deg = patch_arcsec * view.beam.power / 3600.0
    return Wanted(view=view, pixels_per_degree=pixels / apparent_deg, pixels=pixels, star_px=star)


def _step(view: View, first: View, found: Marks, seen: Print, patch: Print) -> LadderStep:
    power = view.beam.power
    state: State = "low"
    if found.is_empty(power):
        state = "empty"
    elif found.is_enough(power):
        state = "enough"
    return LadderStep(
        power=power,
        label=captions.pieces(view.beam, view.kit),
        seen=seen,
        patch=patch,
        exit_pupil_mm=view.beam.exit_pupil_mm,
        brightness=_brightness(view) / _brightness(first),
        limits=captions.limits(view),
        state=state,
    )


def _brightness(view: View) -> float:
    return view.path.troland_per_cd_m2()


def _ladder_figures(views: Sequence[View], found: Marks) -> dict[str, Any]:
    steps = [
        {
            **view.numbers,
            "brightness_against_first": _brightness(view) / _brightness(views[0]),
            "in_the_box": view.beam.in_the_box,
            "empty": found.is_empty(view.beam.power),
        }
        for view in views
    ]
    return {
        "steps": steps,
        "enough_from": found.enough_from,
        "empty_above": found.empty_above,
        "marks": found.reason,
    }


def _missing(views: Sequence[View]) -> tuple[str, ...]:
    absent = [text.times(v.beam.power) for v in views if not v.beam.in_the_box]
    if not absent:
        return ()
    return (f"no piece in the box gives {', '.join(absent)}: an eyepiece is imagined for it",)


def compare(
    kits: Sequence[tuple[Kit, int | None, float | None]],
    target: Target,
    *,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    engine: Engine = "native",
    progress: Progress | None = None,
) -> Sheet:
    """Show several kits, or one kit's eyepieces, on one object at one apparent scale.

    Parameters
    ----------
    kits
        For each panel a kit, the index of its eyepiece or None, and a power or None.
    """
    sky, observer = sky or Sky(), observer or Observer()
    subject = target.remembering()
    views = [
        look(
            kit,
            subject,
            eyepiece=index or 0,
            power=power if kit.kind == "telescope" else None,
            sky=sky,
            observer=observer,
            engine=engine,
        )
        for kit, index, power in kits
    ]
    small = captions.is_small(target, views)
    geometry = compare_geometry(
        size, [view.beam.apparent_field_deg for view in views], rows=4, close_ups=small
    )
    patch = captions.patch_arcsec(target, views, whole=True)
    wanted = [
        Wanted(
            view=view,
            pixels_per_degree=geometry.pixels_per_degree,
            pixels=pixels,
            star_px=star_px(size),
        )
        for view, pixels in zip(views, geometry.seen_px, strict=True)
    ]
    if small:
        wanted += [_close_up(view, patch, geometry.patch_px, star_px(size)) for view in views]
    prints = develop_all(wanted, progress=progress)
    seen, close = prints.panels[: len(views)], prints.panels[len(views) :]
    found: dict[int, Marks] = {}
    for kit, _, _ in kits:
        if id(kit) not in found:
            found[id(kit)] = marks(kit, target, sky=sky, observer=observer)
    items = [
        _item(view, found[id(view.kit)], seen[i], close[i] if small else None)
        for i, view in enumerate(views)
    ]
    names = dict.fromkeys(captions.instrument(kit) for kit, _, _ in kits)
    subtitle = "Each as its own eyepiece shows it: compare the fields and the sizes"
    if len(names) == 1:
        subtitle = f"Seen through {next(iter(names))}"
    words = SheetText(
        title=target.title,
        subtitle=subtitle,
        caption=captions.caption(
            views[0], prints.adaptation, captions.BRIGHTNESS, several=len(views) > 1
        ),
        footer=FOOTER,
    )
    panels = [
        {**view.numbers, "kit": captions.instrument(view.kit), "empty": item.empty}
        for view, item in zip(views, items, strict=True)
    ]
    return Sheet(
        image=draw_compare(geometry, words, items, patch_arcsec=patch),
        figures={"panels": panels},
        recipe=recipe.write(
            "compare",
            [kit for kit, _, _ in kits],
            target,
            sky=sky,
            observer=observer,
            choices=[[index, power] for _, index, power in kits],
            size=list(size),
            engine=engine,
        ),
        remarks=_missing(views),
    )


def _item(view: View, mark: Marks, seen: Print, patch: Print | None) -> CompareItem:
    return CompareItem(
        power=view.beam.power,
        name=captions.instrument(view.kit),
        label=captions.pieces(view.beam, view.kit),
        seen=seen,
        rows=captions.short_rows(view),
        empty=mark.is_empty(view.beam.power),
        patch=patch,
    )


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
    progress: Progress | None = None,
) -> Sheet:
    """Show one view whole, and its middle at a reader's own scale."""
    sky, observer = sky or Sky(), observer or Observer()
    seen = look(
        kit, target, eyepiece=eyepiece, power=power, sky=sky, observer=observer, engine=engine
    )
    geometry = single_geometry(size, seen.beam.apparent_field_deg)
    scales = (
        (geometry.pixels_per_degree, geometry.seen_px),
        (geometry.loupe_pixels_per_degree, geometry.loupe_px),
    )
    wanted = [
        Wanted(view=seen, pixels_per_degree=scale, pixels=pixels, star_px=star_px(size))
        for scale, pixels in scales
    ]
    prints = develop_all(wanted, progress=progress)
    found = marks(kit, target, sky=sky, observer=observer)
    single = SingleView(
        power=seen.beam.power,
        label=captions.pieces(seen.beam, kit),
        seen=prints.panels[0],
        loupe=prints.panels[1],
        rows=captions.rows(seen),
        limits=captions.limits(seen),
        empty=found.is_empty(seen.beam.power),
    )
    words = SheetText(
        title=target.title,
        subtitle=f"Seen through {captions.instrument(kit)}, {captions.turn(seen.beam)}",
        caption=captions.caption(seen, prints.adaptation, captions.BRIGHTNESS, several=False),
        footer=FOOTER,
    )
    figures = {
        **seen.numbers,
        "empty": single.empty,
        "enough_from": found.enough_from,
        "empty_above": found.empty_above,
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
        ),
        remarks=_missing([seen]),
    )


def redo(
    given: Mapping[str, Any], *, size: Size | None = None, progress: Progress | None = None
) -> Sheet:
    """Make a picture again from its recipe; see `simview.picture.again`."""
    from simview.picture.again import redo as made_again

    return made_again(given, size=size, progress=progress)
