"""Which of the dots beside a planet is which of its moons."""

from __future__ import annotations

import math
from typing import Final

from simview.eyepiece.orientation import signs
from simview.picture.drawing.tongue import N_, say
from simview.picture.retelling import named
from simview.scene.galilean import NOTE
from simview.scene.scene import Satellite
from simview.view import View

# The moons that scenes know, by their names there.
_NAMES: Final = {
    "io": N_("Io"),
    "europa": N_("Europa"),
    "ganymede": N_("Ganymede"),
    "callisto": N_("Callisto"),
    "titan": N_("Titan"),
    "rhea": N_("Rhea"),
    "dione": N_("Dione"),
    "tethys": N_("Tethys"),
    "iapetus": N_("Iapetus"),
}

# What is said of them: whether all that are drawn are named, and whether their places are invented.
_SAID: Final = {
    (True, False): N_("From left: {moons}."),
    (True, True): N_("From left, in invented places: {moons}."),
    (False, False): N_("Brightest from left: {moons}."),
    (False, True): N_("Brightest from left, in invented places: {moons}."),
}

# A moon is named that is so much brighter than the faintest star of the view, mag, and nearer to
# its planet than so many of its widths by so much: in its glare others may be missed. Choices.
_PLAIN_MAG: Final = 1.5
_NEAR_WIDTHS: Final = 1.5
_PLAIN_NEAR_MAG: Final = 4.0


def moons_note(view: View) -> tuple[str, ...]:
    """Return which moons stand in the field, from left to right as it is drawn; () where none does.

    Where fainter ones may be drawn between them, it is said that these are the brightest; and where
    the planet's own note tells that their places are invented, that they are.
    """
    limit = view.numbers["limiting_magnitude"]
    if limit is None:
        return ()
    right, _ = signs(view.beam.orientation)
    drawn = [moon for moon in view.target.moons if _is_drawn(moon, view, limit)]
    plain = [moon for moon in drawn if _is_plain(moon, view, limit)]
    if not plain:
        return ()
    places = [(right * moon.x_arcsec, say(_NAMES[moon.name])) for moon in plain]
    told = sorted([*places, (0.0, named(view.target.title.partition(",")[0]))])
    invented = any(NOTE.rstrip(".") in note for note in view.target.notes)
    words = _SAID[len(plain) == len(drawn), invented]
    return (say(words, moons=", ".join(name for _, name in told)),)


def _is_drawn(moon: Satellite, view: View, limit: float) -> bool:
    """Return whether a moon stands in the field and is bright enough to show there."""
    away = math.hypot(moon.x_arcsec, moon.y_arcsec)
    return moon.magnitude < limit and away < 30.0 * view.beam.true_field_arcmin


def _is_plain(moon: Satellite, view: View, limit: float) -> bool:
    """Return whether a moon in the field is not missed there."""
    away = math.hypot(moon.x_arcsec, moon.y_arcsec)
    near = away < _NEAR_WIDTHS * view.target.size_arcsec
    return moon.magnitude + (_PLAIN_NEAR_MAG if near else _PLAIN_MAG) < limit
