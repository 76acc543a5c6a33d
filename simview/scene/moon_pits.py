"""The Moon's small craters that the map of heights holds as soft hollows, made crisp again.

They were found on the map, with their sizes and depths (``data/moon/find_pits.py``). To each is
added what a crater of that size and depth is beyond the map's smooth image of it: the edge of its
rim, and a bowl's steeper walls. A crater wears by the creep of its slopes, as heat spreads: what is
shallow has a round rim, too, and is a soft hollow where a fresh one is a pit with a bright ring.
So its place, size and depth are measured; its shape is that of craters of its size and wear.

Source: creep: Soderblom 1970, J. Geophys. Res. 75, 2655; Fassett & Thomson 2014, J. Geophys. Res.
119, 2255.
"""

from __future__ import annotations

import math
from importlib.resources import files
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.bessel import j0
from simview.memory import remembered
from simview.scene.craters import BLANKET, Craters, profile, shapes
from simview.scene.moon_map import MAP_SIGMA_KM, MOON_KM, on_sphere
from simview.scene.moon_rilles import COARSEST_KM, Grid
from simview.scene.noise import Values

# A crater deeper than a fresh one of its size is one whose size was found too small.
_DEEPEST: Final = 1.1

# Depths against a fresh crater's for which there are tables.
_DEPTHS: Final = np.arange(0.2, _DEEPEST + 0.01, 0.05)

# The least over which slopes have crept, km: sqrt(2 k t) with a diffusivity k of 5.5 m2 a million
# years in half of 3000 million. Source: Fassett & Thomson 2014, J. Geophys. Res. 119, 2255.
_LEAST_CREPT_KM: Final = 0.128

# Most waves per km that a crater is put together of: 2.5 points of its table a wave. And points of
# the profile that is taken apart.
_MOST_WAVES: Final = 4.0
_POINTS: Final = 150

# Spacing of the tables of heights, km, and how far beyond a crater's blanket they reach.
_STEP_KM: Final = 0.1
_BEYOND_KM: Final = 2.5


class Pits(NamedTuple):
    """Places on the unit sphere (N, 3), diameters in km, depths against fresh craters'."""

    centre: NDArray[np.float64]
    diameter_km: NDArray[np.float64]
    depth: NDArray[np.float64]


@remembered(1)
def pits() -> Pits:
    """Return the craters that were found on the map."""
    with files("simview.scene").joinpath("data/moon/pits.npy").open("rb") as file:
        stored = np.load(file).astype(float)
    return Pits(
        centre=on_sphere(stored[:, 0] / 16.0, stored[:, 1] / 16.0),
        diameter_km=stored[:, 2] / 100.0,
        depth=np.minimum(stored[:, 3] / 1000.0, _DEEPEST),
    )


def fresh(away_km: NDArray[np.float64], diameter_km: float) -> Values:
    """Return the height in km of a fresh crater at distances from its middle."""
    crater = Craters(
        centre=np.zeros((1, 3)),
        diameter_km=np.array([diameter_km]),
        wear=np.zeros(1),
        flooded=np.zeros(1, dtype=np.bool_),
    )
    reach = np.asarray(away_km / (0.5 * diameter_km), np.float32)
    return np.asarray(profile(reach, shapes(crater).at(np.array([0])))[0], np.float32)


@remembered(16)
def _finer(diameter_km: float) -> Values:
    """Return what such craters have beyond their images on the map, km, by steps from the middle.

    One row for each of `_DEPTHS`: a crater that bends the map less than a fresh one has crept as
    far as that takes.
    """
    reach = 0.5 * BLANKET * diameter_km
    away = np.arange(round((reach + _BEYOND_KM) / _STEP_KM) + 1) * _STEP_KM
    waves = np.arange(0.5, 4.0 * _MOST_WAVES * (reach + _BEYOND_KM)) / (4.0 * (reach + _BEYOND_KM))
    inside = np.asarray((np.arange(_POINTS) + 0.5) * (reach / _POINTS), float)
    rings = 2.0 * math.pi * inside * fresh(inside, diameter_km).ravel() * (reach / _POINTS)
    image = j0(2.0 * math.pi * waves[:, None] * inside) @ rings
    mapped = spread(waves, MAP_SIGMA_KM)
    crept = crept_km(waves, image * mapped, 0.6 * diameter_km)
    left = spread(waves, np.maximum(crept, _LEAST_CREPT_KM)[:, None])
    parts = left * (image * (1.0 - mapped) * waves * (2.0 * math.pi * (waves[1] - waves[0])))
    back = parts @ j0(2.0 * math.pi * waves[:, None] * away)
    return np.asarray(back * np.maximum(_DEPTHS, 1.0)[:, None], np.float32)


def spread(waves: NDArray[np.float64], sigma_km: NDArray[np.float64] | float) -> Values:
    """Return what a Gaussian of that spread leaves of waves per km."""
    return np.asarray(np.exp(-2.0 * (math.pi * waves * sigma_km) ** 2))


def crept_km(
    waves: NDArray[np.float64], image: NDArray[np.float64], most_km: float
) -> NDArray[np.float64]:
    """Return over how far slopes have crept where a crater bends the map by each of `_DEPTHS`.

    That is what the search for them measures: the part of a fresh one's second difference that is
    in the map's (data/moon/find_pits.py).

    Parameters
    ----------
    waves
        Waves per km, evenly spaced.
    image
        Transform of a fresh crater's heights on the map.
    most_km
        The most that is looked for.

    Returns
    -------
    Standard deviations of the Gaussian that has blurred the crater, km.
    """
    power = image**2 * waves**5
    spreads = np.linspace(0.0, most_km, 120)
    left = spread(waves, spreads[:, None]) @ power / power.sum()
    return np.asarray(np.interp(-_DEPTHS, -left, spreads))


def sharpen(field: Values, turn: NDArray[np.float64], grid: Grid, cell_km: float) -> None:
    """Make the small craters of a height field in km crisp, in place.

    Parameters
    ----------
    field
        (ny, nx) heights.
    turn
        Rotation from the Moon's own frame to the picture's.
    grid
        The points' places on the unit sphere in the picture's frame: right (1, nx), up (ny, 1),
        towards the eye (ny, nx).
    cell_km
        Spacing of the grid.

    Notes
    -----
    Checked by: tests/truth/test_moon_pits.py
    """
    if cell_km >= COARSEST_KM:
        return
    right, up, _ = grid
    every = pits()
    place = every.centre @ turn.T
    cell = cell_km / MOON_KM
    column = np.rint((place[:, 0] - float(right[0, 0])) / cell).astype(np.intp)
    row = np.rint((float(up[0, 0]) - place[:, 1]) / cell).astype(np.intp)
    half = np.ceil((0.5 * BLANKET * every.diameter_km + _BEYOND_KM) / cell_km).astype(np.intp)
    depth = np.abs(every.depth[:, None] - _DEPTHS).argmin(axis=1)
    ny, nx = field.shape
    inside = (row >= half) & (column >= half) & (row < ny - half) & (column < nx - half)
    for k in np.flatnonzero(inside & (place[:, 2] > 0.2)):
        here = (
            slice(row[k] - half[k], row[k] + half[k] + 1),
            slice(column[k] - half[k], column[k] + half[k] + 1),
        )
        table = _finer(float(every.diameter_km[k]))
        _press(field, here, grid, (place[k], table[depth[k]]))


def _press(
    field: Values,
    here: tuple[slice, slice],
    grid: Grid,
    crater: tuple[NDArray[np.float64], Values],
) -> None:
    right, up, ahead = grid
    (x, y, z), table = crater[0].astype(np.float32), crater[1]
    square = (right[:, here[1]] - x) ** 2 + (up[here[0]] - y) ** 2
    square = square + (ahead[here] - z) ** 2
    steps = np.sqrt(square) * np.float32(MOON_KM / _STEP_KM)
    field[here] += table[np.minimum(np.rint(steps).astype(np.intp), len(table) - 1)]
