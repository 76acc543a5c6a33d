"""The pattern of a clear circular pupil.

Sources: Airy 1835, Trans. Camb. Phil. Soc. 5, 283; Rayleigh 1879, Phil. Mag. 8, 261; Sparrow
1916, ApJ 44, 76; Born & Wolf, Principles of Optics, section 8.5 (table 8.2). The numbers are
zeros and extrema of [2 J1(v)/v]^2, computed to more digits than the books print.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from scipy.special import j1

import simview
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN

# What galsim computes, kept beside the script that asked it.
GALSIM = json.loads(
    (Path(__file__).parent / "references/air_and_rings.json").read_text(encoding="utf-8")
)

APERTURE_MM = 100.0
WAVE_NM = 550.0
UNIT = WAVE_NM * 1e-6 / APERTURE_MM * ARCSEC_PER_RADIAN  # wavelength / aperture, arcsec
SCOPE = simview.Telescope(aperture_mm=APERTURE_MM, focal_length_mm=1000.0)
STEPS = 64  # pixels in one wavelength / aperture


@pytest.fixture(scope="module")
def profile():
    """Intensity from the centre to the right, peak of the closed form = 1; radius in lambda/D."""
    plane = spread_stack(
        SCOPE, wavelengths_nm=[WAVE_NM], pixel_arcsec=UNIT / STEPS, pixels=640, precise=True
    )[0]
    peak = math.pi / 4.0 / STEPS**2
    return np.arange(320) / STEPS, plane[320, 320:] / peak


def crossing_of_zero(radius, light, near):
    """Place where the amplitude changes sign: sqrt(I) is straight on both sides of a zero."""
    amplitude = np.sqrt(light)
    middle = np.argmin(np.where(np.abs(radius - near) < 0.2, light, 1.0))
    amplitude = np.where(np.arange(len(light)) <= middle, amplitude, -amplitude)
    left, right = slice(middle - 4, middle - 1), slice(middle + 2, middle + 5)
    x = np.concatenate((radius[left], radius[right]))
    y = np.concatenate((amplitude[left], amplitude[right]))
    fit = np.polynomial.Polynomial.fit(x, y, 3)
    return min((r.real for r in fit.roots() if abs(r.imag) < 1e-9), key=lambda r: abs(r - near))


@pytest.mark.parametrize("zero", [1.219670, 2.233131, 3.238315])
def test_dark_rings_lie_where_j1_vanishes(profile, zero):
    # 1e-5: six printed digits, and a cubic through amplitudes good to 1e-6
    assert crossing_of_zero(*profile, zero) == pytest.approx(zero, abs=1e-5)


@pytest.mark.parametrize(("place", "height"), [(1.634719, 0.0174979), (2.679292, 0.0041580)])
def test_bright_rings_have_the_books_height(profile, place, height):
    radius, light = profile
    near = np.abs(radius - place) < 0.15
    fit = np.polynomial.Polynomial.fit(radius[near], light[near], 5)
    top = [r.real for r in fit.deriv().roots() if abs(r.imag) < 1e-9 and abs(r.real - place) < 0.1]
    assert top[0] == pytest.approx(place, abs=2e-4)  # a flat top: place is 100 times less sharp
    assert fit(top[0]) == pytest.approx(height, abs=1e-6)


def test_width_at_half_maximum_agrees_with_theory_and_galsim(profile):
    radius, light = profile
    half = np.interp(-0.5, -light[:64], radius[:64])
    # 1e-4: straight lines between 64 points a unit
    assert 2.0 * half == pytest.approx(1.028994, abs=1e-4)
    assert 2.0 * half == pytest.approx(GALSIM["airy_fwhm"], abs=1e-4)


@pytest.mark.parametrize(("precise", "tolerance"), [(True, 1.0e-6), (False, 2.0e-6)])
def test_whole_pattern_follows_the_closed_form(precise, tolerance):
    """256 grey samples hold it within 1e-6 of the peak; float32 adds as much again."""
    pixels, pixel = 256, 0.1
    plane = spread_stack(
        SCOPE, wavelengths_nm=[WAVE_NM], pixel_arcsec=pixel, pixels=pixels, precise=precise
    )[0]
    place = (np.arange(pixels) - pixels // 2) * pixel / UNIT
    v = np.pi * np.hypot(place[None, :], place[:, None])
    v[pixels // 2, pixels // 2] = 1.0
    wanted = (2.0 * j1(v) / v) ** 2
    wanted[pixels // 2, pixels // 2] = 1.0
    peak = math.pi / 4.0 * (pixel / UNIT) ** 2
    np.testing.assert_allclose(plane / peak, wanted, atol=tolerance, rtol=0)


@pytest.mark.parametrize("wave", [436.0, 550.0, 656.0])
def test_pattern_grows_with_wavelength(wave):
    star = simview.point_spread(SCOPE, wavelengths_nm=[wave], pixel_arcsec=0.05, pixels=256)
    unit = wave * 1e-6 / APERTURE_MM * ARCSEC_PER_RADIAN
    row = star.image[128, 128:] / star.image[128, 128]
    half = np.interp(-0.5, -row[:25], np.arange(25) * 0.05)
    assert 2.0 * half / unit == pytest.approx(1.028994, abs=2e-3)  # 20 points a unit


def two_stars(profile, separation):
    """Sum of two equal stars along the line through them, at their midpoint and at one star."""
    radius, light = profile
    both = np.concatenate((-radius[:0:-1], radius)), np.concatenate((light[:0:-1], light))

    def at(x):
        return np.interp(x, *both)

    middle = 2.0 * at(separation / 2.0)
    line = np.linspace(0.3 * separation, 0.7 * separation, 201)
    top = max(at(x) + at(x - separation) for x in np.linspace(-0.2, 0.2, 401))
    return middle, top, np.array([at(x) + at(x - separation) for x in line]), line


def test_rayleighs_pair_has_its_saddle_and_separation(profile):
    # Rayleigh 1879: 0.735 of the peak, at 1.21967 lambda/D = 1.3837 arcsec for 100 mm at 550 nm
    middle, top, _, _ = two_stars(profile, 1.219670)
    assert middle / top == pytest.approx(0.7350, abs=1e-3)
    assert pytest.approx(1.3837, abs=5e-4) == 1.219670 * UNIT


def test_sparrows_pair_is_flat_between_the_stars(profile):
    # Sparrow 1916: no dip left at 0.94716 lambda/D; one percent nearer or wider bends it
    def bend(separation):
        _, _, light, line = two_stars(profile, separation)
        return np.polynomial.Polynomial.fit(line, light, 4).deriv(2)(separation / 2.0)

    separations = np.linspace(0.90, 1.0, 11)
    zero = np.interp(0.0, [bend(s) for s in separations], separations)
    assert zero == pytest.approx(0.94716, abs=1e-3)  # straight lines between 64 points a unit
