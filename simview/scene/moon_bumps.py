"""A tile of the Moon's ground below the pixels of the map of heights, made of craters.

How rough it is, wave by wave, is given; what stands there is small craters, as many of each size as
old ground holds. Waves of random phase, as strong, are a dough of round humps that no eye has seen
on the Moon: its ground is hollows within sharper rims.
"""

from __future__ import annotations

import itertools
import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.bessel import j0
from simview.scene.noise import Values

# Diameters between which there is a class of craters, pixels of the map (1.86 km). Larger ones are
# the map's own, smaller ones narrower than two points of the tile. A choice.
_DIAMETERS: Final = (0.22, 0.37, 0.61, 1.02, 1.7)

# N(> D) per pixel's area of old highland, D in pixels: `craters.DENSITY` and SLOPE (Hartmann 1984),
# 10^-1.33 (D / 1 km)^-1.83 per km2.
_DENSITY: Final = 0.052
_SLOPE: Final = 1.83

# Depth below the plain and rim above it, of the diameter. Source: Pike 1977 (memory), see
# `craters.depth_km`.
_DEEP: Final = 0.16
_RIM: Final = 0.036

# What is left of a crater's depth: it halves as often early as late (slopes creep as heat spreads:
# Fassett & Thomson 2014, J. Geophys. Res. 119, 2255), so each halving holds as many craters. The
# least that is drawn, and the least that was counted as a crater: choices.
_LEFT: Final = 0.03
_COUNTED: Final = 0.3

# Share of the roughness' power that is in craters; the rest are waves of random phase, for all the
# smaller hollows that overlap. A choice.
_CRATERED: Final = 0.5

# How far a crater's blanket reaches, radii, and points of its profile.
_BLANKET: Final = 2.2
_POINTS: Final = 88

# Steps of the tables by wavenumber, per pixel.
_PER_WAVE: Final = 100.0


def tile(side: int, finest: int, strength: NDArray[np.float64], rng: np.random.Generator) -> Values:
    """Return ground that joins itself at its edges.

    Parameters
    ----------
    side
        Of the tile, points.
    finest
        Points a pixel of the map.
    strength
        Rms amplitude wanted at each of `waves_of`, as a factor on white noise of unit variance; the
        first is for the mean.
    rng
        Where the randomness comes from.

    Returns
    -------
    (side, side) float32

    Notes
    -----
    Checked by: tests/truth/test_moon_ground.py
    """
    place = _steps(side, finest)
    shapes, lots, power = [], [], np.zeros(len(strength))
    for low, high in itertools.pairwise(_DIAMETERS):
        lot, squares = _middles(side, (side / finest) ** 2 * _counted(low, high), rng)
        shapes.append(crater_image(waves_of(finest), math.sqrt(low * high)))
        lots.append(lot)
        power += squares * shapes[-1] ** 2
    gain = side * math.sqrt(_CRATERED) * strength / np.sqrt(power)
    shapes = [gain * shape for shape in shapes]
    shapes.append(math.sqrt(1.0 - _CRATERED) * np.asarray(strength, float))
    lots.append(rng.standard_normal((side, side), dtype=np.float32))
    total = np.zeros(place.shape, np.complex64)
    for shape, lot in zip(shapes, lots, strict=True):
        part = fft.rfft2(lot)
        part *= shape.astype(np.float32).take(place)
        total += part
    return np.asarray(fft.irfft2(total, s=(side, side)), np.float32)


def _counted(low: float, high: float) -> float:
    """Return how many craters a pixel's area of old highland is counted to hold."""
    return float(_DENSITY * (low**-_SLOPE - high**-_SLOPE))


def _middles(side: int, counted: float, rng: np.random.Generator) -> tuple[Values, float]:
    """Return a tile of craters' middles, each with what is left of its depth, and their squares."""
    count = int(counted * math.log(_LEFT) / math.log(_COUNTED))
    left = _LEFT ** rng.random(count)
    tile = np.bincount(rng.integers(0, side * side, count), left, side * side)
    return tile.reshape(side, side).astype(np.float32), float((left**2).sum())


def waves_of(finest: int) -> NDArray[np.float64]:
    """Return the wavenumbers, per pixel of the map, at which `tile` wants its strength."""
    return np.arange(math.ceil(0.5 * finest * math.sqrt(2.0) * _PER_WAVE) + 2) / _PER_WAVE


def _steps(side: int, finest: int) -> NDArray[np.intp]:
    """Return each wave's place in tables by wavenumber."""
    rows = np.fft.fftfreq(side).astype(np.float32)[:, None] * np.float32(finest * _PER_WAVE)
    columns = np.fft.rfftfreq(side).astype(np.float32)[None, :] * np.float32(finest * _PER_WAVE)
    return np.rint(np.sqrt(rows**2 + columns**2)).astype(np.intp)


def crater_image(waves: NDArray[np.float64], diameter: float) -> NDArray[np.float64]:
    """Return the transform of a fresh crater's heights, a bowl with a rim, by wavenumber.

    Parameters
    ----------
    waves
        Per unit of length.
    diameter
        In that unit; so are the heights.
    """
    radius = 0.5 * diameter
    away = (np.arange(_POINTS) + 0.5) / _POINTS * _BLANKET
    bowl = (_DEEP + _RIM) * away**2 - _DEEP
    fall = (away**-3 - _BLANKET**-3) / (1.0 - _BLANKET**-3)
    height = diameter * np.where(away < 1.0, bowl, _RIM * fall)
    rings = height * away * (radius**2 * 2.0 * math.pi * _BLANKET / _POINTS)
    return np.asarray(j0(2.0 * math.pi * radius * waves[:, None] * away) @ rings)
