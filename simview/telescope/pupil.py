"""The pupil: what part of the front opening lets light through.

Edges are grey: each sample holds the fraction of its area that is open, so that a pattern
computed from a few hundred samples follows the smooth edge instead of a staircase.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError, require_range
from simview.memory import remembered

Plane = NDArray[np.float64]

# Rounding of a sample's open fraction at 4096 samples: 1e-16 of the whole area, some times over.
_ROUNDING: Final = 1e-8


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """What hides parts of the pupil; lengths against the aperture's diameter unless said.

    Parameters
    ----------
    obstruction
        Diameter of the central shadow, 0 to 0.98.
    vanes, vane_ratio
        Number of vanes, evenly spaced with the first one upwards, and their thickness, 0 to 0.5.
    shadow_x, shadow_y
        Where the shadow and its vanes stand off the centre, in pupil *radii*, to the right and
        upwards.
    clips, clip_width, clip_depth
        Number of mirror clips at the rim, evenly spaced with the first one upwards, their width
        along the rim and how far they reach in from it.
    lit_x, lit_y, lit_radius
        Middle and radius, in pupil *radii*, of the circle whose light goes on; a radius of 0 is
        all of it.
    """

    obstruction: float = 0.0
    vanes: int = 0
    vane_ratio: float = 0.0
    shadow_x: float = 0.0
    shadow_y: float = 0.0
    clips: int = 0
    clip_width: float = 0.0
    clip_depth: float = 0.0
    lit_x: float = 0.0
    lit_y: float = 0.0
    lit_radius: float = 0.0

    def inside(self, x: Plane, y: Plane) -> NDArray[np.bool_]:
        """Return whether points are open: (blocks, rows, columns), x and y in pupil radii.

        Only blocks that an edge can cross are looked at point by point.
        """
        sx, sy = x - self.shadow_x, y - self.shadow_y
        free = np.ones(np.broadcast_shapes(x.shape, y.shape), np.bool_)
        _keep(free, x, y, 1.0)
        _keep(free, sx, sy, self.obstruction, within=False)
        if self.lit_radius:
            _keep(free, x - self.lit_x, y - self.lit_y, self.lit_radius)
        for angle in _evenly(self.vanes if self.vane_ratio else 0):
            _cover(free, sx, sy, angle, start=0.0, half_width=self.vane_ratio)
        for angle in _evenly(self.clips):
            start = 1.0 - 2.0 * self.clip_depth
            _cover(free, x, y, angle, start=start, half_width=self.clip_width)
        return free


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

    Notes
    -----
    Source: areas of circle and strip over a square, elementary geometry.
    Checked by: tests/unit/telescope/test_pupil.py, tests/truth/test_annular_pattern.py
    """
    return mask(Shape(obstruction=obstruction, vanes=vanes, vane_ratio=vane_ratio), samples)


@remembered(24)
def mask(shape: Shape, samples: int) -> Plane:
    """Return the open fraction of each sample for any `Shape`; see `pupil`."""
    if samples % 2 or not 16 <= samples <= 4096:
        raise RangeError("pupil samples", got=samples, allowed="even numbers 16 to 4096")
    require_range("obstruction", shape.obstruction, 0.0, 0.98)
    require_range("vane_ratio", shape.vane_ratio, 0.0, 0.5)
    share = disc(samples, 1.0)
    place = (shape.shadow_x, shape.shadow_y)
    if shape.obstruction:
        share = np.maximum(share - disc(samples, shape.obstruction, place), 0.0)
    if shape.vanes and shape.vane_ratio:
        width = 2.0 * shape.vane_ratio
        share = share * (1.0 - _strips(samples, shape.vanes, width, start=0.0, origin=place))
    if shape.clips and shape.clip_width:
        width, start = 2.0 * shape.clip_width, 1.0 - 2.0 * shape.clip_depth
        share = share * (1.0 - _strips(samples, shape.clips, width, start=start))
    if shape.lit_radius:
        lit = disc(samples, shape.lit_radius, (shape.lit_x, shape.lit_y))
        share = np.minimum(share, lit)
    share = _snapped(share)
    share.setflags(write=False)
    return share


@remembered(12)
def centres(shape: Shape, samples: int) -> tuple[Plane, Plane]:
    """Return where the middle of each sample's *open* part lies: x and y in pupil radii.

    A wavefront that is steep at the edge must be read there, not in the middle of the whole
    sample: it is what keeps a defocused star's rings right. Found from 16 x 16 points in each
    grey sample.

    Checked by: tests/unit/telescope/test_pupil.py, tests/truth/test_defocus.py
    """
    share = mask(shape, samples)
    x = np.broadcast_to(axis(samples)[None, :], share.shape).copy()
    y = np.broadcast_to(-axis(samples)[:, None], share.shape).copy()
    grey = (share > 0.0) & (share < 1.0)
    offset = axis(16) / samples
    fine_x = x[grey][:, None, None] + offset[None, None, :]
    fine_y = y[grey][:, None, None] + offset[None, :, None]
    inside = shape.inside(fine_x, fine_y).reshape(-1, 256).astype(np.float32)
    # How many are open and where, counted in whole steps: such sums are exact.
    steps = np.broadcast_to(16.0 * axis(16).astype(np.float32), (16, 16))
    counted = np.stack((np.ones(256, np.float32), steps.ravel(), steps.T.ravel()), axis=1)
    count, right, up = (inside @ counted).T.astype(np.float64)
    count = np.maximum(count, 1.0) * (16.0 * samples)
    x[grey] += right / count
    y[grey] += up / count
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
    # Only samples that the circle may cross are worked out: their middles lie within half a
    # sample's diagonal of it, 1.42 half sides; all others are wholly inside or outside.
    middle_x, middle_y = 0.5 * (x[:-1] + x[1:]), 0.5 * (y[:-1] + y[1:])
    square = middle_x[None, :] ** 2 + middle_y[:, None] ** 2
    share = np.asarray(square < 1.0, np.float64)
    square -= 1.0
    reach = 1.5 / (radius * samples)
    row, column = np.nonzero(np.abs(square, out=square) <= reach * (2.0 + reach))
    left, right, top, below = x[column], x[column + 1], y[row], y[row + 1]
    area = _corner_area(right, below) - _corner_area(right, top)
    area -= _corner_area(left, below) - _corner_area(left, top)
    # Areas are differences of sums near 1: what is within their rounding of 0 or 1 is 0 or 1.
    share[row, column] = _snapped(-area * (radius * samples / 2.0) ** 2)
    return share


def _snapped(share: Plane) -> Plane:
    share[share < _ROUNDING] = 0.0
    share[share > 1.0 - _ROUNDING] = 1.0
    return share


def _corner_area(x: Plane, y: Plane) -> Plane:
    """Return the signed area of the unit disc between the axes and the point (x, y)."""
    ax, ay = np.minimum(np.abs(x), 1.0), np.minimum(np.abs(y), 1.0)
    turn = np.minimum(np.sqrt(1.0 - ay * ay), ax)  # where the circle comes down to height y
    area = turn * ay + _under_arc(ax) - _under_arc(turn)
    return np.asarray(np.sign(x) * np.sign(y) * area)


def _under_arc(x: Plane) -> Plane:
    return np.asarray(0.5 * (x * np.sqrt(1.0 - x * x) + np.arcsin(x)))


def _evenly(count: int) -> list[float]:
    """Return the directions of evenly spaced spokes, the first one upwards."""
    return [math.pi / 2.0 + 2.0 * math.pi * number / count for number in range(count)]


def _keep(
    free: NDArray[np.bool_], x: Plane, y: Plane, radius: float, *, within: bool = True
) -> None:
    """Close the points that do not lie within a circle, or all that do."""
    middle_x, middle_y, reach = _blocks(x, y)
    away = np.hypot(middle_x, middle_y) - radius
    free[away > reach if within else away < -reach] = False
    near = np.abs(away) <= reach
    x, y = x[near], y[near]
    square = x * x + y * y
    free[near] &= square <= radius**2 if within else square >= radius**2


def _blocks(x: Plane, y: Plane) -> tuple[Plane, Plane, float]:
    """Return the middles of blocks that are all alike, and more than half of their diagonal."""
    middle_x, middle_y = 0.5 * (x[:, 0, 0] + x[:, 0, -1]), 0.5 * (y[:, 0, 0] + y[:, -1, 0])
    return middle_x, middle_y, 0.5 * float(np.ptp(x[:1]) + np.ptp(y[:1]))


def _cover(
    free: NDArray[np.bool_], x: Plane, y: Plane, angle: float, *, start: float, half_width: float
) -> None:
    """Close the points under one strip."""
    middle_x, middle_y, reach = _blocks(x, y)
    along, across = _turned(middle_x, middle_y, angle)
    near = (np.abs(across) <= half_width + reach) & (along >= start - reach)
    along, across = _turned(x[near], y[near], angle)
    free[near] &= (along < start) | (np.abs(across) > half_width)


def _turned(x: Plane, y: Plane, angle: float) -> tuple[Plane, Plane]:
    """Return the coordinates along and across a direction."""
    cosine, sine = _clean(math.cos(angle)), _clean(math.sin(angle))
    return x * cosine + y * sine, y * cosine - x * sine


def _strips(
    samples: int,
    count: int,
    width: float,
    *,
    start: float,
    origin: tuple[float, float] = (0.0, 0.0),
) -> Plane:
    """Return the fraction of each sample under strips that run outwards from an origin.

    Parameters
    ----------
    count, width
        Number of strips, evenly spaced with the first one upwards, and their width in radii.
    start
        Where they begin, in radii from the origin.
    origin
        (x, y) in radii.
    """
    cover = np.zeros((samples, samples))
    own = axis(samples)
    for angle in _evenly(count):
        ahead = _clean(math.cos(angle)), _clean(math.sin(angle))
        begin = start + origin[0] * ahead[0] + origin[1] * ahead[1]
        aside = origin[1] * ahead[0] - origin[0] * ahead[1]
        # Only samples that the strip can reach: half a diagonal is 1.42 half sides.
        row, column = _along(samples, ahead, aside, width / 2.0 + 1.5 / samples)
        place = samples, own[column], -own[row]
        across = _below(*place, angle + math.pi / 2.0, aside + width / 2.0)
        across -= _below(*place, angle + math.pi / 2.0, aside - width / 2.0)
        cover[row, column] += across * (1.0 - _below(*place, angle, begin))
    return np.minimum(cover, 1.0)


def _along(
    samples: int, ahead: tuple[float, float], aside: float, reach: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return rows and columns of all samples whose middles lie within reach of a line, and of some.

    The line runs along the direction `ahead`, `aside` to the left of the origin; radii.
    """
    cosine, sine = ahead
    own = axis(samples)
    # Row by row where the line is steep, otherwise column by column; rows count downwards.
    steep = abs(sine) >= abs(cosine)
    crossed = -(cosine * own + aside) / sine if steep else -(sine * own + aside) / cosine
    half = 0.5 * samples * reach / max(abs(sine), abs(cosine))
    first = np.ceil(crossed * samples / 2.0 + (samples - 1) / 2.0 - half).astype(np.intp)
    across = first[:, None] + np.arange(int(2.0 * half) + 1)
    line, step = np.nonzero((across >= 0) & (across < samples))
    across = across[line, step]
    return (line, across) if steep else (across, line)


def _below(samples: int, x: Plane, y: Plane, angle: float, distance: float) -> Plane:
    """Return the fraction of samples around places where x cos(angle) + y sin(angle) < distance.

    The projection of a square is a trapezium; its integral is piecewise quadratic.
    """
    cosine, sine = _clean(math.cos(angle)), _clean(math.sin(angle))
    wide, narrow = sorted((abs(cosine), abs(sine)), reverse=True)
    depth = (distance - (x * cosine + y * sine)) * samples / 2.0  # in samples
    if narrow < 1e-9:
        return np.clip(depth / wide + 0.5, 0.0, 1.0)
    cover = (depth > 0.0).astype(np.float64)
    near = np.abs(depth) < (wide + narrow) / 2.0  # the samples that the line itself runs through
    held = depth[near]
    ramp = [
        np.maximum(held + s * (wide + t * narrow) / 2.0, 0.0) ** 2
        for s, t in ((1, 1), (1, -1), (-1, -1), (-1, 1))
    ]
    cover[near] = (ramp[0] - ramp[1] - ramp[2] + ramp[3]) / (2.0 * wide * narrow)
    return np.asarray(np.clip(cover, 0.0, 1.0))


def _clean(value: float) -> float:
    return 0.0 if abs(value) < 1e-12 else value
