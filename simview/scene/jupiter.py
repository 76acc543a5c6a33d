"""Jupiter's cloud map: belts, zones, Great Red Spot, festoons, ovals.

Latitudes of belts and spots are the published ones; their shapes are drawn, from a seed.
Row 0 of the map is 90 deg planetographic north, column 0 is longitude 0; colours are reflectances
in linear sRGB.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.memory import remembered
from simview.scene.noise import Values, cloudy

Floats = NDArray[np.float64]

HEIGHT: Final = 1024
WIDTH: Final = 2048
_PER_DEGREE: Final = HEIGHT / 180.0

# Belts and zones from north to south: planetographic latitude of the northern edge, reflectance.
# Latitudes: jets that bound the belts, Rogers 1995, The Giant Planet Jupiter, ch. 3 (memory).
# Reflectances: plausible, after the contrasts of 10 to 30 % in Chanover et al. 1996, Icarus 121,
# 351 (memory).
_BANDS: Final = (
    (90.0, (0.400, 0.375, 0.345)),  # north polar region
    (66.0, (0.450, 0.420, 0.375)),
    (55.0, (0.505, 0.470, 0.410)),
    (47.5, (0.455, 0.415, 0.355)),
    (43.0, (0.590, 0.550, 0.470)),
    (39.5, (0.480, 0.430, 0.360)),  # north north temperate belt
    (35.5, (0.660, 0.620, 0.530)),  # north temperate zone
    (31.0, (0.520, 0.430, 0.330)),  # north temperate belt
    (25.5, (0.700, 0.665, 0.575)),  # north tropical zone
    (17.5, (0.400, 0.285, 0.190)),  # north equatorial belt
    (7.5, (0.735, 0.690, 0.580)),  # equatorial zone
    (0.8, (0.690, 0.640, 0.530)),  # equatorial band
    (-1.2, (0.740, 0.700, 0.595)),
    (-7.0, (0.450, 0.345, 0.250)),  # south equatorial belt, northern part
    (-12.0, (0.540, 0.445, 0.350)),  # its paler middle
    (-14.5, (0.430, 0.325, 0.235)),  # southern part
    (-20.5, (0.730, 0.695, 0.605)),  # south tropical zone
    (-27.5, (0.560, 0.490, 0.405)),  # south temperate belt
    (-31.0, (0.655, 0.615, 0.530)),  # south temperate zone
    (-36.5, (0.530, 0.480, 0.410)),  # south south temperate belt
    (-39.5, (0.590, 0.550, 0.475)),
    (-45.0, (0.490, 0.455, 0.400)),
    (-53.0, (0.450, 0.425, 0.380)),
    (-63.0, (0.395, 0.375, 0.350)),  # south polar region
)

# Great Red Spot: latitude (planetographic), half-lengths in longitude and latitude, deg.
# Source: Simon et al. 2018, AJ 155, 151: about 16 000 x 11 000 km, latitude -22.4 (memory).
SPOT_LATITUDE: Final = -22.4
_SPOT_HALF: Final = (6.6, 4.7)

# Longitudes of three large white ovals of the south temperate belt, deg. Invented; latitude and
# size are those of BC, DE, FA: Rogers 1995, ch. 12; Peek 1958, ch. 16 (memory).
_OVALS: Final = (136.0, 212.0, 318.0)

# Where this map has its Great Red Spot, deg of its own longitude. Invented.
SPOT_LONGITUDE: Final = 180.0


@remembered(2)
def cloud_map(seed: int = 5) -> Values:
    """Return the map, (HEIGHT, WIDTH, 3) float32 reflectance, read-only.

    Checked by: tests/truth/test_jupiter_clouds.py
    """
    rng = np.random.default_rng(seed)
    latitude, longitude = _axes()
    long = cloudy((HEIGHT, WIDTH), rng, longest=60.0, finest=5.0, stretch=6.0, slope=2.2)
    # So fine and so round that brightness along a parallel falls as it was measured: power as
    # wavenumber to the -1.3 below 80 waves around the planet, to the -2.5 above (Barrado-Izagirre,
    # Perez-Hoyos & Sanchez-Lavega 2009, Icarus 202, 181: +- 0.4 and 0.7).
    short = cloudy((HEIGHT, WIDTH), rng, longest=14.0, finest=2.0, stretch=2.0, slope=1.7)
    picture = np.empty((HEIGHT, WIDTH, 3), np.float32)
    for top in range(0, HEIGHT, _AT_ONCE):
        rows = slice(top, top + _AT_ONCE)
        _draw_belts(picture[rows], latitude[rows], longitude, (long[rows], short[rows]))
    _draw_wake(picture, rng)
    _draw_festoons(picture, rng)
    _draw_small_ovals(picture, rng)
    _draw_spot(picture, rng)
    np.clip(picture, 0.05, 1.0, out=picture)
    picture.setflags(write=False)
    return picture


# Rows of belts that are drawn at once: what lies in between then stays near the processor, and
# the system has no new memory to find for it.
_AT_ONCE: Final = 64


def _draw_belts(
    picture: Values, latitude: Values, longitude: Values, clouds: tuple[Values, Values]
) -> None:
    """Draw rows of belts and zones, their edges and their texture shaped by clouds."""
    long, short = clouds
    strayed = latitude + _waves(latitude, long, short) + _pushed_by_spot(latitude, longitude)
    picture[:] = _banded(strayed)
    streaks = 1.0 + _streakiness(latitude) * (0.8 * short + 0.5 * np.roll(long, 700, 1))
    for colour in range(3):
        picture[..., colour] *= streaks


def _axes() -> tuple[Values, Values]:
    latitude = 90.0 - (np.arange(HEIGHT, dtype=np.float32)[:, None] + 0.5) / _PER_DEGREE
    longitude = (np.arange(WIDTH, dtype=np.float32)[None, :] + 0.5) * (360.0 / WIDTH)
    return latitude.astype(np.float32), longitude.astype(np.float32)


def _bump(latitude: Values, middle: float, half_width: float) -> Values:
    return np.asarray(np.exp(-(((latitude - middle) / half_width) ** 2)), np.float32)


def _waves(latitude: Values, long: Values, short: Values) -> Values:
    """Return by how much clouds stray from their latitude, deg: more in the belts."""
    rough = 0.22 + 0.5 * _bump(latitude, 12.0, 7.0) + 0.45 * _bump(latitude, -14.0, 8.0)
    rough += 0.32 * _bump(latitude, 28.0, 5.0) + 0.28 * _bump(latitude, -30.0, 8.0)
    rough += 0.45 * (1.0 - _bump(latitude, 0.0, 55.0))
    return rough * (np.float32(0.85) * long + np.float32(0.34) * short)


def _pushed_by_spot(latitude: Values, longitude: Values) -> Values:
    """Bend the belt's southern edge north around the Great Red Spot: its hollow."""
    across = (longitude - SPOT_LONGITUDE) / (1.55 * _SPOT_HALF[0])
    hollow = np.exp(-(across**4))
    return np.asarray(-4.6 * hollow * _bump(latitude, -18.8, 4.2), np.float32)


# Spacing of the table of bands, deg.
_FINE: Final = 0.02


@lru_cache(maxsize=1)
def _profile() -> Values:
    """Return the bands' colours by latitude from -95 deg up, edges softened over a degree."""
    fine = np.arange(-95.0, 95.0, _FINE)
    edges = np.array([band[0] for band in _BANDS])
    colours = np.array([band[1] for band in _BANDS])
    index = np.clip(np.searchsorted(-edges, -fine, side="right") - 1, 0, len(edges) - 1)
    reach = int(1.8 / _FINE)
    kernel = np.exp(-((np.arange(-reach, reach + 1) * _FINE / 0.6) ** 2))
    kernel /= kernel.sum()
    soft = [
        np.convolve(np.pad(colours[index, k], reach, mode="edge"), kernel, mode="valid")
        for k in range(3)
    ]
    return np.stack(soft, axis=-1).astype(np.float32)


def _banded(latitude: Values) -> Values:
    """Return the bands' colours at latitudes."""
    table = _profile()
    place = ((latitude + np.float32(95.0)) * np.float32(1.0 / _FINE)).astype(np.intp)
    return np.take(table, place, axis=0, mode="clip")


def _streakiness(latitude: Values) -> Values:
    """Return the contrast of the cloud texture by latitude: stronger in the belts.

    As much as leaves belts in 150 mm uneven and no more: reports tell of grain from 200 mm on
    (common practice).
    """
    amount = 0.017 + 0.035 * _bump(latitude, 12.0, 6.0) + 0.035 * _bump(latitude, -13.5, 7.0)
    return np.asarray(amount + 0.015 * (1.0 - _bump(latitude, 0.0, 45.0)), np.float32)


def _tint(picture: Values, share: Values, colour: tuple[float, float, float]) -> None:
    """Blend a colour into a part of the map where `share` is above 0."""
    picture += share.astype(np.float32)[..., None] * (np.array(colour, np.float32) - picture)


def _part(south: float, north: float) -> tuple[slice, Values, Values]:
    """Return the map's rows between two latitudes, and their latitudes and longitudes."""
    rows = slice(int((90.0 - north) * _PER_DEGREE), int((90.0 - south) * _PER_DEGREE))
    latitude, longitude = _axes()
    return rows, latitude[rows], longitude


def _draw_wake(picture: Values, rng: np.random.Generator) -> None:
    """Stir the south equatorial belt behind (west of) the Great Red Spot."""
    rows, latitude, longitude = _part(-24.0, -5.0)
    behind = (SPOT_LONGITUDE - longitude - 4.0) % 360.0
    strength = np.exp(-((behind / 65.0) ** 2)) * np.clip(behind / 9.0, 0.0, 1.0)
    strength = strength * _bump(latitude, -14.5, 5.0)
    shape = (len(latitude), WIDTH)
    curls = cloudy(shape, rng, longest=26.0, finest=2.5, stretch=1.7, slope=1.7)
    white = np.clip(0.55 * curls - 0.15, 0.0, 1.0) * strength
    _tint(picture[rows], 0.55 * white, (0.74, 0.68, 0.58))
    dark = np.clip(-0.55 * curls - 0.15, 0.0, 1.0) * strength
    _tint(picture[rows], 0.45 * dark, (0.36, 0.26, 0.18))


def _draw_festoons(picture: Values, rng: np.random.Generator) -> None:
    """Hang blue-grey plumes from the north equatorial belt's southern edge.

    Dark bases some 8 deg long and 3 deg high, which stand out from the belt's edge, festoons 2 deg
    wide that sweep back over the zone: Rogers 1995, ch. 9 (memory).
    """
    count = 11
    along = np.linspace(0.0, 1.0, 34)
    for k in range(count):
        start = (k + rng.uniform(-0.42, 0.42)) * 360.0 / count
        strength = rng.uniform(0.3, 1.0)
        _soft_ellipses(picture, (6.4, start), (1.5, 4.4), 0.85 * strength, (0.30, 0.31, 0.34))
        reach, sweep = rng.uniform(2.0, 7.0), rng.uniform(3.0, 30.0)
        latitude = 6.3 - reach * np.sin(0.5 * np.pi * along)
        longitude = start - sweep * along**1.4
        size = 1.1 - 0.35 * along
        share = 0.36 * strength * (1.0 - 0.6 * along)
        _soft_ellipses(
            picture, (latitude, longitude), (size, 1.6 * size), share, (0.38, 0.39, 0.42)
        )


def _draw_small_ovals(picture: Values, rng: np.random.Generator) -> None:
    """Place dark barges, small white ovals and three large ones at their latitudes."""
    starts = rng.uniform(0.0, 360.0, 6)
    lengths = rng.uniform(1.4, 2.8, 6)
    _soft_ellipses(picture, (15.3, starts), (0.8, lengths), 0.75, (0.26, 0.15, 0.09))
    starts = rng.uniform(0.0, 360.0, 5)
    _soft_ellipses(picture, (19.4, starts), (1.0, 1.7), 0.6, (0.80, 0.77, 0.70))
    starts = 70.0 + np.cumsum(rng.uniform(18.0, 28.0, 8))
    # Pearls of a share that 150 mm leave out in 2 arcsec and 200 mm just show: common practice.
    _soft_ellipses(picture, (-40.6, starts), (1.6, 2.2), 0.35, (0.80, 0.77, 0.71))
    # So pale that 150 mm just show them in 2 arcsec, 200 mm a little better: common practice.
    _soft_ellipses(picture, (-32.6, _OVALS), (3.3, 5.6), 0.4, (0.42, 0.37, 0.31))
    _soft_ellipses(picture, (-32.6, _OVALS), (2.7, 4.8), 0.6, (0.80, 0.77, 0.70))


# A soft ellipse ends at so many times its half-axes; 0.14 % of its middle's share is left there.
_ENDS: Final = 1.6


def _soft_ellipses(
    picture: Values,
    middle: tuple[ArrayLike, ArrayLike],
    half: tuple[ArrayLike, ArrayLike],
    share: ArrayLike,
    colour: tuple[float, float, float],
) -> None:
    """Blend soft-edged ellipses of one colour, one over the other, into the map, in place.

    Parameters
    ----------
    middle, half
        Latitudes and longitudes, and half-axes along them, deg; numbers, or one for each.
    share
        Of the colour in the middle; what lies there shows through by the rest.
    """
    latitude, longitude, tall, wide, share = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(given, float)) for given in (*middle, *half, share))
    )
    rows, down = _line((90.0 - latitude) * _PER_DEGREE, tall * _PER_DEGREE)
    columns, right = _line(longitude * _PER_DEGREE, wide * _PER_DEGREE)
    down[(rows < 0) | (rows >= HEIGHT)] = np.inf
    square = down[:, :, None] + right[:, None, :]
    left = 1.0 - share[:, None, None] * np.exp(-(square**2))
    top = max(int(rows.min()), 0)
    band = picture[top : min(int(rows.max()) + 1, HEIGHT)].reshape(-1, 3)
    place = np.clip((rows - top) * WIDTH, 0, len(band) - WIDTH)[:, :, None]
    place = place + (columns % WIDTH)[:, None, :]
    through = np.ones(len(band))
    np.multiply.at(through, place.ravel(), left.ravel())
    touched = np.flatnonzero(through != 1.0)
    tint, seen = np.array(colour, np.float32), through[touched, None].astype(np.float32)
    band[touched] = tint + (band[touched] - tint) * seen


def _line(middle: Floats, half: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Return pixels along one axis of the map that ellipses reach, as many for each.

    And their distances from the middles, squared, in half-axes; infinite past an ellipse's end.
    """
    first = np.floor(middle - _ENDS * half).astype(np.int64)
    last = np.trunc(middle + _ENDS * half).astype(np.int64) + 1
    pixels = first[:, None] + np.arange(int((last - first).max()) + 1)
    away = ((pixels + 0.5 - middle[:, None]) / half[:, None]) ** 2
    away[pixels > last[:, None]] = np.inf
    return pixels, away


def _draw_spot(picture: Values, rng: np.random.Generator) -> None:
    """Draw the Great Red Spot: pale collar, red oval with a darker rim and a swirl inside."""
    rows, latitude, longitude = _part(-34.0, -11.0)
    per_column = WIDTH / 360.0
    columns = slice(
        int((SPOT_LONGITUDE - 20.0) * per_column), int((SPOT_LONGITUDE + 20.0) * per_column)
    )
    across = (longitude[:, columns] - SPOT_LONGITUDE) / _SPOT_HALF[0]
    along = (latitude - SPOT_LATITUDE) / _SPOT_HALF[1]
    here = picture[rows, columns]
    reach = np.sqrt(across**2 + along**2)
    collar = np.exp(-(((reach - 1.22) / 0.2) ** 2))
    _tint(here, 0.75 * collar, (0.76, 0.73, 0.65))
    inside = 0.5 - 0.5 * np.tanh((reach - 1.0) / 0.07)
    swirl = cloudy(reach.shape, rng, longest=14.0, finest=2.5, slope=1.5)
    turned = np.sin(9.0 * reach + 2.0 * np.arctan2(along, across) + 0.9 * swirl)
    _tint(here, inside, (0.56, 0.345, 0.235))
    here *= (1.0 + inside * 0.05 * turned).astype(np.float32)[..., None]
    rim = np.exp(-(((reach - 0.93) / 0.09) ** 2))
    _tint(here, 0.35 * rim, (0.40, 0.24, 0.16))
    core = np.exp(-((reach / 0.42) ** 2))
    _tint(here, 0.35 * core, (0.50, 0.27, 0.17))
