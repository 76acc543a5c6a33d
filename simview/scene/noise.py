"""Seeded random textures: band-limited fields for clouds, dust and ground."""

from __future__ import annotations

import math
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
    gain = _gain(shape, longest=longest, finest=finest, stretch=stretch, slope=slope)
    rows = fft.rfft(rng.standard_normal(shape, dtype=np.float32))[:, : gain.shape[1]]
    spectrum = fft.fft(np.ascontiguousarray(rows), axis=0, overwrite_x=True)
    spectrum[: len(gain)] *= gain
    # Below 0 along y stands what is above, from the highest frequency on.
    spectrum[len(gain) :] *= gain[(ny - 1) // 2 : 0 : -1]
    field = fft.irfft(fft.ifft(spectrum, axis=0, overwrite_x=True), n=nx)
    field *= np.float32(1.0 / field.std())
    return np.asarray(field, np.float32)


# From this depth on, exp(-depth) is less than single precision keeps of a sum of ones.
_NOTHING: Final = 18.0


def _gain(
    shape: tuple[int, int], *, longest: float, finest: float, stretch: float, slope: float
) -> Values:
    """Return what `cloudy` leaves of white noise: (ny // 2 + 1, up to nx // 2 + 1).

    At frequencies from 0 up each way; along x without those of which nothing is left.
    """
    ny, nx = shape
    highest = _NOTHING**0.25 / (finest * stretch)
    ky = np.arange(ny // 2 + 1, dtype=np.float32) / np.float32(ny)
    kx = np.arange(min(nx // 2, int(highest * nx)) + 1, dtype=np.float32) / np.float32(nx)
    square = (ky**2)[:, None] + (kx**2 * np.float32(stretch**2))[None, :]
    fall = square * np.float32(longest**2)
    fall += np.float32(1.0)
    np.log(fall, out=fall)
    fall *= np.float32(0.5 * slope)
    square *= square
    square *= np.float32(finest**4)
    fall += square
    gain = np.exp(np.negative(fall, out=fall), out=fall)
    gain[0, 0] = 0.0
    return gain


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
    for here in slices(row.shape):
        found[here] = _read(flat, (ny, nx), row[here], column[here])
    return found


def slices(shape: tuple[int, ...]) -> list[slice]:
    """Return slices of rows of an array, each of so few points that what lies between is small."""
    step = max(1, _SLICE * shape[0] // max(math.prod(shape), 1))
    return [slice(top, top + step) for top in range(0, shape[0], step)]


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
