"""Room two: a star at some distance from focus, behind faults or turned screws; a perfect one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache, partial
from typing import Any, Final

from simview.errors import FitError
from simview.executor.threads import spread_work
from simview.kit import Kit, Telescope, Wavefront
from simview.live.frames import Shown
from simview.live.kit_table import Table
from simview.live.wish import StarWish
from simview.memory import Memory
from simview.picture.collimation import words
from simview.picture.collimation.collimation_asked import Collimation
from simview.picture.collimation.collimation_contents import sentences
from simview.picture.startest.images import Star
from simview.picture.startest.starlight import Print, printed, star_colour, white_level
from simview.telescope.collimation import with_screws
from simview.telescope.faults import Fault, apply_faults, parse
from simview.telescope.screws import Screws
from simview.units import focus_shift_mm

# Width of the picture in wavelength / aperture: a disc at 8 waves and room around it, so that the
# disc shrinks on the page as the knob is turned. A choice.
ROOM: Final = 88.0

# Farthest position of the knob, waves; it sets how finely light is cut into colours.
FARTHEST: Final = 8.0

# Least side of a picture while a control is moved, pixels: two for each wavelength / aperture of
# the shortest light, 437 nm of 8 bands, so that none is computed finer than it is shown.
DRAG_PX: Final = 224

# Colours of white light while a control is moved. At rest there are more.
DRAG_BANDS: Final = 8

# Steps of the page's focus knob, waves, and how many to either side are prepared at rest: all.
KNOB_WAVES: Final = 0.1
AHEAD_STEPS: Final = 160

# Bytes of pictures that are held, so that turning back needs nothing new.
_MOST_BYTES: Final = 60_000_000
_pictures: Memory[Print] = Memory(_MOST_BYTES, lambda picture: int(picture.nbytes))


def star(wish: StarWish, table: Table) -> Shown:
    """Return the star as it is, and a perfect telescope's at the same place of the knob.

    Raises
    ------
    SimviewError
        For a kit without a telescope, a fault that there is not, screws that it has not.
    """
    kit = table.find(wish.kit).kit
    scope = kit.telescope
    if scope is None:
        raise FitError("kit", got="no telescope", allowed="a kit with a telescope")
    told: dict[str, Any] = {}
    faults = tuple(parse(word) for word in wish.faults)
    if wish.turns is not None:
        turned, told = _screwed(kit, wish.turns)
        faults = (*faults, turned)
    side = max(wish.side_px // 2, DRAG_PX) if wish.drag else wish.side_px
    side += side % 2
    perfect = replace(scope, wavefront=Wavefront())
    asked = [(scope, kit.layout, faults), (perfect, None, ())]
    pictures = spread_work(lambda one: _held(*one, wish.waves, side, wish.drag), asked)
    header = {"room": "star", "number": wish.number, "drag": wish.drag, **told}
    header["cone"] = cone(kit, scope, wish.waves)
    return Shown(header=header, pictures=tuple(pictures))


def ahead(wish: StarWish, table: Table) -> Iterator[Callable[[], object]]:
    """Give pieces of work after which the focus knob needs nothing new, the nearest first."""
    here = round(wish.waves / KNOB_WAVES)
    for step in range(1, AHEAD_STEPS + 1):
        for place in (here + step, here - step):
            waves = round(place * KNOB_WAVES, 1)
            if abs(waves) <= FARTHEST:
                moved = wish.model_copy(update={"waves": waves, "drag": True})
                yield partial(star, moved, table)


def cone(kit: Kit, scope: Telescope, waves: float) -> dict[str, Any]:
    """Return what the drawing of the cone of light needs: its ratio, and where the eyepiece is."""
    ratio = scope.focal_length_mm / scope.working_aperture_mm
    return {
        "focal_ratio": ratio,
        "aperture_mm": scope.working_aperture_mm,
        "obstruction": scope.obstruction,
        "mirror": scope.objective == "mirror",
        "shift_mm": focus_shift_mm(waves, ratio),
        # The cone is as wide there as the blurred disc in the focal plane.
        "disc_mm": abs(focus_shift_mm(waves, ratio)) / ratio,
        "farthest_mm": focus_shift_mm(FARTHEST, ratio),
    }


def _screwed(kit: Kit, turns: tuple[float, float, float]) -> tuple[Fault, dict[str, Any]]:
    """Return what the screws do to the star, and what the sheet's rule says to turn next."""
    screws = Screws(scope=with_screws(kit), layout=kit.layout)
    tilt = screws.tilt(turns)
    further = screws.next_turn(tilt)
    told = {
        "axis_off_mm": screws.off_mm(tilt),
        "tolerance_mm": screws.tolerance_mm,
        "tolerance_turns": screws.tolerance_turns,
        "angles_deg": screws.angles_deg(),
        "next": None if further is None else list(further),
        "guide": _guide(kit),
    }
    return screws.fault(tilt), told


@lru_cache(maxsize=32)
def _guide(kit: Kit) -> dict[str, Any]:
    """Return how the same is done at the tube: the words of collimation's sheet."""
    asked = Collimation(kit=kit, screws=Screws(scope=with_screws(kit), layout=kit.layout))
    look, turn, _ = sentences(asked)
    stop = f"the light {words.at_most_words(asked.screws, asked.travel_waves)}."
    hand = words.hand_words(None).strip()
    steps = (look, turn, ("Stop", stop), ("Which side is it?", hand))
    return {"ways": words.forward_words(asked.screws).strip(), "steps": [list(s) for s in steps]}


def _held(
    scope: Telescope,
    layout: str | None,
    faults: tuple[Fault, ...],
    waves: float,
    side: int,
    drag: bool,
) -> Print:
    place = (scope, layout, faults, waves, side, drag)
    return _pictures.get(place, lambda: _picture(scope, layout, faults, waves, side, drag))


def _picture(
    scope: Telescope,
    layout: str | None,
    faults: tuple[Fault, ...],
    waves: float,
    side: int,
    drag: bool,
) -> Print:
    light = star_colour("white", defocus_waves=FARTHEST)
    if drag:
        light = star_colour("white", defocus_waves=FARTHEST, least=DRAG_BANDS)
    found = apply_faults(scope, faults, layout=layout)
    seen = Star(scope=found.scope, light=light, extras=found.extras)
    # The width follows the telescope's own aperture, so that a mask cannot change the scale.
    whole = Star(scope=scope, light=light).unit_arcsec * ROOM
    image = seen.images((waves,), whole / side, side)[0]
    return printed(image, white_level(image[..., 1]))
