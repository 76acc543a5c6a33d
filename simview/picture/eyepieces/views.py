"""Pictures of an eyepiece's own doing: a test pattern seen through it, and its spots.

Only the glass works here: no air, no diffraction, no fault of the telescope or the eye.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import srgb
from simview.eye.colour import WAVELENGTHS_NM, response
from simview.eyepiece.distortion import distort
from simview.eyepiece.field_blur import apply_field_blur
from simview.eyepiece.field_edge import field_mask
from simview.eyepiece.lensfigures import SPOT_WAVELENGTHS_NM, EyepieceFigures
from simview.eyepiece.spotkernels import spots_at
from simview.eyepiece.spots import pupil_points
from simview.picture.drawing.palette import GROUND
from simview.picture.prints.tone import XYZ_TO_RGB, shoulder

Floats = NDArray[np.float64]
View = NDArray[np.uint8]

# XYZ of the display's white, luminance 1. Source: IEC 61966-2-1 (D65).
WHITE: Final = np.array([0.9505, 1.0, 1.0890])

# Width of the bands around the spots' wavelengths, nm.
_BAND_NM: Final = 30.0

# The pattern: lines every so many degrees at the eye, stars on rings at these parts of the
# field's radius, and how bright sky, lines and stars are printed. Choices.
LINES_DEG: Final = 5.0
STAR_RINGS: Final = (0.0, 0.3, 0.5, 0.7, 0.85, 0.96)
_SKY: Final = 0.045
_LINE: Final = 0.30
_STAR_LIGHT: Final = 60.0

# Rays of a printed spot at one wavelength.
_SPOT_RAYS: Final = 3000


def colour_weights() -> Floats:
    """Return (3, 9): how X, Y and Z weigh the spots' wavelengths for light of equal energy."""
    off = WAVELENGTHS_NM - SPOT_WAVELENGTHS_NM[:, None]
    inside = (off >= -_BAND_NM / 2.0) & (off < _BAND_NM / 2.0)
    return np.asarray(response()[:3] @ inside.T.astype(float))


def printed(planes: NDArray[np.floating]) -> View:
    """Print (3, ny, nx) light whose white is 1 in every plane.

    Colours that no display shows are mixed with grey of their own luminance until one does.
    """
    xyz = np.asarray(planes, float) * WHITE[:, None, None]
    rgb = np.tensordot(XYZ_TO_RGB, xyz, axes=(1, 0))
    grey = np.asarray(planes[1], float)
    lowest = rgb.min(axis=0)
    kept = np.where(lowest < 0.0, grey / np.maximum(grey - lowest, 1e-12), 1.0)
    rgb = grey + kept * (rgb - grey)
    light = srgb.coded(shoulder(np.maximum(rgb, 0.0)))
    drawn = np.asarray(np.moveaxis(light, 0, -1) * 255.0 + 0.5).astype(np.uint8)
    return np.maximum(drawn, np.array(GROUND, np.uint8))


def pattern(side_px: int, pixels_per_degree: float, field_deg: float) -> NDArray[np.float32]:
    """Paint grey sky, a square grid and white stars at sky angle x power, (ny, nx)."""
    at = (np.arange(side_px) - side_px // 2) / pixels_per_degree
    off = np.abs(at - LINES_DEG * np.round(at / LINES_DEG)) * pixels_per_degree
    line = np.clip(1.2 - off, 0.0, 1.0)
    light = _SKY + _LINE * np.maximum(line[:, None], line[None, :])
    for number, part in enumerate(STAR_RINGS):
        count = 1 if part == 0.0 else 8
        for k in range(count):
            turn = 2.0 * np.pi * (k + 0.5 * (number % 2)) / count
            radius = part * field_deg / 2.0
            x, y = radius * np.cos(turn), radius * np.sin(turn)
            across = np.exp(-0.5 * (((at - x) * pixels_per_degree) / 0.8) ** 2)
            along = np.exp(-0.5 * (((at - y) * pixels_per_degree) / 0.8) ** 2)
            light += _STAR_LIGHT * np.outer(along, across) / (2.0 * np.pi * 0.8**2)
    return light.astype(np.float32)


def field_view(figures: EyepieceFigures, side_px: int, pixels_per_degree: float) -> View:
    """Print the pattern as the eyepiece shows it, the eye set for the middle."""
    weights = colour_weights()
    painted = pattern(side_px, pixels_per_degree, figures.apparent_field_deg)
    planes = distort(painted[None], pixels_per_degree, figures, dim=False)
    planes = np.repeat(planes, 3, axis=0)
    planes = apply_field_blur(planes, pixels_per_degree, figures, weights=weights)
    shape = (side_px, side_px)
    planes *= field_mask(shape, pixels_per_degree, figures, weights=weights)
    return printed(planes)


def spot_view(
    figures: EyepieceFigures, angle_deg: float, side_px: int, width_arcmin: float, *, refocus: bool
) -> View:
    """Print the spot of one field angle, the edge of the field upwards.

    Parameters
    ----------
    width_arcmin
        Of the picture at the eye.
    refocus
        Set the eye for this point instead of the middle.
    """
    accommodation = figures.centre_accommodation_d
    if refocus:
        accommodation += (
            figures.at("tangential_d", angle_deg) + figures.at("sagittal_d", angle_deg)
        ) / 2.0
    spots = spots_at(figures, np.array([angle_deg]))
    rays = spots.rays(*pupil_points(_SPOT_RAYS), accommodation)
    scale = side_px / width_arcmin * np.degrees(60.0)
    share = _finer(colour_weights().T).T
    share = share / share.sum(axis=1, keepdims=True)
    tangential, sagittal = (_finer(part[:, 0]) * scale for part in rays)
    tangential = tangential - share[1] @ tangential.mean(axis=1)  # the spot amid its panel
    x = np.floor(side_px / 2.0 + sagittal).astype(int)
    y = np.floor(side_px / 2.0 - tangential).astype(int)
    inside = (x >= 0) & (x < side_px) & (y >= 0) & (y < side_px)
    planes = np.zeros((3, side_px * side_px))
    for n in range(len(x)):
        hit = (y[n] * side_px + x[n])[inside[n]]
        planes += share[:, n, None] * np.bincount(hit, minlength=side_px * side_px)
    planes = planes.reshape(3, side_px, side_px) / _SPOT_RAYS
    # A spot is printed for its shape: its light as if it filled a tenth of the panel, to a power
    # below 1, so that faint flare still shows.
    light = planes[1] * side_px**2
    gain = np.where(light > 0.0, (light / 10.0) ** 0.65 / np.maximum(light, 1e-12), 0.0)
    return printed(planes * side_px**2 * gain)


def _finer(values: Floats) -> Floats:
    """Put values (9, ...) of the spots' wavelengths on a grid four times as fine."""
    at = np.linspace(0.0, len(values) - 1.0, 4 * len(values) - 3)
    low = np.minimum(at.astype(int), len(values) - 2)
    part = (at - low).reshape(-1, *(1,) * (values.ndim - 1))
    return np.asarray(values[low] * (1.0 - part) + values[low + 1] * part)
