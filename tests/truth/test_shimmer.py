"""Shimmer of a level path against the integral over the turbulence's spectrum.

Source: Fried 1966, J. Opt. Soc. Am. 56, 1380; Andrews & Phillips 2005, Laser Beam Propagation
through Random Media, 2nd ed.: the wave structure function of a spherical wave is
D(r) = 8 pi^2 k^2 L int_0^1 du int K Phi(K) [1 - J0(K r u)] dK with Phi = 0.033 Cn2 K^(-11/3), the
plane wave's has u = 1; r0 is 2.1 rho0, and rho0 = (1.46 Cn2 k^2 L)^(-3/5) for a plane wave and
(0.55 Cn2 k^2 L)^(-3/5) for a spherical one (ch. 6; the figures from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import j0

from simview.air import shimmer
from simview.air.seeing import FWHM_RATIO, fried_r0_m
from simview.air.turbulence import structure_rad2

# Weak turbulence, a kilometre, green light; the exact 0.033 is Gamma(8/3) sin(pi/3) / (4 pi^2).
CN2, LENGTH_M, WAVE_NM = 1e-15, 1000.0, 550.0
DENSITY = math.gamma(8.0 / 3.0) * math.sin(math.pi / 3.0) / (4.0 * math.pi**2)


def structure(baseline_m: float, *, spherical: bool, outer_scale_m: float = math.inf) -> float:
    """Phase structure function by brute force: K = exp(t), then the way."""
    k = 2.0 * math.pi / (WAVE_NM * 1e-9)
    floor = 0.0 if math.isinf(outer_scale_m) else (2.0 * math.pi / outer_scale_m) ** 2

    t = np.linspace(math.log(1e-12), math.log(1e5), 200_001)
    wave = np.exp(t)
    density = DENSITY * CN2 * (wave**2 + floor) ** (-11.0 / 6.0)

    def layer(share: float) -> float:
        x = wave * baseline_m * share
        # 1 - J0 loses its digits for small x.
        lost = np.where(x < 1e-3, 0.25 * x**2, 1.0 - j0(x))
        return float(np.trapezoid(wave**2 * density * lost, t))

    if not spherical:
        mean = layer(1.0)
    else:
        nodes, weights = np.polynomial.legendre.leggauss(12)
        mean = sum(0.5 * w * layer(0.5 * (n + 1.0)) for n, w in zip(nodes, weights, strict=True))
    return 8.0 * math.pi**2 * k**2 * LENGTH_M * mean


def test_coefficient_of_a_plane_wave_is_2_914() -> None:
    # Published as 2.914 (Fried 1966; from memory).
    assert pytest.approx(2.914, abs=5e-4) == shimmer.PLANE


def test_spherical_waves_r0_makes_the_structure_function_of_the_integral() -> None:
    # By definition D(r0) = 6.88 rad2. Waves left out below K = 1e-12 are worth 1e-4 of it.
    r0 = shimmer.fried_r0_m(CN2, LENGTH_M, WAVE_NM)
    assert structure(r0, spherical=True) == pytest.approx(6.8839, rel=5e-4)


def test_plane_waves_r0_makes_the_structure_function_of_the_integral() -> None:
    r0 = shimmer.slab_r0(CN2, LENGTH_M, WAVE_NM) ** -0.6
    assert structure(r0, spherical=False) == pytest.approx(6.8839, rel=5e-4)


def test_share_of_a_spherical_wave_is_the_mean_along_the_way() -> None:
    assert quad(lambda u: u ** (5.0 / 3.0), 0.0, 1.0)[0] == pytest.approx(shimmer.SPHERICAL)


def test_r0_agrees_with_the_coherence_radii_of_the_book() -> None:
    # 2.1 (0.55 Cn2 k^2 L)^(-3/5): its two digits are worth 0.6 x 0.9 %, 2.1 is 2.0986.
    k = 2.0 * math.pi / 550e-9
    spherical = 2.1 * (0.55 * CN2 * k**2 * LENGTH_M) ** -0.6
    plane = 2.1 * (1.46 * CN2 * k**2 * LENGTH_M) ** -0.6
    assert shimmer.fried_r0_m(CN2, LENGTH_M, WAVE_NM) == pytest.approx(spherical, rel=0.006)
    assert shimmer.slab_r0(CN2, LENGTH_M, WAVE_NM) ** -0.6 == pytest.approx(plane, rel=0.006)


@pytest.mark.parametrize(
    ("cn2", "distance_m", "r0_mm"),
    # (0.423 x 3/8 x (2 pi / 500 nm)^2 x Cn2 x L)^(-3/5) by hand.
    [(1e-15, 400.0, 251.0), (1e-14, 1000.0, 36.4), (1e-13, 400.0, 15.8)],
)
def test_r0_is_the_hand_value(cn2: float, distance_m: float, r0_mm: float) -> None:
    assert 1e3 * shimmer.fried_r0_m(cn2, distance_m) == pytest.approx(r0_mm, rel=0.005)


def test_seeing_gives_back_the_same_r0() -> None:
    seeing = shimmer.seeing_arcsec(1e-14, 400.0)
    assert fried_r0_m(seeing) == pytest.approx(shimmer.fried_r0_m(1e-14, 400.0), rel=1e-9)
    # 0.976 x 500 nm / 62.98 mm = 7.748e-6 rad = 1.598 arcsec.
    assert seeing == pytest.approx(1.598, rel=0.005)
    assert shimmer.seeing_arcsec(0.0, 400.0) == 0.0
    assert pytest.approx(0.976, abs=2e-4) == FWHM_RATIO


def test_outer_scale_of_a_spherical_wave_is_equal_to_a_larger_one() -> None:
    # Leading order: at a twentieth of the outer scale the exact integral is met within 1 %, while
    # the scale itself, taken as it is, would be 4 % off.
    baseline, scale = 0.1, 2.0
    exact = structure(baseline, spherical=True, outer_scale_m=scale)
    r0 = shimmer.fried_r0_m(CN2, LENGTH_M, WAVE_NM)
    at = np.array([baseline])
    equal = structure_rad2(at, r0, shimmer.equal_outer_scale_m(scale))[0]
    plain = structure_rad2(at, r0, scale)[0]
    assert equal == pytest.approx(exact, rel=0.01)
    assert abs(plain - exact) > 2.0 * abs(equal - exact)
