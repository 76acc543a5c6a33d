"""A photograph's promise: the look of a long exposure, to be set beside the eye's view.

A camera gathers light for minutes, shows the red that the eye at night cannot see, and its picture
is stretched until the faintest parts show. None of that is to be had at the eyepiece.
"""

from __future__ import annotations

import inspect
import math
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import srgb
from simview.scene.noise import Values
from simview.scene.painting import luminance
from simview.scene.scene import Scene, Stars, Target
from simview.scene.star_colour import rgb_of_temperature
from simview.scene.targets import find, home_of, target
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

NOTE: Final = "Photograph: as long exposures look, stretched and deepened; a drawing, not data."

# The same of somebody's own picture.
OWN_NOTE: Final = "Photograph: your own picture, stretched and deepened as long exposures are."

# Width of a star's image on a guided long exposure, arcsec: seeing and guiding. Common practice,
# no source.
_STAR_ARCSEC: Final = 2.5

# The spot's light falls from its middle as (1 + (r / core)^2)^-BETA. Source: Moffat 1969, A&A 3,
# 455 (the form); the power is common practice for seeing.
_BETA: Final = 3.0
_CORE: Final = 0.5 / math.sqrt(2.0 ** (1.0 / _BETA) - 1.0)
_REACH: Final = 50.0

# A wide field is taken with a camera whose own pixels are wider: at least this part of the
# picture's. A choice: wide pictures keep their bright stars, and faint ones do not cover them.
_LEAST_SPOT_PX: Final = 0.35

# Least width (sigma) of a star in the print, pixels, and least print that is drawn. Choices.
_LEAST_SIGMA_PX: Final = 0.55
_LEAST_PRINT: Final = 1e-3

# Magnitude of the stars that print as middle tones where there is nothing else. A choice.
_DEEP: Final = 13.0

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


def note(shown: Target) -> str:
    """Return what such a photograph is: drawn, or somebody's own."""
    return OWN_NOTE if shown.kind == "photo" else NOTE


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
    light = scene.planes
    level = luminance(light)
    spot = max(_STAR_ARCSEC, _LEAST_SPOT_PX * pixel_arcsec)
    middle = _middle_tone(level, scene.stars, spot)
    colour = light / np.maximum(level, np.float32(1e-12))
    colour = np.maximum(1.0 + _DEEPENED * (colour - 1.0), 0.0)
    codes = srgb.coded(colour * _printed(level / middle) + _stars(scene, middle, spot))
    return np.ascontiguousarray(np.moveaxis((codes * 255.0 + 0.5).astype(np.uint8), 0, -1))


def _printed(level: NDArray[Any]) -> NDArray[Any]:
    """Return the print, linear, of light in middle tones: faint parts stretched."""
    return np.asarray((np.arcsinh(_STRETCH * level) / math.asinh(_STRETCH * 10.0)) ** 1.6)


def _middle_tone(glow: Values, stars: Stars, spot_arcsec: float) -> float:
    """Return the luminance that is printed as a middle tone: of the object, or of the stars."""
    lit = glow[glow > 0.0]
    if lit.size > 0.01 * glow.size:
        return float(np.percentile(lit, 93))
    if not len(stars):
        return 1.0
    return float(_peaks(np.array(_DEEP), spot_arcsec))


def _peaks(magnitude: NDArray[np.float64], spot_arcsec: float) -> NDArray[np.float64]:
    """Return the luminance in the middle of stars' spots of this width, cd/m2."""
    core = _CORE * spot_arcsec / ARCSEC_PER_RADIAN
    return np.asarray(illuminance_lux(magnitude) * (_BETA - 1.0) / (math.pi * core**2))


def _stars(scene: Scene, middle: float, spot_arcsec: float) -> Values:
    """Return the stars as printed spots, (3, ny, nx) linear.

    A star is printed at its own width and then shrunk to the picture, as prints are: where a pixel
    is wider than the spot, a faint star is a faint dot however deep the exposure.
    """
    printed = np.zeros_like(scene.planes)
    stars, pixels = scene.stars, scene.planes.shape[1]
    if not len(stars):
        return printed
    colours = rgb_of_temperature(stars.temperature_k)
    colours = np.maximum(1.0 + _DEEPENED * (colours - 1.0), 0.0)
    light, width = _spots(_peaks(stars.magnitude, spot_arcsec) / middle, spot_arcsec)
    column = pixels // 2 + stars.x_arcsec / scene.pixel_arcsec
    row = pixels // 2 - stars.y_arcsec / scene.pixel_arcsec
    sigma = np.maximum(width / scene.pixel_arcsec, _LEAST_SIGMA_PX)
    top = np.minimum(light / (2.0 * math.pi * (sigma * scene.pixel_arcsec) ** 2), 1.0)
    half = np.ceil(3.5 * sigma).astype(int)
    inside = _inside(stars, scene, int(half.max()))
    steps = np.arange(pixels)
    for k in np.flatnonzero(inside & (top > _LEAST_PRINT)):
        j, i = round(float(row[k])), round(float(column[k]))
        high, low = max(0, j - half[k]), max(0, j + half[k] + 1)
        left, right = max(0, i - half[k]), max(0, i + half[k] + 1)
        down = np.exp(-0.5 * ((steps[high:low] - row[k]) / sigma[k]) ** 2)
        across = np.exp(-0.5 * ((steps[left:right] - column[k]) / sigma[k]) ** 2)
        spot = top[k] * np.outer(down, across)
        here = np.s_[:, high:low, left:right]
        printed[here] += (colours[k][:, None, None] * spot).astype(np.float32)
    return printed


def _spots(
    peaks: NDArray[np.float64], spot_arcsec: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return each star's print summed over the sky (arcsec2), and its width (sigma, arcsec).

    Parameters
    ----------
    peaks
        (N,) light in the middle of the spots, in middle tones.
    """
    edges = np.geomspace(0.02, _REACH, 65) * spot_arcsec
    radius, step = 0.5 * (edges[1:] + edges[:-1]), np.diff(edges)
    fall = (1.0 + (radius / (_CORE * spot_arcsec)) ** 2) ** -_BETA
    print_ = np.minimum(_printed(peaks[:, None] * fall), 1.0)
    light = 2.0 * math.pi * (print_ * radius * step).sum(axis=1)
    spread = 2.0 * math.pi * (print_ * radius**3 * step).sum(axis=1)
    return light, np.sqrt(spread / np.maximum(2.0 * light, 1e-12))


def _inside(stars: Stars, scene: Scene, half: int) -> NDArray[np.bool_]:
    reach = (0.5 * scene.planes.shape[1] + half - 1) * scene.pixel_arcsec
    return np.asarray((np.abs(stars.x_arcsec) < reach) & (np.abs(stars.y_arcsec) < reach))
