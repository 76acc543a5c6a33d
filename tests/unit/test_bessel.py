"""The Bessel functions against scipy's, which sums other series."""

from __future__ import annotations

import numpy as np
from scipy import special

from simview.bessel import j0, j1


def test_bessel_function_is_within_what_its_source_promises() -> None:
    x = np.linspace(-700.0, 700.0, 400_001)
    away = np.abs(j0(x) - special.j0(x))
    near = np.abs(x) < 3.0
    # Abramowitz & Stegun 1964: 5e-8 up to 3; beyond, 1.6e-8 of size and 7e-8 of phase.
    assert away[near].max() < 5e-8
    assert (away[~near] * np.sqrt(np.abs(x[~near]))).max() < 8.6e-8


def test_bessel_function_takes_single_numbers_and_tables() -> None:
    # First zero: Abramowitz & Stegun 1964, table 9.5.
    assert abs(float(j0(2.4048255577))) < 5e-8
    assert float(j0(0.0)) == 1.0
    assert j0(np.zeros((2, 3))).shape == (2, 3)


def test_first_order_is_within_what_its_source_promises() -> None:
    x = np.linspace(-700.0, 700.0, 400_001)
    away = np.abs(j1(x) - special.j1(x))
    near = np.abs(x) < 3.0
    # 1.3e-8 x up to 3; beyond, 4e-8 of size and 0.8 times 9e-8 of phase.
    assert (away[near] <= 1.3e-8 * np.abs(x[near]) + 1e-16).all()
    assert (away[~near] * np.sqrt(np.abs(x[~near]))).max() < 1.12e-7
    # First zero: Abramowitz & Stegun 1964, table 9.5.
    assert abs(float(j1(3.8317059702))) < 6e-8
    assert float(j1(0.0)) == 0.0
