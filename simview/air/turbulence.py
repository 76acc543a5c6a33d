"""The statistics of turbulent air after Kolmogorov and von Karman.

Both routes to an image start here: the averaged ones from the structure function, the momentary
ones from the power spectrum. They belong together: the structure function is the integral of the
spectrum times 2 (1 - cos).
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

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


def structure_rad2(baseline_m: Values, r0_m: float, outer_scale_m: float = math.inf) -> Values:
    """Return the phase structure function: mean square phase difference over a baseline.

    Parameters
    ----------
    baseline_m
        Any shape, not negative.
    r0_m
        Fried's parameter at the wavelength in question.
    outer_scale_m
        Infinity gives Kolmogorov's 6.8839 (r / r0)^(5/3).

    Returns
    -------
    array
        Like `baseline_m`, rad2.

    Source: Kolmogorov: Fried 1966; von Karman: Tokovinin 2002, PASP 114, 1156, eq. 3 and 16.
    Checked by: tests/truth/test_seeing.py
    """
    baseline_m = np.asarray(baseline_m, dtype=float)
    if math.isinf(outer_scale_m):
        return np.asarray(STRUCTURE * (baseline_m / r0_m) ** (5.0 / 3.0))
    variance = VARIANCE * (outer_scale_m / r0_m) ** (5.0 / 3.0)
    return np.asarray(2.0 * variance * _decorrelation(2.0 * math.pi * baseline_m / outer_scale_m))


def _decorrelation(x: Values) -> Values:
    """Return 1 - 2^(1/6) / Gamma(5/6) x^(5/6) K_5/6(x).

    Summed from the power series of K (Abramowitz & Stegun 9.6.2 and 9.6.10) with the leading 1
    taken away by hand, so that nothing cancels for small x, where telescopes live.
    """
    inside = np.minimum(x, _FLAT_FROM)
    square = inside**2 / 4.0
    ratio = -math.gamma(-_ORDER) / math.gamma(_ORDER)
    term_even, term_odd = np.ones_like(inside), np.ones_like(inside)
    even, odd = np.zeros_like(inside), np.ones_like(inside)
    for k in range(1, _terms(float(np.max(inside, initial=0.0)))):
        term_even = term_even * square / (k * (k - _ORDER))
        term_odd = term_odd * square / (k * (k + _ORDER))
        even += term_even
        odd += term_odd
    answer = ratio * square**_ORDER * odd - even
    return np.where(x < _FLAT_FROM, answer, 1.0)


def _terms(largest: float) -> int:
    """Return how many terms leave less than 1e-16 of the largest, found by adding them up."""
    square, term, k = largest**2 / 4.0, 1.0, 0
    while term > 1e-17 and k < 200:
        k += 1
        term *= square / (k * (k - _ORDER))
    return k + 1


def spectrum_rad2_m2(
    frequency_per_m: Values, r0_m: float, outer_scale_m: float = math.inf
) -> Values:
    """Return the power spectrum of the phase, rad2 m2 per unit area of frequency.

    Parameters
    ----------
    frequency_per_m
        Length of the frequency vector in cycles/m; above 0 when the outer scale is infinite.

    Source: Roddier 1981; von Karman form as in Tokovinin 2002, PASP 114, 1156.
    Checked by: tests/truth/test_screens.py
    """
    floor = 0.0 if math.isinf(outer_scale_m) else outer_scale_m**-2.0
    frequency = np.asarray(frequency_per_m, dtype=float)
    power = (frequency**2 + floor) ** (-11.0 / 6.0)
    return np.asarray(SPECTRUM * r0_m ** (-5.0 / 3.0) * power)
