"""Pressing craters into a height field: each only where its ground is raised or sunk."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.craters import BLANKET, Craters, Shape, blanket, hollow_height, profile, shapes
from simview.scene.moon_map import MOON_KM
from simview.scene.noise import Values

# Craters with windows up to this many points either way are drawn round.
_ROUND_POINTS: Final = 16

# Waves around a large crater's outline, and each of them by half degrees.
_LOBES: Final = np.arange(2, 12, dtype=np.float64)
_WAVES: Final = np.exp(1j * np.arange(720)[:, None] * (2.0 * math.pi / 720) * _LOBES)


def press(
    field: Values, craters: Craters, grid: tuple[Values, Values, Values], cell_km: float
) -> None:
    """Add craters to a height field in km, in place.

    Parameters
    ----------
    field
        (ny, nx).
    craters
        Their centres in the picture's frame.
    grid
        The pixels' places on the unit sphere in the picture's frame: right (1, nx), up (ny, 1),
        towards the eye (ny, nx).
    cell_km
        Spacing of the grid.
    """
    right, up, _ = grid
    cell = cell_km / MOON_KM
    every = shapes(craters)
    column = np.rint((craters.centre[:, 0] - float(right[0, 0])) / cell).astype(np.intp)
    row = np.rint((float(up[0, 0]) - craters.centre[:, 1]) / cell).astype(np.intp)
    # A circle on the ground is flattened towards the limb: it is never wider than this.
    half = np.ceil(BLANKET * 0.5 * craters.diameter_km / MOON_KM / cell).astype(np.intp) + 1
    for k in np.flatnonzero(half > _ROUND_POINTS):
        _press_large(field, (craters, every), grid, (int(k), int(row[k]), int(column[k])))
    for size in sorted(set(half[half <= _ROUND_POINTS].tolist())):
        same = np.flatnonzero(half == size)
        many = max(1, 300_000 // int(2 * size + 1) ** 2)
        for start in range(0, len(same), many):
            pick = same[start : start + many]
            _press_alike(field, (craters, every), grid, (pick, row, column, int(size)))


def _press_alike(
    field: Values,
    lot: tuple[Craters, Shape],
    grid: tuple[Values, Values, Values],
    where: tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp], int],
) -> None:
    """Press craters whose windows have one size: shapes all at once, then added one by one."""
    craters, every = lot
    right, up, ahead = grid
    pick, row, column, half = where
    ny, nx = field.shape
    window = np.arange(-half, half + 1)
    rows, columns = row[pick][:, None] + window, column[pick][:, None] + window
    held_rows, held_columns = np.clip(rows, 0, ny - 1), np.clip(columns, 0, nx - 1)
    x, y, z = (craters.centre[pick, k].astype(np.float32)[:, None, None] for k in range(3))
    square = (right[0][held_columns][:, None, :] - x) ** 2
    square = square + (up[:, 0][held_rows][:, :, None] - y) ** 2
    places = (held_rows * nx)[:, :, None] + held_columns[:, None, :]
    square += (np.take(ahead, places) - z) ** 2
    radius = (0.5 * craters.diameter_km[pick] / MOON_KM).astype(np.float32)[:, None, None]
    heights = profile(np.sqrt(square) / radius, every.at(pick))
    for k in range(len(pick)):
        top, left = int(rows[k, 0]), int(columns[k, 0])
        a, b = max(0, -top), min(2 * half + 1, ny - top)
        c, d = max(0, -left), min(2 * half + 1, nx - left)
        if a < b and c < d:
            field[top + a : top + b, left + c : left + d] += heights[k, a:b, c:d]


def _press_large(
    field: Values,
    lot: tuple[Craters, Shape],
    grid: tuple[Values, Values, Values],
    where: tuple[int, int, int],
) -> None:
    """Press one large crater, its outline a little uneven, where it lies inside the field."""
    craters, every = lot
    right, up, ahead = grid
    number, row, column = where
    radius = np.float32(0.5 * craters.diameter_km[number] / MOON_KM)
    cell = float(right[0, 1] - right[0, 0])
    here = tuple(
        slice(max(0, middle - half), max(0, min(most, middle + half + 1)))
        for middle, most, half in zip(
            (row, column),
            field.shape,
            _half_window(craters.centre[number], float(BLANKET * radius), cell),
            strict=True,
        )
    )
    x, y, z = craters.centre[number].astype(np.float32)
    over, rise = right[0, here[1]] - x, up[here[0], 0] - y
    square = (over**2)[None, :] + (rise**2)[:, None] + (ahead[here] - z) ** 2
    outline = _outline(craters.centre[number])
    # The window's corners are level: only what is raised is drawn.
    raised = np.nonzero(square < (np.float32(BLANKET) / outline.min() * radius) ** 2)
    angle = np.arctan2(rise[raised[0]], over[raised[1]])
    outline = outline[(angle * np.float32(len(outline) / (2.0 * math.pi))).astype(np.int32)]
    reach = np.sqrt(square[raised]) / radius * outline
    shape = every.at(np.array([number]))
    hollow = reach < 1.0
    height = blanket(reach, shape)[0, 0]
    height[hollow] = hollow_height(reach[hollow], shape)[0, 0]
    field[here][raised] += height


def _half_window(centre: NDArray[np.float64], reach: float, cell: float) -> tuple[int, int]:
    """Return how many rows and columns either way a round patch of ground may cover.

    It is flattened towards the limb, and its outline may stray outwards by a sixth.
    """
    most = math.ceil(reach / cell) + 1
    rho = 1.18 * reach
    flat = (
        math.sqrt(1.0 - v**2) * math.sin(rho) + abs(v) * (1.0 - math.cos(rho))
        for v in (float(centre[1]), float(centre[0]))
    )
    rows, columns = (min(most, math.ceil(each / cell) + 2) for each in flat)
    return rows, columns


def _outline(centre: NDArray[np.float64]) -> Values:
    """Return factors around 1, by half degrees, by which a crater strays from a circle."""
    rng = np.random.default_rng([int(1e6 * (v + 1.0)) for v in centre])
    size = rng.uniform(-1.0, 1.0, len(_LOBES)) * 0.055 / _LOBES**0.8
    turn = rng.uniform(0.0, 2.0 * math.pi, len(_LOBES))
    return np.asarray(1.0 + (_WAVES @ (size * np.exp(1j * turn))).real, np.float32)
