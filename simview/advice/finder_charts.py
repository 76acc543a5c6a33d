"""A small chart for each faint thing: how to get there from a star that the naked eye sees.

Drawn as one stands: up is up, right is right. Stars are real (Tycho-2, the brightest from a table
of their own), turned to place and moment; the circle is what a finder shows.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.advice.speech import N_, Said, number, say
from simview.advice.tonight import Evening, Sight

# Faintest star on a chart, V: what the naked eye sees in a village. A choice.
FAINTEST: Final = 4.6

# A starting point is at least this bright, V, and no farther than this, degrees: choices.
START_MAG: Final = 3.0
FARTHEST_DEG: Final = 25.0

# What a small finder shows, degrees: common practice, 5 to 7.
FINDER_DEG: Final = 6.0

# A fist at arm's length, degrees: common practice.
FIST_DEG: Final = 10.0

# Room around start and goal, degrees, and the least half-width of a chart.
ROOM_DEG: Final = 4.0
LEAST_DEG: Final = 9.0

_TURN: Final = 2.0**32
Values = NDArray[np.float64]

_WAYS: Final = (
    say("to the right"),
    say("up and to the right"),
    say("straight up"),
    say("up and to the left"),
    say("to the left"),
    say("down and to the left"),
    say("straight down"),
    say("down and to the right"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """One chart: places in -1 to 1, right and up.

    Parameters
    ----------
    stars
        Of each star: right, up, radius.
    start, goal
        The naked-eye star to begin with, and the thing itself.
    finder
        Radius of what the finder shows.
    says
        The way in words.
    name
        Of the star to begin with; empty where it has none.
    """

    stars: tuple[tuple[float, float, float], ...]
    start: tuple[float, float]
    goal: tuple[float, float]
    finder: float
    says: Said
    name: str = ""

    @property
    def name_at(self) -> tuple[float, float]:
        """Where the middle of the name stands: away from the goal, within the frame."""
        away = -NAME_OFF if self.goal[1] >= self.start[1] else NAME_OFF
        return (
            min(max(self.start[0], -NAME_ROOM[0]), NAME_ROOM[0]),
            min(max(self.start[1] + away, -NAME_ROOM[1]), NAME_ROOM[1]),
        )


# How far a name stands from its star's middle, and where it may stand at most; of half a chart.
NAME_OFF: Final = 0.18
NAME_ROOM: Final = (0.68, 0.92)


@lru_cache(maxsize=1)
def _naked_eye_stars() -> tuple[Values, Values, tuple[str, ...]]:
    """Return vectors (J2000, shape (3, n)), V and names of all stars that a chart may hold."""
    from simview.scene.star_catalogue import catalogue
    from simview.scene.tables import records

    rows = catalogue()
    found = rows[rows["v"] <= FAINTEST * 1000.0]
    bright = records("bright_stars.csv")
    ra = np.concatenate([found["ra"] / _TURN * 360.0, [float(one["ra_deg"]) for one in bright]])
    dec = np.concatenate([found["dec"] / _TURN * 360.0, [float(one["dec_deg"]) for one in bright]])
    v = np.concatenate([found["v"] / 1000.0, [float(one["magnitude"]) for one in bright]])
    vectors = _vectors(ra, dec)
    names = ["" for _ in found] + [str(one["name"]) for one in bright]
    for at, name in _named(vectors, v):
        names[at] = names[at] or name
    return vectors, v, tuple(names)


# How near a name's place the star of that name stands, degrees, and how near its V: the places in
# the table are rounded to a hundredth of a degree, and some of the stars vary.
NAME_DEG: Final = 0.05
NAME_MAG: Final = 0.35


def _named(vectors: Values, v: Values) -> Iterator[tuple[int, str]]:
    """Give which star each name of the table belongs to.

    Checked by: tests/unit/advice/test_finder_charts.py
    """
    from simview.scene.tables import records

    for one in records("star_names.csv"):
        place = _vectors(np.array([float(one["ra_deg"])]), np.array([float(one["dec_deg"])]))
        near = place[:, 0] @ vectors >= math.cos(math.radians(NAME_DEG))
        fit = near & (np.abs(v - float(one["magnitude"])) <= NAME_MAG)
        if fit.any():
            yield int(np.argmin(np.where(fit, v, np.inf))), str(one["name"])


def _vectors(ra_deg: Values, dec_deg: Values) -> Values:
    ra, dec = np.radians(ra_deg), np.radians(dec_deg)
    return np.stack([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)])


def chart(sight: Sight, when: Evening) -> Chart | None:
    """Return the chart to a thing in the sky, or None where no bright star is near.

    Source: rotation to the horizon by astronomy-engine; gnomonic projection.
    Checked by: tests/unit/advice/test_finder_charts.py
    """
    vectors, v, names = _naked_eye_stars()
    # North, east, up, from astronomy-engine's north, west, zenith.
    seen = np.asarray(when.turn).T @ vectors * np.array([[1.0], [-1.0], [1.0]])
    goal = _direction(sight.altitude_deg, sight.azimuth_deg)
    apart = np.degrees(np.arccos(np.clip(goal @ seen, -1.0, 1.0)))
    fit = (v <= START_MAG) & (apart <= FARTHEST_DEG) & (apart > 0.3) & (seen[2] > 0.15)
    if not fit.any():
        return None
    # One magnitude brighter is worth four degrees of way; a name is worth eight.
    cost = apart + 4.0 * v - 8.0 * np.array([bool(name) for name in names])
    first = int(np.argmin(np.where(fit, cost, np.inf)))
    middle = goal + seen[:, first]
    middle /= np.linalg.norm(middle)
    half = max(apart[first] / 2.0 + ROOM_DEG, LEAST_DEG)
    right, up = _projected(seen, middle, half)
    near = (seen.T @ middle > 0.5) & (np.hypot(right, up) < 1.4)
    inside = near & (np.abs(right) < 1.0) & (np.abs(up) < 1.0)
    stars = tuple(
        (float(right[i]), float(up[i]), _radius(float(v[i]))) for i in np.flatnonzero(inside)
    )
    there = _projected(goal[:, None], middle, half)
    goal_at = (float(there[0][0]), float(there[1][0]))
    start_at = (float(right[first]), float(up[first]))
    return Chart(
        stars=stars,
        start=start_at,
        goal=goal_at,
        finder=math.tan(math.radians(FINDER_DEG / 2.0)) / math.tan(math.radians(half)),
        says=_way(names[first], float(apart[first]), start_at, goal_at),
        name=say(names[first]) if names[first] else "",
    )


def _direction(altitude_deg: float, azimuth_deg: float) -> Values:
    """Return north, east, up of a direction."""
    height, turn = math.radians(altitude_deg), math.radians(azimuth_deg)
    flat = math.cos(height)
    return np.array([flat * math.cos(turn), flat * math.sin(turn), math.sin(height)])


def _projected(seen: Values, middle: Values, half_deg: float) -> tuple[Values, Values]:
    """Return right and up on a chart around a direction, 1 at its edge."""
    right = np.cross(middle, [0.0, 0.0, 1.0])
    # Facing `middle`, right is where azimuth grows: east of north. With north, east, up axes
    # (a left-handed set) the product above points there.
    right = -right / max(float(np.linalg.norm(right)), 1e-9)
    up = np.array([0.0, 0.0, 1.0]) - middle[2] * middle
    up /= max(float(np.linalg.norm(up)), 1e-9)
    depth = np.maximum(middle @ seen, 0.05) * math.tan(math.radians(half_deg))
    return right @ seen / depth, up @ seen / depth


def _radius(v: float) -> float:
    """Return a star's radius on a chart: larger for brighter ones."""
    return 0.012 + 0.01 * max(0.0, FAINTEST - v)


def _way(name: str, apart: float, start: tuple[float, float], goal: tuple[float, float]) -> Said:
    turn = math.degrees(math.atan2(goal[1] - start[1], goal[0] - start[0]))
    way = _WAYS[round(turn / 45.0) % 8]
    star = say(name) if name else say("the bright star at the ring")
    if apart < FIST_DEG / 3.0:
        return say("Right beside {star}, {way}.", star=star, way=way)
    fists = round(2.0 * apart / FIST_DEG) / 2.0
    if fists <= 1.0:
        form = _HALF if fists < 1.0 else _ONE
        return say(form, star=star, way=way)
    return say(
        "From {star} {fists} fists at arm's length {way}.",
        star=star,
        fists=number(fists, 0 if fists == round(fists) else 1),
        way=way,
    )


# Stars whose name is another in some language; all others keep theirs.
OTHER_NAMES: Final = (
    N_("Aldebaran"),
    N_("Altair"),
    N_("Antares"),
    N_("Arcturus"),
    N_("Betelgeuse"),
    N_("Castor"),
    N_("Pollux"),
    N_("Procyon"),
    N_("Regulus"),
    N_("Sirius"),
    N_("Vega"),
)

_HALF: Final = N_("From {star} half a fist at arm's length {way}.")
_ONE: Final = N_("From {star} one fist at arm's length {way}.")
