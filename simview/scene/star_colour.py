"""What colour a star has: from its temperature to linear sRGB, from B-V to its temperature."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.scene.tables import numbers

# Temperatures that Stars may carry, K.
COOLEST_K: Final = 1000.0
HOTTEST_K: Final = 50000.0

# Temperature of sunlight's colour, K. Source: IAU 2015 Resolution B3, nominal solar effective
# temperature.
SUN_K: Final = 5772.0

# Ballesteros's relation T = 4600 (1/(0.92 BV + 1.7) + 1/(0.92 BV + 0.62)).
# Source: Ballesteros 2012, EPL 97, 34008, eq. 14.
_SCALE_K: Final = 4600.0
_SLOPE: Final = 0.92
_COOL: Final = 1.7
_HOT: Final = 0.62

# B-V beyond which no normal star lies; outside it measured colours are errors or dust.
_BLUEST_BV: Final = -0.40
_REDDEST_BV: Final = 4.0


@lru_cache(maxsize=1)
def _black_bodies() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    table = numbers("temperature_rgb.csv")
    return table[:, 0].copy(), np.ascontiguousarray(table[:, 1:].T)


def rgb_of_temperature(temperature_k: ArrayLike) -> NDArray[np.float64]:
    """Return the colour of a black body.

    Parameters
    ----------
    temperature_k
        (...) in K; held to 1000..50000.

    Returns
    -------
    (..., 3) float64
        Linear sRGB with luminance 1, nowhere negative (below about 1900 K blue is cut to 0).

    Notes
    -----
    Source: Planck's law through the CIE 1931 observer, tabulated in mired.
    Checked by: tests/truth/test_star_colours.py (against colour-science).
    """
    mired, table = _black_bodies()
    held = np.clip(np.asarray(temperature_k, float), COOLEST_K, HOTTEST_K)
    at = 1e6 / held
    return np.stack([np.interp(at, mired, plane) for plane in table], axis=-1)


def temperature_of_bv(bv: ArrayLike) -> NDArray[np.float64]:
    """Return the temperature in K of a star with colour index B-V.

    Parameters
    ----------
    bv
        (...) magnitudes; held to -0.4..4. NaN gives the Sun's temperature.

    Notes
    -----
    Source: Ballesteros 2012, EPL 97, 34008, eq. 14.
    Checked by: tests/truth/test_star_colours.py
    """
    index = np.asarray(bv, float)
    held = np.where(np.isnan(index), bv_of_temperature(SUN_K), index)
    held = np.clip(held, _BLUEST_BV, _REDDEST_BV)
    hot = _SCALE_K * (1.0 / (_SLOPE * held + _COOL) + 1.0 / (_SLOPE * held + _HOT))
    return np.clip(hot, COOLEST_K, HOTTEST_K)


def temperature_of_rgb(rgb: ArrayLike) -> float:
    """Return the temperature in K of the star whose red stands to blue as a colour's does.

    Parameters
    ----------
    rgb
        (3,) linear sRGB. Uranus and Neptune are greener than any star; in B-V alone, which misses
        what methane takes from the red, they would be yellowish.

    Notes
    -----
    Checked by: tests/unit/scene/test_small_discs.py
    """
    red, _, blue = (float(v) for v in np.asarray(rgb, float))
    grid = np.geomspace(COOLEST_K, HOTTEST_K, 400)
    table = rgb_of_temperature(grid)
    ratio = np.log(np.maximum(table[:, 0], 1e-6) / np.maximum(table[:, 2], 1e-6))
    # The hotter the less red: the table falls.
    wanted = math.log(max(red, 1e-6) / max(blue, 1e-6))
    return float(np.interp(-wanted, -ratio, grid))


def bv_of_temperature(temperature_k: ArrayLike) -> NDArray[np.float64]:
    """Return the colour index B-V of a star of that temperature, the inverse of the relation.

    With x = 0.92 BV and q = T / 4600 the relation is a quadratic,
    q x^2 + (2.32 q - 2) x + (1.054 q - 2.32) = 0, whose larger root is the star.
    """
    q = np.asarray(temperature_k, float) / _SCALE_K
    both = _COOL + _HOT
    half = both * q - 2.0
    root = np.sqrt(half**2 - 4.0 * q * (_COOL * _HOT * q - both))
    return np.asarray((root - half) / (2.0 * q) / _SLOPE)
