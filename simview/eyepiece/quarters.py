"""The four quarters of a picture about its middle pixel, n // 2.

What goes by the distance from the middle is the same in all of them, mirrored: it is found for one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray


class Quarter(NamedTuple):
    """A quarter of a picture, and where in a table of one quarter it stands.

    Rows and columns are those away from the middle, which belong to one quarter only.
    """

    picture: tuple[slice, slice]
    table: tuple[slice, slice]
    # The same part of the picture from the middle on, as far as the table goes.
    from_middle: tuple[slice, slice]


def size(shape: tuple[int, int]) -> tuple[int, int]:
    """Return rows and columns of a table that holds any of the quarters, the middle among them."""
    return shape[0] // 2 + 1, shape[1] // 2 + 1


def quarters(shape: tuple[int, int]) -> Iterator[Quarter]:
    """Give the quarters of a picture of such a shape (ny, nx)."""
    for down in _sides(shape[0]):
        for right in _sides(shape[1]):
            yield Quarter(*zip(down, right, strict=True))


def _sides(count: int) -> list[tuple[slice, slice, slice]]:
    """Return the halves of a line as a `Quarter` has them."""
    middle = count // 2
    onward = slice(middle, None)
    sides = [(onward, slice(0, count - middle), onward)]
    if middle:
        sides.append((slice(middle - 1, None, -1), slice(1, None), slice(middle, None, -1)))
    return sides


def whole(table: NDArray[Any], shape: tuple[int, int]) -> NDArray[Any]:
    """Return the picture (..., ny, nx) of which `table` (..., *size) holds a quarter."""
    picture = np.empty((*table.shape[:-2], *shape), table.dtype)
    for quarter in quarters(shape):
        picture[..., *quarter.picture] = table[..., *quarter.table]
    return picture


def multiply(planes: NDArray[Any], table: NDArray[Any]) -> None:
    """Multiply planes (..., ny, nx), in place, by the picture of which `table` is a quarter."""
    # Both halves of each row side by side: along a row nothing is read backwards, which is slow.
    rows = np.empty((*table.shape[:-1], planes.shape[-1]), table.dtype)
    for picture, part, _ in _sides(planes.shape[-1]):
        rows[..., picture] = table[..., part]
    for picture, part, _ in _sides(planes.shape[-2]):
        planes[..., picture, :] *= rows[..., part, :]
