"""How the map of the Moon's heights is kept: what each row differs from the one above it.

Nearly every difference fits in a byte. To add them up again takes hundredths of a second, and few
steps, so that a thread which does it beside others seldom has to wait for its turn.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

# A byte holds a difference more than this; where none fits it is 0, and the difference stands in
# a list of wide ones.
_MIDDLE: Final = 128

# Rows that are added up together.
_BLOCK: Final = 8


def packed(steps: NDArray[np.uint16]) -> tuple[NDArray[np.uint8], NDArray[np.int16]]:
    """Return a map as a byte for each pixel and the list of what no byte holds.

    Parameters
    ----------
    steps
        (8 m, n) of 0 to 65535. The first row differs from one of zeros.
    """
    rises = np.diff(steps, axis=0, prepend=np.zeros_like(steps[:1])).view(np.int16)
    wide = np.abs(rises.astype(np.int32)) >= _MIDDLE
    narrow = np.where(wide, np.int16(0), rises + np.int16(_MIDDLE))
    return narrow.astype(np.uint8), rises[wide]


def unpacked(narrow: NDArray[np.uint8], wide: NDArray[np.int16]) -> NDArray[np.uint16]:
    """Return the map again, to the last bit.

    Notes
    -----
    Checked by: tests/unit/scene/test_moon_packing.py
    """
    rises = np.subtract(narrow, np.int16(_MIDDLE), dtype=np.int16)
    rises.reshape(-1)[np.flatnonzero(narrow == 0)] = wide
    # Within blocks first, all blocks at once; then from block to block.
    blocks: NDArray[Any] = rises.reshape(-1, _BLOCK, rises.shape[1])
    for row in range(1, _BLOCK):
        blocks[:, row] += blocks[:, row - 1]
    np.add.accumulate(blocks[:, -1], axis=0, out=blocks[:, -1])
    blocks[1:, :-1] += blocks[:-1, -1:]
    return rises.view(np.uint16)
