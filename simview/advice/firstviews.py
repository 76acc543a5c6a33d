"""Pictures of the first list: each thing through the very pieces, at the very time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any, Final

from simview.advice.firstlist import Suggestion
from simview.advice.pictures import PLANET_DEG, ROOM, STAR_PX, png
from simview.advice.tonight import first_objects
from simview.errors import SimviewError
from simview.executor.pieces import pieces
from simview.kit import Kit, Observer

if TYPE_CHECKING:
    from simview.advice.rescue import Rescue
    from simview.scene.scene import Target

# Side of a picture in pixels.
SIDE_PX: Final = 240

# How wide the picture of a planet, and of a double star, is at the eye, degrees; the others show
# the whole view. Choices.
WIDE_DEG: Final = {"planet": PLANET_DEG, "double": 3.0}


def first_views(rescue: Rescue, observer: Observer) -> Mapping[str, bytes]:
    """Return name -> picture (PNG) of each thing on an owner's list; what has none is left out.

    Each has its own adaptation of the eye, as one looks at one thing after another.
    """
    place = rescue.evening.place_deg
    made = pieces(partial(_view, rescue.kit, observer, place), list(rescue.objects), apart=True)
    return {name: picture for name, picture in made if picture}


def _view(
    kit: Kit, observer: Observer, place_deg: tuple[float, float], one: Suggestion
) -> tuple[str, bytes]:
    from simview.picture.drawing.panel import stopped
    from simview.picture.prints.printing import develop_all
    from simview.picture.prints.wanted import Wanted
    from simview.view import follow

    thing = _target(one, place_deg)
    if thing is None:
        return one.sight.name, b""
    view = follow(
        kit,
        thing,
        eyepiece=one.look.eyepiece,
        amplifiers=one.look.amplifiers,
        sky=one.sky,
        observer=observer,
    )
    field = view.beam.apparent_field_deg
    scale = SIDE_PX / WIDE_DEG.get(one.sight.kind, ROOM * field)
    wanted = Wanted(view=view, pixels_per_degree=scale, pixels=SIDE_PX, star_px=STAR_PX)
    (panel,) = develop_all([wanted]).panels
    return one.sight.name, png(stopped(panel, field * scale))


def _target(one: Suggestion, place_deg: tuple[float, float]) -> Target | None:
    """Return what to look at: by name and, where it moves or turns, by the moment."""
    from simview.scene.targets import target

    sight = one.sight
    if sight.kind == "double":
        magnitudes = (sight.magnitude, sight.magnitude_b)
        return target("double", double=(sight.separation_arcsec, 90.0, *magnitudes))
    given: dict[str, Any] = {}
    if sight.kind in ("moon", "planet") and one.moment is not None:
        given = {"date": one.moment.isoformat(timespec="minutes")}
        given |= {"latitude_deg": place_deg[0], "longitude_deg": place_deg[1]}
    try:
        return target(sight.name, **given)
    except SimviewError:
        row = next((row for row in first_objects() if row["name"] == sight.name), None)
    if row is None:
        return None
    field = target(ra_deg=float(row["ra_deg"]), dec_deg=float(row["dec_deg"]))
    return replace(field, title=sight.title)
