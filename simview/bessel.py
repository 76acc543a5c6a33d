"""The Bessel functions that turn transfer functions into images, without loading scipy for them.

scipy's own is exact to the last digits and loads for some 0.06 s; a width, a veil or a contrast
needs six.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Coefficients of rising powers: of (x / 3)**2 up to 3, of 3 / x from there on. First of order 0.
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

_NEAR_1: Final = (
    0.5,
    -0.56249985,
    0.21093573,
    -0.03954289,
    0.00443319,
    -0.00031761,
    0.00001109,
)
_SIZE_1: Final = (
    0.79788456,
    0.00000156,
    0.01659667,
    0.00017105,
    -0.00249511,
    0.00113653,
    -0.00020033,
)
_PHASE_1: Final = (
    -2.35619449,
    0.12499612,
    0.00005650,
    -0.00637879,
    0.00074348,
    0.00079824,
    -0.00029166,
)


def j0(x: ArrayLike) -> NDArray[np.float64]:
    """Return the Bessel function of the first kind and order 0, within 7e-8.

    Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 9.4.1 and 9.4.3 (E. E.
    Allen's polynomials), within 5e-8 up to 3 and 7e-8 / sqrt(x) beyond.

    Checked by: tests/unit/test_bessel.py
    """
    size = np.abs(np.asarray(x, np.float64))
    near = size < 3.0
    answer = np.empty_like(size)
    answer[near] = _polynomial(_NEAR, (size[near] / 3.0) ** 2)
    answer[~near] = _far(size[~near], _SIZE, _PHASE)
    return answer


def j1(x: ArrayLike) -> NDArray[np.float64]:
    """Return the Bessel function of the first kind and order 1, within 1e-7.

    Source: Abramowitz & Stegun 1964, 9.4.4 and 9.4.6: within 1.3e-8 x up to 3, and beyond within
    4e-8 of size and 9e-8 of phase.

    Checked by: tests/unit/test_bessel.py
    """
    given = np.asarray(x, np.float64)
    size = np.abs(given)
    near = size < 3.0
    answer, small = np.empty_like(size), size[near]
    answer[near] = small * _polynomial(_NEAR_1, (small / 3.0) ** 2)
    answer[~near] = _far(size[~near], _SIZE_1, _PHASE_1)
    return np.copysign(1.0, given) * answer


def _far(x: NDArray[np.float64], size: tuple[float, ...], phase: tuple[float, ...]) -> NDArray[Any]:
    part = 3.0 / x
    return _polynomial(size, part) * np.cos(x + _polynomial(phase, part)) / np.sqrt(x)


def _polynomial(rising: tuple[float, ...], x: NDArray[np.float64]) -> NDArray[np.float64]:
    value = np.full_like(x, rising[-1])
    for coefficient in rising[-2::-1]:
        value *= x
        value += coefficient
    return value
