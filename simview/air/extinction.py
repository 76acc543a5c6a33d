"""How much light the air takes, by wavelength and altitude.

Three parts add up: Rayleigh scattering by the air itself (steep, takes the blue), ozone (a hump
in the orange), and aerosol (dust, smoke, haze: nearly grey). The first two belong to the site;
the aerosol is what is left of the extinction that the user states in V.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.kit import Sky

Values = NDArray[np.float64]

# Wavelength that stands for the V band, nm. A convention of the field.
V_WAVELENGTH_NM: Final = 550.0

# Scale height of the air for Rayleigh scattering, km. Source: Hayes & Latham 1975, ApJ 197,
# 593, as in Green 1992, Int. Comet Quarterly 14, 55.
_RAYLEIGH_HEIGHT_KM: Final = 7.996

# Steepness of the aerosol's extinction with wavelength. Source: Angstrom 1961, as in Green 1992,
# Int. Comet Quarterly 14, 55, eq. 4.
_AEROSOL_POWER: Final = -1.3

# Cross-section of ozone in its Chappuis band at 233 K, 1e-21 cm2: means over bins of 10 nm whose
# first centre is 375 nm. Source: Gorshelev et al. 2014, Atmos. Meas. Tech. 7, 609, and
# Serdyuchenko et al. 2014, 7, 625 (Bremen spectra of 2011), as averaged by Bruneton 2017, IEEE
# Trans. Vis. Comput. Graph. 23, 2641.
_OZONE_FIRST_NM: Final = 375.0
_OZONE_STEP_NM: Final = 10.0
# fmt: off
_OZONE_CROSS_SECTION: Final = (
    0.0022, 0.0028, 0.0066, 0.0153, 0.0276, 0.0552, 0.0845, 0.1582, 0.2316, 0.3669,
    0.4924, 0.7752, 0.9016, 1.480, 1.602, 2.139, 2.755, 3.091, 3.500, 4.266,
    4.672, 4.398, 4.701, 5.019, 4.305, 3.740, 3.215, 2.662, 2.238, 1.852,
    1.473, 1.209, 0.9423, 0.7455, 0.6566, 0.5105, 0.4150, 0.4228, 0.3237, 0.2451,
    0.2801, 0.2534,
)
# fmt: on

# Column of ozone: 300 Dobson units in molecules per cm2. Source: 1 DU = 2.687e16 cm-2 (exact to
# the digits), 300 DU is a usual value (common practice).
_OZONE_COLUMN_CM2: Final = 300.0 * 2.687e16

# Magnitudes in one unit of optical depth: exact.
_MAG_PER_DEPTH: Final = 2.5 / math.log(10.0)


def airmass(altitude_deg: float) -> float:
    """Return how many zenith thicknesses of air the light crosses.

    Parameters
    ----------
    altitude_deg
        Apparent, 0 to 90 deg.

    Notes
    -----
    Source: Kasten & Young 1989, Appl. Opt. 28, 4735.
    Checked by: tests/truth/test_extinction.py
    """
    bend = 0.50572 * math.pow(altitude_deg + 6.07995, -1.6364)
    return 1.0 / (math.sin(math.radians(altitude_deg)) + bend)


def rayleigh_mag(wavelength_nm: Values | float, elevation_m: float = 0.0) -> Values:
    """Return the Rayleigh extinction at the zenith, mag per air mass.

    Source: Hayes & Latham 1975, ApJ 197, 593; at 510 nm it is the 0.1451 of Green 1992, Int.
    Comet Quarterly 14, 55.
    Checked by: tests/truth/test_extinction.py
    """
    um = np.asarray(wavelength_nm, dtype=float) / 1000.0
    square = um**-2.0
    bent = 0.23465 + 107.6 / (146.0 - square) + 0.93161 / (41.0 - square)
    thin = math.exp(-elevation_m / 1000.0 / _RAYLEIGH_HEIGHT_KM)
    return 9.4977e-3 * um**-4.0 * bent**2 * thin


def ozone_mag(wavelength_nm: Values | float) -> Values:
    """Return the extinction by ozone at the zenith, mag per air mass.

    Source: cross-sections of Gorshelev et al. 2014 times 300 Dobson units.
    Checked by: tests/truth/test_extinction.py
    """
    known = _OZONE_FIRST_NM + _OZONE_STEP_NM * np.arange(len(_OZONE_CROSS_SECTION))
    cross = np.interp(np.asarray(wavelength_nm, dtype=float), known, _OZONE_CROSS_SECTION)
    return np.asarray(_MAG_PER_DEPTH * _OZONE_COLUMN_CM2 * 1e-21 * cross)


def extinction_mag(sky: Sky, wavelengths_nm: Values) -> Values:
    """Return the extinction at the zenith, mag per air mass; at 550 nm it is the sky's own.

    Rayleigh and ozone are the site's, aerosol fills up to the stated value. Where that is less
    than the clean air's own, all is scaled down to meet it.

    Parameters
    ----------
    wavelengths_nm
        (n,)

    Notes
    -----
    Source: the three parts as in Hayes & Latham 1975, ApJ 197, 593; aerosol as in Green 1992.
    Checked by: tests/truth/test_extinction.py
    """
    wavelengths_nm = np.asarray(wavelengths_nm, dtype=float)
    clean = rayleigh_mag(wavelengths_nm, sky.elevation_m) + ozone_mag(wavelengths_nm)
    clean_v = float(rayleigh_mag(V_WAVELENGTH_NM, sky.elevation_m) + ozone_mag(V_WAVELENGTH_NM))
    if sky.extinction_mag <= clean_v:
        return clean * (sky.extinction_mag / clean_v)
    aerosol = (wavelengths_nm / V_WAVELENGTH_NM) ** _AEROSOL_POWER
    return clean + (sky.extinction_mag - clean_v) * aerosol


def transmission(sky: Sky, wavelengths_nm: Values) -> Values:
    """Return the fraction of the light that comes through the air at the object's altitude.

    Parameters
    ----------
    wavelengths_nm
        (n,)

    Returns
    -------
    array
        (n,), 0 to 1; 1 when the sky's `air` is "none".

    Notes
    -----
    Source: m = k X.
    Checked by: tests/truth/test_extinction.py
    """
    if sky.air == "none":
        return np.ones_like(np.asarray(wavelengths_nm, dtype=float))
    return 10.0 ** (-0.4 * extinction_mag(sky, wavelengths_nm) * airmass(sky.altitude_deg))
