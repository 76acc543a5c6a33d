"""Transforms of planes in two dimensions, without the rows that are empty or that nobody wants."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.executor.threads import threads

Planes = NDArray[np.float32]
Box = tuple[slice, slice]
Spectrum = NDArray[np.complexfloating[Any, Any]]


def fast_length(least: float) -> int:
    """Return the next length from `least` on that transforms fast."""
    return int(fft.next_fast_len(math.ceil(least), real=True))


def lit_box(planes: NDArray[Any]) -> Box:
    """Return the rows and columns, from the first to the last, in which any plane holds anything.

    Parameters
    ----------
    planes
        (..., ny, nx).
    """
    first, *others = planes.reshape(-1, *planes.shape[-2:])
    lit = first != 0
    for plane in others:
        lit |= plane != 0
    return _span(np.any(lit, axis=1)), _span(np.any(lit, axis=0))


def _span(lit: NDArray[np.bool_]) -> slice:
    places = np.flatnonzero(lit)
    return slice(int(places[0]), int(places[-1]) + 1) if len(places) else slice(0, 0)


def low_rows(rows: NDArray[Any], kept: int | None) -> NDArray[Any]:
    """Return the rows of so many lowest frequencies, and of as many below 0 but for 0 itself.

    Parameters
    ----------
    rows
        (..., ny, k) in the order of transforms along y.
    kept
        None for all.
    """
    if kept is None:
        return rows
    return np.concatenate([rows[..., :kept, :], rows[..., 1 - kept :, :]], axis=-2)


def spectrum_of(planes: Planes, shape: tuple[int, int], kept: int | None = None) -> Spectrum:
    """Return the half-plane transform of planes that zeros fill up to a shape.

    Parameters
    ----------
    planes
        (..., ny, nx); the rows that are filled up are not transformed along x.
    shape
        (my, mx) from (ny, nx) on.
    kept
        How many of the lowest frequencies are wanted each way, 0 among them, at least 2 and
        less than half of all; None for all.

    Returns
    -------
    (..., my, mx // 2 + 1), or (..., 2 kept - 1, kept) in the order of `low_rows`
    """
    rows = fft.rfft(planes, n=shape[1], workers=threads())[..., :kept]
    whole: Spectrum = fft.fft(rows, n=shape[0], axis=-2, overwrite_x=True, workers=threads())
    return low_rows(whole, kept)


def rows_of(spectrum: Spectrum, width: int, rows: slice = slice(None)) -> Planes:
    """Return these rows of the planes with such a half-plane transform.

    Parameters
    ----------
    spectrum
        (..., my, k); overwritten. Frequencies along x from k on are taken as 0.
    width
        Pixels along x.
    """
    columns = fft.ifft(spectrum, axis=-2, overwrite_x=True, workers=threads())
    return np.asarray(fft.irfft(columns[..., rows, :], n=width, workers=threads()), np.float32)
