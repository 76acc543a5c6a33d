"""Which named places of the Moon a picture can tell: seen, lit, and with room for their words."""

from __future__ import annotations

from typing import Final

import numpy as np

from simview.scene.moon_light import MoonFrame
from simview.scene.moon_map import MOON_KM, unit_vector
from simview.scene.scene import Label
from simview.scene.tables import records

# Most names in a picture, and the room that each takes, shares of the picture's width. Choices.
MOST: Final = 22
_ROOM: Final = (0.24, 0.045)

# Least height of the Sun, and of us, over a place that is named: sines.
_LEAST_SUN: Final = 0.03
_LEAST_SEEN: Final = 0.25


def title_of(name: str) -> str:
    """Return a place's name as it is written: "Mare Crisium"."""
    return name.replace("-", " ").title()


def names_in(
    frame: MoonFrame, middle: tuple[float, float], width_arcsec: float
) -> tuple[Label, ...]:
    """Return the largest places in a square of the picture, away from one another.

    Parameters
    ----------
    middle
        Of the square, arcsec right and up of the disc's middle.
    width_arcsec
        Its side; what is smaller than a fortieth of it gets no name.

    Notes
    -----
    Places: IAU Gazetteer, see data/moon_places.csv.
    Checked by: tests/unit/scene/test_moon_names.py
    """
    turn, sun = frame.matrix(), frame.sun()
    found: list[tuple[float, Label]] = []
    for row in records("moon_places.csv"):
        spot = turn @ unit_vector(float(row["latitude_deg"]), float(row["longitude_deg"]))
        x, y = (float(spot[k]) * frame.radius - middle[k] for k in (0, 1))
        size = float(row["diameter_km"]) / MOON_KM * frame.radius
        lit = sum(float(spot[k]) * sun[k] for k in range(3)) > _LEAST_SUN
        inside = max(abs(x), abs(y)) < 0.47 * width_arcsec
        if lit and inside and float(spot[2]) > _LEAST_SEEN and size > width_arcsec / 40.0:
            found.append((size, Label(words=title_of(row["name"]), x_arcsec=x, y_arcsec=y)))
    kept: list[Label] = []
    for _, label in sorted(found, key=lambda pair: -pair[0]):
        if len(kept) < MOST and not any(_near(label, other, width_arcsec) for other in kept):
            kept.append(label)
    return tuple(kept)


def lit_places(frame: MoonFrame) -> tuple[Label, ...]:
    """Return the places in sunlight by whose names an observer tells where a field points."""
    turn, sun = frame.matrix(), np.array(frame.sun())
    rows = records("moon_places.csv")
    own = [unit_vector(float(row["latitude_deg"]), float(row["longitude_deg"])) for row in rows]
    spots = np.array(own) @ turn.T
    told = (spots @ sun > _LEAST_SUN) & (spots[:, 2] > _LEAST_SEEN)
    x, y = spots[:, 0] * frame.radius, spots[:, 1] * frame.radius
    return tuple(
        Label(words=title_of(row["name"]), x_arcsec=float(x[k]), y_arcsec=float(y[k]))
        for k, row in enumerate(rows)
        if told[k]
    )


def _near(one: Label, other: Label, width_arcsec: float) -> bool:
    across, along = (share * width_arcsec for share in _ROOM)
    return (
        abs(one.x_arcsec - other.x_arcsec) < across and abs(one.y_arcsec - other.y_arcsec) < along
    )
