"""How much light the eye's lens and fluids take away, and how much more with age."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import require_range
from simview.eye.colour import WAVELENGTHS_NM, response

Array = NDArray[np.float64]

# Rows of `response()` by which cones and rods weigh light.
_CONES: Final = 1
_RODS: Final = 3


def density(wavelength_nm: ArrayLike, age_years: float) -> Array:
    """Return the optical density of lens and fluids together for small fields.

    Parameters
    ----------
    wavelength_nm
        300 to 800 nm.
    age_years
        20 to 83.

    Returns
    -------
    numpy.ndarray
        -log10 of the transmission; grows with age at every wavelength past 400 nm.

    Notes
    -----
    Source: van de Kraats & van Norren 2007, "Optical density of the aging human ocular media in
    the visible and the UV", J. Opt. Soc. Am. A 24, 1842, eq. 8.
    Checked by: tests/truth/test_eye_age.py
    """
    wave = np.asarray(wavelength_nm, dtype=np.float64)
    square = require_range("age_years", age_years, 20.0, 83.0, unit="years") ** 2
    return np.asarray(
        (0.446 + 0.000031 * square) * (400.0 / wave) ** 4
        + 14.19 * 10.68 * np.exp(-((0.057 * (wave - 273.0)) ** 2))
        + (0.998 - 0.000063 * square) * 2.13 * np.exp(-((0.029 * (wave - 370.0)) ** 2))
        + (0.059 + 0.000186 * square) * 11.95 * np.exp(-((0.021 * (wave - 325.0)) ** 2))
        + (0.016 + 0.000132 * square) * 1.43 * np.exp(-((0.008 * (wave - 325.0)) ** 2))
        + 0.111
    )


@lru_cache(maxsize=64)
def passed(age_years: float, reference_years: float) -> tuple[float, float]:
    """Return what cones and rods get of white light, against the lens of a reference age.

    White: equal energy at every wavelength. V and V' hold a young lens already, so only the
    difference counts.

    Returns
    -------
    (cones, rods)
        1 at the reference age; less for the old, and less for rods than for cones.
    """
    more = density(WAVELENGTHS_NM, age_years) - density(WAVELENGTHS_NM, reference_years)
    weights = response()[[_CONES, _RODS]]
    cones, rods = (weights @ 10.0**-more) / weights.sum(axis=1)
    return float(cones), float(rods)
