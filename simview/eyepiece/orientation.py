"""How the view is turned against the naked eye's, and the turning of a picture.

An objective turns the view by 180 degrees, each mirror reverses it, and an erecting prism turns
it back. A Newtonian has two mirrors, so it only turns. The eye is taken upright at a refractor's
star diagonal that points upwards, where the view is upright but mirror-reversed. An erecting prism
takes the diagonal's place.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece.barrels import diagonal_in_use
from simview.eyepiece.beam import Orientation
from simview.kit import Kit

Number = TypeVar("Number", bound=np.generic)


def orientation(kit: Kit, amplifiers: tuple[int, ...] = ()) -> Orientation:
    """Return how a kit turns the view.

    Parameters
    ----------
    amplifiers
        Indices into ``kit.amplifiers`` of the pieces in use.

    Notes
    -----
    Source: common practice, no source; parity follows from the number of mirrors.
    Checked by: tests/unit/eyepiece/test_orientation.py
    """
    if kit.telescope is None:
        return "upright"
    turned, mirrored = True, False
    diagonal = diagonal_in_use(kit, amplifiers)
    if diagonal is not None:
        # A star diagonal that points upwards turns the view upright as it mirrors it.
        turned = False
        mirrored = diagonal.kind == "star"
    for index in amplifiers:
        turned ^= kit.amplifiers[index].kind == "erecting-prism"
    return _word(turned, mirrored)


def _word(turned: bool, mirrored: bool) -> Orientation:
    if mirrored:
        return "turned-mirrored" if turned else "mirrored"
    return "turned" if turned else "upright"


def signs(orientation: Orientation) -> tuple[int, int]:
    """Return the factors (+1 or -1) for an offset to the right and an offset upwards."""
    return {
        "upright": (1, 1),
        "turned": (-1, -1),
        "mirrored": (-1, 1),
        "turned-mirrored": (1, -1),
    }[orientation]


def orient(array: NDArray[Number], orientation: Orientation) -> NDArray[Number]:
    """Turn a picture, or a stack of pictures, as the kit turns the view.

    The centre pixel n // 2 stays where it is. With an even number of pixels the first row or
    column has no partner on the other side and keeps its place.

    Parameters
    ----------
    array
        (..., ny, nx).

    Returns
    -------
    array
        The same shape.

    Notes
    -----
    Checked by: tests/unit/eyepiece/test_orientation.py
    """
    right, up = signs(orientation)
    if right > 0 and up > 0:
        return array
    turned = np.empty_like(array)
    for row, from_row in _swapped(array.shape[-2], up):
        for column, from_column in _swapped(array.shape[-1], right):
            turned[..., row, column] = array[..., from_row, from_column]
    return turned


def _swapped(count: int, sign: int) -> list[tuple[slice, slice]]:
    """Return which pixels along a side go where; see `orient`."""
    whole, backwards = slice(None), slice(None, None, -1)
    if sign > 0:
        return [(whole, whole)]
    if count % 2:
        return [(whole, backwards)]
    first = slice(0, 1)
    return [(first, first), (slice(1, None), slice(None, 0, -1))]
