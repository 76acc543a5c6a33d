"""Room one's pictures: a wish in, pictures and figures out, by the functions of the commands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece.train import choices
from simview.kit import Kit, Observer, Sky
from simview.live.kit_table import Table, ends_of
from simview.live.once import once
from simview.live.wish import Air, SeeWish, Side
from simview.memory import Memory
from simview.picture import captions
from simview.picture.finished import looked_at
from simview.picture.prints import tone
from simview.picture.prints.display import Display
from simview.picture.prints.gliding import FIELD_SCALE, Gliding, field_pixels
from simview.picture.prints.printing import Exposed, adapt_to, developed, measured
from simview.picture.prints.wanted import Wanted
from simview.picture.views.suggestion import worth
from simview.power.marks import marks
from simview.power.records import Marks, State
from simview.scene.scene import Target
from simview.scene.targets import target
from simview.view import View, follow

# Apparent angle across the frame "middle", deg: Jupiter fills it at 500 times. A choice.
MIDDLE_DEG: Final = 6.0

# The object that a page begins with.
BEGIN: Final = "jupiter"

# A picture while a control is dragged against one at rest. A choice.
DRAG_SHARE: Final = 0.5
LEAST_DRAG_PX: Final = 200

# Side of the close-up that tells how bright its object is, pixels.
GAUGE_PX: Final = 96

# Least width of a star, in shares of the picture's side: 3 of 1080, as on a sheet.
STAR_SHARE: Final = 3.0 / 1080.0


# Parts of a power control that have words of their own.
_STATES: Final[tuple[State, ...]] = (
    "low",
    "enough",
    "hidden",
    "tight",
    "full",
    "air",
    "light",
    "empty",
    "plain",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What goes back to the page: words and figures, and a picture a side.

    Parameters
    ----------
    header
        Ready for JSON.
    pictures
        Each (n, n, 3) sRGB.
    """

    header: dict[str, Any]
    pictures: tuple[NDArray[np.uint8], ...]


def see(wish: SeeWish, table: Table) -> Shown:
    """Return the views that a page asked for.

    Raises
    ------
    SimviewError
        For a kit, an object or a value that cannot be.
    """
    subject = subject_of(wish.target)
    sky, observer = wish.sky(subject), wish.observer()
    kits = [table.find(side.kit).kit for side in wish.sides]
    views = [
        follow(kit, subject, power=power_of(kit, side), sky=sky, observer=observer)
        for kit, side in zip(kits, wish.sides, strict=True)
    ]
    scales = _scales(wish, views, _side(wish))
    display = Display(adapt=wish.adapt)
    pictures = []
    for index in wish.pictured:
        family = _family(views[index], scales[index], wish)
        if wish.adapt == "each":
            adaptation = adapt_to(family, display)
        else:
            adaptation = _common(tuple(dict.fromkeys(kits)), wish.target, sky, observer, display)
        dots = STAR_SHARE * _side(wish)
        pictures.append(developed(family[-1], family, adaptation, star_px=dots))
    told = [
        _told(view, kit, scale, sky, observer)
        for view, kit, scale in zip(views, kits, scales, strict=True)
    ]
    return Shown(
        header={
            "number": wish.number,
            "drag": wish.drag,
            "hold": wish.hold,
            "title": subject.title,
            "kind": subject.kind,
            "notes": [*captions.pointing(views), *subject.notes],
            "sides": told,
        },
        pictures=tuple(pictures),
    )


def beginnings(kit: Kit) -> tuple[Callable[[], object], ...]:
    """Return pieces of work that the first picture of a page begins with, whatever its size."""
    # As the page has it: a kit's own sky and eye where its file names them.
    own, seen = kit.sky or Sky(), kit.observer or Observer()
    air = Air(
        seeing=own.seeing_arcsec,
        sky_mag=own.sky_mag_arcsec2,
        altitude=own.altitude_deg,
        air=own.air,
    )
    wish = SeeWish(target=BEGIN, sides=(Side(kit=""),), air=air, age=seen.age_years)
    sky, observer = wish.sky(subject_of(BEGIN)), wish.observer()
    exposure = partial(_common, (kit,), wish.target, sky, observer, Display(adapt=wish.adapt))
    return exposure, partial(marks_of, kit, wish.target, sky, observer)


def power_of(kit: Kit, side: Side) -> float | None:
    """Return the power to look with; None where an instrument has one only."""
    if kit.kind != "telescope":
        return None
    return lowest_power(kit) if side.power is None else side.power


@lru_cache(maxsize=128)
def lowest_power(kit: Kit) -> float:
    """Return the lowest power that a telescope's own pieces give."""
    scope = kit.telescope
    assert scope is not None
    return min((power for power, _ in choices(kit)), default=max(scope.aperture_mm / 5.0, 5.0))


@once(12)
def subject_of(name: str) -> Target:
    """Return a target that keeps what it has painted.

    Raises
    ------
    SimviewError
        For an unknown name.
    """
    return target(name).remembering()


def _side(wish: SeeWish) -> int:
    side = wish.side_px * DRAG_SHARE if wish.drag else wish.side_px
    return 2 * round(max(side, min(LEAST_DRAG_PX, wish.side_px)) / 2.0)


def _scales(wish: SeeWish, views: list[View], side_px: int) -> list[float]:
    """Return each picture's pixels per degree of apparent angle."""
    if wish.frame == "object":
        patch = captions.patch_arcsec(views[0].target, views)
        return [side_px / (patch * view.beam.power / 3600.0) for view in views]
    across = max(view.beam.apparent_field_deg for view in views)
    if wish.frame == "middle":
        across = min(MIDDLE_DEG, across)
    return [side_px / across] * len(views)


def _family(view: View, scale: float, wish: SeeWish) -> list[Exposed]:
    """Expose the whole field coarsely, for its light, then what is shown, under its glare."""
    side_px = _side(wish)
    pixels = 2 * round(side_px * wish.margin / 2.0)
    if wish.drag and view.kit.kind == "telescope":
        place = (view.kit, view.target.name, view.sky, view.observer)
        # What is held for a power that moves pays from its second place on; where seeing, sky or
        # age are dragged each picture is the first of its kind.
        if place in _dragged:
            return gliding(*place).family(
                view, pixels_per_degree=scale, pixels=pixels, star_px=STAR_SHARE * side_px
            )
        _dragged.get(place, lambda: True)
    return _exposed(view, scale, pixels, star_px=STAR_SHARE * side_px)


def _exposed(view: View, scale: float, pixels: int, *, star_px: float) -> list[Exposed]:
    whole = Wanted(view=view, pixels_per_degree=FIELD_SCALE, pixels=field_pixels(view))
    coarse = whole.expose()
    shown = Wanted(
        view=view,
        pixels_per_degree=scale,
        pixels=pixels,
        star_px=star_px,
        at_arcsec=looked_at(view, pixels / scale * 3600.0 / view.beam.power),
    ).expose(coarse.veil)
    return [measured(view, coarse), measured(view, shown)]


# Views of which one power was shown while it was dragged.
_dragged: Final[Memory[bool]] = Memory(96, lambda _: 1)


@lru_cache(maxsize=48)
def gliding(kit: Kit, name: str, sky: Sky, observer: Observer) -> Gliding:
    """Return what shows this object through this kit while its power changes."""

    def at(power: float) -> View:
        return follow(kit, subject_of(name), power=power, sky=sky, observer=observer)

    return Gliding((kit, name, sky, observer), at)


@once(32)
def _common(
    kits: tuple[Kit, ...], name: str, sky: Sky, observer: Observer, display: Display
) -> tone.Adaptation:
    """Return one exposure for all powers of these kits: that of their lowest, their brightest.

    So an image dims on the page as it dims at the eyepiece when the power is raised.
    """
    exposed: list[Exposed] = []
    subject = subject_of(name)
    for kit in kits:
        power = lowest_power(kit) if kit.kind == "telescope" else None
        view = follow(kit, subject, power=power, sky=sky, observer=observer)
        across = min(captions.patch_arcsec(subject, [view]) * view.beam.power / 3600.0, MIDDLE_DEG)
        exposed += _exposed(view, GAUGE_PX / across, GAUGE_PX, star_px=STAR_SHARE * GAUGE_PX)
    return adapt_to(exposed, display)


@once(64)
def marks_of(kit: Kit, name: str, sky: Sky, observer: Observer) -> Marks:
    """Return the limits of power, as every command tells them."""
    return marks(kit, subject_of(name), sky=sky, observer=observer)


def _told(view: View, kit: Kit, scale: float, sky: Sky, observer: Observer) -> dict[str, Any]:
    """Return figures and words of one view."""
    name = view.target.name
    found = marks_of(kit, name, sky, observer) if name else None
    power = view.beam.power
    state: State = "plain" if found is None else found.state(power)
    held = found or Marks()
    words = {each: worth(view, held, each) for each in _STATES}
    return {
        "name": captions.instrument(kit),
        "pieces": captions.pieces(view.beam, kit),
        "in_the_box": view.beam.in_the_box,
        "numbers": view.numbers,
        "rows": [list(row) for row in captions.short_rows(view)],
        "state": state,
        "says": words[state],
        "words": words,
        **held.figures(),
        "limited_by": held.limited_by(power),
        "bands": bands(held, *ends_of(kit)),
        "field_px": view.beam.apparent_field_deg * scale,
        "turn": captions.turn(view.beam),
        "air": captions.air_before(view.target, view.sky),
        "pixels_per_degree": scale,
    }


def bands(found: Marks, least: float, most: float) -> list[tuple[State, float, float]]:
    """Return the parts of a power control: what each is worth, and from where to where."""
    breaks = [least, *(power for power in found.breaks() if least < power < most), most]
    parts: list[tuple[State, float, float]] = []
    for low, high in pairwise(breaks):
        state = found.state((low * high) ** 0.5)
        if parts and parts[-1][0] == state:
            parts[-1] = (state, parts[-1][1], high)
        else:
            parts.append((state, low, high))
    return parts
