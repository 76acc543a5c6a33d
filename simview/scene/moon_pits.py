"""The Moon's small craters that the map of heights holds as soft hollows, made crisp again.

They were found on the map, with their sizes and depths (``data/moon/find_pits.py``). To each is
added what a crater of that size and depth is beyond the map's smooth image of it: the edge of its
rim, and a bowl's steeper walls. So its place, size and depth are measured; its shape is that of
craters of its size.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.scene.craters import BLANKET, Craters, profile, shapes
from simview.scene.moon_map import MAP_SIGMA_KM, MOON_KM, on_sphere
from simview.scene.moon_rilles import COARSEST_KM, Grid
from simview.scene.noise import Values

# Spacing of the tables of heights, km, and how far beyond a crater's blanket they reach.
_STEP_KM: Final = 0.1
_BEYOND_KM: Final = 2.5

# A crater deeper than a fresh one of its size is one whose size was found too small.
_DEEPEST: Final = 1.1


class Pits(NamedTuple):
    """Places on the unit sphere (N, 3), diameters in km, depths against fresh craters'."""

    centre: NDArray[np.float64]
    diameter_km: NDArray[np.float64]
    depth: NDArray[np.float64]


@lru_cache(maxsize=1)
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


@lru_cache(maxsize=64)
def _finer(diameter_km: float) -> Values:
    """Return what a fresh crater has beyond its image on the map, by steps from its middle."""
    from scipy.ndimage import gaussian_filter

    half = round((0.5 * BLANKET * diameter_km + _BEYOND_KM) / _STEP_KM)
    along = np.arange(-half, half + 1) * _STEP_KM
    sharp = fresh(np.hypot(along[:, None], along[None, :]), diameter_km)
    smooth = gaussian_filter(sharp, MAP_SIGMA_KM / _STEP_KM)
    return np.asarray((sharp - smooth)[half, half:], np.float32)


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
    ny, nx = field.shape
    inside = (row >= half) & (column >= half) & (row < ny - half) & (column < nx - half)
    for k in np.flatnonzero(inside & (place[:, 2] > 0.2)):
        here = (
            slice(row[k] - half[k], row[k] + half[k] + 1),
            slice(column[k] - half[k], column[k] + half[k] + 1),
        )
        table = _finer(float(every.diameter_km[k])) * np.float32(every.depth[k])
        _press(field, here, grid, (place[k], table))


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
