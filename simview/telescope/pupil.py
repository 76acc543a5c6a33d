"""The pupil: what part of the front opening lets light through.

Edges are grey: each sample holds the fraction of its area that is open, so that a pattern
computed from a few hundred samples follows the smooth edge instead of a staircase.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError, require_range

Plane = NDArray[np.float64]

# Rounding of a sample's open fraction at 4096 samples: 1e-16 of the whole area, some times over.
_ROUNDING: Final = 1e-8


@lru_cache(maxsize=12)
def pupil(
    samples: int, *, obstruction: float = 0.0, vanes: int = 0, vane_ratio: float = 0.0
) -> Plane:
    """Return the open fraction of each sample of a pupil that fills the full circle.

    Parameters
    ----------
    samples
        Even number of samples across the diameter, 16 to 4096.
    obstruction
        Diameter of the central shadow against the aperture, 0 to 0.98.
    vanes
        Number of vanes, evenly spaced, the first one upwards.
    vane_ratio
        Thickness of a vane against the aperture, 0 to 0.5.

    Returns
    -------
    numpy.ndarray
        (samples, samples) float64, read-only, 0 to 1; row 0 is the top.

    Raises
    ------
    RangeError
        When `samples` is odd or a ratio is out of range.

    Source: areas of circle and strip over a square, elementary geometry.
    Checked by: tests/unit/telescope/test_pupil.py, tests/truth/test_annular_pattern.py
    """
    if samples % 2 or not 16 <= samples <= 4096:
        raise RangeError("pupil samples", got=samples, allowed="even numbers 16 to 4096")
    require_range("obstruction", obstruction, 0.0, 0.98)
    require_range("vane_ratio", vane_ratio, 0.0, 0.5)
    mask = disc(samples, 1.0)
    if obstruction:
        mask = mask - disc(samples, obstruction)
    if vanes and vane_ratio:
        mask = mask * (1.0 - _vane_cover(samples, vanes, vane_ratio))
    mask.setflags(write=False)
    return mask


@lru_cache(maxsize=4)
def centres(
    samples: int, *, obstruction: float = 0.0, vanes: int = 0, vane_ratio: float = 0.0
) -> tuple[Plane, Plane]:
    """Return where the middle of each sample's *open* part lies: x and y in pupil radii.

    A wavefront that is steep at the edge must be read there, not in the middle of the whole
    sample: reading it there makes the error of the pattern fall with the square of the number of
    samples, and is what keeps a defocused star's rings right. Found from 16 x 16 points in each
    grey sample. Arguments as in `pupil`.

    Checked by: tests/unit/telescope/test_pupil.py, tests/truth/test_defocus.py
    """
    mask = pupil(samples, obstruction=obstruction, vanes=vanes, vane_ratio=vane_ratio)
    x = np.broadcast_to(axis(samples)[None, :], mask.shape).copy()
    y = np.broadcast_to(-axis(samples)[:, None], mask.shape).copy()
    grey = (mask > 0.0) & (mask < 1.0)
    offset = axis(16) / samples
    fine_x = x[grey][:, None, None] + offset[None, None, :]
    fine_y = y[grey][:, None, None] + offset[None, :, None]
    r2 = fine_x**2 + fine_y**2
    inside = (r2 <= 1.0) & (r2 >= obstruction**2)
    for number in range(vanes if vane_ratio else 0):
        angle = math.pi / 2.0 + 2.0 * math.pi * number / vanes
        along = fine_x * math.cos(angle) + fine_y * math.sin(angle)
        across = fine_y * math.cos(angle) - fine_x * math.sin(angle)
        inside &= (along < 0.0) | (np.abs(across) > vane_ratio)
    count = np.maximum(inside.sum(axis=(1, 2)), 1)
    middle_x, middle_y = ((f * inside).sum(axis=(1, 2)) / count for f in (fine_x, fine_y))
    found = inside.any(axis=(1, 2))
    x[grey] = np.where(found, middle_x, x[grey])
    y[grey] = np.where(found, middle_y, y[grey])
    x.setflags(write=False)
    y.setflags(write=False)
    return x, y


def axis(samples: int) -> Plane:
    """Return the centres of the samples across the pupil in radii: (samples,), -1 to 1."""
    return (2.0 * np.arange(samples) + 1.0 - samples) / samples


def disc(samples: int, radius: float, centre: tuple[float, float] = (0.0, 0.0)) -> Plane:
    """Return the fraction of each sample inside a disc.

    Parameters
    ----------
    samples
        Samples across the pupil.
    radius
        In pupil radii, above 0.
    centre
        (x, y) in pupil radii, x to the right and y upwards.

    Returns
    -------
    numpy.ndarray
        (samples, samples) float64, 0 to 1, exact areas.
    """
    nodes = np.linspace(-1.0, 1.0, samples + 1)
    x = (nodes - centre[0]) / radius
    y = (-nodes - centre[1]) / radius
    corner = _corner_area(x[None, :], y[:, None])
    area = np.diff(np.diff(corner, axis=0), axis=1)
    share = -area * (radius * samples / 2.0) ** 2
    # Areas are differences of sums near 1: what is within their rounding of 0 or 1 is 0 or 1.
    share[share < _ROUNDING] = 0.0
    share[share > 1.0 - _ROUNDING] = 1.0
    return np.asarray(share)


def _corner_area(x: Plane, y: Plane) -> Plane:
    """Return the signed area of the unit disc between the axes and the point (x, y)."""
    ax, ay = np.minimum(np.abs(x), 1.0), np.minimum(np.abs(y), 1.0)
    turn = np.minimum(np.sqrt(1.0 - ay * ay), ax)  # where the circle comes down to height y
    area = turn * ay + _under_arc(ax) - _under_arc(turn)
    return np.asarray(np.sign(x) * np.sign(y) * area)


def _under_arc(x: Plane) -> Plane:
    return np.asarray(0.5 * (x * np.sqrt(1.0 - x * x) + np.arcsin(x)))


def _vane_cover(samples: int, vanes: int, vane_ratio: float) -> Plane:
    """Return the fraction of each sample under vanes that run from the centre outwards."""
    cover = np.zeros((samples, samples))
    for number in range(vanes):
        angle = math.pi / 2.0 + 2.0 * math.pi * number / vanes
        across = _below(samples, angle + math.pi / 2.0, vane_ratio)
        across -= _below(samples, angle + math.pi / 2.0, -vane_ratio)
        cover += across * (1.0 - _below(samples, angle, 0.0))
    return np.minimum(cover, 1.0)


def _below(samples: int, angle: float, distance: float) -> Plane:
    """Return the fraction of each sample where x cos(angle) + y sin(angle) < distance.

    The projection of a square is a trapezium; its integral is piecewise quadratic.
    """
    x = axis(samples)[None, :]
    y = -axis(samples)[:, None]
    cosine, sine = _clean(math.cos(angle)), _clean(math.sin(angle))
    wide, narrow = sorted((abs(cosine), abs(sine)), reverse=True)
    depth = (distance - (x * cosine + y * sine)) * samples / 2.0  # in samples
    if narrow < 1e-9:
        return np.clip(depth / wide + 0.5, 0.0, 1.0)
    ramp = [
        np.maximum(depth + s * (wide + t * narrow) / 2.0, 0.0) ** 2
        for s, t in ((1, 1), (1, -1), (-1, -1), (-1, 1))
    ]
    cover = (ramp[0] - ramp[1] - ramp[2] + ramp[3]) / (2.0 * wide * narrow)
    return np.asarray(np.clip(cover, 0.0, 1.0))


def _clean(value: float) -> float:
    return 0.0 if abs(value) < 1e-12 else value
