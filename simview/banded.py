"""Products with matrices that are zero but near a slanted line, and means over blocks, soon had.

A product with all of such a matrix, as smoothing along a line has, mostly adds up zeros; here each
few of its rows meet what they reach, and no more.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]

# Rows of the matrix that are taken at once: few, so that they reach little, but enough for the
# linear algebra library to be at its best.
_ROWS: Final = 32


class Band:
    """A matrix (m, n), most of it zeros: some of its rows after the other, and what they reach.

    Worth making where a matrix is used more than once; `down` and `across` make their own else.
    """

    def __init__(self, matrix: Array) -> None:
        self.rows = len(matrix)
        self.dtype = matrix.dtype
        self.parts = [(*at, np.ascontiguousarray(matrix[at])) for at in _bands(matrix)]


def cubic_weights(places: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """Return (places, count) weights of `count` samples at places between them; ends repeat.

    Source: Keys 1981, IEEE Trans. ASSP 29, 1153, cubic convolution with a = -1/2.
    Checked by: tests/unit/telescope/test_opening.py, tests/unit/eye/test_retina_scales.py
    """
    start = np.floor(places).astype(int)
    t = places - start
    taps = (
        ((-0.5 * t + 1.0) * t - 0.5) * t,
        (1.5 * t - 2.5) * t * t + 1.0,
        ((-1.5 * t + 2.0) * t + 0.5) * t,
        (0.5 * t - 0.5) * t * t,
    )
    matrix, each = np.zeros((len(places), count)), np.arange(len(places))
    for offset, tap in zip((-1, 0, 1, 2), taps, strict=True):
        matrix[each, np.clip(start + offset, 0, count - 1)] += tap
    return matrix


def finer(planes: Array, every: int, shape: tuple[int, int]) -> Array:
    """Return planes of which every so many'th pixel each way is known, by cubic convolution.

    Parameters
    ----------
    planes
        (..., m, n) the pixels known, the middle one on m // 2.
    every
        How far they lie apart.
    shape
        (ny, nx) wanted; the middle on n // 2 is the same.
    """
    ways = (
        Band(
            cubic_weights((np.arange(side) - side // 2) / every + count // 2, count).astype(
                planes.dtype
            )
        )
        for side, count in zip(shape, planes.shape[-2:], strict=True)
    )
    rows, columns = ways
    return across(down(rows, planes), columns)


def running_means(taps: Array, count: int) -> Band:
    """Return the matrix of means of a line of so many numbers, which goes on as it ends.

    Parameters
    ----------
    taps
        Weights of each number and of as many before it as after it; an odd number of them.
    count
        Numbers of the line.
    """
    reach = len(taps) // 2
    # Each row of the matrix begins one place further: a table whose lines hold one place more.
    wide = count + 2 * reach
    placed = np.zeros((count, wide + 1), np.float32)
    placed[:, : len(taps)] = taps
    rows = placed.reshape(-1)[: count * wide].reshape(count, wide)
    # What reaches past an end counts for the last place there.
    rows[:, reach] += rows[:, :reach].sum(axis=1)
    rows[:, count + reach - 1] += rows[:, count + reach :].sum(axis=1)
    return Band(rows[:, reach : reach + count])


def down(matrix: Array | Band, planes: Array) -> Array:
    """Return ``matrix @ planes``.

    Parameters
    ----------
    matrix
        (m, n), most of it zeros.
    planes
        (..., n, k), finite.
    """
    band = matrix if isinstance(matrix, Band) else Band(matrix)
    kind = np.result_type(band.dtype, planes)
    answer = np.empty((*planes.shape[:-2], band.rows, planes.shape[-1]), kind)
    for rows, reached, part in band.parts:
        np.matmul(part, planes[..., reached, :], out=answer[..., rows, :])
    return answer


def across(planes: Array, matrix: Array | Band) -> Array:
    """Return ``planes @ matrix.T``.

    Parameters
    ----------
    planes
        (..., k, n), finite.
    matrix
        (m, n), most of it zeros.
    """
    band = matrix if isinstance(matrix, Band) else Band(matrix)
    kind = np.result_type(band.dtype, planes)
    answer = np.empty((*planes.shape[:-1], band.rows), kind)
    for rows, reached, part in band.parts:
        np.matmul(planes[..., reached], part.T, out=answer[..., rows])
    return answer


# Blocks of fewer pixels a side are added up column by column: sums of so few lose time one by one.
_FEW: Final = 12


def block_means(planes: Array, side: int) -> Array:
    """Return means over square blocks of pixels.

    Parameters
    ----------
    planes
        (..., m side, n side).
    side
        Of a block, pixels; 1 gives the planes back.

    Returns
    -------
    (..., m, n) of the same precision
    """
    if side == 1:
        return planes
    *many, ny, nx = planes.shape
    rows = planes.reshape(*many, ny // side, side, nx).sum(axis=-2)
    blocks = rows.reshape(*many, ny // side, nx // side, side)
    if side < _FEW:
        total = blocks[..., 0] + blocks[..., 1]
        for column in range(2, side):
            total += blocks[..., column]
    else:
        total = blocks.sum(axis=-1)
    total *= total.dtype.type(1.0 / side**2)
    return np.asarray(total)


def _bands(matrix: Array) -> Iterator[tuple[slice, slice]]:
    """Give some rows after the other, and the columns between which they hold anything."""
    if len(matrix) <= _ROWS:
        yield slice(0, len(matrix)), slice(0, matrix.shape[1])
        return
    held = matrix != 0
    first, last = held.argmax(axis=1), matrix.shape[1] - held[:, ::-1].argmax(axis=1)
    empty = ~held[np.arange(len(held)), first]
    first[empty], last[empty] = matrix.shape[1], 0
    for start in range(0, len(matrix), _ROWS):
        rows = slice(start, start + _ROWS)
        low, high = int(first[rows].min()), int(last[rows].max())
        yield rows, slice(min(low, high), high)
