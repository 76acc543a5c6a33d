"""The edge of the field: sharp, soft or coloured as the glass shows the ring that makes it.

The ring is looked at through the lenses behind it. Where those bring each colour to a different
angle the edge is coloured, as in a Huygens, whose ring stands between its lenses; where
they blur, or where the ring stands off the focal plane, the edge is soft. Light that rims cut
off before the edge (vignetting) is taken away as well.
"""

from __future__ import annotations

from functools import partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece import quarters
from simview.eyepiece.bundle import apparent_angle, start
from simview.eyepiece.lensfigures import EyepieceFigures, stop_plane_mm
from simview.eyepiece.spotkernels import spots_at
from simview.eyepiece.spots import pupil_points
from simview.eyepiece.trace import Rays, trace
from simview.memory import Memory

Floats = NDArray[np.float64]

# Image heights around the edge at which the ring is looked for, as parts of the edge's.
_AROUND: Final = np.linspace(0.85, 1.12, 28)

# Rays of one point of the ring, and steps of the radial profile in arcmin.
_RAYS: Final = 400
_STEP_ARCMIN: Final = 0.5

# Parts of a pixel in which distances from the middle are told apart.
_PARTS: Final = 16


def edge_angles_deg(figures: EyepieceFigures) -> Floats:
    """Return where the ring is seen at each wavelength of the spots: (n,) degrees off axis.

    The rays from the objective's middle that just pass the ring are followed to the eye.
    """
    place = figures.place
    heights = figures.height_mm[-1] * _AROUND
    begin = start(place, heights, 0.0, 0.0)
    traced = trace(place.optics, begin, record=True)
    at_ring = _height_at_ring(figures, begin, traced.points)
    angles = apparent_angle(traced.rays)
    radius = figures.field_stop_mm / 2.0
    seen = [
        np.interp(radius, ring, angle)
        for ring, angle in zip(np.maximum.accumulate(at_ring, axis=1), angles, strict=True)
    ]
    return np.asarray(np.degrees(np.array(seen)))


def _height_at_ring(figures: EyepieceFigures, begin: Rays, points: Floats | None) -> Floats:
    """Return how far off axis chief rays pass the plane of the ring, (n, m)."""
    place = figures.place
    plane, after = stop_plane_mm(place), place.lens.stop_after
    count = len(place.optics.wavelengths_nm)
    if after == 0 or points is None:
        y = begin.at_plane(plane)[1]
        return np.asarray(np.abs(np.broadcast_to(y, (count, y.shape[-1]))))
    here, there = points[after - 1], points[after]
    part = (plane - here[2]) / (there[2] - here[2])
    return np.asarray(np.abs(here[1] + part * (there[1] - here[1])))


def edge_profile(
    figures: EyepieceFigures, weights: NDArray[np.floating], accommodation_d: float | None = None
) -> tuple[Floats, Floats]:
    """Return how much of the light each plane keeps around the edge.

    Parameters
    ----------
    weights
        (p, n) of the planes for the wavelengths of the spots; ratios within a plane count.
    accommodation_d
        Of the eye; None sets it for the middle of the field.

    Returns
    -------
    (r,) apparent angles in degrees from the middle to where no light is left, and (p, r) parts
    between 1 and 0. The eye's own blur and diffraction are not in it.
    """
    eye = figures.centre_accommodation_d if accommodation_d is None else float(accommodation_d)
    spots = spots_at(figures, np.array([figures.angle_deg[-1]]))
    across, along = pupil_points(_RAYS)
    smear = spots.rays(across, along, eye)[0][:, 0]
    middle = spots.rays(np.zeros(1), np.zeros(1), eye)[0][:, 0]
    smear = smear - middle + _off_focus(figures) * along
    ends = edge_angles_deg(figures)[:, None] + np.degrees(smear)
    top = max(float(ends.max()), float(figures.angle_deg[-1])) + _STEP_ARCMIN / 60.0
    angle = np.arange(0.0, top + 2.0 * _STEP_ARCMIN / 60.0, _STEP_ARCMIN / 60.0)
    ordered = np.sort(ends, axis=1)
    kept = np.stack([1.0 - np.searchsorted(row, angle) / len(row) for row in ordered])
    share = np.asarray(weights, float)
    share = share / share.sum(axis=1, keepdims=True)
    rims = np.interp(angle, figures.angle_deg, figures.vignetting)
    return angle, (share @ kept) * rims


def _off_focus(figures: EyepieceFigures) -> float:
    """Return how much farther out, in radians, the pupil's outer rim is let past a ring off focus.

    A ray from the rim crosses a plane dz behind the focus dz / 2F nearer the axis.
    """
    slope = np.gradient(np.radians(figures.angle_deg), figures.height_mm)[-1]
    larger = figures.image_field_mm / figures.field_stop_mm
    lower = figures.lens.stop_offset_mm / (2.0 * figures.focal_ratio)
    return float(lower * larger**2 * slope)


def field_mask(
    shape: tuple[int, int],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    weights: NDArray[np.floating],
    accommodation_d: float | None = None,
) -> NDArray[np.float32]:
    """Return what each plane keeps at every pixel, (p, ny, nx) from 0 to 1.

    To be multiplied with the view after `field_blur.apply_field_blur`; parameters as there.

    Parameters
    ----------
    shape
        Height and width, pixels.
    pixels_per_degree
        Of apparent angle.
    figures
        What the eyepiece does.
    weights
        Of the wavelengths in each plane, (p, n).
    accommodation_d
        What the eye is set for, dioptres; None for the middle of the field.
    """
    kept = _kept_px(figures, weights, accommodation_d, pixels_per_degree, shape)
    return quarters.whole(kept, shape)


def bounded(
    planes: NDArray[np.float32],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    weights: NDArray[np.floating],
) -> NDArray[np.float32]:
    """Multiply planes, in place, with `field_mask`, and return them."""
    # The panels of a sheet, their surfaces and their stars all ask for it.
    kept = _kept_px(figures, weights, None, pixels_per_degree, (planes.shape[1], planes.shape[2]))
    quarters.multiply(planes, kept)
    return planes


# Bytes of such quarters that are held: those of a sheet of 1920 x 1080, of larger ones the latest.
_held: Final[Memory[NDArray[np.float32]]] = Memory(8_000_000, lambda kept: kept.nbytes)


def _kept_px(
    figures: EyepieceFigures,
    weights: NDArray[np.floating],
    accommodation_d: float | None,
    pixels_per_degree: float,
    shape: tuple[int, int],
) -> NDArray[np.float32]:
    """Return what each plane keeps at the pixels of a quarter of a picture of such a shape.

    It is found now if it is not held.
    """
    told = np.asarray(weights, float).tobytes()
    key = (figures, told, accommodation_d, pixels_per_degree, quarters.size(shape))
    return _held.get(key, partial(_kept_now, *key))


def _kept_now(
    figures: EyepieceFigures,
    weights: bytes,
    accommodation_d: float | None,
    pixels_per_degree: float,
    shape: tuple[int, int],
) -> NDArray[np.float32]:
    """Return what each plane keeps at the pixels of a quarter, (p, *shape), from the middle on."""
    table = _by_distance(figures, weights, accommodation_d, pixels_per_degree)
    up, right = (_PARTS * np.arange(side, dtype=float) for side in shape)
    away = np.sqrt((up * up)[:, None] + right * right)
    away += 0.5
    place = np.minimum(away, table.shape[1] - 1.0, out=away).astype(np.intp)
    kept = np.empty((len(table), *shape), np.float32)
    for row, plane in zip(table, kept, strict=True):
        row.take(place, out=plane, mode="clip")
    return kept


def _by_distance(
    figures: EyepieceFigures,
    weights: bytes,
    accommodation_d: float | None,
    pixels_per_degree: float,
) -> NDArray[np.float32]:
    """Return what each plane keeps, (p, m), by the distance in small parts of a pixel.

    The mean over a pixel's width, so that a sharp edge is drawn without steps.
    """
    shares = np.frombuffer(weights).reshape(-1, figures.spots.tangential.shape[0])
    angle, kept = edge_profile(figures, shares, accommodation_d)
    step = 1.0 / (_PARTS * pixels_per_degree)
    at = np.arange(0.0, float(angle[-1]) + 2.0 / pixels_per_degree, step)
    half = 0.5 / pixels_per_degree
    total = np.zeros_like(kept)
    total[:, 1:] = np.cumsum((kept[:, 1:] + kept[:, :-1]) / 2.0, axis=1) * (angle[1] - angle[0])
    table = [
        (np.interp(at + half, angle, row) - np.interp(at - half, angle, row, left=0.0))
        / np.minimum(2.0 * half, at + half)
        for row in total
    ]
    return np.array(table, np.float32)


def radius_deg(shape: tuple[int, int], pixels_per_degree: float) -> Floats:
    """Return every pixel's apparent angle from the middle (pixel n // 2) in degrees."""
    y = (np.arange(shape[0]) - shape[0] // 2) / pixels_per_degree
    x = (np.arange(shape[1]) - shape[1] // 2) / pixels_per_degree
    return np.hypot(y[:, None], x[None, :])
