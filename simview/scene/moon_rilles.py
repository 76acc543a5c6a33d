"""The Moon's rilles: what the map of heights, whose pixels are as wide, leaves of their walls.

A rille is a sunken strip between two faults: a flat floor, and walls at the angle at which loose
ground comes to rest. The measured map holds it smoothed, so what is added here is the sharp valley
less a smoothed one: the ground's means over the map's pixels stay those that were measured.
"""

from __future__ import annotations

import itertools
import math
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.moon_map import MAP_SIGMA_KM, MOON_KM, unit_vector
from simview.scene.noise import Values
from simview.scene.tables import records

# Slope of a rille's walls, deg. Source: about 25 for straight rilles (from memory).
WALL_DEG: Final = 25.0

# How far from a line ground is touched, and the spacing of the profiles' tables, km.
_REACH_KM: Final = 5.0
_STEP_KM: Final = 0.05

# Points further apart show nothing that the map does not hold, km.
COARSEST_KM: Final = 2.0

Grid = tuple[Values, Values, Values]


class Rille(NamedTuple):
    """A line on the unit sphere (right, up, to the Earth), (N, 3), its width and depth in km."""

    line: NDArray[np.float64]
    width_km: float
    depth_km: float


@remembered(1)
def rilles() -> tuple[Rille, ...]:
    """Return the rilles of the table."""
    lines: dict[tuple[str, float, float], list[NDArray[np.float64]]] = {}
    for row in records("moon_rilles.csv"):
        key = (row["name"], float(row["width_km"]), float(row["depth_km"]))
        place = unit_vector(float(row["latitude_deg"]), float(row["longitude_deg"]))
        lines.setdefault(key, []).append(place)
    return tuple(Rille(np.array(line), width, depth) for (_, width, depth), line in lines.items())


def valley_km(away_km: NDArray[np.float64], width_km: float, depth_km: float) -> Values:
    """Return the ground's height across a rille, 0 outside: a flat floor between straight walls."""
    wall = min(depth_km / math.tan(math.radians(WALL_DEG)), 0.5 * width_km)
    sunk = np.clip((0.5 * width_km - np.abs(away_km)) / wall, 0.0, 1.0)
    return np.asarray(-depth_km * sunk, np.float32)


@lru_cache(maxsize=32)
def _finer(width_km: float, depth_km: float, cell_km: float) -> Values:
    """Return what such a valley, in means over `cell_km`, has beyond the map's smooth one.

    By steps of `_STEP_KM` from the line.
    """
    from scipy.ndimage import gaussian_filter1d, uniform_filter1d

    along = np.arange(-2.0 * _REACH_KM, 2.0 * _REACH_KM, _STEP_KM)
    sharp = valley_km(along, width_km, depth_km)
    smooth = gaussian_filter1d(sharp, MAP_SIGMA_KM / _STEP_KM)
    seen = uniform_filter1d(sharp, max(1, round(cell_km / _STEP_KM)))
    return np.asarray((seen - smooth)[len(along) // 2 :], np.float32)


def cut(field: Values, turn: NDArray[np.float64], grid: Grid, cell_km: float) -> None:
    """Sharpen the rilles of a height field in km, in place.

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
    Checked by: tests/truth/test_moon_rilles.py
    """
    if cell_km >= COARSEST_KM:
        return
    for rille in rilles():
        line = rille.line @ turn.T
        here = _box(line, grid)
        if here is None or line[:, 2].min() < 0.05:
            continue
        away = np.full(field[here].shape, np.float32(_REACH_KM), np.float32)
        for start, end in itertools.pairwise(line):
            _approach(away, (start, end), grid, here)
        table = _finer(rille.width_km, rille.depth_km, round(cell_km, 2))
        near = away < _REACH_KM - _STEP_KM
        field[here][near] += table[np.rint(away[near] / np.float32(_STEP_KM)).astype(np.intp)]


def _box(points: NDArray[np.float64], grid: Grid) -> tuple[slice, slice] | None:
    """Return the part of the grid that some points' surroundings may lie in; None for none."""
    right, up, _ = grid
    reach = _REACH_KM / MOON_KM
    x, y = points[:, 0], points[:, 1]
    first, last = np.searchsorted(right[0], [x.min() - reach, x.max() + reach])
    top, bottom = np.searchsorted(-up[:, 0], [-y.max() - reach, -y.min() + reach])
    if first >= last or top >= bottom:
        return None
    return slice(int(top), int(bottom)), slice(int(first), int(last))


def _approach(
    away: Values,
    piece: tuple[NDArray[np.float64], NDArray[np.float64]],
    grid: Grid,
    whole: tuple[slice, slice],
) -> None:
    """Lower each point's distance in km to a line by that to one straight piece of it, in place."""
    box = _box(np.array(piece), grid)
    if box is None:
        return
    right, up, ahead = grid
    start, along = piece[0].astype(np.float32), (piece[1] - piece[0]).astype(np.float32)
    x, y, z = right[:, box[1]] - start[0], up[box[0]] - start[1], ahead[box] - start[2]
    part = (x * along[0] + y * along[1] + z * along[2]) / (along @ along)
    np.clip(part, 0.0, 1.0, out=part)
    square = (x - part * along[0]) ** 2 + (y - part * along[1]) ** 2 + (z - part * along[2]) ** 2
    rows, columns = (
        slice(own.start - all_.start, own.stop - all_.start)
        for own, all_ in zip(box, whole, strict=True)
    )
    np.minimum(away[rows, columns], np.sqrt(square) * MOON_KM, out=away[rows, columns])
