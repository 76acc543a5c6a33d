"""Seeded random textures: band-limited fields for clouds, dust and ground."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft

# Fields of any float precision; float32 unless a place needs more.
Values = NDArray[np.floating[Any]]
Columns = NDArray[np.int32]


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
    spectrum = fft.rfft2(white)
    spectrum *= gain
    field = fft.irfft2(spectrum, s=shape)
    return np.asarray(field / field.std(), np.float32)


# Points that are looked up at once: keeps what lies in between small.
_SLICE: Final = 120_000


def lookup(texture: NDArray[Any], row: Values, column: Values) -> Values:
    """Read a texture between its pixels (linear), columns joined around, rows held at the ends.

    Parameters
    ----------
    texture
        (ny, nx, k) of numbers of any kind.
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


def _read(flat: NDArray[Any], shape: tuple[int, int], row: Values, column: Values) -> Values:
    ny, nx = shape
    depth = flat.shape[1]
    row = np.clip(row, np.float32(0.0), np.float32(ny - 1.001))
    top, left = np.floor(row), np.floor(column)
    down, along = _widened(row - top, depth), _widened(column - left, depth)
    here = _joined(left.astype(np.int32).ravel(), nx)
    there = here + np.int32(1)
    there[there == nx] = 0
    first = top.astype(np.int32).ravel() * np.int32(nx)
    here, there = here + first, there + first
    upper = _between(flat, here, there, along)
    lower = _between(flat, here + np.int32(nx), there + np.int32(nx), along)
    lower -= upper
    lower *= down
    lower += upper
    return lower.reshape(*row.shape, depth)


def _widened(weight: Values, depth: int) -> Values:
    """Return weights as wide as the texture is deep: shared out by broadcasting, they are slow."""
    return weight.ravel() if depth == 1 else np.repeat(weight.ravel(), depth)


def _joined(column: Columns, nx: int) -> Columns:
    """Return columns of a texture that joins itself; most lie within it, and division is slow."""
    if column.size and (column.min() < 0 or column.max() >= nx):
        return column % np.int32(nx)
    return column


def _between(flat: NDArray[Any], here: Columns, there: Columns, along: Values) -> Values:
    """Return the values between two pixels, one row after another."""
    left, right = (
        np.take(flat, place, axis=0).reshape(-1).astype(np.float32, copy=False)
        for place in (here, there)
    )
    right -= left
    right *= along
    right += left
    return right
