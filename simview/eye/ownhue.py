"""What a lens telescope's colours take from a disc's own hue, to be given back.

A lens leaves red and violet out of focus: on a small disc less of them falls than it sends. Light
of one hue in the same shape, through the same lens, tells how much less, place by place.

Checked by: tests/unit/picture/test_lens_hues.py
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

Planes = NDArray[np.float32]
Values = NDArray[np.floating]

# Light of a place, against the middle one of lit places, from which on its hue is the disc's, and
# up to which it is that of what lies around: at a limb light falls to a half of the disc's. And
# from which share of the brightest light on a place is lit. Choices, as is how much a place's own
# loss is made good for at the most.
_DISC_FROM: Final = 0.4
_FRINGE_TO: Final = 0.1
_LIT: Final = 0.25
_MOST_LOST: Final = 5.0


def lost(even: Planes, gains: Values, places: Sequence[tuple[float, float]]) -> Planes:
    """Return (3, ny, nx) what X, Y and Z are multiplied by so that one hue is the same everywhere.

    Parameters
    ----------
    even
        (3, ny, nx) X, Y and Z on the retina of light of one hue, as the disc has it on the mean.
    gains
        (3,) X, Y and Z that such light has, where it is even over the whole field.
    places
        Where the middle of a point's X, Y and Z lies, pixels down and right: the air moves colours
        aside as a whole, and that is no loss.
    """
    factors = np.ones_like(even)
    floor = np.float32(1e-6) * even[1].max()
    for channel in (0, 2):
        down, right = (a - b for a, b in zip(places[channel], places[1], strict=True))
        whole = np.float32(gains[channel] / gains[1]) * _shifted(even[1], down, right)
        missing = (whole + floor) / (np.maximum(even[channel], 0.0) + floor)
        factors[channel] = np.clip(missing, 1.0 / _MOST_LOST, _MOST_LOST)
    return factors


def on_disc(light: Planes) -> Planes:
    """Return how far each place is the disc's: 1 on it, 0 around it."""
    middle = np.median(light[light > _LIT * light.max()])
    share = (light / middle - _FRINGE_TO) / (_DISC_FROM - _FRINGE_TO)
    return np.asarray(np.clip(share, 0.0, 1.0), np.float32)


def _shifted(plane: Planes, down: float, right: float) -> Planes:
    """Return a plane moved by a part of a pixel or more, its edges repeated."""
    for axis, by in ((0, down), (1, right)):
        low = math.floor(by)
        part, last = np.float32(by - low), plane.shape[axis] - 1
        at = np.arange(last + 1) - low
        here, before = (plane.take(np.clip(k, 0, last), axis) for k in (at, at - 1))
        plane = here + part * (before - here)
    return plane
