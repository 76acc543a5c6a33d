"""Where the eye stands behind the eyepiece: shadows that a wrong place draws over the view.

All light of the view passes the exit pupil. An eye too near or too far, or beside the axis, lets
its iris cut off the beams of part of the field; and where beams from different parts of the field
cross the axis at different places (spherical aberration of the exit pupil) no place serves all,
and a dark kidney drifts over the view.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.eyepiece.field_edge import radius_deg
from simview.eyepiece.lensfigures import EyepieceFigures

Floats = NDArray[np.float64]


def best_distance_mm(figures: EyepieceFigures) -> float:
    """Return the eye's distance behind the last surface that suits most of the field.

    It is where the beams at 70 % of the field's radius cross the axis: half of the field's
    area lies within. A choice.
    """
    shift = figures.at("pupil_shift_mm", 0.7 * float(figures.angle_deg[-1]))
    return figures.eye_relief_mm - shift


def beam_offset_mm(figures: EyepieceFigures, angle_deg: Floats, distance_mm: float) -> Floats:
    """Return how far off the axis the beams of field angles pass the eye's pupil, mm.

    Positive: on the side on which their part of the field is seen (the eye is too near).
    """
    shift = np.interp(angle_deg, figures.angle_deg, figures.pupil_shift_mm)
    short = figures.eye_relief_mm - shift - distance_mm
    return np.asarray(short * np.tan(np.radians(np.minimum(angle_deg, 80.0))))


def eye_shadow(
    shape: tuple[int, int],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    eye_pupil_mm: float,
    eye_distance_mm: float | None = None,
    eye_offset_mm: tuple[float, float] = (0.0, 0.0),
) -> NDArray[np.float32]:
    """Return the part of the light that enters the eye, against an eye that stands right.

    Parameters
    ----------
    shape
        (ny, nx) of the view, the middle of the field on pixel n // 2.
    eye_pupil_mm
        Diameter of the eye's pupil, 0.5 to 10 mm.
    eye_distance_mm
        From the last surface to the eye's pupil, 0 to 200 mm; None stands it best.
    eye_offset_mm
        How far the eye's pupil is off the axis to the (right, top) of the view, -20 to 20 mm.

    Returns
    -------
    (ny, nx) float32 from 0 to 1.

    Checked by: tests/unit/eyepiece/test_eye_place.py
    """
    eye = require_range("eye_pupil_mm", eye_pupil_mm, 0.5, 10.0, unit="mm")
    distance = best_distance_mm(figures) if eye_distance_mm is None else eye_distance_mm
    distance = require_range("eye_distance_mm", distance, 0.0, 200.0, unit="mm")
    right, top = (
        require_range("eye_offset_mm", part, -20.0, 20.0, unit="mm") for part in eye_offset_mm
    )
    away = radius_deg(shape, pixels_per_degree)
    offset = beam_offset_mm(figures, away, distance)
    y = (np.arange(shape[0]) - shape[0] // 2)[:, None] / pixels_per_degree
    x = (np.arange(shape[1]) - shape[1] // 2)[None, :] / pixels_per_degree
    outward = offset / np.where(away == 0.0, 1.0, away)
    apart = np.hypot(x * outward - right, -y * outward - top)
    beam = figures.exit_pupil_mm
    whole = np.pi / 4.0 * min(beam, eye) ** 2
    return (common_area(apart, beam / 2.0, eye / 2.0) / whole).astype(np.float32)


def common_area(apart: Floats, first: float, second: float) -> Floats:
    """Return the area that two discs share; radii and distance in the same unit.

    Source: two circular segments; elementary geometry.
    """
    small, large = min(first, second), max(first, second)
    between = np.clip(apart, max(large - small, 1e-12), large + small)
    cos_s = (between**2 + small**2 - large**2) / (2.0 * between * small)
    cos_l = (between**2 + large**2 - small**2) / (2.0 * between * large)
    half_s, half_l = np.arccos(np.clip(cos_s, -1.0, 1.0)), np.arccos(np.clip(cos_l, -1.0, 1.0))
    area = small**2 * (half_s - np.sin(half_s) * np.cos(half_s))
    area = area + large**2 * (half_l - np.sin(half_l) * np.cos(half_l))
    area = np.where(apart <= large - small, np.pi * small**2, area)
    return np.where(apart >= large + small, 0.0, area)
