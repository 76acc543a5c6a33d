"""The Moon's broad face: maria, brightness, colour, rays and mountain arcs, drawn once and kept.

The map is an equal-area picture of the near side (Lambert's azimuthal projection around the mean
centre of the disc), so that texture keeps its size up to the limb.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.noise import Values, cloudy
from simview.scene.tables import records

# Mean radius, km. Source: IAU, Archinal et al. 2018.
MOON_KM: Final = 1737.4

# Side of the map in pixels; it spans REACH radii of the projection either way. The limb lies at
# 2 sin(45 deg) = 1.414; libration shows a little more.
SIDE: Final = 1200
REACH: Final = 1.60


@dataclass(frozen=True, slots=True, kw_only=True)
class BroadFace:
    """Maps of SIDE x SIDE pixels, row 0 at the north.

    Parameters
    ----------
    mare
        0 highland to 1 flooded plain.
    albedo
        Brightness against the mean highland.
    blueness
        Colour of the ground: above 0 bluer, below redder.
    height_km
        Broad heights: sunken maria, mountain arcs.
    """

    mare: Values
    albedo: Values
    blueness: Values
    height_km: Values


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


def place(x: Values, y: Values, z: Values) -> tuple[Values, Values]:
    """Return row and column on the map of points on the unit sphere."""
    stretch = np.sqrt(np.float32(2.0) / np.maximum(np.float32(1.0) + z, np.float32(0.05)))
    per_unit = np.float32(SIDE / (2.0 * REACH))
    middle = np.float32(0.5 * SIDE - 0.5)
    return middle - y * stretch * per_unit, middle + x * stretch * per_unit


@lru_cache(maxsize=1)
def _grid() -> tuple[Values, Values, Values]:
    """Return the map's pixels as points on the unit sphere."""
    axis = ((np.arange(SIDE) + 0.5) / SIDE * 2.0 - 1.0) * REACH
    u, v = axis[None, :].astype(np.float32), -axis[:, None].astype(np.float32)
    square = np.minimum(u**2 + v**2, np.float32(3.9))
    shrink = np.sqrt(1.0 - 0.25 * square)
    return u * shrink, v * shrink, np.asarray(1.0 - 0.5 * square, np.float32)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Window:
    """A part of the map around a place: its slices, and the ground there.

    `east` and `north` are km along the ground, `distance` km from the place.
    """

    here: tuple[slice, slice]
    east: Values
    north: Values
    distance: Values


def _window(latitude_deg: float, longitude_deg: float, reach_km: float) -> _Window:
    """Return the map within `reach_km` of a place (at least)."""
    middle = unit_vector(latitude_deg, longitude_deg)
    row, column = place(*(np.float32(v) for v in middle))  # type: ignore[arg-type]
    # Chords are stretched by up to sqrt 2 towards the limb.
    half = 1.5 * reach_km / MOON_KM * SIDE / (2.0 * REACH) + 3.0
    rows = slice(max(0, int(row - half)), min(SIDE, int(row + half) + 1))
    columns = slice(max(0, int(column - half)), min(SIDE, int(column + half) + 1))
    x, y, z = (plane[rows, columns] for plane in _grid())
    east = np.array([middle[2], 0.0, -middle[0]])
    east /= np.linalg.norm(east)
    north = np.cross(middle, east)

    def along(axis: NDArray[np.float64]) -> Values:
        a, b, c = (np.float32(v) for v in axis)
        return np.asarray(x * a + y * b + z * c, np.float32)

    distance = np.arccos(np.clip(along(middle), -1.0, 1.0)) * np.float32(MOON_KM)
    e, n = along(east), along(north)
    stretch = distance / np.maximum(np.hypot(e, n), np.float32(1e-6))
    return _Window(here=(rows, columns), east=e * stretch, north=n * stretch, distance=distance)


def _smooth(values: Values) -> Values:
    held = np.clip(values, 0.0, 1.0)
    return np.asarray(held * held * (3.0 - 2.0 * held), np.float32)


@lru_cache(maxsize=1)
def broad_face() -> BroadFace:
    """Return the maps of the near side."""
    rng = np.random.default_rng([3, 1])
    shape = (SIDE, SIDE)
    broad = cloudy(shape, rng, longest=110.0, finest=12.0, slope=2.0)
    fine = cloudy(shape, rng, longest=30.0, finest=2.0, slope=1.25)
    level, dark = _maria()
    mare = _smooth((level + 0.15 * broad + 0.07 * fine) / 0.2 + 0.5)
    patchy = cloudy(shape, rng, longest=300.0, finest=20.0, slope=1.7)
    highland = 1.0 + 0.085 * fine + 0.07 * patchy
    plain = 0.545 - 0.16 * (dark - 1.0) + 0.028 * fine + 0.05 * broad * patchy
    albedo = highland * (1.0 - mare) + plain * mare
    bright = _rays(rng, fine)
    albedo += bright * (1.0 - 0.15 * mare)
    blueness = 0.035 * mare * (dark - 0.98) * 3.0 + 0.008 * mare * patchy
    height = -1.3 * _smooth((level + 0.12 * broad) / 0.55 + 0.5) + _arcs(rng, broad) * (
        1.0 - 0.85 * mare
    )
    return BroadFace(
        mare=mare,
        albedo=np.asarray(albedo, np.float32),
        blueness=np.asarray(blueness, np.float32),
        height_km=np.asarray(height, np.float32),
    )


@lru_cache(maxsize=1)
def stacked_face() -> Values:
    """Return mare, albedo, blueness, height as (SIDE, SIDE, 4), for one lookup."""
    face = broad_face()
    return np.stack([face.mare, face.albedo, face.blueness, face.height_km], axis=-1)


def _maria() -> tuple[Values, Values]:
    """Return how far inside a plain each pixel lies (0 at its shore) and how dark it would be."""
    inside = np.full((SIDE, SIDE), np.exp(-9.0), np.float32)
    weight = np.full((SIDE, SIDE), 1e-3, np.float32)
    dark = np.full((SIDE, SIDE), 1e-3, np.float32)
    for row in records("moon_maria.csv"):
        wide, high = float(row["half_east_km"]), float(row["half_north_km"])
        at = _window(float(row["latitude_deg"]), float(row["longitude_deg"]), 2.0 * max(wide, high))
        square = (at.east / wide) ** 2 + (at.north / high) ** 2
        depth = (1.0 - np.sqrt(square)) * min(wide, high) / 240.0
        inside[at.here] += np.exp(9.0 * np.maximum(depth, -1.0)) - np.exp(-9.0)
        near = np.exp(-(square**2))
        weight[at.here] += near
        dark[at.here] += near * float(row["dark"])
    level = np.log(inside) / 9.0
    for row in records("moon_craters.csv"):
        if row["dark"] == "1":
            radius = 0.5 * float(row["diameter_km"])
            at = _window(float(row["latitude_deg"]), float(row["longitude_deg"]), 1.2 * radius)
            floor = np.clip((0.72 - at.distance / radius) * 2.5, -1.0, 0.6)
            level[at.here] = np.maximum(level[at.here], floor)
    return level, np.asarray(dark / weight, np.float32)


def _rays(rng: np.random.Generator, fine: Values) -> Values:
    """Return the added brightness of bright young craters: halo and streaks."""
    bright = np.zeros((SIDE, SIDE), np.float32)
    patches = np.clip(0.8 + 0.35 * fine, 0.1, 1.7)
    for row in records("moon_craters.csv"):
        reach = float(row["rays"])
        if reach <= 0.0:
            continue
        radius = 0.5 * float(row["diameter_km"])
        at = _window(
            float(row["latitude_deg"]), float(row["longitude_deg"]), 1.8 * reach * radius + 40.0
        )
        away = at.distance / np.float32(radius)
        streaks = _streaks(rng, np.arctan2(at.east, at.north), away, reach)
        halo = 0.62 * np.exp(-((away / 1.7) ** 2)) + 0.22 * np.exp(-away / (0.24 * reach))
        collar = 1.0 - 0.55 * np.exp(-(((away - 1.35) / 0.35) ** 2))
        bright[at.here] += halo * collar + streaks * patches[at.here]
    for _ in range(1300):
        _speckle(bright, rng)
    return np.minimum(bright, np.float32(0.85))


def _speckle(bright: Values, rng: np.random.Generator) -> None:
    """Add one small bright young crater's halo."""
    row, column = rng.integers(4, SIDE - 5, 2)
    size = 0.55 * rng.pareto(1.6) + 0.6
    half = 4
    square = (np.arange(-half, half + 1)[:, None] ** 2 + np.arange(-half, half + 1) ** 2) / min(
        size, 2.2
    ) ** 2
    bright[row - half : row + half + 1, column - half : column + half + 1] += (
        rng.uniform(0.05, 0.28) * np.exp(-square)
    ).astype(np.float32)


def _streaks(rng: np.random.Generator, azimuth: Values, away: Values, reach: float) -> Values:
    """Return narrow rays of unequal length and strength around a crater."""
    bins = 1440
    angle = np.arange(bins) * (2.0 * math.pi / bins)
    strength, length = np.zeros(bins), np.full(bins, 0.3 * reach)
    for _ in range(int(rng.integers(13, 22))):
        off = np.abs(
            (angle - rng.uniform(0.0, 2.0 * math.pi) + math.pi) % (2.0 * math.pi) - math.pi
        )
        narrow = np.exp(-((off / rng.uniform(0.02, 0.09)) ** 2))
        strength += rng.uniform(0.1, 0.42) * narrow
        length = np.maximum(length, reach * rng.uniform(0.45, 1.0) * (narrow > 0.02))
    place_ = ((azimuth / np.float32(2.0 * math.pi)) * bins).astype(np.int32) % bins
    fade = np.exp(-((away / length.astype(np.float32)[place_]) ** 2))
    start = np.clip((away - 1.0) / 2.0, 0.0, 1.0)
    return np.asarray(strength.astype(np.float32)[place_] * fade * start, np.float32)


def _arcs(rng: np.random.Generator, wander: Values) -> Values:
    """Return the mountain arcs' heights in km."""
    height = np.zeros((SIDE, SIDE), np.float32)
    rough = cloudy((SIDE, SIDE), rng, longest=20.0, finest=2.0, slope=1.2)
    for row in records("moon_arcs.csv"):
        radius, width = float(row["radius_km"]), float(row["width_km"])
        at = _window(float(row["latitude_deg"]), float(row["longitude_deg"]), radius + 3.0 * width)
        azimuth = np.degrees(np.arctan2(at.east, at.north))
        start, end = float(row["from_deg"]), float(row["to_deg"])
        half = 0.5 * (end - start)
        off = np.abs((azimuth - (start + half) + 180.0) % 360.0 - 180.0)
        along = _smooth((half - off) / 8.0 + 0.5) if end - start < 360.0 else np.float32(1.0)
        across = (at.distance + 0.25 * width * wander[at.here] - radius) / width
        # Steep towards the basin, gentle away from it.
        crest = np.exp(-((across / np.where(across < 0.0, 0.35, 1.0)) ** 2))
        jagged = np.clip(0.62 + 0.42 * rough[at.here], 0.05, 1.8)
        height[at.here] += float(row["height_km"]) * along * crest * jagged
    return height
