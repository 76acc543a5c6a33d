"""Maps over the pupil: slopes and bends, symmetry, quadrants, another number of samples."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview.banded import cubic_weights

Plane = NDArray[np.float64]
Array = NDArray[Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """First and second differences of a map, in its unit a sample.

    Parameters
    ----------
    down, right
        Slopes along the rows' and the columns' order.
    bend
        Sum of the second differences along both; a 24th of it is what the mean over a sample
        exceeds the value in its middle.
    """

    down: Plane
    right: Plane
    bend: Plane

    @classmethod
    def of(cls, around: Plane) -> Relief:
        """Return the relief of a map that has one sample more on each side."""
        above, below = around[:-2, 1:-1], around[2:, 1:-1]
        left, right = around[1:-1, :-2], around[1:-1, 2:]
        bend = above + below + left + right - 4.0 * around[1:-1, 1:-1]
        return cls(down=(below - above) / 2.0, right=(right - left) / 2.0, bend=bend)


def quadrants(plane: Array, *, even_y: bool, even_x: bool) -> Array:
    """Return a map cut into quadrants that begin at the centre; see `Opening`."""
    half = len(plane) // 2
    rows = [plane[half:]] if even_y else [plane[half:], plane[half - 1 :: -1]]
    parts = [[r[:, half:]] if even_x else [r[:, half:], r[:, half - 1 :: -1]] for r in rows]
    return np.stack([np.stack(row) for row in parts])


def evenness(share: Plane, path: Plane) -> tuple[bool, bool]:
    """Return whether two maps are mirror-symmetric up-down, left-right, within 1e-9 waves."""

    def even(flip: slice | tuple[slice, slice]) -> bool:
        return all(np.allclose(m, m[flip], rtol=0.0, atol=1e-9) for m in (share, path))

    back = slice(None, None, -1)
    return even(back), even((slice(None), back))


def resampled(screen: Plane, samples: int) -> Plane:
    """Return a square map on another number of samples across the same width (cubic).

    Checked by: tests/unit/telescope/test_opening.py
    """
    old = screen.shape[0]
    if old == samples:
        return screen
    matrix = cubic_weights((np.arange(samples) + 0.5) * old / samples - 0.5, old)
    return np.asarray(matrix @ screen @ matrix.T)
