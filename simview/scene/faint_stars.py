"""Stars fainter than the catalogue, supplied by the count: how many, how bright, where.

The real catalogue sets how crowded a place is; published star counts set how the crowd grows with
magnitude. Places are drawn from a seed tile by tile, so that a field keeps its stars however it is
looked at. They are no real stars, and captions say so.
"""

from __future__ import annotations

import math
from functools import lru_cache, partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import Memory
from simview.scene.scene import Stars
from simview.scene.star_catalogue import FAINTEST_V, project, separation_deg, zone
from simview.scene.star_colour import temperature_of_bv
from simview.units import ARCSEC_PER_RADIAN

# Faintest stars that are supplied, V; beyond the reach of a 300 mm telescope's eye.
DEEPEST_V: Final = 15.5

# Most stars that a frame is given; wide frames go less deep.
MOST_STARS: Final = 20_000

# Side of the tiles, deg.
_TILE_DEG: Final = 2

# Width of the magnitude steps that are drawn one by one.
_STEP: Final = 0.5

# Radius around a place within which the catalogue's stars are counted, deg.
_COUNTED_DEG: Final = 4.0

NOTE: Final = "Fainter stars: invented, by published counts (Allen 1973)."

# Rotation from J2000 equatorial to galactic. Source: Hipparcos Catalogue, ESA SP-1200, vol. 1,
# sec. 1.5.3.
_GALACTIC: Final = np.array(
    [
        [-0.0548755604, -0.8734370902, -0.4838350155],
        [0.4941094279, -0.4448296300, 0.7469822445],
        [-0.8676661490, -0.1980763734, 0.4559837762],
    ]
)


def galactic(ra_deg: float, dec_deg: float) -> tuple[float, float]:
    """Return galactic longitude and latitude in deg.

    Checked by: tests/truth/test_faint_stars.py (against astropy).
    """
    ra, dec = math.radians(ra_deg), math.radians(dec_deg)
    place = np.array([math.cos(dec) * math.cos(ra), math.cos(dec) * math.sin(ra), math.sin(dec)])
    x, y, z = _GALACTIC @ place
    return math.degrees(math.atan2(y, x)) % 360.0, math.degrees(math.asin(max(-1.0, min(1.0, z))))


def growth(magnitude: float, latitude_deg: float) -> float:
    """Return how many times more stars there are to a V magnitude than to V = 10.5.

    The logarithm's slope falls from 0.38 per magnitude at 10.5 to 0.255 at 15.5 towards the
    galactic poles, from 0.46 to 0.34 in the plane.

    Source: star numbers of Allen 1973, Astrophysical Quantities, 3rd ed., sec. 117, summed up in
    two slopes (memory); at 10.5 the slopes are those of the catalogue's own counts.
    Checked by: tests/truth/test_faint_stars.py (whole-sky totals, growth, no step at the limit).
    """
    up = math.sin(math.radians(abs(latitude_deg)))
    slope, bend = 0.46 - 0.08 * up, 0.024 + 0.001 * up
    beyond = magnitude - FAINTEST_V
    return float(10.0 ** (slope * beyond - 0.5 * bend * beyond**2))


@lru_cache(maxsize=512)
def _crowding(band: int, tile: int) -> float:
    """Return how many catalogue stars a square degree holds around a tile."""
    ra, dec = _tile_centre(band, tile)
    rows = zone(ra, dec, _COUNTED_DEG)
    scale = 360.0 / 2.0**32
    apart = separation_deg(rows["ra"] * scale, rows["dec"] * scale, (ra, dec))
    area = 2.0 * math.pi * (1.0 - math.cos(math.radians(_COUNTED_DEG))) * (180.0 / math.pi) ** 2
    return float((apart <= _COUNTED_DEG).sum()) / area


def _tiles_around(band: int) -> int:
    latitude = math.radians(-90.0 + (band + 0.5) * _TILE_DEG)
    return max(1, round(360.0 / _TILE_DEG * math.cos(latitude)))


def _tile_centre(band: int, tile: int) -> tuple[float, float]:
    return (tile + 0.5) * 360.0 / _tiles_around(band), -90.0 + (band + 0.5) * _TILE_DEG


def _tiles(centre: tuple[float, float], radius_deg: float) -> list[tuple[int, int]]:
    """Return the tiles (band from the south, number around) that a circle may touch."""
    found = []
    wide = radius_deg + 0.75 * _TILE_DEG
    first = max(0, math.floor((centre[1] - wide + 90.0) / _TILE_DEG))
    last = min(180 // _TILE_DEG - 1, math.floor((centre[1] + wide + 90.0) / _TILE_DEG))
    for band in range(first, last + 1):
        count = _tiles_around(band)
        along = (np.arange(count) + 0.5) * 360.0 / count
        up = np.full(count, -90.0 + (band + 0.5) * _TILE_DEG)
        near = separation_deg(along, up, centre) <= wide
        found += [(band, int(tile)) for tile in np.flatnonzero(near)]
    return found


# Bytes of tiles that are held: those of a page of small fields, or of one that is not very wide.
_HELD: Final = 8_000_000
_drawn: Final[Memory[tuple[NDArray[np.float64], ...]]] = Memory(
    _HELD, lambda columns: sum(column.nbytes for column in columns)
)


def _tile_stars(band: int, tile: int, deepest: float, seed: int) -> tuple[NDArray[np.float64], ...]:
    """Draw one tile's stars down to a magnitude: ra, dec (deg), V, B-V."""
    ra0, dec0 = _tile_centre(band, tile)
    _, latitude = galactic(ra0, dec0)
    here = _crowding(band, tile)
    south, north = (math.sin(math.radians(-90.0 + (band + k) * _TILE_DEG)) for k in (0, 1))
    around = _tiles_around(band)
    area = 360.0 / around * (north - south) * 180.0 / math.pi
    columns: list[NDArray[np.float64]] = []
    step = 0
    while FAINTEST_V + step * _STEP < deepest - 1e-9:
        low = FAINTEST_V + step * _STEP
        rng = np.random.default_rng([seed, band, tile, step])
        brighter, fainter = (growth(m, latitude) for m in (low, low + _STEP))
        count = int(rng.poisson(here * area * (fainter - brighter)))
        dec = np.degrees(np.arcsin(rng.uniform(south, north, count)))
        ra = (tile + rng.random(count)) * 360.0 / around
        # Within half a magnitude the count grows as a power.
        power = math.log(fainter / brighter)
        share = np.log1p(rng.random(count) * math.expm1(power)) / power
        bv = np.clip(rng.normal(0.72, 0.33, count), -0.1, 1.8)
        columns.append(np.array([ra, dec, low + _STEP * share, bv]))
        step += 1
    every = np.concatenate(columns, axis=1) if columns else np.zeros((4, 0))
    kept = every[:, every[2] <= deepest]
    return tuple(kept)


def reachable_v(centre: tuple[float, float], half_width_arcsec: float) -> float:
    """Return the faintest V that a square frame is given, so that it holds MOST_STARS at most."""
    area = (2.0 * half_width_arcsec / 3600.0) ** 2
    _, latitude = galactic(*centre)
    band = min(180 // _TILE_DEG - 1, int((centre[1] + 90.0) / _TILE_DEG))
    tile = int(centre[0] % 360.0 / 360.0 * _tiles_around(band))
    here = _crowding(band, tile)
    deepest = DEEPEST_V
    while deepest > FAINTEST_V:
        if here * area * growth(deepest, latitude) <= MOST_STARS:
            break
        deepest -= _STEP
    return deepest


def faint_stars_in(
    ra_deg: float, dec_deg: float, *, half_width_arcsec: float, seed: int = 1
) -> Stars:
    """Return invented stars fainter than the catalogue in a square around a place.

    Parameters
    ----------
    ra_deg, dec_deg
        J2000.
    half_width_arcsec
        Half the side of the square on the sky's plane.
    seed
        Which ones.
    """
    centre = (ra_deg % 360.0, dec_deg)
    deepest = reachable_v(centre, half_width_arcsec)
    radius = math.degrees(math.atan(math.sqrt(2.0) * half_width_arcsec / ARCSEC_PER_RADIAN))
    lots = [
        _drawn.get((*tile, deepest, seed), partial(_tile_stars, *tile, deepest, seed))
        for tile in _tiles(centre, radius)
    ]
    ra, dec, magnitude, bv = (np.concatenate([lot[k] for lot in lots]) for k in range(4))
    x, y, front = project(ra, dec, centre)
    inside = front & (np.abs(x) <= half_width_arcsec) & (np.abs(y) <= half_width_arcsec)
    return Stars(
        x_arcsec=x[inside],
        y_arcsec=y[inside],
        magnitude=magnitude[inside],
        temperature_k=temperature_of_bv(bv[inside]),
    )
