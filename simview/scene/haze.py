"""Hazy air between things on the ground and the telescope: contrast lost, light added.

It belongs to the scene and not to the air room, because every thing in a scene has a distance of
its own: a hill behind a house is paler than the house.

Along a level path through even air, of a thing's own light exp(-sigma d) is left, and the haze adds
(1 - exp(-sigma d)) of the light that the sky shows at the horizon. So a contrast against that sky
falls as exp(-sigma d), and the sky at the horizon stays as it is.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

Planes = NDArray[np.float32]

# Contrast that is left at the distance called visibility: 2 %. Source: Koschmieder 1924, Beitr.
# Phys. freien Atm. 12, 33; ln(1 / 0.02) = 3.912.
LEFT_AT_VISIBILITY: Final = 0.02

# Wavelength that visibility is stated for, nm. A convention of the field.
VISIBILITY_NM: Final = 550.0

# Dominant wavelengths of the sRGB primaries against white, nm: red, green, blue. Follow from the
# chromaticities of IEC 61966-2-1 and the CIE 1931 observer (tests/truth/test_haze.py).
PRIMARIES_NM: Final = (611.4, 549.1, 464.2)


def extinction_per_km(visibility_km: float, wavelength_nm: float = VISIBILITY_NM) -> float:
    """Return sigma, the share of the light that a kilometre of hazy air takes (natural log).

    Parameters
    ----------
    visibility_km
        Meteorological visibility, above 0.
    wavelength_nm
        At 550 nm it is 3.912 / visibility.

    Notes
    -----
    Source: Koschmieder 1924; by wavelength: Kruse, McGlauchlin & McQuistan 1962, Elements of
    Infrared Technology (the power of wavelength).
    Checked by: tests/truth/test_haze.py
    """
    at_550 = math.log(1.0 / LEFT_AT_VISIBILITY) / visibility_km
    return float(at_550 * (wavelength_nm / VISIBILITY_NM) ** -blueness(visibility_km))


def blueness(visibility_km: float) -> float:
    """Return the power by which haze of this visibility takes more of shorter waves.

    Source: Kruse, McGlauchlin & McQuistan 1962: 1.6 above 50 km, 1.3 from 6 to 50 km,
    0.585 V^(1/3) below.
    Checked by: tests/truth/test_haze.py
    """
    if visibility_km > 50.0:
        return 1.6
    return 1.3 if visibility_km >= 6.0 else 0.585 * math.cbrt(visibility_km)


def left(distance_m: float, visibility_km: float) -> Planes:
    """Return the (3,) share of each primary's light, and of contrast, that the haze leaves.

    Parameters
    ----------
    distance_m
        0 or more.
    visibility_km
        Above 0; infinity leaves all.

    Notes
    -----
    Source: Koschmieder 1924.
    Checked by: tests/truth/test_haze.py
    """
    if math.isinf(visibility_km):
        return np.ones(3, np.float32)
    depths = [extinction_per_km(visibility_km, wave) * distance_m / 1e3 for wave in PRIMARIES_NM]
    return np.asarray(np.exp(-np.array(depths)), np.float32)


def veiled(
    planes: Planes, distance_m: float, visibility_km: float, horizon: Planes, share: Planes
) -> Planes:
    """Return what is seen of things at one distance through the haze.

    Parameters
    ----------
    planes
        (3, ny, nx) light of the things alone, 0 where they are not.
    horizon
        (3,) light of the sky at the horizon, in the same unit.
    share
        (ny, nx) how much of each pixel the things cover; there the haze before them shines.
    """
    kept = left(distance_m, visibility_km)[:, None, None]
    added = horizon[:, None, None] * (np.float32(1.0) - kept)
    return np.asarray(planes * kept + added * share, np.float32)
