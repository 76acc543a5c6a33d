"""Seeded random textures: band-limited fields for clouds, dust and ground."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

# Fields of any float precision; float32 unless a place needs more.
Values = NDArray[np.floating[Any]]


def cloudy(
    shape: tuple[int, int],
    rng: np.random.Generator,
    *,
    longest: float,
    finest: float = 2.0,
    stretch: float = 1.0,
    slope: float = 1.8,
) -> Values:
    """Return a random field that joins itself at its edges.

    Parameters
    ----------
    shape
        (ny, nx).
    rng
        Where the randomness comes from.
    longest
        Wavelength above which the spectrum is flat, pixels (along y).
    finest
        Wavelength below which nothing is left, pixels (along y), at least 2.
    stretch
        How many times longer features are along x than along y.
    slope
        Amplitude falls as wavenumber to the minus this.

    Returns
    -------
    (ny, nx) float32
        Mean 0, standard deviation 1.
    """
    ny, nx = shape
    white = rng.standard_normal(shape, dtype=np.float32)
    ky = np.fft.fftfreq(ny).astype(np.float32)[:, None]
    kx = np.fft.rfftfreq(nx).astype(np.float32)[None, :] * np.float32(stretch)
    wave = np.sqrt(kx**2 + ky**2)
    gain = (1.0 + (wave * np.float32(longest)) ** 2) ** np.float32(-0.5 * slope)
    gain *= np.exp(-((wave * np.float32(finest)) ** 4))
    gain[0, 0] = 0.0
    field = np.fft.irfft2(np.fft.rfft2(white) * gain, s=shape)
    return np.asarray(field / field.std(), np.float32)


# Points that are looked up at once: keeps what lies in between small.
_SLICE: Final = 120_000


def lookup(texture: Values, row: Values, column: Values) -> Values:
    """Read a texture between its pixels (linear), columns joined around, rows held at the ends.

    Parameters
    ----------
    texture
        (ny, nx, k).
    row, column
        (...) places in pixels, of one shape; 0 is the centre of the first.

    Returns
    -------
    (..., k) float32
    """
    ny, nx, depth = texture.shape
    flat = texture.reshape(ny * nx, depth)
    found = np.empty((*row.shape, depth), np.float32)
    if row.ndim < 2:
        return _read(flat, (ny, nx), row, column)
    step = max(1, _SLICE * len(row) // max(row.size, 1))
    for top in range(0, len(row), step):
        here = slice(top, top + step)
        found[here] = _read(flat, (ny, nx), row[here], column[here])
    return found


def _read(flat: Values, shape: tuple[int, int], row: Values, column: Values) -> Values:
    ny, nx = shape
    row = np.clip(row, np.float32(0.0), np.float32(ny - 1.001))
    top, left = np.floor(row), np.floor(column)
    down, along = (row - top)[..., None], (column - left)[..., None]
    here = left.astype(np.int32) % np.int32(nx)
    there = here + np.int32(1)
    there[there == nx] = 0
    first = top.astype(np.int32) * np.int32(nx)
    here, there = here + first, there + first
    upper = np.take(flat, here, axis=0)
    upper += (np.take(flat, there, axis=0) - upper) * along
    lower = np.take(flat, here + np.int32(nx), axis=0)
    lower += (np.take(flat, there + np.int32(nx), axis=0) - lower) * along
    lower -= upper
    lower *= down
    lower += upper
    return lower
