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


def down(matrix: Array, planes: Array) -> Array:
    """Return ``matrix @ planes``.

    Parameters
    ----------
    matrix
        (m, n), most of it zeros.
    planes
        (..., n, k), finite.
    """
    if len(matrix) <= _ROWS:
        return np.asarray(matrix @ planes)
    kind = np.result_type(matrix, planes)
    answer = np.empty((*planes.shape[:-2], len(matrix), planes.shape[-1]), kind)
    for rows, reached in _bands(matrix):
        np.matmul(matrix[rows, reached], planes[..., reached, :], out=answer[..., rows, :])
    return answer


def across(planes: Array, matrix: Array) -> Array:
    """Return ``planes @ matrix.T``.

    Parameters
    ----------
    planes
        (..., k, n), finite.
    matrix
        (m, n), most of it zeros.
    """
    if len(matrix) <= _ROWS:
        return np.asarray(planes @ matrix.T)
    kind = np.result_type(matrix, planes)
    answer = np.empty((*planes.shape[:-1], len(matrix)), kind)
    for rows, reached in _bands(matrix):
        np.matmul(planes[..., reached], matrix[rows, reached].T, out=answer[..., rows])
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
    held = matrix != 0
    first, last = held.argmax(axis=1), matrix.shape[1] - held[:, ::-1].argmax(axis=1)
    empty = ~held[np.arange(len(held)), first]
    first[empty], last[empty] = matrix.shape[1], 0
    for start in range(0, len(matrix), _ROWS):
        rows = slice(start, start + _ROWS)
        low, high = int(first[rows].min()), int(last[rows].max())
        yield rows, slice(min(low, high), high)
