"""The Moon as it is lit: geometry of a frame, height field, shadows, brightness."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.crater_relief import press
from simview.scene.craters import BLANKET, NO_CRATERS, Craters, random_craters
from simview.scene.moon_map import (
    HEIGHT_KM,
    MOON_KM,
    Face,
    brightness_at,
    face_at,
    height_km_at,
    hues_at,
    plain_at,
)
from simview.scene.moon_pits import sharpen
from simview.scene.moon_rilles import cut
from simview.scene.moon_young import DIAMETERS_KM
from simview.scene.noise import Values, lookup, slices
from simview.scene.planet_colours import MOON_AGAINST_SUNLIGHT
from simview.scene.sunlit_terrain import gradient, higher_part, open_to_light, sun_softness

# Smallest crater that is drawn one by one, in points of the grid across; smaller ones are in the
# roughness.
_SMALLEST_POINTS: Final = 3.0

# Largest crater that is invented, km: from a pixel of the map of heights on, the craters are
# the measured ones.
_LARGEST_KM: Final = HEIGHT_KM

# How many craters have fallen since the lavas, of those that old highland holds: 1.0e-3 a km2
# between 1.3 and 1.9 km (`moon_young.per_km2`) of 0.014 (`craters.DENSITY`).
_SINCE: Final = 0.07

# How deep in the picture lies what is beyond the limb, radii; the second where it is so many points
# away that nothing is read from there which a pixel of the limb shows.
_BEYOND: Final = (-9.0, -9.0001)
_LIMB_POINTS: Final = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MoonFrame:
    """How the Moon stands in the picture and where the light comes from.

    Parameters
    ----------
    diameter_arcsec
        Of the whole disc.
    phase_deg
        Angle Sun - Moon - Earth: 0 full, 180 new.
    sun_angle_deg
        Position angle of the middle of the lit limb: 270 waxing, 90 waning.
    libration_deg
        (latitude, longitude) of the point of the Moon that faces us.
    axis_deg
        Position angle of the Moon's north pole.
    seed
        Which invented small craters.
    """

    diameter_arcsec: float
    phase_deg: float
    sun_angle_deg: float = 270.0
    libration_deg: tuple[float, float] = (0.0, 0.0)
    axis_deg: float = 0.0
    seed: int = 3

    @property
    def radius(self) -> float:
        """Radius in arcsec."""
        return 0.5 * self.diameter_arcsec

    def sun(self) -> tuple[float, float, float]:
        """Return the unit vector to the Sun: right, up, towards us."""
        phase, angle = math.radians(self.phase_deg), math.radians(self.sun_angle_deg)
        return (
            -math.sin(phase) * math.sin(angle),
            math.sin(phase) * math.cos(angle),
            math.cos(phase),
        )

    def matrix(self) -> NDArray[np.float64]:
        """Return the rotation from the Moon's own (right, up, ahead) to the picture's."""
        lat, lon = (math.radians(v) for v in self.libration_deg)
        axis = math.radians(self.axis_deg)
        by_lon = np.array(
            [
                [math.cos(lon), 0.0, -math.sin(lon)],
                [0.0, 1.0, 0.0],
                [math.sin(lon), 0.0, math.cos(lon)],
            ]
        )
        by_lat = np.array(
            [
                [1.0, 0.0, 0.0],
                [0.0, math.cos(lat), -math.sin(lat)],
                [0.0, math.sin(lat), math.cos(lat)],
            ]
        )
        by_axis = np.array(
            [
                [math.cos(axis), -math.sin(axis), 0.0],
                [math.sin(axis), math.cos(axis), 0.0],
                [0.0, 0.0, 1.0],
            ]
        )
        return np.asarray(by_axis @ by_lat @ by_lon)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """The grid's points on the unit sphere, (1, nx), (ny, 1), (ny, nx), and their heights."""

    right: Values
    up: Values
    ahead: Values
    height_km: Values


def shine(
    frame: MoonFrame, x: Values, y: Values, cell_arcsec: float, *, detail: bool = True
) -> Values:
    """Return the Moon's brightness (3, ny, nx), in units where a full-lit highland is about 1.

    Parameters
    ----------
    x, y
        (1, nx) and (ny, 1), arcsec right and up from the disc's middle, evenly spaced, x
        ascending and y descending.
    cell_arcsec
        Their spacing.
    detail
        False leaves the ground smooth.
    """
    right, up = (np.asarray(v / np.float32(frame.radius), np.float32) for v in (x, y))
    own = _own(frame.matrix(), right, up, _ahead(right, up))
    hues = hues_at(own[0], own[1], own[2])
    return coloured(glow(frame, x, y, cell_arcsec, detail=detail), *hues)


def glow(
    frame: MoonFrame, x: Values, y: Values, cell_arcsec: float, *, detail: bool = True
) -> Values:
    """Return the Moon's brightness in green alone, (ny, nx).

    Parameters
    ----------
    x, y, cell_arcsec, detail
        As for `shine`.
    """
    ground = _ground(frame, x, y, cell_arcsec, detail)
    step = cell_arcsec / frame.radius
    shaded = detail and frame.phase_deg > 2.0
    open_sky = _shadows(ground, frame, cell_arcsec) if shaded else None
    bright = np.empty(ground.ahead.shape, np.float32)
    for rows in slices(bright.shape):
        lit, seen = _normals(ground, rows, frame.sun(), step)
        if open_sky is None:
            light = _lunar(lit, seen, frame.phase_deg)
        else:
            lit += higher_part(open_sky[rows])
            light = _lunar(lit, seen, frame.phase_deg)
            light *= open_sky[rows]
        up, ahead = ground.up[rows], ground.ahead[rows]
        light *= brightness_at(*_own(frame.matrix(), ground.right, up, ahead))
        np.multiply(light, _cover(ground.right, up, step), out=bright[rows])
    return bright


def _cover(right: Values, up: Values, step: float) -> Values:
    """Return how much of each point's own area the disc covers."""
    away = np.sqrt(right**2 + up**2)
    away -= np.float32(1.0)
    away *= np.float32(-1.0 / step)
    away += np.float32(0.5)
    return np.clip(away, np.float32(0.0), np.float32(1.0), out=away)


def coloured(bright: Values, red: Values, blue: Values) -> Values:
    """Return brightness in green as the primaries that ground of this colour gives in sunlight."""
    more_red, _, more_blue = (np.float32(value) for value in MOON_AGAINST_SUNLIGHT)
    return np.stack([bright * (more_red * red), bright, bright * (more_blue * blue)])


def face_of(frame: MoonFrame, right: Values, up: Values) -> Face:
    """Return the ground's face at places of the picture, in units of the disc's radius."""
    return face_at(*_own(frame.matrix(), right, up, _ahead(right, up)))


def _own(turn: NDArray[np.float64], right: Values, up: Values, ahead: Values) -> list[Values]:
    """Return places of the picture in the Moon's own frame, in arrays that go together."""
    found = []
    for column in turn.T.astype(np.float32):
        parts = [
            share * place
            for share, place in zip(column, (right, up, ahead), strict=True)
            if share != 0.0
        ]
        found.append(sum(parts[1:], start=parts[0]))
    return found


def _ground(frame: MoonFrame, x: Values, y: Values, cell_arcsec: float, detail: bool) -> _Ground:
    right = (x / np.float32(frame.radius)).astype(np.float32)
    up = (y / np.float32(frame.radius)).astype(np.float32)
    ahead = _ahead(right, up)
    height = np.zeros(ahead.shape, np.float32)
    if detail:
        turn, cell_km = frame.matrix(), cell_arcsec / frame.radius * MOON_KM
        own = _own(turn, right, up, ahead)
        height = height_km_at(own[0], own[1], own[2], cell_km)
        craters = _craters_in(frame, turn, (right, up, ahead), cell_km)
        press(height, craters, (right, up, ahead), cell_km)
        cut(height, turn, (right, up, ahead), cell_km)
        sharpen(height, turn, (right, up, ahead), cell_km)
    return _Ground(right=right, up=up, ahead=ahead, height_km=height)


def _ahead(right: Values, up: Values) -> Values:
    """Return how far towards us the ground lies at places of the picture, radii."""
    ahead = right**2 + up**2
    np.subtract(np.float32(1.0), ahead, out=ahead)
    np.maximum(ahead, np.float32(1e-4), out=ahead)
    return np.sqrt(ahead, out=ahead)


def _craters_in(
    frame: MoonFrame,
    turn: NDArray[np.float64],
    grid: tuple[Values, Values, Values],
    cell_km: float,
) -> Craters:
    """Return the invented craters that touch the grid, in the picture's frame."""
    smallest = _SMALLEST_POINTS * cell_km
    if smallest >= _LARGEST_KM:
        return NO_CRATERS
    middle, reach_deg = _reach(grid)
    small = random_craters(
        frame.seed, smallest, middle=turn.T @ middle, reach_deg=reach_deg, largest_km=_LARGEST_KM
    )
    small = _survivors(small.kept(_touching(small, turn, grid)))
    return replace(small, centre=small.centre @ turn.T)


def _reach(grid: tuple[Values, Values, Values]) -> tuple[NDArray[np.float64], float]:
    """Return the middle of the grid's ground and how far its ground reaches, deg."""
    right, up, ahead = grid
    rows = np.linspace(0, ahead.shape[0] - 1, 15).astype(int)
    columns = np.linspace(0, ahead.shape[1] - 1, 15).astype(int)
    x, y = np.meshgrid(right[0, columns].astype(float), up[rows, 0].astype(float))
    long = np.maximum(np.hypot(x, y), 1e-9)
    short = np.minimum(1.0, 0.9999 / long)
    x, y = x * short, y * short
    points = np.stack([x, y, np.sqrt(1.0 - x**2 - y**2)], axis=-1).reshape(-1, 3)
    middle = points.mean(axis=0)
    middle /= np.linalg.norm(middle)
    apart = np.degrees(np.arccos(np.clip(points @ middle, -1.0, 1.0)))
    return middle, float(apart.max()) * 1.1 + 2.0


def _touching(
    craters: Craters, turn: NDArray[np.float64], grid: tuple[Values, Values, Values]
) -> NDArray[np.bool_]:
    """Return which craters, with their blankets, reach into the grid."""
    right, up, _ = grid
    x, y, z = (craters.centre @ turn.T).T
    wide = BLANKET * 0.5 * craters.diameter_km / MOON_KM
    across = (x > float(right[0, 0]) - wide) & (x < float(right[0, -1]) + wide)
    along = (y < float(up[0, 0]) + wide) & (y > float(up[-1, 0]) - wide)
    return np.asarray(across & along & (z > -0.05))


def _survivors(small: Craters) -> Craters:
    """Drop invented craters that lava has wiped out."""
    x, y, z = (small.centre[:, k].astype(np.float32) for k in range(3))
    plain = plain_at(x, y, z)
    # By one number each, fixed by its place, so that a closer look changes nobody's fate.
    chance = np.modf(np.abs(np.sin(small.centre @ [91.7, 47.3, 13.1])) * 4375.8)[0]
    # Those that fell since: the smaller ones lie all over the ground already.
    since = np.where(small.diameter_km < DIAMETERS_KM[-1], 0.0, _SINCE)
    return small.kept(chance > (1.0 - since) * plain)


def _normals(
    ground: _Ground, rows: slice, sun: tuple[float, float, float], step: float
) -> tuple[Values, Values]:
    """Return cosines of the Sun's and our zenith angle on the sloping ground of some rows."""
    first = max(rows.start - 1, 0)
    inner = slice(rows.start - first, rows.stop - first)
    height = ground.height_km[first : rows.stop + 1] / np.float32(MOON_KM)
    over, rise = (slope[inner] for slope in gradient(height, step))
    x, y, z = ground.right, ground.up[rows], ground.ahead[rows]
    inward = over * x
    inward += rise * y
    nx, ny, nz = x - over, y - rise, z + inward * z
    nx += inward * x
    ny += inward * y
    long = nx**2 + ny**2 + nz**2
    np.divide(np.float32(1.0), np.sqrt(long, out=long), out=long)
    lit = nx * np.float32(sun[0]) + ny * np.float32(sun[1]) + nz * np.float32(sun[2])
    lit *= long
    nz *= long
    return lit, np.maximum(nz, np.float32(0.02), out=nz)


def _lunar(lit: Values, seen: Values, phase_deg: float) -> Values:
    """Return brightness by the lunar-Lambert law.

    Source: McEwen 1996, Lunar Planet. Sci. 27, 841: L = 1 - 0.019 a + 2.42e-4 a^2 - 1.46e-6 a^3
    (memory).
    """
    a = min(phase_deg, 120.0)
    share = min(1.0, max(0.0, 1.0 - 0.019 * a + 2.42e-4 * a**2 - 1.46e-6 * a**3))
    day = np.maximum(lit, np.float32(0.0))
    return np.asarray(2.0 * share * day / (day + seen) + (1.0 - share) * day, np.float32)


def _shadows(ground: _Ground, frame: MoonFrame, cell_arcsec: float) -> Values:
    """Return the share of sunlight that reaches each point past all others."""
    sun = frame.sun()
    aside = math.hypot(sun[0], sun[1])
    step = cell_arcsec / frame.radius
    surface = ground.height_km / np.float32(MOON_KM)
    surface += np.float32(1.0)
    surface *= ground.ahead
    # Beyond the limb there is nothing that could stand in the light.
    square = ground.right**2 + ground.up**2
    np.copyto(surface, _BEYOND[0], where=square > 1.0)
    np.copyto(surface, _BEYOND[1], where=square > (1.0 + _LIMB_POINTS * step) ** 2)
    slope = sun[2] / aside
    angle = math.atan2(sun[1], sun[0])
    if abs(math.sin(angle)) < 0.01:
        forward = slice(None, None, 1 if sun[0] > 0.0 else -1)
        return _open_sky(surface[:, forward], step, slope)[:, forward]
    turned = _rotated(surface, angle, None)
    return _rotated(_open_sky(turned, step, slope), -angle, surface.shape)


def _open_sky(surface: Values, step: float, slope: float) -> Values:
    lowest = 0.5 * sum(_BEYOND)
    return open_to_light(surface, step, slope, sun_softness(slope), nothing_below=lowest)


def _rotated(field: Values, angle: float, shape: tuple[int, ...] | None) -> Values:
    """Return a field turned so that the direction `angle` (from right, upwards) points right."""
    ny, nx = field.shape
    if shape is None:
        side = math.ceil(math.hypot(ny, nx))
        shape = (side, side)
    across = np.arange(shape[1], dtype=np.float32)[None, :] - np.float32(0.5 * (shape[1] - 1))
    up = np.float32(0.5 * (shape[0] - 1)) - np.arange(shape[0], dtype=np.float32)[:, None]
    cos, sin = np.float32(math.cos(angle)), np.float32(math.sin(angle))
    column = across * cos - up * sin + np.float32(0.5 * (nx - 1))
    row = np.float32(0.5 * (ny - 1)) - (across * sin + up * cos)
    held = np.clip(column, 0.0, np.float32(nx - 1.001))
    return lookup(field[..., None], row, held)[..., 0]
