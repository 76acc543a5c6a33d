"""The measured face of the Moon: brightness, colour and heights, on one equal-area map each.

The maps are pictures of the near side in Lambert's azimuthal projection around the mean centre of
the disc, so that a pixel is as large at the limb as in the middle. Where they come from stands in
``data/moon/NOTICE.txt``; ``data/moon/make_maps.py`` made them.
"""

from __future__ import annotations

import math
import zlib
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.moon_packing import unpacked
from simview.scene.moon_relief import between_pixels, finer_for
from simview.scene.noise import Values, lookup, slices

# Mean radius, km. Source: IAU, Archinal et al. 2018; the maps' heights count from it.
MOON_KM: Final = 1737.4

# The maps span REACH radii of the projection either way: 100 deg from the middle, more than any
# libration shows.
REACH: Final = 1.54

# Pixels of a side of the map of heights, and what they are across, km.
HEIGHT_SIDE: Final = 2880
HEIGHT_KM: Final = 2.0 * REACH * MOON_KM / HEIGHT_SIDE

# Pixels of a side of the maps of brightness and colour.
COLOUR_SIDE: Final = 1440

# How smooth the map of heights is, as a Gaussian's sigma, km: its spectrum keeps a half of the
# power law at 2.2 to 2.4 pixels a wave (measured on its highlands as for `moon_relief.HURST`).
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
    """What the ground is like at some places, arrays of one shape (ny, nx).

    Parameters
    ----------
    brightness
        Radiance factor at 532 nm against the mean highland.
    red, blue
        Colour against the near side's mean: 643 over 532 nm, 472 over 532 nm.
    """

    brightness: Values
    red: Values
    blue: Values


def fetch() -> None:
    """Read the maps that all paintings want, which takes a twentieth of a second, and keep them."""
    _height_steps()
    _brightness()
    _hues()


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
    """Return what the ground is like at points of the unit sphere (right, up, to the Earth).

    Parameters
    ----------
    x, y, z
        Arrays that go together, as (1, nx), (ny, 1) and (ny, nx).
    """
    red, blue = hues_at(x, y, z)
    return Face(brightness=brightness_at(x, y, z), red=red, blue=blue)


def hues_at(x: Values, y: Values, z: Values) -> tuple[Values, Values]:
    """Return its colour alone: red and blue."""
    hues = _read(_hues(), x, y, z)
    hues *= np.float32(_HUE_RANGE / 255.0)
    hues += np.float32(1.0 - 0.5 * _HUE_RANGE)
    return hues[..., 0], hues[..., 1]


def brightness_at(x: Values, y: Values, z: Values) -> Values:
    """Return the ground's brightness alone at such points."""
    return _read(_brightness(), x, y, z)[..., 0]


def plain_at(x: Values, y: Values, z: Values) -> Values:
    """Return 0 (rough highland) to 1 (smooth plain), by the heights' own roughness."""
    return _read(_plain(), x, y, z)[..., 0] / np.float32(255.0)


def _read(texture: NDArray[Any], x: Values, y: Values, z: Values) -> Values:
    """Return a map's values (..., k) at points of the unit sphere, some rows at a time."""
    shape = np.broadcast_shapes(x.shape, y.shape, z.shape)
    found = np.empty((*shape, texture.shape[2]), np.float32)
    for rows in slices(shape):
        here = [v[rows] if len(v) > 1 else v for v in (x, y, z)]
        found[rows] = lookup(texture, *_place(here[0], here[1], here[2], texture.shape[0]))
    return found


def height_km_at(x: Values, y: Values, z: Values, cell_km: float) -> Values:
    """Return the ground's height above the mean sphere at points of the unit sphere.

    Parameters
    ----------
    cell_km
        Spacing of the points. Where it is finer than the map's pixels the heights run through
        them as a smooth surface, with an invented roughness (see `simview.scene.moon_relief`).
    """
    steps = _height_steps()
    finer = finer_for(HEIGHT_KM, cell_km)
    if finer > 1:
        return _between_pixels(steps, *_place(x, y, z, steps.shape[0]), finer)
    return _in_km(_read(steps[..., None], x, y, z)[..., 0])


def _in_km(steps: NDArray[np.generic]) -> Values:
    """Return heights in km from the steps in which the map holds them."""
    heights = steps.astype(np.float32) * np.float32(_STEP_KM)
    heights -= np.float32(_LOWEST_KM)
    return heights


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


@remembered(1)
def _height_steps() -> NDArray[np.uint16]:
    """Return heights as the map holds them, (side, side): half the memory of numbers in km."""
    return unpacked(_array("heights"), _array("heights_wide"))


def _array(name: str) -> NDArray[Any]:
    with files("simview.scene").joinpath(f"data/moon/{name}.npy").open("rb") as file:
        return np.asarray(np.load(file))


def _bytes(name: str) -> NDArray[np.uint8]:
    """Return a plane of the map of colours as it is stored, (side, side)."""
    with files("simview.scene").joinpath(f"data/moon/{name}.zlib").open("rb") as file:
        stored = zlib.decompress(file.read(), bufsize=COLOUR_SIDE**2)
    return np.frombuffer(stored, np.uint8).reshape(COLOUR_SIDE, COLOUR_SIDE)


@remembered(1)
def _brightness() -> Values:
    """Return brightness against the mean highland, (side, side, 1) float32: its root is stored."""
    bright = _bytes("brightness").astype(np.float32)
    bright /= np.float32(255.0)
    bright *= bright
    bright *= np.float32(_BRIGHTEST)
    bright /= np.float32(HIGHLAND)
    return bright[..., None]


@remembered(1)
def _hues() -> NDArray[np.uint8]:
    """Return red and blue as they are stored, (side, side, 2): a quarter of floats' memory."""
    return np.stack([_bytes("red"), _bytes("blue")], axis=-1)


@remembered(1)
def _plain() -> NDArray[np.uint8]:
    """Return how smooth the ground is, as it is stored, (side, side, 1)."""
    return _bytes("plain")[..., None]
