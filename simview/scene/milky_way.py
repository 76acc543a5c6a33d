"""The Milky Way between the stars: the light of those fainter than a frame's list.

How much it is comes from how many stars the catalogue holds around each place, and from how their
number grows with magnitude (`faint_stars`). Towards the galactic poles it is part of the sky's own
glow, as that is measured there; only what a place has more is laid over a frame.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.faint_stars import galactic, growth
from simview.scene.noise import Values
from simview.scene.scene import Scene
from simview.scene.star_catalogue import FAINTEST_V, separation_deg, zone
from simview.scene.star_colour import rgb_of_temperature
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

# Stars fainter than this send nothing that counts: in the plane the light of a magnitude has fallen
# to a fifth of its most.
_FAINTEST_V: Final = 21.0
_STEP: Final = 0.25

# Standard deviation of the Gaussian under which the catalogue's stars are counted, deg: some 100 of
# them at high latitudes, 400 in the plane, so that chance makes a few per cent.
_SMOOTH_DEG: Final = 1.0

_REACH_DEG: Final = 3.0 * _SMOOTH_DEG

# Frames up to so wide, deg, look up the catalogue once for all the places where stars are counted.
_ONCE_DEG: Final = 10.0

# Catalogue stars in a square degree at the galactic poles: counted at 75 deg of latitude.
POLE_DENSITY: Final = 6.0

# Least spacing of the places where they are counted, deg, and the most of them along a side.
_SPACING_DEG: Final = 0.7
_MOST_NODES: Final = 9

# Colour temperature of that light, K: B-V 0.8 (Mattila 1980, A&A Suppl. 39, 53; memory).
_COLOUR_K: Final = 5200.0


def unlisted_lux_per_deg2(density: float, latitude_deg: float, deepest_v: float) -> float:
    """Return the light of all stars fainter than a V magnitude, lux from a square degree.

    Parameters
    ----------
    density
        Stars brighter than V 10.5 in a square degree.
    latitude_deg
        Galactic.

    Notes
    -----
    Checked by: tests/truth/test_milky_way.py
    """
    return density * _unlisted(round(latitude_deg, 1), round(deepest_v, 2))


@lru_cache(maxsize=4096)
def _unlisted(latitude_deg: float, deepest_v: float) -> float:
    edges = np.arange(max(deepest_v, FAINTEST_V), _FAINTEST_V + 0.5 * _STEP, _STEP)
    counts = np.diff([growth(float(m), latitude_deg) for m in edges])
    return float((counts * illuminance_lux(0.5 * (edges[1:] + edges[:-1]))).sum())


def crowding(ra_deg: float, dec_deg: float, around: NDArray[Any] | None = None) -> float:
    """Return how many catalogue stars a square degree holds, under a Gaussian of 1 deg.

    `around` holds the catalogue's rows within 3 deg of the place, among others; found if not given.
    """
    rows = zone(ra_deg, dec_deg, _REACH_DEG) if around is None else around
    scale = 360.0 / 2.0**32
    apart = separation_deg(rows["ra"] * scale, rows["dec"] * scale, (ra_deg, dec_deg))
    weights = np.exp(-0.5 * (apart / _SMOOTH_DEG) ** 2) * (apart < _REACH_DEG)
    return float(weights.sum()) / (2.0 * math.pi * _SMOOTH_DEG**2 * (1.0 - math.exp(-4.5)))


def starlight(scene: Scene) -> Values | None:
    """Return (3, ny, nx) the light of stars not in a frame's list; None where there is none.

    It is even over half a degree and more.

    Checked by: tests/truth/test_milky_way.py
    """
    if scene.field is None:
        return None
    light = _over(scene, *scene.field)
    if not light.any():
        return None
    return rgb_of_temperature(_COLOUR_K).astype(np.float32)[:, None, None] * light


def starlit(scene: Scene, light: Values | None = None) -> Scene:
    """Return a frame of the sky with its `starlight`, found here if not given; others as they are.

    Checked by: tests/truth/test_milky_way.py
    """
    light = starlight(scene) if light is None else light
    if light is None:
        return scene
    return replace(scene, planes=np.asarray(scene.planes + light, np.float32))


def _over(scene: Scene, centre: tuple[float, float], deepest_v: float) -> Values:
    """Return (ny, nx) luminance, cd/m2."""
    ny, nx = scene.planes.shape[1:]
    half = 0.5 * max(ny, nx) * scene.pixel_arcsec
    count = min(_MOST_NODES, max(2, math.ceil(2.0 * half / 3600.0 / _SPACING_DEG) + 1))
    nodes = _nodes(centre, half, count, deepest_v)
    along = np.linspace(-half, half, count)
    up = (ny // 2 - np.arange(ny)) * scene.pixel_arcsec
    right = (np.arange(nx) - nx // 2) * scene.pixel_arcsec
    return np.asarray(_hats(up, along) @ nodes @ _hats(right, along).T, np.float32)


@lru_cache(maxsize=128)
def _nodes(
    centre: tuple[float, float], half: float, count: int, deepest_v: float
) -> NDArray[np.float64]:
    """Return (count, count) luminances over a frame so many arcsec wide each way."""
    along = np.linspace(-half, half, count)
    radius = math.degrees(math.atan(math.sqrt(2.0) * half / ARCSEC_PER_RADIAN)) + _REACH_DEG
    # A hundredth of a degree more: places are rounded.
    around = zone(*centre, radius + 0.01) if radius < _ONCE_DEG else None
    return np.array([[_here(centre, x, y, deepest_v, around) for x in along] for y in along])


def _hats(places: NDArray[np.float64], nodes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the weights (places, nodes) of linear interpolation."""
    step = nodes[1] - nodes[0]
    return np.asarray(np.maximum(1.0 - np.abs(places[:, None] - nodes) / step, 0.0))


def _here(
    centre: tuple[float, float], x: float, y: float, deepest_v: float, around: NDArray[Any] | None
) -> float:
    ra, dec = (round(angle, 2) for angle in _unprojected(centre, x, y))
    deepest = round(deepest_v, 2)
    _, latitude = galactic(ra, dec)
    light = unlisted_lux_per_deg2(crowding(ra, dec, around), latitude, deepest)
    light -= unlisted_lux_per_deg2(POLE_DENSITY, 90.0, deepest)
    return max(light, 0.0) * (180.0 / math.pi) ** 2


def _unprojected(centre: tuple[float, float], x: float, y: float) -> tuple[float, float]:
    """Return the place on the sky of a point of the frame (gnomonic, x to the west)."""
    east, north = -x / ARCSEC_PER_RADIAN, y / ARCSEC_PER_RADIAN
    dec0 = math.radians(centre[1])
    ahead = math.cos(dec0) - north * math.sin(dec0)
    ra = centre[0] + math.degrees(math.atan2(east, ahead))
    dec = math.atan2(math.sin(dec0) + north * math.cos(dec0), math.hypot(east, ahead))
    return ra % 360.0, math.degrees(dec)
