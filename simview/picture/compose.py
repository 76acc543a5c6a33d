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
from simview.picture.canvas import DESIGN
from simview.picture.ladder import LadderStep, State, draw_ladder, ladder_geometry
from simview.picture.marks import Marks, marks
from simview.picture.panel import stopped
from simview.picture.printing import Progress, Wanted, develop_all
from simview.picture.sheet import SheetText
from simview.scene.scene import Target
from simview.telescope.spread import Engine
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
    patch = captions.patch_arcsec(target)
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
    return STAR_PX * min(size[0] / DESIGN[0], size[1] / DESIGN[1])


def _close_up(view: View, patch_arcsec: float, pixels: int, star: float) -> Wanted:
    apparent_deg = patch_arcsec * view.beam.power / 3600.0
    return Wanted(view=view, pixels_per_degree=pixels / apparent_deg, pixels=pixels, star_px=star)


def _step(view: View, first: View, found: Marks, seen: Any, patch: Any) -> LadderStep:
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


def redo(
    given: Mapping[str, Any], *, size: Size | None = None, progress: Progress | None = None
) -> Sheet:
    """Make a picture again from its recipe, perhaps at another size.

    Raises
    ------
    SimviewError
        Where the recipe is broken, or from a command that is not known.
    """
    made = recipe.read(given)
    further = dict(made.further)
    common: dict[str, Any] = {
        "sky": made.sky,
        "observer": made.observer,
        "size": size or tuple(further.get("size", (1920, 1080))),
        "engine": further.get("engine", "native"),
        "progress": progress,
    }
    if made.command == "ladder":
        return ladder(made.kits[0], made.target, powers=further["powers"], **common)
    raise ChoiceError("recipe command", got=made.command, allowed="ladder, compare, view")
