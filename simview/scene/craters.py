"""Impact craters: how many of which size, where, and of which shape."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.moon_map import MOON_KM, unit_vector
from simview.scene.noise import Values

# Cumulative size-frequency: N(> D) = DENSITY (D / 1 km)^-SLOPE per km2 of highland, where as many
# craters vanish as come. Source: Hartmann 1984, Icarus 60, 56: log N = -1.83 log D - 1.33; as later
# papers quote it, for 0.06 to 32 km.
SLOPE: Final = 1.83
DENSITY: Final = 10.0**-1.33

# Largest crater that is invented; larger ones are in the table, km.
LARGEST_KM: Final = 70.0

# Side of the tiles that craters are drawn from, deg of latitude and longitude.
_TILE_DEG: Final = 10

# Diameter where simple bowls give way to flat floors, km. Source: Pike 1977, in Impact and
# Explosion Cratering, 489 (memory): 15 to 20 km on the Moon.
COMPLEX_KM: Final = 17.0

# How far a crater's blanket is pressed into the field, in crater radii.
BLANKET: Final = 2.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Craters:
    """N craters.

    Parameters
    ----------
    centre
        (N, 3) on the unit sphere: right, up, towards the Earth.
    diameter_km
        (N,) rim to rim.
    wear
        (N,) 0 fresh to 1 gone.
    flooded
        (N,) True where lava fills the floor.
    """

    centre: NDArray[np.float64]
    diameter_km: NDArray[np.float64]
    wear: NDArray[np.float64]
    flooded: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.diameter_km)

    def kept(self, keep: NDArray[np.bool_] | NDArray[np.intp]) -> Craters:
        """Return those that an index or mask picks."""
        return Craters(
            centre=self.centre[keep],
            diameter_km=self.diameter_km[keep],
            wear=self.wear[keep],
            flooded=self.flooded[keep],
        )


def together(*lots: Craters) -> Craters:
    """Return several lots of craters as one; no lots give none."""
    lots = (NO_CRATERS, *lots)
    return Craters(
        centre=np.concatenate([lot.centre for lot in lots]),
        diameter_km=np.concatenate([lot.diameter_km for lot in lots]),
        wear=np.concatenate([lot.wear for lot in lots]),
        flooded=np.concatenate([lot.flooded for lot in lots]),
    )


NO_CRATERS: Final = Craters(
    centre=np.zeros((0, 3)),
    diameter_km=np.zeros(0),
    wear=np.zeros(0),
    flooded=np.zeros(0, dtype=np.bool_),
)


def expected(area_km2: float, smallest_km: float, largest_km: float = LARGEST_KM) -> float:
    """Return how many craters of a size range the power law asks for on an area of highland."""
    return float(area_km2 * DENSITY * (smallest_km**-SLOPE - largest_km**-SLOPE))


def random_craters(
    seed: int,
    smallest_km: float,
    *,
    middle: NDArray[np.float64],
    reach_deg: float,
    largest_km: float = LARGEST_KM,
) -> Craters:
    """Draw craters from the power law, the same ones however the Moon is looked at.

    Parameters
    ----------
    seed
        Which Moon.
    smallest_km, largest_km
        Diameters wanted. Each octave of sizes is drawn on its own, so that a closer look adds
        small craters and moves none.
    middle, reach_deg
        Only tiles of the sphere within `reach_deg` of this place are drawn.
    """
    lots = []
    high = largest_km
    octave = 0
    while high > smallest_km:
        low = max(high / 2.0, 1e-3)
        for band, tile in _tiles(middle, reach_deg):
            lots.append(_tile_craters((seed, octave, band, tile), low, high))
        high, octave = low, octave + 1
    every = together(*lots)
    return every.kept(every.diameter_km >= smallest_km)


def _tiles(middle: NDArray[np.float64], reach_deg: float) -> list[tuple[int, int]]:
    """Return tiles (band from the south, number around) that may hold points within reach."""
    keys, centres = _every_tile()
    apart = np.degrees(np.arccos(np.clip(centres @ middle, -1.0, 1.0)))
    return [keys[k] for k in np.flatnonzero(apart <= reach_deg + 0.75 * _TILE_DEG)]


@lru_cache(maxsize=1)
def _every_tile() -> tuple[list[tuple[int, int]], NDArray[np.float64]]:
    """Return all tiles and their middles, (n, 3) on the unit sphere."""
    keys, centres = [], []
    for band in range(180 // _TILE_DEG):
        latitude = -90.0 + (band + 0.5) * _TILE_DEG
        count = _tiles_around(band)
        for tile in range(count):
            keys.append((band, tile))
            centres.append(unit_vector(latitude, (tile + 0.5) * 360.0 / count))
    return keys, np.array(centres)


def _tiles_around(band: int) -> int:
    latitude = math.radians(-90.0 + (band + 0.5) * _TILE_DEG)
    return max(1, round(360.0 / _TILE_DEG * math.cos(latitude)))


def _tile_craters(key: tuple[int, int, int, int], low: float, high: float) -> Craters:
    """Draw one tile's craters between two diameters: evenly by area, sizes by the power law."""
    rng = np.random.default_rng(key)
    _, _, band, tile = key
    south, north = (math.sin(math.radians(-90.0 + (band + k) * _TILE_DEG)) for k in (0, 1))
    count_around = _tiles_around(band)
    area = 2.0 * math.pi * MOON_KM**2 * (north - south) / count_around
    count = int(rng.poisson(expected(area, low, high)))
    up = rng.uniform(south, north, count)
    longitude = (tile + rng.random(count)) * (2.0 * math.pi / count_around)
    side = np.sqrt(1.0 - up**2)
    share = rng.random(count)
    diameter = (high**-SLOPE + share * (low**-SLOPE - high**-SLOPE)) ** (-1.0 / SLOPE)
    return Craters(
        centre=np.stack([side * np.sin(longitude), up, side * np.cos(longitude)], axis=-1),
        diameter_km=diameter,
        wear=np.clip(rng.beta(2.0 if low < 12.0 else 1.4, 0.9, count), 0.0, 0.97),
        flooded=np.zeros(count, bool),
    )


def depth_km(diameter_km: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a fresh crater's depth, rim crest to floor.

    Source: Pike 1977: 0.196 D^1.010 (simple), 1.044 D^0.301 (complex), as crater models quote it.
    """
    simple, complex_ = 0.196 * diameter_km**1.010, 1.044 * diameter_km**0.301
    return np.asarray(np.where(diameter_km < COMPLEX_KM, simple, complex_))


def rim_km(diameter_km: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a fresh crater's rim above the plain.

    Source: Pike 1977: 0.036 D^1.014 (simple, as crater models quote it), 0.236 D^0.399 (complex;
    memory).
    """
    simple, complex_ = 0.036 * diameter_km**1.014, 0.236 * diameter_km**0.399
    return np.asarray(np.where(diameter_km < COMPLEX_KM, simple, complex_))


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Heights in km and shares of the radius that make a crater's profile; arrays of one shape."""

    bottom: Values
    rim: Values
    floor: Values
    peak: Values
    terrace: Values
    complex_: NDArray[np.bool_]

    def at(self, pick: NDArray[np.intp]) -> Shape:
        """Return the shapes of some craters as (n, 1, 1), to be spread over windows."""
        spread = np.s_[:, None, None]
        return Shape(
            bottom=self.bottom[pick][spread],
            rim=self.rim[pick][spread],
            floor=self.floor[pick][spread],
            peak=self.peak[pick][spread],
            terrace=self.terrace[pick][spread],
            complex_=self.complex_[pick][spread],
        )


def shapes(craters: Craters) -> Shape:
    """Return the shape of each crater; wear softens all of it."""
    size, wear = craters.diameter_km, craters.wear
    fresh = 1.0 - 0.8 * wear
    rim = rim_km(size)
    complex_ = size >= COMPLEX_KM
    bottom = -(depth_km(size) - rim) * fresh * np.where(craters.flooded, 0.62, 1.0)
    # The floor's share of the diameter. Source: Pike 1977: 0.19 D^1.249 km (memory), held to 0.76.
    floor = np.minimum(0.19 * size**0.249, 0.76) + 0.06 * wear
    peak = np.where(complex_ & ~craters.flooded & (size < 140.0), -0.32 * bottom, 0.0)
    return Shape(
        bottom=bottom.astype(np.float32),
        rim=(rim * fresh).astype(np.float32),
        floor=floor.astype(np.float32),
        peak=(peak * (1.0 - wear)).astype(np.float32),
        terrace=(0.03 * (1.0 - wear)).astype(np.float32),
        complex_=complex_,
    )


def profile(reach: Values, shape: Shape) -> Values:
    """Return height in km against the plain, by distance from the middle in crater radii.

    A bowl, or a flat floor with terraced walls and a central peak; a rim; a blanket that falls
    as the cube of the distance (McGetchin et al. 1973, EPSL 20, 226).
    """
    inside = hollow_height(np.minimum(reach, np.float32(1.0)), shape)
    return np.asarray(np.where(reach < 1.0, inside, blanket(reach, shape)), np.float32)


def hollow_height(inner: Values, shape: Shape) -> Values:
    """Return the height within the rim, up to 1 radius."""
    climb = inner * inner
    if shape.complex_.any():
        wall = np.clip((inner - shape.floor) / (1.0 - shape.floor), 0.0, 1.0)
        steep = wall * (0.35 + 0.65 * wall)
        steps = steep + shape.terrace * np.sin(wall * np.float32(6.0 * math.pi)) * (1.0 - wall)
        climb = np.where(shape.complex_, steps, climb)
    inside = shape.bottom + (shape.rim - shape.bottom) * climb
    if shape.peak.any():
        inside = inside + shape.peak * np.exp(-((inner / np.float32(0.14)) ** 2))
    return np.asarray(inside)


def blanket(reach: Values, shape: Shape) -> Values:
    """Return the height from the rim outwards."""
    outer = np.clip(reach, np.float32(1.0), np.float32(BLANKET))
    fall = (1.0 / (outer * outer * outer) - BLANKET**-3) / (1.0 - BLANKET**-3)
    return np.asarray(shape.rim * np.maximum(fall, 0.0))
