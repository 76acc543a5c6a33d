"""Zernike polynomials in Noll's order from an independent library, for the tests."""

from __future__ import annotations

import numpy as np
import prysm.polynomials
from numpy.typing import NDArray

Array = NDArray[np.float64]


def zernike_of(index: int, x: Array, y: Array) -> Array:
    """One polynomial of RMS 1 over the disc of radius 1."""
    n, m = prysm.polynomials.noll_to_nm(index)
    return np.asarray(prysm.polynomials.zernike_nm(n, m, np.hypot(x, y), np.arctan2(y, x)))


def zernike_basis(count: int, x: Array, y: Array) -> Array:
    """The first `count` of them, (count, ...)."""
    return np.stack([zernike_of(index, x, y) * np.ones_like(x) for index in range(1, count + 1)])
