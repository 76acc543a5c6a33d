"""The only place where inches, radians, light and magnitudes are converted.

Plain floats and numpy arrays go in and come out; the unit stands in every name.
"""

from __future__ import annotations

import math
from typing import Final, overload

import numpy as np
from numpy.typing import NDArray

# Arcseconds in one radian: exact, 180 * 3600 / pi.
ARCSEC_PER_RADIAN: Final = 180.0 * 3600.0 / math.pi

# Illuminance of a star of V = 0 outside the air, lux. Source: Crumey 2014, MNRAS 442, 2600,
# m = -2.5 log10 E - 13.99, which is 2.54e-6 lx within 0.5 %; convention uncertain by about 1 %.
LUX_AT_V0: Final = 2.54e-6

# Millimetres in an inch: exact by definition.
MM_PER_INCH: Final = 25.4

# Nanolambert in one cd/m2: exact, 1e5 * pi.
NANOLAMBERT_PER_CD_M2: Final = 1e5 * math.pi

Values = float | NDArray[np.float64]


@overload
def luminance_cd_m2(mag_arcsec2: float) -> float: ...
@overload
def luminance_cd_m2(mag_arcsec2: NDArray[np.float64]) -> NDArray[np.float64]: ...
def luminance_cd_m2(mag_arcsec2: Values) -> Values:
    """Turn a V surface brightness in mag/arcsec2 into luminance in cd/m2.

    Source: E = 2.54e-6 lx at V = 0, spread over one square arcsecond (Crumey 2014).
    Checked by: tests/truth/test_luminance.py
    """
    return LUX_AT_V0 * ARCSEC_PER_RADIAN**2 * 10.0 ** (-0.4 * mag_arcsec2)


@overload
def mag_arcsec2(luminance_cd_m2: float) -> float: ...
@overload
def mag_arcsec2(luminance_cd_m2: NDArray[np.float64]) -> NDArray[np.float64]: ...
def mag_arcsec2(luminance_cd_m2: Values) -> Values:
    """Turn luminance in cd/m2 into V surface brightness in mag/arcsec2."""
    ratio = np.asarray(luminance_cd_m2) / (LUX_AT_V0 * ARCSEC_PER_RADIAN**2)
    answer = -2.5 * np.log10(ratio)
    return float(answer) if np.ndim(luminance_cd_m2) == 0 else answer


@overload
def illuminance_lux(magnitude: float) -> float: ...
@overload
def illuminance_lux(magnitude: NDArray[np.float64]) -> NDArray[np.float64]: ...
def illuminance_lux(magnitude: Values) -> Values:
    """Turn a V magnitude into illuminance in lux, outside the air."""
    return LUX_AT_V0 * 10.0 ** (-0.4 * magnitude)


def waves_of_defocus(shift_mm: float, focal_ratio: float, wavelength_nm: float = 550.0) -> float:
    """Turn a longitudinal focus shift in mm into peak-to-valley waves, W = dz / (8 F^2 lambda).

    Source: Born & Wolf, Principles of Optics, section 8.8.
    Checked by: tests/truth/test_defocus.py
    """
    return shift_mm / (8.0 * focal_ratio**2 * wavelength_nm * 1e-6)


def focus_shift_mm(waves: float, focal_ratio: float, wavelength_nm: float = 550.0) -> float:
    """Turn peak-to-valley waves of defocus into a longitudinal focus shift in mm."""
    return waves * 8.0 * focal_ratio**2 * wavelength_nm * 1e-6


def arcsec(radian: float) -> float:
    """Turn radians into arcseconds."""
    return radian * ARCSEC_PER_RADIAN


def radian(arcsec: float) -> float:
    """Turn arcseconds into radians."""
    return arcsec / ARCSEC_PER_RADIAN


def inches(mm: float) -> float:
    """Turn millimetres into inches."""
    return mm / MM_PER_INCH
