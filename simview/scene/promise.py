"""A photograph's promise: the look of a long exposure, to be set beside the eye's view.

A camera gathers light for minutes, shows the red that the eye at night cannot see, and its picture
is stretched until the faintest parts show. None of that is to be had at the eyepiece.
"""

from __future__ import annotations

import inspect
import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.colour import rgb_of_temperature
from simview.scene.noise import Values
from simview.scene.painting import luminance
from simview.scene.scene import Scene, Stars, Target
from simview.scene.targets import find, home_of, target
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

NOTE: Final = "Photograph: as long exposures look, stretched and deepened; a drawing, not data."

# Width of a star's image on a guided long exposure, arcsec: seeing and guiding. Common practice,
# no source.
_STAR_ARCSEC: Final = 2.5

# How far the print is stretched: the faintest parts stand this many times below the middle tones.
_STRETCH: Final = 12.0

# How much deeper colours are printed than they are.
_DEEPENED: Final = 1.35


def camera_target(shown: Target) -> Target:
    """Return a target in the light that a camera collects, where that differs from the eye's."""
    build = home_of(find(shown.name))
    if "camera" not in inspect.signature(build).parameters:
        return shown
    return target(**{**shown.recipe, "camera": True})


def photograph(shown: Target, *, pixel_arcsec: float, pixels: int) -> NDArray[np.uint8]:
    """Return a target as a long exposure would be printed.

    Parameters
    ----------
    pixel_arcsec, pixels
        The square frame.

    Returns
    -------
    (pixels, pixels, 3) uint8
        sRGB code values, north up, east left.
    """
    scene = camera_target(shown).scene(pixel_arcsec=pixel_arcsec, pixels=pixels)
    light = scene.planes + _stars(scene)
    level = luminance(light)
    middle = _middle_tone(luminance(scene.planes), level)
    grey = np.arcsinh(_STRETCH * level / middle) / math.asinh(_STRETCH * 10.0)
    colour = light / np.maximum(level, np.float32(1e-12))
    colour = np.maximum(1.0 + _DEEPENED * (colour - 1.0), 0.0)
    linear = np.clip(colour * grey**1.6, 0.0, 1.0)
    codes = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1.0 / 2.4) - 0.055)
    return np.ascontiguousarray(np.moveaxis((codes * 255.0 + 0.5).astype(np.uint8), 0, -1))


def _middle_tone(glow: Values, level: Values) -> float:
    """Return the luminance that is printed as a middle tone: of the object, or of the stars."""
    lit = glow[glow > 0.0]
    if lit.size > 0.01 * glow.size:
        return float(np.percentile(lit, 93))
    bright = level[level > 0.0]
    return float(np.percentile(bright, 90)) if bright.size else 1.0


def _stars(scene: Scene) -> Values:
    """Return the stars as soft spots, (3, ny, nx) in cd/m2."""
    planes = np.zeros_like(scene.planes)
    sigma = max(_STAR_ARCSEC / 2.355 / scene.pixel_arcsec, 0.55)
    half = math.ceil(4.0 * sigma)
    stars, pixels = scene.stars, scene.planes.shape[1]
    if not len(stars):
        return planes
    colours = rgb_of_temperature(stars.temperature_k)
    area = (scene.pixel_arcsec / ARCSEC_PER_RADIAN) ** 2
    light = illuminance_lux(stars.magnitude) / (area * 2.0 * math.pi * sigma**2)
    column = pixels // 2 + stars.x_arcsec / scene.pixel_arcsec
    row = pixels // 2 - stars.y_arcsec / scene.pixel_arcsec
    window = np.arange(-half, half + 1)
    for k in np.flatnonzero(_inside(stars, scene, half)):
        j, i = round(float(row[k])), round(float(column[k]))
        down = np.exp(-0.5 * ((j + window - row[k]) / sigma) ** 2)
        across = np.exp(-0.5 * ((i + window - column[k]) / sigma) ** 2)
        spot = light[k] * np.outer(down, across)
        top, left = max(0, half - j), max(0, half - i)
        bottom = min(2 * half + 1, pixels - j + half)
        right = min(2 * half + 1, pixels - i + half)
        here = np.s_[:, j - half + top : j - half + bottom, i - half + left : i - half + right]
        planes[here] += (colours[k][:, None, None] * spot[top:bottom, left:right]).astype(
            np.float32
        )
    return planes


def _inside(stars: Stars, scene: Scene, half: int) -> NDArray[np.bool_]:
    reach = (0.5 * scene.planes.shape[1] + half - 1) * scene.pixel_arcsec
    return np.asarray((np.abs(stars.x_arcsec) < reach) & (np.abs(stars.y_arcsec) < reach))
