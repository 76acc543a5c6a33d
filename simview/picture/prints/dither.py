"""A fixed pattern of blue noise that hides the steps of 8 bits without looking like noise.

The tile ranks its cells so that every threshold of it is an even, unstructured scatter of dots
(void and cluster). It ships as data, so that every run prints the same picture.

Source: Ulichney 1993, "The void-and-cluster method for dither array generation", Proc. SPIE 1913,
332 (citation from memory).
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

_FILE: Final = Path(__file__).parents[1] / "data" / "blue_noise_64.npy"

# Side of the shipped tile in pixels.
SIDE: Final = 64

# Standard deviation in pixels of the Gaussian that judges crowding; Ulichney's choice.
_SIGMA: Final = 1.5


@lru_cache(maxsize=1)
def tile() -> NDArray[np.float32]:
    """Return the (64, 64) tile, even steps from 0 up to but not including 1.

    Checked by: tests/unit/picture/test_dither.py
    """
    ranks = np.load(_FILE)
    return np.asarray((ranks + 0.5) / ranks.size, np.float32)


def make_ranks(side: int = SIDE, seed: int = 1) -> NDArray[np.uint16]:
    """Make the tile's ranks, 0 to side^2 - 1, by void and cluster.

    Kept so that the shipped data can be made again and checked.
    """
    bump = _bump(side)
    count = side * side
    first = _spread_evenly(side, bump, np.random.default_rng(seed))
    ranks = np.zeros((side, side), np.uint16)
    # Down: take the most crowded dot away, again and again.
    dots = first.copy()
    crowd = _crowding(dots, bump)
    for rank in range(int(dots.sum()) - 1, -1, -1):
        y, x = np.unravel_index(np.argmax(np.where(dots, crowd, -1.0)), dots.shape)
        dots[y, x] = False
        crowd -= _rolled(bump, int(y), int(x))
        ranks[y, x] = rank
    # Up: fill the largest void, again and again.
    dots = first.copy()
    crowd = _crowding(dots, bump)
    for rank in range(int(dots.sum()), count):
        y, x = np.unravel_index(np.argmin(np.where(dots, np.inf, crowd)), dots.shape)
        dots[y, x] = True
        crowd += _rolled(bump, int(y), int(x))
        ranks[y, x] = rank
    return ranks


def _bump(side: int) -> NDArray[np.float64]:
    along = np.minimum(np.arange(side), side - np.arange(side))
    return np.asarray(np.exp(-(along[:, None] ** 2 + along**2) / (2.0 * _SIGMA**2)))


def _rolled(bump: NDArray[np.float64], y: int, x: int) -> NDArray[np.float64]:
    return np.roll(bump, (y, x), axis=(0, 1))


def _crowding(dots: NDArray[np.bool_], bump: NDArray[np.float64]) -> NDArray[np.float64]:
    total = np.zeros_like(bump)
    for y, x in zip(*np.nonzero(dots), strict=True):
        total += _rolled(bump, int(y), int(x))
    return total


def _spread_evenly(
    side: int, bump: NDArray[np.float64], rng: np.random.Generator
) -> NDArray[np.bool_]:
    """Start from random dots on a tenth of the cells; move crowded ones into voids."""
    dots = (rng.permutation(side * side) < side * side // 10).reshape(side, side)
    crowd = _crowding(dots, bump)
    while True:
        tight = np.unravel_index(np.argmax(np.where(dots, crowd, -1.0)), dots.shape)
        dots[tight] = False
        crowd -= _rolled(bump, int(tight[0]), int(tight[1]))
        void = np.unravel_index(np.argmin(np.where(dots, np.inf, crowd)), dots.shape)
        dots[void] = True
        crowd += _rolled(bump, int(void[0]), int(void[1]))
        if void == tight:
            return dots
