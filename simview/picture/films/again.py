"""Films from recipes: a star or a view, made again as it was."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from simview.air.wind import Layer
from simview.errors import ChoiceError
from simview.kit import Mount, Sky
from simview.kitfile import parse_kit
from simview.picture import recipe as recipes
from simview.picture.drawing.tongue import speaking
from simview.picture.films.motion import Motion
from simview.picture.films.moving import Moving
from simview.picture.films.power_film import power_asked, power_film
from simview.picture.films.star_film import StarFilm, star_film
from simview.picture.films.view_film import ViewFilm, view_film
from simview.picture.recipe import WHERE
from simview.picture.slides.again import wish_of
from simview.picture.slides.film_slide import slide_film
from simview.picture.slides.plan import check_slide
from simview.telescope.faults import parse


def again(given: Mapping[str, Any]) -> Moving:
    """Return the film or animation that a recipe describes.

    Raises
    ------
    SimviewError
        Where the recipe is broken, or of another command.
    """
    if "slide" not in given:
        return _bare(given)
    told = dict(given)
    wish, language = wish_of(told)
    with recipes.reading():
        width, height = (int(side) for side in told.pop("slide_size"))
    with speaking(language):
        return slide_film(_bare(told), wish, check_slide((width, height)))


def _bare(given: Mapping[str, Any]) -> Moving:
    command, of = given.get("command"), given.get("of")
    with recipes.reading():
        if command == "collimate":
            return _collimation(given)
        if command == "film" and of == "star":
            return _star(given)
        if command == "film" and of == "view":
            return _view(given)
    raise ChoiceError("recipe command", got=str(command), allowed="film, collimate")


def _collimation(given: Mapping[str, Any]) -> Moving:
    from simview.picture.collimation.collimation_asked import read
    from simview.picture.collimation.collimation_film import animation

    asked, size = read(given)
    return animation(
        asked,
        off_mm=float(given["off_mm"]),
        towards_deg=float(given["towards_deg"]),
        size=size,
        frames_per_second=float(given["frames_per_second"]),
    )


def motion_of(given: Mapping[str, Any], sky: Sky, mount: Mount) -> Motion:
    """Return the motion that a recipe's part describes."""
    layers = tuple(
        Layer(
            share=share,
            wind_m_s=wind,
            direction_deg=direction,
            boil_s=math.inf if boil is None else boil,
        )
        for share, wind, direction, boil in given["layers"]
    )
    touched = given["touched_s"]
    return Motion(
        sky=sky,
        mount=mount,
        frames=given["frames"],
        frames_per_second=given["frames_per_second"],
        slow=given["slow"],
        moments=given["moments"],
        layers=layers,
        touched_s=math.inf if touched is None else touched,
        drift_arcsec_s=float(given.get("drift_arcsec_s", 0.0)),
        focus_waves=float(given.get("focus_waves", 0.0)),
    )


def _star(given: Mapping[str, Any]) -> Moving:
    (words,) = given["kits"]
    file = parse_kit(str(words), where=WHERE)
    asked = StarFilm(
        kit=file.kit,
        motion=motion_of(given["motion"], file.sky or Sky(), file.kit.mount),
        faults=tuple(parse(str(word)) for word in given["faults"]),
        colour=str(given["colour"]),
        travel_waves=given["travel_waves"],
        power=given["power"],
        side=given["side"],
    )
    return star_film(asked, bare=bool(given["bare"]))


def _view(given: Mapping[str, Any]) -> Moving:
    made = recipes.read(given)
    further = made.further
    if further.get("to_power") is not None:
        return power_film(power_asked(made), bare=bool(further["bare"]))
    asked = ViewFilm(
        kit=made.kits[0],
        target=made.target,
        motion=motion_of(further["motion"], made.sky, made.kits[0].mount),
        observer=made.observer,
        eyepiece=further["eyepiece"],
        power=further["power"],
        whole_field=bool(further["whole_field"]),
        side=further["side"],
    )
    return view_film(asked, bare=bool(further["bare"]))
