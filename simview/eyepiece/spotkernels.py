"""Spots of any place in the field as small pictures: what spreads a point of a view."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece.lensfigures import EyepieceFigures
from simview.eyepiece.spots import SpotFit, pupil_points

Floats = NDArray[np.float64]
Planes = NDArray[np.float32]

# Rays of one spot at one wavelength: four for each pixel that the widest spot covers, within
# these bounds. Fewer leave grain, more cost time once for each plan.
RAYS: Final = (120, 800)

# Rays of all places and wavelengths that are followed at once.
_RAYS_AT_ONCE: Final = 60_000


def spot_reach(figures: EyepieceFigures, scale: float, eye: tuple[float, float, float]) -> int:
    """Return how far a spot reaches from its point at most, in whole pixels."""
    across, along = _pupil(eye, RAYS[1])
    tangential, sagittal = figures.spots.rays(across, along, eye[0])
    farthest = max(float(np.abs(tangential).max()), float(np.abs(sagittal).max()))
    return math.ceil(math.degrees(farthest) * scale) + 2


def spot_kernels(
    figures: EyepieceFigures,
    places: Floats,
    turn: Floats,
    scale: float,
    weights: Floats,
    eye: tuple[float, float, float],
    reach: int,
) -> Planes:
    """Return spots as kernels (t, p, 2 reach + 1, 2 reach + 1), each with the sum 1.

    Parameters
    ----------
    places, turn
        (t,) distance from the middle of the field in pixels and direction in radians, from the
        right towards the bottom of the picture.
    """
    count = int(np.clip(4 * reach * reach, *RAYS))
    size = 2 * reach + 1
    kernels = np.empty((len(places), len(weights), size, size), np.float32)
    share = weights / weights.sum(axis=1, keepdims=True)
    # A few places at a time: all their rays would take more room than a picture.
    step = max(1, _RAYS_AT_ONCE // (count * weights.shape[1]))
    for first in range(0, len(places), step):
        now = slice(first, first + step)
        each = _spots(figures, places[now], turn[now], scale, count, eye, reach)
        mixed = np.tensordot(share, each, axes=(1, 0))
        kernels[now] = mixed.swapaxes(0, 1)
    return kernels


def _spots(
    figures: EyepieceFigures,
    places: Floats,
    turn: Floats,
    scale: float,
    count: int,
    eye: tuple[float, float, float],
    reach: int,
) -> Planes:
    """Return spots of so many rays by wavelength, (n, t, size, size); the rest as `spot_kernels`.

    Parameters
    ----------
    figures, places, turn, scale, eye, reach
        As there.
    count
        Rays of a spot.
    """
    fit = spots_at(figures, places / scale)
    tangential, sagittal = fit.rays(*_pupil(eye, count), np.full(len(places), eye[0]))
    # On a map of equal angles a small angle across is drawn longer, far from the middle.
    angle = np.radians(np.minimum(places / scale, 90.0))
    stretch = np.where(angle > 0.0, angle / np.sin(np.where(angle > 0.0, angle, 1.0)), 1.0)
    out = np.degrees(tangential) * scale
    side = np.degrees(sagittal) * scale * stretch[:, None]
    cosine, sine = np.cos(turn)[:, None], np.sin(turn)[:, None]
    x, y = out * cosine - side * sine, out * sine + side * cosine
    return _splat(x, y, reach)


def spots_at(figures: EyepieceFigures, angle_deg: Floats) -> SpotFit:
    """Return the spots at other field angles, between those of the figures by straight lines.

    Beyond the edge of the field the edge's spot is taken.
    """
    known = figures.angle_deg
    at = np.clip(np.searchsorted(known, angle_deg) - 1, 0, len(known) - 2)
    part = np.clip((angle_deg - known[at]) / (known[at + 1] - known[at]), 0.0, 1.0)[:, None]

    def between(values: Floats) -> Floats:
        return np.asarray(values[:, at] * (1.0 - part) + values[:, at + 1] * part)

    spots = figures.spots
    return SpotFit(
        tangential=between(spots.tangential),
        sagittal=between(spots.sagittal),
        along_mm=between(spots.along_mm),
        across_mm=between(spots.across_mm),
    )


def _pupil(eye: tuple[float, float, float], count: int) -> tuple[Floats, Floats]:
    across, along = pupil_points(count, eye[2])
    return across * eye[1], along * eye[1]


def _splat(x: Floats, y: Floats, reach: int) -> Planes:
    """Share rays (n, t, q) among their four nearest pixels; (n, t, size, size), each sum 1."""
    n, t, rays = x.shape
    size = 2 * reach + 1
    left, top = np.floor(x), np.floor(y)
    tx, ty = x - left, y - top
    column, row = left.astype(np.int64) + reach, top.astype(np.int64) + reach
    base = np.arange(n * t).reshape(n, t, 1) * size * size + row * size + column
    total = np.zeros(n * t * size * size)
    for step, part in (
        (0, (1.0 - tx) * (1.0 - ty)),
        (1, tx * (1.0 - ty)),
        (size, (1.0 - tx) * ty),
        (size + 1, tx * ty),
    ):
        total += np.bincount((base + step).ravel(), part.ravel(), len(total))
    return np.asarray((total / rays).reshape(n, t, size, size), np.float32)
