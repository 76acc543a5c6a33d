"""The statistics of turbulent air after Kolmogorov and von Karman.

Both routes to an image start here: the averaged ones from the structure function, the momentary
ones from the power spectrum. They belong together: the structure function is the integral of the
spectrum times 2 (1 - cos).
"""

from __future__ import annotations

import math
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Real = TypeVar("Real", np.float32, np.float64)

# [(24/5) Gamma(6/5)]^(5/6), which ties r0 to the integral of the spectrum. Exact.
# Source: Fried 1966, J. Opt. Soc. Am. 56, 1372; Roddier 1981, Progress in Optics 19, 281.
_TIE: Final = (24.0 / 5.0 * math.gamma(6.0 / 5.0)) ** (5.0 / 6.0)

# D(r) = 6.8839 (r / r0)^(5/3), the Kolmogorov structure function. Exact.
STRUCTURE: Final = 2.0 * _TIE

# Variance of the phase with a finite outer scale over (L0 / r0)^(5/3), rad2: 0.0859. Exact.
# Source: Conan 2000, PhD thesis, Nice, as used by Tokovinin 2002, PASP 114, 1156.
VARIANCE: Final = (
    math.gamma(11.0 / 6.0) * math.gamma(5.0 / 6.0) / (2.0 * math.pi ** (8.0 / 3.0)) * _TIE
)

# Phi(f) = 0.02290 r0^(-5/3) (f^2 + 1/L0^2)^(-11/6), rad2 m2, f in cycles/m. Exact.
SPECTRUM: Final = math.gamma(11.0 / 6.0) ** 2 / (2.0 * math.pi ** (11.0 / 3.0)) * _TIE

# Order of the Bessel function in the von Karman structure function.
_ORDER: Final = 5.0 / 6.0

# Beyond this the rest is below 2e-7, and the series would lose as much to cancellation.
_FLAT_FROM: Final = 17.0


def structure_rad2(
    baseline_m: NDArray[Real], r0_m: float, outer_scale_m: float = math.inf
) -> NDArray[Real]:
    """Return the phase structure function: mean square phase difference over a baseline.

    Parameters
    ----------
    baseline_m
        Any shape, not negative; float64, or float32 for half the time and seven figures.
    r0_m
        Fried's parameter at the wavelength in question.
    outer_scale_m
        Infinity gives Kolmogorov's 6.8839 (r / r0)^(5/3).

    Returns
    -------
    array
        Like `baseline_m`, rad2.

    Notes
    -----
    Source: Kolmogorov: Fried 1966; von Karman: Tokovinin 2002, PASP 114, 1156, eq. 3 and 16.
    Checked by: tests/truth/test_seeing.py
    """
    answer: NDArray[Real]
    if math.isinf(outer_scale_m):
        answer = STRUCTURE * (baseline_m / r0_m) ** (5.0 / 3.0)
        return answer
    answer = _decorrelation(baseline_m * (2.0 * math.pi / outer_scale_m))
    answer *= 2.0 * VARIANCE * (outer_scale_m / r0_m) ** (5.0 / 3.0)
    return answer


def _decorrelation(x: NDArray[Real]) -> NDArray[Real]:
    """Return 1 - 2^(1/6) / Gamma(5/6) x^(5/6) K_5/6(x).

    Summed from the power series of K (Abramowitz & Stegun 9.6.2 and 9.6.10) with the leading 1
    taken away by hand, so that nothing cancels for small x, where telescopes live.
    """
    largest = float(np.max(x, initial=0.0))
    t: NDArray[Real] = np.minimum(x, _FLAT_FROM)
    t *= t
    t *= 0.25
    even, odd = _series(min(largest, _FLAT_FROM))
    answer: NDArray[Real] = t**_ORDER
    answer *= _horner(odd, t) * (-math.gamma(-_ORDER) / math.gamma(_ORDER))
    answer -= _horner(even, t) * t
    if largest > _FLAT_FROM:
        answer[x > _FLAT_FROM] = 1.0
    return answer


def _series(largest: float) -> tuple[list[float], list[float]]:
    """Return the coefficients of the two series, up to terms that no longer count at `largest`."""
    square = largest**2 / 4.0
    even, odd = [1.0 / (1.0 - _ORDER)], [1.0]
    size = square * even[0]
    while size > 1e-17 and len(even) < 100:
        k = len(even) + 1
        odd.append(odd[-1] / ((k - 1) * (k - 1 + _ORDER)))
        even.append(even[-1] / (k * (k - _ORDER)))
        size = square**k * even[-1]
    return even, odd


def _horner(coefficients: list[float], t: NDArray[Real]) -> NDArray[Real]:
    total = np.full_like(t, coefficients[-1])
    for coefficient in reversed(coefficients[:-1]):
        total *= t
        total += coefficient
    return total


def spectrum_rad2_m2(
    frequency_per_m: Values, r0_m: float, outer_scale_m: float = math.inf
) -> Values:
    """Return the power spectrum of the phase, rad2 m2 per unit area of frequency.

    Parameters
    ----------
    frequency_per_m
        Length of the frequency vector in cycles/m; above 0 when the outer scale is infinite.

    Notes
    -----
    Source: Roddier 1981; von Karman form as in Tokovinin 2002, PASP 114, 1156.
    Checked by: tests/truth/test_screens.py
    """
    floor = 0.0 if math.isinf(outer_scale_m) else outer_scale_m**-2.0
    frequency = np.asarray(frequency_per_m, dtype=float)
    power = (frequency**2 + floor) ** (-11.0 / 6.0)
    return np.asarray(SPECTRUM * r0_m ** (-5.0 / 3.0) * power)
