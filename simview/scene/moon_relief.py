"""The Moon's ground between the pixels of the measured map of heights.

Through the pixels runs a smooth surface (cubic B-spline) whose means over them are the map's. What
is smaller is invented: its roughness carries on the measured heights' own spectrum, and is made of
small craters (`moon_bumps`); over all lie the craters of the time since the lavas (`moon_young`),
which are all that a plain has.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from simview.banded import block_means
from simview.memory import remembered
from simview.scene import moon_bumps, moon_young
from simview.scene.noise import Values

# How heights' amplitude falls with wavenumber: as its power -(1 + H). Measured on the map's
# highlands between 4 and 16 pixels a wave, 1.95. Source for going on below: H is 0.95 in highland
# from 17 m to some km, Rosenburg et al. 2011, J. Geophys. Res. 116, E02001 (table 2, as others
# quote it).
HURST: Final = 0.95

# Rms of the map's own second difference (the sum of both axes) where the spectrum's amplitude is 1
# at one wave a pixel: sum over the map's waves of that spectrum, of pixels' means, and of the
# difference's response.
_BENDING: Final = 21.8

# Of it, what the map's noise gives, km: read off the smoothest plains (Serenitatis, Imbrium, where
# half of all places are below it). And the roughest ground's amplitude, km, a bound.
_NOISE_KM: Final = 0.016
_ROUGHEST_KM: Final = 0.022

# Rms over mean size of normal deviates: sqrt(pi / 2).
_RMS_OF_SIZE: Final = 1.2533

# Over how many pixels of the map the ground's roughness is judged.
_NEAR: Final = 2.0

# Waves per pixel from which on the map holds little and the roughness takes over: two pixels a
# wave.
_TAKES_OVER: Final = 0.5

# Points a pixel of the map on which the roughness is drawn, the most that a window is drawn finer,
# and the side of the tile that is repeated, pixels.
FINEST: Final = 8
_TILE: Final = 128

# What a pixel of the map is across, km (`moon_map.HEIGHT_KM`).
_PIXEL_KM: Final = 1.86

# Points no wider apart than so many pixels of the map lie on the smooth surface through them, wider
# ones on straight lines. A choice.
_SMOOTH: Final = 1.2

# What turns pixels' means into the heights of their middles, along an axis: 1 - d2 / 24 +
# 3 d4 / 640 with second and fourth differences, the beginning of the series for 1 / sinc.
_OF_MEANS: Final = (
    np.array([0.0, 0.0, 1.0, 0.0, 0.0])
    - np.array([0.0, 1.0, -2.0, 1.0, 0.0]) / 24.0
    + np.array([1.0, -4.0, 6.0, -4.0, 1.0]) * (3.0 / 640.0)
)


def finer_for(pixel_km: float, cell_km: float) -> int:
    """Return how many points a pixel of the map are worth drawing for such a spacing."""
    finer = 1
    while finer < FINEST and pixel_km / finer > 1.3 * cell_km:
        finer *= 2
    return 2 if finer == 1 and cell_km < _SMOOTH * pixel_km else finer


def between_pixels(window: Values, finer: int, place: tuple[int, int]) -> Values:
    """Return a window of the map of heights, drawn finer.

    Parameters
    ----------
    window
        (ny, nx) heights in km: means over the map's pixels.
    finer
        Points a pixel and axis: 1, 2, 4, or 8.
    place
        Row and column on the map of the window's first pixel: the same ground has the same
        roughness in every window.

    Returns
    -------
    (finer ny, finer nx) float32
        The points lie evenly within each pixel.

    Notes
    -----
    Checked by: tests/truth/test_moon_ground.py
    """
    from scipy.ndimage import correlate1d, laplace, spline_filter

    bending = laplace(window, mode="nearest")
    points = window
    for axis in (0, 1):
        points = correlate1d(points, _OF_MEANS, axis=axis, mode="nearest")
    knots = spline_filter(points, order=3, output=np.float32, mode="mirror")
    fine = _upsampled(_upsampled(knots, finer).T, finer).T
    rise = _repeated(_bumps(finer), finer, place, fine.shape)
    ny, nx = window.shape
    each = rise.reshape(ny, finer, nx, finer)
    each *= _amplitude(bending)[:, None, :, None]
    rise += _repeated(_young(finer), finer, place, fine.shape)
    rise += fine
    return np.asarray(rise, np.float32)


def _repeated(tile: Values, finer: int, place: tuple[int, int], shape: tuple[int, ...]) -> Values:
    """Return so much of the ground that a tile covers again and again, from a pixel of the map."""
    rows, columns = (
        np.arange(start * finer, start * finer + count) % tile.shape[0]
        for start, count in zip(place, shape, strict=True)
    )
    return np.asarray(tile.take(rows, axis=0).take(columns, axis=1))


def _amplitude(bending: Values) -> Values:
    """Return the roughness' amplitude, km, where the map's heights have this second difference."""
    from scipy.ndimage import gaussian_filter

    # Of the mean size rather than of the square: a lone small crater makes no wide rough collar.
    size = gaussian_filter(np.abs(bending), _NEAR) * np.float32(_RMS_OF_SIZE)
    rough = np.sqrt(np.maximum(size * size - np.float32(_NOISE_KM**2), np.float32(0.0)))
    rough /= np.float32(_BENDING)
    return np.asarray(np.minimum(rough, np.float32(_ROUGHEST_KM)), np.float32)


def _upsampled(knots: Values, finer: int) -> Values:
    """Return a cubic B-spline along the first axis, `finer` points evenly within each pixel."""
    count = knots.shape[0]
    held = np.pad(knots, ((2, 2), (0, 0)), mode="reflect")
    fine = np.empty((count, finer, knots.shape[1]), np.float32)
    for point in range(finer):
        offset = (point + 0.5) / finer - 0.5
        first = 1 if offset >= 0.0 else 0
        t = offset if offset >= 0.0 else offset + 1.0
        weights = (
            (1.0 - t) ** 3 / 6.0,
            (3.0 * t**3 - 6.0 * t**2 + 4.0) / 6.0,
            (-3.0 * t**3 + 3.0 * t**2 + 3.0 * t + 1.0) / 6.0,
            t**3 / 6.0,
        )
        row = np.float32(weights[0]) * held[first : first + count]
        for k in (1, 2, 3):
            row += np.float32(weights[k]) * held[first + k : first + k + count]
        fine[:, point] = row
    return fine.reshape(count * finer, knots.shape[1])


@remembered(4)
def _bumps(finer: int) -> Values:
    """Return the tile of roughness at `finer` points a pixel, for an amplitude of 1."""
    if finer < FINEST:
        return block_means(_bumps(FINEST), FINEST // finer)
    waves = moon_bumps.waves_of(FINEST)
    waves[0] = 1.0
    strength = FINEST * waves ** (-1.0 - HURST)
    strength *= np.sqrt(1.0 - np.exp(-((waves / _TAKES_OVER) ** 6)))
    strength[0] = 0.0
    return moon_bumps.tile(_TILE * FINEST, FINEST, strength, np.random.default_rng(77))


@remembered(4)
def _young(finer: int) -> Values:
    """Return the tile of young craters at `finer` points a pixel, km."""
    if finer < FINEST:
        return block_means(_young(FINEST), FINEST // finer)
    return moon_young.tile(_TILE * FINEST, _PIXEL_KM / FINEST, np.random.default_rng(78))
