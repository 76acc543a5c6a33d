"""Heat shimmer: what turbulent air along a level path near the ground does to an image.

The strength of the turbulence, Cn2, is even along the path. Light from each point of the object
is a spherical wave, so what counts is the air near the telescope: a layer at the share u of the
way from the object acts as u^(5/3).
"""

from __future__ import annotations

import math
from typing import Final

from simview.air.seeing import FWHM_RATIO, SEEING_WAVELENGTH_NM
from simview.air.turbulence import STRUCTURE
from simview.units import ARCSEC_PER_RADIAN

# D(r) = 2.9144 k^2 Cn2 L r^(5/3) for a plane wave. Exact: the spectrum of the refractive index is
# Gamma(8/3) sin(pi/3) / (4 pi^2) Cn2 K^(-11/3), and int x^(-8/3) (1 - J0(x)) dx is
# -2^(-8/3) Gamma(-5/6) / Gamma(11/6). Source: Tatarskii 1961; Fried 1966, J. Opt. Soc. Am. 56,
# 1380.
PLANE: Final = (
    -2.0
    * math.gamma(8.0 / 3.0)
    * math.sin(math.pi / 3.0)
    * 2.0 ** (-8.0 / 3.0)
    * math.gamma(-5.0 / 6.0)
    / math.gamma(11.0 / 6.0)
)

# A spherical wave's share of that: the mean of u^(5/3) along the way. Exact.
SPHERICAL: Final = 3.0 / 8.0


def slab_r0(cn2: float, length_m: float, wavelength_nm: float = SEEING_WAVELENGTH_NM) -> float:
    """Return r0^(-5/3) in m^(-5/3) of even turbulence of that length, for a plane wave."""
    k = 2.0 * math.pi / (wavelength_nm * 1e-9)
    return float(PLANE / STRUCTURE * k**2 * cn2 * length_m)


def fried_r0_m(cn2: float, distance_m: float, wavelength_nm: float = SEEING_WAVELENGTH_NM) -> float:
    """Return Fried's parameter of a level path for light from a point at its far end, in m.

    Parameters
    ----------
    cn2
        Structure constant of the refractive index, m^(-2/3), even along the path; 0 gives
        infinity.
    distance_m
        Length of the path, above 0.

    Notes
    -----
    Source: r0 = (0.423 k^2 (3/8) Cn2 L)^(-3/5), Fried 1966, J. Opt. Soc. Am. 56, 1380; Andrews &
    Phillips 2005, Laser Beam Propagation through Random Media, ch. 6. It holds for the mean image
    in strong turbulence too.
    Checked by: tests/truth/test_shimmer.py
    """
    if cn2 == 0.0:
        return math.inf
    return float((SPHERICAL * slab_r0(cn2, distance_m, wavelength_nm)) ** -0.6)


def seeing_arcsec(cn2: float, distance_m: float) -> float:
    """Return the blur of a level path as seeing is quoted: 0.976 wavelength / r0 at 500 nm.

    Source: Fried 1966.
    Checked by: tests/truth/test_shimmer.py
    """
    r0_m = fried_r0_m(cn2, distance_m)
    return FWHM_RATIO * SEEING_WAVELENGTH_NM * 1e-9 / r0_m * ARCSEC_PER_RADIAN


def equal_outer_scale_m(outer_scale_m: float) -> float:
    """Return the outer scale of a plane wave's structure function that a spherical wave sees.

    A plane wave's structure function loses the share c (r / L0)^(1/3) to the outer scale. Along
    a spherical wave the baseline shrinks as u, so it loses c (r / L0)^(1/3) x (1/3) / (3/8): as
    if the outer scale were (9/8)^3 times larger. To leading order.

    Checked by: tests/truth/test_shimmer.py
    """
    return outer_scale_m * (9.0 / 8.0) ** 3
