"""The eye's formulas beside what their papers print: each term where it is the one that counts.

The formulas are written out here a second time, from the papers' own lines and in their own units,
and meet the program's on many points, to a part in a thousand or better.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad

from simview.eye import media, reference, scatter
from simview.eye.acuity import critical_angle_arcsec
from simview.eye.adaptation import cone_threshold, just_noticeable, mesopic, rod_threshold
from simview.eye.contrast import receptor_transfer, sensitivity
from simview.eye.glare import scattered_fraction
from simview.eye.media import density
from simview.eye.pupil_size import diameter_mm
from simview.eye.thresholds import large_contrast, point_area_sr, seen_fraction, threshold_contrast


@pytest.mark.parametrize("age", [20.0, 45.0, 70.0])
@pytest.mark.parametrize("wave", [320.0, 360.0, 380.0, 400.0, 420.0, 450.0, 500.0, 550.0, 700.0])
def test_lens_has_all_of_the_papers_terms(wave: float, age: float) -> None:
    # van de Kraats & van Norren 2007, eq. 8: Rayleigh's scatter, tryptophan, the young lens (LY),
    # the old lens in the ultraviolet (LOUV) and in the visible (LO), and a neutral part.
    old = age**2
    bells = {
        "tryptophan": (14.19 * 10.68, 0.057, 273.0),
        "young": ((0.998 - 0.000063 * old) * 2.13, 0.029, 370.0),
        "old ultraviolet": ((0.059 + 0.000186 * old) * 11.95, 0.021, 325.0),
        "old visible": ((0.016 + 0.000132 * old) * 1.43, 0.008, 325.0),
    }
    wanted = 0.111 + (0.446 + 0.000031 * old) * (400.0 / wave) ** 4
    for height, narrow, middle in bells.values():
        wanted += height / math.exp((narrow * (wave - middle)) ** 2)
    assert float(density(wave, age)) == pytest.approx(wanted, rel=1e-9)


def test_lens_of_a_reference_age_passes_all_and_an_older_one_what_the_table_adds_up_to() -> None:
    assert media.passed(37.0, 37.0) == pytest.approx((1.0, 1.0))
    # By a sum over a few wavelengths with V and V' as printed (CIE 1924 and 1951), in steps of 20.
    waves = np.arange(420.0, 681.0, 20.0)
    cones = [
        0.004,
        0.023,
        0.060,
        0.139,
        0.323,
        0.710,
        0.954,
        0.995,
        0.870,
        0.631,
        0.381,
        0.175,
        0.061,
        0.017,
    ]
    rods = [
        0.0966,
        0.3281,
        0.567,
        0.793,
        0.982,
        0.935,
        0.650,
        0.3288,
        0.1212,
        0.0332,
        0.0074,
        0.0015,
        0.0003,
        0,
    ]
    lost = 10.0 ** -(density(waves, 75.0) - density(waves, 23.0))
    wanted = [float(np.sum(lost * w) / np.sum(w)) for w in (cones, rods)]
    assert media.passed(75.0, 23.0) == pytest.approx(tuple(wanted), rel=0.01)


@pytest.mark.parametrize("age", [20.0, 28.58, 50.0, 83.0])
@pytest.mark.parametrize("light", [0.0, 1e-3, 0.3, 20.0, 3e4])
def test_pupil_follows_the_unified_formula_on_all_its_range(light: float, age: float) -> None:
    # Watson & Yellott 2012, eq. 1 (Stanley & Davies) and 21, field of 400 deg2, two eyes.
    f = (light * 400.0 / 846.0) ** 0.41
    young = 7.75 - 5.75 * (f / (f + 2.0))
    wanted = young + (age - 28.58) * (0.02132 - 0.009562 * young)
    assert diameter_mm(light, 400.0, age, 2) == pytest.approx(wanted, rel=1e-4)


def test_laws_of_small_and_large_targets_are_those_of_the_printed_coefficients() -> None:
    # Crumey 2014, eq. 25 and 28, 39 and 40, with x = B^(-1/4); below the range that is held.
    for light in (1e-5, 1e-4, 1e-3, 0.01, 0.5, 10.0, 1e3):
        x = light**-0.25
        small = (
            math.sqrt(5.949e-8 * x**2 - 2.389e-7 * x + 2.459e-7) + 4.120e-4 * x - 4.225e-4
        ) ** 2
        large = math.sqrt(9.606e-6 * x**2 - 4.112e-5 * x + 5.019e-5) + 4.837e-3 * x - 4.884e-3
        assert float(point_area_sr(light)) == pytest.approx(small, rel=1e-6)
        assert float(large_contrast(light)) == pytest.approx(large, rel=1e-6)
        # Eq. 41: the two together, by a power that eq. 42 to 44 give.
        q = 0.6 if light < 0.193 else 0.8861 + 0.4 * math.log10(light)
        q = 1.146 - 0.0885 * math.log10(light) if light > 3.4 else q
        area = 3e-6
        both = ((small / area) ** q + large**q) ** (1.0 / q)
        assert float(threshold_contrast(light, area)) == pytest.approx(both, rel=1e-6)


def test_frequency_of_seeing_is_a_normal_ogive_of_blackwells_spread() -> None:
    # Blackwell 1946 (from memory): 90 % at 1.62 times the contrast of 50 %, a spread of 0.48; less
    # what would be said without any light, as he corrects for chance: (p - c) / (1 - c).
    def ogive(times: float) -> float:
        return 0.5 * (1.0 + math.erf((times - 1.0) / 0.48 / math.sqrt(2.0)))

    chance = ogive(0.0)
    for times in (0.2, 0.6, 1.0, 1.3, 2.0):
        wanted = (ogive(times) - chance) / (1.0 - chance)
        assert float(seen_fraction(times)) == pytest.approx(wanted, abs=2e-3)


@pytest.mark.parametrize("log", [-2.4, -1.0, 0.0, 1.0, 1.8])
def test_cones_threshold_between_its_ends_is_the_papers(log: float) -> None:
    # Ferwerda et al. 1996, eq. 1: (0.249 log L + 0.65)^2.7 - 0.72.
    wanted = (0.249 * log + 0.65) ** 2.7 - 0.72
    assert float(np.log10(cone_threshold(10.0**log))) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("log", [-3.8, -3.0, -2.0, -1.5])
def test_rods_threshold_between_its_ends_is_the_papers(log: float) -> None:
    # Ferwerda et al. 1996, eq. 2: (0.405 log L + 1.6)^2.18 - 2.86.
    wanted = (0.405 * log + 1.6) ** 2.18 - 2.86
    assert float(np.log10(rod_threshold(10.0**log))) == pytest.approx(wanted, abs=1e-9)


def test_just_noticeable_is_the_rods_in_dim_light_and_the_cones_in_bright_light() -> None:
    # Ward Larson et al. 1997, table 1: their curve's own lines, log threshold by log luminance:
    # log L - 0.395 below -0.0184 (to -1.44), (0.249 log L + 0.65)^2.7 - 0.72 to 1.9, log L - 1.255
    # beyond; -2.86 below -3.94. Differences are 0.95 finer.
    table = {
        -5.0: -2.86,
        -1.0: -1.395,
        -0.1: -0.495,
        -0.02: -0.415,
        0.5: 0.7745**2.7 - 0.72,
        3.0: 1.745,
    }
    for log, wanted in table.items():
        told = float(np.log10(just_noticeable(10.0**log)))
        assert told == pytest.approx(wanted - 0.95, abs=1e-6)


@pytest.mark.parametrize(("light", "ratio"), [(0.02, 0.5), (0.05, 1.5), (0.5, 2.0), (2.0, 0.4)])
def test_mesopic_light_satisfies_the_two_lines_of_cie_191(light: float, ratio: float) -> None:
    # MES2: m L + (1 - m) L' (683 / 1699), over m + (1 - m)(683 / 1699); m = 0.767 + 0.3334 log.
    m, mixed = mesopic(light, light * ratio)
    rods = (1.0 - float(m)) * 683.0 / 1699.0
    assert float(mixed) == pytest.approx(
        (float(m) * light + rods * light * ratio) / (float(m) + rods), rel=1e-9
    )
    assert float(m) == pytest.approx(0.767 + 0.3334 * math.log10(float(mixed)), abs=1e-6)


def test_critical_angle_is_shlaers_by_schaefers_two_lines() -> None:
    # Schaefer 1993: 40" 10^(8.28 B^-0.29) from 1394 nL on, 380" 10^(0.3 B^-0.29) below it, B in
    # nanolambert, never more than 900".
    for nanolambert in (1.0, 10.0, 100.0, 1300.0, 1500.0, 1e4, 1e6):
        root = nanolambert**-0.29
        wanted = (
            40.0 * 10.0 ** (8.28 * root) if nanolambert >= 1394.0 else 380.0 * 10.0 ** (0.3 * root)
        )
        told = float(critical_angle_arcsec(nanolambert / (1e5 * math.pi)))
        assert told == pytest.approx(min(wanted, 900.0), rel=1e-6)


def test_reference_pupil_is_held_at_the_smallest_of_its_experiments_and_in_the_dark() -> None:
    # De Groot & Gebhard's data end at some 2 mm; Crumey's darkest sky is 1e-5 cd/m2.
    assert float(reference.pupil_mm(1e6)) == 2.0
    assert float(reference.pupil_mm(0.0)) == float(reference.pupil_mm(1e-5))
    for light in (1e-4, 1e-2, 1.0, 100.0):
        wanted = 10.0 ** (0.8558 - 0.000401 * (math.log10(light * math.pi / 10.0) + 8.6) ** 3)
        assert float(reference.pupil_mm(light)) == pytest.approx(wanted, rel=1e-9)


def test_area_of_a_pupil_between_night_and_day_is_mixed_by_the_cones_share() -> None:
    # CIE 191 gives m = 0.767 + 0.3334 log L cones; by the product of powers half way from the one
    # area to the other is their geometric mean. Lens and Stiles-Crawford as in their own tests.
    half = 10.0 ** ((0.5 - 0.767) / 0.3334)
    night, day, between = (
        float(reference.effective_area(light, 5.0, 60.0)) for light in (1e-5, 1e3, half)
    )
    assert between == pytest.approx(math.sqrt(night * day), rel=1e-6)
    rods_lens = media.passed(60.0, 23.0)[1]
    assert night == pytest.approx(math.pi / 4.0 * 25.0 * rods_lens, rel=1e-9)


@pytest.mark.parametrize("pigment", [0.0, 0.5, 1.2])
@pytest.mark.parametrize("age", [20.0, 50.0, 80.0])
def test_veil_is_the_general_formula_of_the_cie(age: float, pigment: float) -> None:
    # CIE 146:2002: 10 / t^3 + (5 / t^2 + 0.1 p / t)(1 + (A / 62.5)^4) + 0.0025 p.
    for angle in (0.1, 0.5, 3.0, 30.0, 100.0):
        old = 1.0 + (age / 62.5) ** 4
        wanted = 10.0 / angle**3 + (5.0 / angle**2 + 0.1 * pigment / angle) * old + 0.0025 * pigment
        told = float(scatter.veil_per_lux(angle, age, pigment))
        assert told == pytest.approx(wanted, rel=1e-9)


def test_share_of_scattered_light_is_the_integral_of_the_veil_over_the_sphere() -> None:
    # Solid angle of a ring: 2 pi sin t dt; done here by an adaptive rule in t itself.
    def ring(t: float) -> float:
        return float(scatter.veil_per_lux(t, 40.0)) * 2.0 * math.pi * math.sin(math.radians(t))

    for inner, outer in ((1.0, 30.0), (0.2, 2.0), (30.0, 100.0)):
        wanted = math.radians(quad(ring, inner, outer, epsrel=1e-8)[0])
        assert scattered_fraction(inner, outer, 40.0) == pytest.approx(wanted, rel=3e-4)


def test_beams_nearly_alike_count_as_the_nearest_that_is_tabled() -> None:
    # A 24th of an octave from one to the next, the whole pupil's scatter from 3 mm on.
    for width in np.geomspace(0.06, 2.9, 97):
        told = scatter.beam_pupil(float(width))
        assert abs(math.log2(told / width)) <= 1.0 / 48.0 + 1e-9
        low, high, part = scatter.beams_about(float(width))
        assert low <= width <= high * (1.0 + 1e-12)
        assert low * 2.0 ** (part / 24.0) == pytest.approx(width, rel=1e-9)
    assert scatter.beam_pupil(3.2) == scatter.beam_pupil(7.0) == 3.0
    assert scatter.beam_pupil(0.0) == pytest.approx(0.05, rel=0.03)


def test_bell_holds_its_share_of_the_light_on_the_half_sphere_before_the_eye() -> None:
    # IJspeert et al. 1993: s w / (2 pi (sin^2 t + w^2 cos^2 t)^1.5). With u = sin^2 t + w^2 cos^2 t
    # its integral over 2 pi sin t cos t dt, from the middle to 90 deg, is s / (1 + w).
    for share, width in ((0.3, 0.02), (0.1, 0.2)):
        total = quad(
            lambda t, s=share, w=width: float(scatter.bell(math.degrees(t), s, w))
            * 2.0 * math.pi * math.sin(t) * math.cos(t),
            0.0,
            math.pi / 2.0,
            points=[width, 5.0 * width],
        )[0]  # fmt: skip
        assert total == pytest.approx(share / (1.0 + width), rel=1e-3)


def test_sensitivity_falls_where_barten_has_it_when_field_and_light_shrink() -> None:
    # Barten 1999, eq. 3.26 with table 3.1, written out: k 3, T 0.1 s, Xmax 12 deg, Nmax 15, eta
    # 0.03, Phi0 3e-8 s deg2, u0 7 cycles/deg; p 1.2274e6 (table 3.2).
    for u, light, size in itertools.product((0.7, 4.0, 20.0), (0.3, 30.0, 3e3), (0.5, 5.0, 40.0)):
        area = 1.0 / (1.0 / size**2 + 1.0 / 144.0 + u**2 / 225.0)
        photons = 1.0 / (0.03 * 1.2274e6 * light)
        neural = 3e-8 / (1.0 - math.exp(-((u / 7.0) ** 2)))
        wanted = 1.0 / (3.0 * math.sqrt(2.0 / 0.1 / area * (photons + neural)))
        told = float(sensitivity(u, troland=light, object_deg=size, eyes=2))
        assert told == pytest.approx(wanted, rel=1e-9)


def test_eyes_are_brown_where_nothing_is_said_of_them() -> None:
    # CIE 146:2002: p = 0 for black eyes, 0.5 brown, 1.0 light, up to 1.2 very light blue. It counts
    # most far out: 0.0025 p beside 5 / t^2 + 0.1 p / t.
    aged = 1.0 + (50.0 / 62.5) ** 4
    wanted = 10.0 / 60.0**3 + (5.0 / 60.0**2 + 0.05 / 60.0) * aged + 0.00125
    assert float(scatter.veil_per_lux(60.0, 50.0)) == pytest.approx(wanted, rel=1e-9)


def test_nerves_blur_is_what_diffraction_leaves_of_bartens_half_arcminute() -> None:
    # Barten 1999: 0.5 arcmin for all but aberration. Diffraction in his 2.5 mm at 555 nm passes as
    # much of 30 cycles/deg as a Gaussian of s: D = exp(-2 (pi s u)^2); squares are taken off.
    nu = 30.0 / (2.5e-3 * math.pi / (555e-9 * 180.0))
    clear = 2.0 / math.pi * (math.acos(nu) - nu * math.sqrt(1.0 - nu**2))
    s = 60.0 * math.sqrt(-math.log(clear) / 2.0) / math.pi / 30.0
    assert s == pytest.approx(0.36, abs=0.002)
    left = math.sqrt(0.5**2 - s**2)
    for u in (10.0, 30.0, 50.0):
        wanted = math.exp(-2.0 * (math.pi * left / 60.0 * u) ** 2)
        assert float(receptor_transfer(u)) == pytest.approx(wanted, abs=0.02)
