"""The measured face of the Moon: brightness, colour and heights, on one equal-area map each.

The maps are pictures of the near side in Lambert's azimuthal projection around the mean centre of
the disc, so that a pixel is as large at the limb as in the middle. Where they come from stands in
``data/moon/NOTICE.txt``; ``data/moon/make_maps.py`` made them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from importlib.resources import files
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.moon_relief import between_pixels, finer_for
from simview.scene.noise import Values, lookup

# Mean radius, km. Source: IAU, Archinal et al. 2018; the maps' heights count from it.
MOON_KM: Final = 1737.4

# The maps span REACH radii of the projection either way: 100 deg from the middle, more than any
# libration shows.
REACH: Final = 1.54

# Pixels of a side of the map of heights, and what they are across, km.
HEIGHT_SIDE: Final = 2880
HEIGHT_KM: Final = 2.0 * REACH * MOON_KM / HEIGHT_SIDE

# How smooth that map is, as a Gaussian's sigma, km: its spectrum keeps a half of the power law at
# 2.2 to 2.4 pixels a wave (measured on its highlands as for `moon_relief.HURST`).
MAP_SIGMA_KM: Final = 0.45 * HEIGHT_KM

# What the stored values mean; see data/moon/make_maps.py.
_STEP_KM: Final = 0.004
_LOWEST_KM: Final = 10.0
_BRIGHTEST: Final = 0.08
_HUE_RANGE: Final = 0.5

# Mean radiance factor of the southern highlands on this map (within 30 deg of the middle's
# meridian, plains left out): measured on it, 0.0355. It sets the scale of `Face.brightness`.
HIGHLAND: Final = 0.0355

# Largest side of a window of heights that is drawn finer for a close look.
_LARGEST: Final = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """What the ground is like at some places, arrays of one shape.

    Parameters
    ----------
    brightness
        Radiance factor at 532 nm against the mean highland.
    red, blue
        Colour against the near side's mean: 643 over 532 nm, 472 over 532 nm.
    plain
        0 rough highland to 1 smooth plain, by the heights' own roughness.
    """

    brightness: Values
    red: Values
    blue: Values
    plain: Values


def fetch() -> None:
    """Read the maps, which takes a quarter of a second, and keep them."""
    _height_steps()
    _colours()


def unit_vector(latitude_deg: float, longitude_deg: float) -> NDArray[np.float64]:
    """Return a place as (right, up, towards the Earth) on the unit sphere."""
    latitude, longitude = math.radians(latitude_deg), math.radians(longitude_deg)
    return np.array(
        [
            math.cos(latitude) * math.sin(longitude),
            math.sin(latitude),
            math.cos(latitude) * math.cos(longitude),
        ]
    )


def face_at(x: Values, y: Values, z: Values) -> Face:
    """Return what the ground is like at points of the unit sphere (right, up, to the Earth)."""
    colours = _colours()
    found = lookup(colours, *_place(x, y, z, colours.shape[0]))
    return Face(
        brightness=found[..., 0], red=found[..., 1], blue=found[..., 2], plain=found[..., 3]
    )


def height_km_at(x: Values, y: Values, z: Values, cell_km: float) -> Values:
    """Return the ground's height above the mean sphere at points of the unit sphere.

    Parameters
    ----------
    cell_km
        Spacing of the points. Where it is finer than the map's pixels the heights run through
        them as a smooth surface, with an invented roughness (see `simview.scene.moon_relief`).
    """
    steps = _height_steps()
    row, column = _place(x, y, z, steps.shape[0])
    finer = finer_for(HEIGHT_KM, cell_km)
    if finer > 1:
        return _between_pixels(steps, row, column, finer)
    return _in_km(lookup(steps[..., None], row, column)[..., 0])


def _in_km(steps: NDArray[np.generic]) -> Values:
    """Return heights in km from the steps in which the map holds them."""
    return steps.astype(np.float32) * np.float32(_STEP_KM) - np.float32(_LOWEST_KM)


def _between_pixels(steps: NDArray[np.uint16], row: Values, column: Values, finer: int) -> Values:
    side = steps.shape[0]
    top, left = (max(0, int(np.floor(v.min())) - 4) for v in (row, column))
    bottom, right = (min(side, int(np.ceil(v.max())) + 6) for v in (row, column))
    while finer > 1 and finer * max(bottom - top, right - left) > _LARGEST:
        finer //= 2
    fine = between_pixels(_in_km(steps[top:bottom, left:right]), finer, (top, left))
    # A pixel's centre stays where it was.
    half = np.float32(0.5 * (finer - 1))
    step = np.float32(finer)
    return lookup(
        fine[..., None],
        (row - np.float32(top)) * step + half,
        (column - np.float32(left)) * step + half,
    )[..., 0]


def _place(x: Values, y: Values, z: Values, side: int) -> tuple[Values, Values]:
    """Return row and column on a map of points on the unit sphere."""
    stretch = np.sqrt(np.float32(2.0) / np.maximum(np.float32(1.0) + z, np.float32(0.05)))
    per_unit = np.float32(side / (2.0 * REACH))
    middle = np.float32(0.5 * side - 0.5)
    return middle - y * stretch * per_unit, middle + x * stretch * per_unit


def on_sphere(row: NDArray[np.float64], column: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return (N, 3) points of the unit sphere for places on the map of heights, in pixels."""
    middle, per_unit = 0.5 * HEIGHT_SIDE - 0.5, HEIGHT_SIDE / (2.0 * REACH)
    up, right = (middle - row) / per_unit, (column - middle) / per_unit
    square = up**2 + right**2
    shrink = np.sqrt(1.0 - 0.25 * square)
    return np.stack([right * shrink, up * shrink, 1.0 - 0.5 * square], axis=-1)


def _picture(name: str) -> NDArray[np.generic]:
    from PIL import Image

    with (
        files("simview.scene").joinpath(f"data/moon/{name}").open("rb") as file,
        Image.open(file) as image,
    ):
        return np.asarray(image)


@remembered(1)
def _height_steps() -> NDArray[np.uint16]:
    """Return heights as the map holds them, (side, side): half the memory of numbers in km."""
    return np.asarray(_picture("heights.png"), np.uint16)


@remembered(1)
def _colours() -> Values:
    """Return brightness, red, blue and plain as (side, side, 4) float32."""
    stored = _picture("brightness.png")
    # What each of the 256 values that are stored stands for.
    part = np.arange(256, dtype=np.float32) / np.float32(255.0)
    bright = np.float32(_BRIGHTEST) * part**2 / np.float32(HIGHLAND)
    hue = np.asarray(1.0 + (part - 0.5) * _HUE_RANGE, np.float32)
    planes = np.empty(stored.shape, np.float32)
    for channel, meaning in enumerate((bright, hue, hue, part)):
        planes[..., channel] = meaning[stored[..., channel]]
    return planes
