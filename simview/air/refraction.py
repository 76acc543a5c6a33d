"""How the air spreads the colours: blue is lifted more towards the zenith than red.

The refractive index of moist air after Edlen and Barrell as collected by Filippenko (1982), and
the flat-layer law dR = (n - n_ref) tan z. The flat law is too large by about 2 % at 10 deg above
the horizon and by about 30 % at 3 deg (against Bennett 1982, J. Inst. Navigation 35, 255).
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.kit import Sky
from simview.units import ARCSEC_PER_RADIAN

Values = NDArray[np.float64]

# Pressure and temperature of the standard atmosphere at sea level, and the powers by which they
# fall. Source: ICAO standard atmosphere, Doc 7488.
_SEA_LEVEL_MMHG: Final = 760.0
_FALL_PER_M: Final = 0.0065 / 288.15
_FALL_POWER: Final = 5.2559

# Relative humidity assumed for a night, 0 to 1. A choice; it moves dispersion by less than 1 %.
_HUMIDITY: Final = 0.5


def index(
    wavelength_nm: Values | float,
    *,
    pressure_mmhg: float = 760.0,
    temperature_c: float = 15.0,
    vapour_mmhg: float = 0.0,
) -> Values:
    """Return the refractive index of air.

    Parameters
    ----------
    wavelength_nm
        Any shape, 300 to 1000 nm.
    pressure_mmhg, temperature_c
        Of the air at the telescope.
    vapour_mmhg
        Partial pressure of water vapour.

    Returns
    -------
    array
        Like `wavelength_nm`; about 1.00028.

    Notes
    -----
    Source: Filippenko 1982, PASP 94, 715, eq. 1 to 3 (after Edlen 1953, Barrell 1951).
    Checked by: tests/truth/test_refraction.py
    """
    square = (1000.0 / np.asarray(wavelength_nm, dtype=float)) ** 2
    dry = 64.328 + 29498.1 / (146.0 - square) + 255.4 / (41.0 - square)
    warm = 1.0 + 0.003661 * temperature_c
    swell = 1.0 + (1.049 - 0.0157 * temperature_c) * 1e-6 * pressure_mmhg
    scaled = dry * pressure_mmhg * swell / (720.883 * warm)
    moist = vapour_mmhg * (0.0624 - 0.000680 * square) / warm
    return 1.0 + (scaled - moist) * 1e-6


def pressure_mmhg(elevation_m: float) -> float:
    """Return the usual pressure of the air at a height above the sea.

    Source: ICAO standard atmosphere, Doc 7488.
    Checked by: tests/unit/air/test_refraction_unit.py
    """
    return _SEA_LEVEL_MMHG * float((1.0 - _FALL_PER_M * elevation_m) ** _FALL_POWER)


def vapour_mmhg(temperature_c: float, humidity: float = _HUMIDITY) -> float:
    """Return the partial pressure of water vapour at a relative humidity.

    Source: Magnus formula with the constants of Alduchov & Eskridge 1996, J. Appl. Meteorol.
    35, 601: 6.1094 hPa exp(17.625 T / (243.04 + T)); 1 mmHg = 1.333224 hPa.
    Checked by: tests/unit/air/test_refraction_unit.py
    """
    saturated = 6.1094 / 1.333224 * math.exp(17.625 * temperature_c / (243.04 + temperature_c))
    return humidity * saturated


def dispersion_arcsec(sky: Sky, wavelengths_nm: Values, reference_nm: float = 550.0) -> Values:
    """Return how far each colour stands nearer the zenith than the reference colour.

    Parameters
    ----------
    sky
        Altitude, elevation and temperature count; "none" for its `air` gives 0.
    wavelengths_nm
        (n,)
    reference_nm
        The colour that stays where it is.

    Returns
    -------
    array
        (n,), arcsec; positive (blue) is towards the zenith.

    Notes
    -----
    Source: Filippenko 1982, PASP 94, 715, eq. 4.
    Checked by: tests/truth/test_refraction.py
    """
    wavelengths_nm = np.asarray(wavelengths_nm, dtype=float)
    if sky.air == "none":
        return np.zeros_like(wavelengths_nm)
    moist = vapour_mmhg(sky.temperature_c)
    pressure = pressure_mmhg(sky.elevation_m)
    both = np.append(wavelengths_nm, reference_nm)
    n = index(both, pressure_mmhg=pressure, temperature_c=sky.temperature_c, vapour_mmhg=moist)
    zenith_distance = math.radians(90.0 - sky.altitude_deg)
    return np.asarray(ARCSEC_PER_RADIAN * (n[:-1] - n[-1]) * math.tan(zenith_distance))
