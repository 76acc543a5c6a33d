"""Distortion: straight lines bent, and the power changing from the middle to the edge.

The view is painted as if every angle on the sky were multiplied by the power; a real eyepiece
shows an image height h at its own apparent angle. The picture is drawn anew with each pixel
fetching the light from where it comes; the places are found for a quarter of it.
"""

from __future__ import annotations

import math
from functools import partial
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview import banded
from simview.errors import require_range
from simview.executor.threads import spread_work
from simview.eyepiece import quarters
from simview.eyepiece.lensfigures import EyepieceFigures
from simview.memory import Memory

Floats = NDArray[np.float64]
Plane = NDArray[np.float32]
Planes = NDArray[np.float32]

# Rows that are drawn at once: few enough to stay in the processor's cache.
_STRIP: Final = 32

# Parts of a pixel in which distances from the middle are told apart.
_PARTS: Final = 64

# Where less of a picture holds light than this, the rest is not looked for.
_FEW_LIT: Final = 0.4

# How far apart, deg, the places lie at which light is fetched that varies over degrees: a Gaussian
# of 1.7 deg (FWHM) comes out within 2e-3 of its peak. A choice.
_SMOOTH_DEG: Final = 0.26

# Over which angle the slope of the distortion is taken, degrees.
_STEP_DEG: Final = 0.05


def source_angle_deg(figures: EyepieceFigures, apparent_deg: Floats) -> Floats:
    """Return the angle on the sky times the power that is seen at apparent angles, degrees.

    The sky's angle is taken as image height / telescope's focal length (below 3 degrees the
    two agree within 0.1 %). Beyond the edge of the field the slope of the edge goes on.
    """
    known, height = figures.angle_deg, np.degrees(figures.height_mm / figures.focal_length_mm)
    slope = (height[-1] - height[-2]) / (known[-1] - known[-2])
    inside = np.interp(apparent_deg, known, height)
    beyond = np.maximum(apparent_deg - known[-1], 0.0) * slope
    return np.asarray(inside + beyond)


def origin(figures: EyepieceFigures, away: Floats) -> tuple[Floats, Floats]:
    """Return from where light comes that is seen at these angles: the angle, and its ratio."""
    source = source_angle_deg(figures, away)
    return source, np.where(away == 0.0, 1.0, source / np.where(away == 0.0, 1.0, away))


def stretch(
    figures: EyepieceFigures, away: Floats, source: Floats, factor: Floats
) -> NDArray[np.float32]:
    """Return by how much light is dimmed that is drawn over another area, at `origin`'s angles."""
    slope = (source_angle_deg(figures, away + _STEP_DEG) - source) / _STEP_DEG
    return np.asarray(factor * slope, np.float32)


def fading(pixels: int, pixels_per_degree: float, figures: EyepieceFigures) -> NDArray[np.float32]:
    """Return by how much light is dimmed at each pixel of a square picture, (pixels, pixels)."""
    at = np.arange(pixels // 2 + 1) / pixels_per_degree
    away = np.sqrt(at[:, None] ** 2 + at**2)
    radius = np.linspace(0.0, float(away.max()), 256)
    dimmed = stretch(figures, radius, *origin(figures, radius))
    quarter = np.interp(away, radius, dimmed).astype(np.float32)
    return quarters.whole(quarter, (pixels, pixels))


def distort(
    planes: NDArray[np.floating],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    dim: bool = True,
) -> NDArray[np.float32]:
    """Draw a view anew as the eyepiece distorts it.

    Parameters
    ----------
    planes
        (p, ny, nx) painted at sky angle x power, the middle on pixel n // 2.
    pixels_per_degree
        Of apparent angle.
    dim
        Spread light that is drawn larger over its new area: right where the exit pupil goes
        whole into the eye, and for stars always. False keeps luminances: right for extended
        things where the eye's pupil is the smaller.

    Returns
    -------
    (p, ny, nx) float32; by straight lines between pixels.
    """
    scale = require_range("pixels_per_degree", pixels_per_degree, 0.5, 2000.0)
    bent = _bent(figures, scale, quarters.size(planes.shape[1:]))
    drawn = _drawn(planes, bent, planes.shape[1:])
    if dim:
        quarters.multiply(drawn, bent.dimmed)
    return drawn


def distort_smooth(
    planes: NDArray[np.floating],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    dim: bool = True,
) -> NDArray[np.float32]:
    """Do what `distort` does to light that varies over degrees only, at far fewer places.

    Between them it is drawn by cubic convolution (Keys 1981).

    Parameters
    ----------
    planes, pixels_per_degree, figures, dim
        As of `distort`.

    Notes
    -----
    Checked by: tests/unit/eyepiece/test_traced.py
    """
    scale = require_range("pixels_per_degree", pixels_per_degree, 0.5, 2000.0)
    every = int(scale * _SMOOTH_DEG)
    if every < 2:
        return distort(planes, scale, figures, dim=dim)
    size = quarters.size(planes.shape[1:])
    few = _drawn(planes, _bent(figures, scale, size, every))
    drawn = banded.finer(few, every, (planes.shape[1], planes.shape[2]))
    if dim:
        quarters.multiply(drawn, _bent(figures, scale, size).dimmed)
    return drawn


def _drawn(
    planes: NDArray[np.floating], bent: _Bent, shape: tuple[int, int] | None = None
) -> Planes:
    """Return planes at a quarter's places and those of the others, not dimmed.

    `shape` of the picture that they make; None for an odd number each way.
    """
    down, right = shape or [2 * side - 1 for side in bent.before.shape]
    drawn = np.empty((len(planes), down, right), np.float32)
    todo = [
        (plane[of.from_middle], picture[into.picture], into.table)
        for plane, picture in zip(planes, drawn, strict=True)
        for of, into in zip(
            quarters.quarters(planes.shape[1:]), quarters.quarters((down, right)), strict=True
        )
    ]
    size = quarters.size(planes.shape[1:])
    spread_work(lambda one: _fetch(*one, bent, size), todo)
    return drawn


class _Bent(NamedTuple):
    """From where the light of a quarter's pixels comes, (ny, nx) each."""

    before: NDArray[np.intp]  # the pixel before the place, right and down, counted through
    down: Plane  # how far below and right of it the place lies
    along: Plane
    dimmed: Plane


# Bytes of such places that are kept: those of a sheet of 1920 x 1080, of larger ones the latest.
_held: Final[Memory[_Bent]] = Memory(16_000_000, lambda bent: sum(part.nbytes for part in bent))


def _bent(figures: EyepieceFigures, scale: float, shape: tuple[int, int], every: int = 1) -> _Bent:
    """Return where the light of a quarter of a picture comes from, found now if it is not kept."""
    key = (figures, scale, shape, every)
    return _held.get(key, partial(_bent_now, *key))


def _bent_now(figures: EyepieceFigures, scale: float, shape: tuple[int, int], every: int) -> _Bent:
    """Return where the light of a quarter of a picture comes from, held at the edges.

    The picture's middle is the quarter's first pixel. `every`: at every so many'th pixel only, and
    at two more beyond.
    """
    up, right = (
        np.arange(0, side if every == 1 else side + 2 * every, every, dtype=float) for side in shape
    )
    up = up[:, None]
    factors, dimmed = _by_distance(figures, scale, math.hypot(up[-1, 0], right[-1]))
    away = np.sqrt(up * up + right * right)
    away *= _PARTS
    place = away.astype(np.intp)
    away -= place
    factor = factors[1].take(place)
    factor *= away
    factor += factors[0].take(place)
    top, down = _between(up * factor, shape[0])
    left, along = _between(right * factor, shape[1])
    top *= shape[1]
    top += left
    return _Bent(top, down, along, dimmed.take(place))


def _by_distance(figures: EyepieceFigures, scale: float, most_px: float) -> tuple[Floats, Plane]:
    """Return `origin`'s ratio and `stretch` by the distance from the middle in parts of a pixel.

    The first is (2, n), the ratio and its step to the next part; the second (n,).
    """
    away = np.arange(math.ceil(most_px * _PARTS) + 2) / (_PARTS * scale)
    source, factor = origin(figures, away)
    factors = np.stack([factor, np.append(np.diff(factor), 0.0)])
    return factors, stretch(figures, away, source, factor)


def _fetch(
    light: NDArray[np.floating],
    answer: Plane,
    table: tuple[slice, slice],
    bent: _Bent,
    shape: tuple[int, ...],
) -> None:
    """Write a quarter's light between its pixels to the places of a part of `bent`.

    `shape` is that of a table that holds any quarter.
    """
    missing = [most - side for most, side in zip(shape, light.shape, strict=True)]
    # Beyond the last pixel light is as on it.
    light = np.pad(np.asarray(light, np.float32), [(0, n) for n in missing], mode="edge")
    lit = _lit(light)
    flat = light.ravel()
    right, below = min(1, shape[1] - 1), shape[1] * min(1, shape[0] - 1)
    # A pixel and its next ones: right, below, and both.
    four = tuple(flat[step:] for step in (0, right, below, below + right))
    here, down, along = bent.before[table], bent.down[table], bent.along[table]
    if lit is not None:
        some = np.flatnonzero(lit.take(here))
        found = np.zeros(here.shape, np.float32)
        found.put(some, _mixed(four, here.take(some), down.take(some), along.take(some)))
        answer[:] = found
        return
    for top in range(0, len(here), _STRIP):
        rows = slice(top, top + _STRIP)
        answer[rows] = _mixed(four, here[rows], down[rows], along[rows])


def _lit(light: Plane) -> NDArray[np.bool_] | None:
    """Return before which pixels there is light, with the next ones right and below.

    None where most of them have some.
    """
    lit = light != 0.0
    lit[:-1] |= lit[1:]
    lit[:, :-1] |= lit[:, 1:]
    return lit if lit.mean() < _FEW_LIT else None


def _between(place: Floats, size: int) -> tuple[NDArray[np.intp], Plane]:
    """Return the pixel before each place on a line of so many, and how far on the place lies.

    `place` is overwritten.
    """
    np.clip(place, 0.0, size - 1.0, out=place)
    before = np.minimum(place.astype(np.intp), max(size - 2, 0))
    place -= before
    return before, place.astype(np.float32)


def _mixed(four: tuple[Plane, ...], here: NDArray[np.intp], down: Plane, along: Plane) -> Plane:
    """Return the light a share of the way from pixels, counted through, to those below and right.

    `four`: all light from a pixel on, from the next one on, from those below them on.
    """
    first, second, third, fourth = (light.take(here) for light in four)
    return _on_the_way(_on_the_way(first, second, along), _on_the_way(third, fourth, along), down)


def _on_the_way(first: Plane, second: Plane, share: Plane) -> Plane:
    second -= first
    second *= share
    second += first
    return second
