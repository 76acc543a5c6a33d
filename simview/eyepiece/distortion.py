"""Distortion: straight lines bent, and the power changing from the middle to the edge.

The view is painted as if every angle on the sky were multiplied by the power; a real eyepiece
shows an image height h at its own apparent angle. The picture is drawn anew with each pixel
fetching the light from where it comes.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.executor.threads import spread_work
from simview.eyepiece.lensfigures import EyepieceFigures

Floats = NDArray[np.float64]


# Rows that are drawn at once.
_STRIP: Final = 128

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
    from scipy import ndimage

    scale = require_range("pixels_per_degree", pixels_per_degree, 0.5, 2000.0)
    ny, nx = planes.shape[1:]
    even = [np.asarray(plane, np.float32) for plane in planes]
    drawn = np.empty(planes.shape, np.float32)

    def draw(top: int) -> None:
        """Draw a strip of rows: their places, in double precision, are not needed all at once."""
        rows = slice(top, min(top + _STRIP, ny))
        up = np.arange(ny)[rows, None] - ny // 2
        right = np.arange(nx)[None, :] - nx // 2
        away = np.hypot(up / scale, right / scale)
        source, factor = origin(figures, away)
        places = (up * factor + ny // 2, right * factor + nx // 2)
        for plane, answer in zip(even, drawn, strict=True):
            ndimage.map_coordinates(plane, places, output=answer[rows], order=1, mode="nearest")
        if dim:
            drawn[:, rows] *= stretch(figures, away, source, factor)

    spread_work(draw, range(0, ny, _STRIP))
    return drawn
