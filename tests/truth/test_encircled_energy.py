"""How much light lies inside a circle.

Sources: Rayleigh 1881, Phil. Mag. 11, 214: 1 - J0(v)^2 - J1(v)^2; Born & Wolf, section 8.5;
galsim for the half-light radius. Radii in lambda/D.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1

import simview
from simview.units import ARCSEC_PER_RADIAN

# What galsim computes, kept beside the script that asked it.
GALSIM = json.loads(
    (Path(__file__).parent / "references/air_and_rings.json").read_text(encoding="utf-8")
)

UNIT = 550e-6 / 150.0 * ARCSEC_PER_RADIAN
SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0)


@pytest.fixture(scope="module")
def star():
    return simview.point_spread(SCOPE, pixel_arcsec=0.05, pixels=512, precise=True)


@pytest.mark.parametrize(
    ("zero", "inside"), [(1.219670, 0.837785), (2.233131, 0.909931), (3.238315, 0.937647)]
)
def test_light_inside_the_dark_rings_is_rayleighs(star, zero, inside):
    # 1e-5: six printed digits; the far wing cut off by the grid enters only through ripples
    assert star.encircled(zero * UNIT) == pytest.approx(inside, abs=1e-5)


@pytest.mark.parametrize("radius", [0.3, 1.0, 2.0, 5.0, 10.0])
def test_light_inside_any_circle_follows_rayleighs_formula(star, radius):
    v = np.pi * radius
    wanted = 1.0 - j0(v) ** 2 - j1(v) ** 2
    assert star.encircled(radius * UNIT) == pytest.approx(wanted, abs=5e-5)


def test_half_light_radius_is_galsims(star):
    half = brentq(lambda r: star.encircled(r * UNIT) - 0.5, 0.3, 1.0, xtol=1e-6)
    assert half == pytest.approx(GALSIM["airy_half_light_radius"], abs=2e-5)
    assert half == pytest.approx(0.534832, abs=2e-5)


def test_grid_holds_what_rayleighs_formula_says_of_a_square(star):
    # a square of half-width 12.8 arcsec: between the circles inside and around it
    half = 256 * 0.05 / UNIT
    inside, around = (1.0 - j0(v) ** 2 - j1(v) ** 2 for v in (np.pi * half, np.pi * half * 2**0.5))
    assert inside < star.image.sum() < around


def test_coarse_pixels_hold_the_light_of_their_area():
    """A pixel of 2 lambda/D: the middle one holds what 25 x 25 fine ones hold together."""
    fine = simview.point_spread(SCOPE, pixel_arcsec=2.0 * UNIT / 25, pixels=375, precise=True)
    coarse = simview.point_spread(SCOPE, pixel_arcsec=2.0 * UNIT, pixels=15, precise=True)
    summed = fine.image.reshape(15, 25, 15, 25).sum(axis=(1, 3))
    # sums over 7 x 7 against 25 x 25 points of a smooth pattern in each pixel
    np.testing.assert_allclose(coarse.image, summed, atol=4e-4)
    assert coarse.image.sum() == pytest.approx(fine.image.sum(), abs=1e-4)


def test_coarse_image_encircles_what_a_fine_one_does():
    coarse = simview.point_spread(SCOPE, pixel_arcsec=1.5 * UNIT, pixels=65, precise=True)
    v = np.pi * 20.0
    # a circle of 20 lambda/D over pixels of 1.5: light inside a cut pixel is taken as even
    wanted = 1.0 - j0(v) ** 2 - j1(v) ** 2
    assert coarse.encircled(20.0 * UNIT) == pytest.approx(wanted, abs=1e-3)
