"""Distortion: straight lines bent, and the power changing from the middle to the edge.

The view is painted as if every angle on the sky were multiplied by the power; a real eyepiece
shows an image height h at its own apparent angle. The picture is drawn anew with each pixel
fetching the light from where it comes.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.executor.threads import spread_work
from simview.eyepiece.lensfigures import EyepieceFigures
from simview.memory import remembered

Floats = NDArray[np.float64]
Plane = NDArray[np.float32]

# Rows that are drawn at once: few enough to stay in the processor's cache.
_STRIP: Final = 32

# Parts of a pixel in which distances from the middle are told apart.
_PARTS: Final = 64

# Where less of a picture holds light than this, the rest is not looked for.
_FEW_LIT: Final = 0.4

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
    at = (np.arange(pixels) - pixels // 2) / pixels_per_degree
    away = np.hypot(at[:, None], at)
    radius = np.linspace(0.0, float(away.max()), 256)
    dimmed = stretch(figures, radius, *origin(figures, radius))
    return np.interp(away, radius, dimmed).astype(np.float32)


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
    ny, nx = planes.shape[1:]
    even = [np.asarray(plane, np.float32) for plane in planes]
    drawn = np.empty(planes.shape, np.float32)
    factors, dimmed = _by_distance(figures, scale, math.hypot(ny // 2, nx // 2))
    lit = _lit(even)

    def draw(top: int) -> None:
        """Draw a strip of rows: their places, in double precision, are not needed all at once."""
        rows = slice(top, min(top + _STRIP, ny))
        up = np.arange(ny, dtype=float)[rows, None] - ny // 2
        right = np.arange(nx, dtype=float)[None, :] - nx // 2
        away = np.sqrt(up * up + right * right)
        away *= _PARTS
        place = away.astype(np.intp)
        away -= place
        factor = factors[1].take(place)
        factor *= away
        factor += factors[0].take(place)
        _fetch(even, (up * factor + ny // 2, right * factor + nx // 2), drawn[:, rows], lit)
        if dim:
            drawn[:, rows] *= dimmed.take(place)

    spread_work(draw, range(0, ny, _STRIP))
    return drawn


@remembered(4)
def _by_distance(figures: EyepieceFigures, scale: float, most_px: float) -> tuple[Floats, Plane]:
    """Return `origin`'s ratio and `stretch` by the distance from the middle in parts of a pixel.

    The first is (2, n), the ratio and its step to the next part; the second (n,).
    """
    away = np.arange(math.ceil(most_px * _PARTS) + 2) / (_PARTS * scale)
    source, factor = origin(figures, away)
    factors = np.stack([factor, np.append(np.diff(factor), 0.0)])
    dimmed = stretch(figures, away, source, factor)
    for table in (factors, dimmed):
        table.setflags(write=False)
    return factors, dimmed


def _lit(planes: list[Plane]) -> NDArray[np.bool_] | None:
    """Return before which pixels any plane holds light, with the next ones right and below.

    None where most of them do.
    """
    lit = np.zeros((planes[0].shape[0] + 1, planes[0].shape[1] + 1), bool)
    for plane in planes:
        lit[:-1, :-1] |= plane != 0.0
    lit[:-1] |= lit[1:]
    lit[:, :-1] |= lit[:, 1:]
    found = lit[:-1, :-1]
    return np.ascontiguousarray(found) if found.mean() < _FEW_LIT else None


def _fetch(
    planes: list[Plane],
    places: tuple[Floats, Floats],
    answer: Plane,
    lit: NDArray[np.bool_] | None,
) -> None:
    """Write each plane's values at (rows, columns) between its pixels, held at the edges."""
    ny, nx = planes[0].shape
    (top, down), (left, along) = (
        _between(place, size) for place, size in zip(places, (ny, nx), strict=True)
    )
    here = top * nx + left
    if lit is not None:
        some = np.flatnonzero(lit.take(here))
        here, down, along = here.ravel()[some], down.ravel()[some], along.ravel()[some]
    there, below = here + min(1, nx - 1), here + nx * min(1, ny - 1)
    opposite = below + min(1, nx - 1)
    for plane, drawn in zip(planes, answer, strict=True):
        upper, lower = (
            _mixed(plane.take(first), plane.take(second), along)
            for first, second in ((here, there), (below, opposite))
        )
        if lit is None:
            drawn[:] = _mixed(upper, lower, down)
        else:
            drawn[:] = 0.0
            np.put(drawn, some, _mixed(upper, lower, down))


def _between(place: Floats, size: int) -> tuple[NDArray[np.intp], Plane]:
    """Return the pixel before each place on a line of so many, and how far on the place lies.

    `place` is overwritten.
    """
    np.clip(place, 0.0, size - 1.0, out=place)
    before = np.minimum(place.astype(np.intp), max(size - 2, 0))
    place -= before
    return before, place.astype(np.float32)


def _mixed(
    first: NDArray[np.float32], second: NDArray[np.float32], share: NDArray[np.float32]
) -> NDArray[np.float32]:
    second -= first
    second *= share
    second += first
    return second
