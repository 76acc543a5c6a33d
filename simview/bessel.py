"""The Bessel function that turns transfer functions into images, without loading scipy for it.

scipy's own is exact to the last digits and loads for some 0.06 s; a width, a veil or a contrast
needs six.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Coefficients of rising powers: of (x / 3)**2 up to 3, of 3 / x from there on.
_NEAR: Final = (1.0, -2.2499997, 1.2656208, -0.3163866, 0.0444479, -0.0039444, 0.0002100)
_SIZE: Final = (
    0.79788456,
    -0.00000077,
    -0.00552740,
    -0.00009512,
    0.00137237,
    -0.00072805,
    0.00014476,
)
_PHASE: Final = (
    -0.78539816,
    -0.04166397,
    -0.00003954,
    0.00262573,
    -0.00054125,
    -0.00029333,
    0.00013558,
)


def j0(x: ArrayLike) -> NDArray[np.float64]:
    """Return the Bessel function of the first kind and order 0, within 7e-8.

    Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 9.4.1 and 9.4.3 (E. E.
    Allen's polynomials), within 5e-8 up to 3 and 7e-8 / sqrt(x) beyond.

    Checked by: tests/unit/test_bessel.py
    """
    size = np.abs(np.asarray(x, np.float64))
    near = size < 3.0
    return np.where(near, _close(np.where(near, size, 0.0)), _far(np.where(near, 3.0, size)))


def _close(x: NDArray[np.float64]) -> NDArray[Any]:
    return _polynomial(_NEAR, (x / 3.0) ** 2)


def _far(x: NDArray[np.float64]) -> NDArray[Any]:
    part = 3.0 / x
    return _polynomial(_SIZE, part) * np.cos(x + _polynomial(_PHASE, part)) / np.sqrt(x)


def _polynomial(rising: tuple[float, ...], x: NDArray[np.float64]) -> NDArray[np.float64]:
    value = np.full_like(x, rising[-1])
    for coefficient in rising[-2::-1]:
        value *= x
        value += coefficient
    return value
