"""Craters since the lavas: how many, how worn, and how rough they leave a plain.

Neukum, Ivanov & Hartmann 2001, Space Sci. Rev. 96, 55 (numbers by size and age), Fassett & Thomson
2014, J. Geophys. Res. 119, 2255 (creep), Rosenburg et al. 2011, J. Geophys. Res. 116, E02001
(slopes by laser altimeter). Numbers and the slopes' power are read as others quote them, creep from
the paper's abstract, the slope over 17 m from memory.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import j0

from simview.scene.moon_map import HEIGHT_KM
from simview.scene.moon_relief import _PIXEL_KM
from simview.scene.moon_young import AGE, DIAMETERS_KM, Kind, _drawn, per_km2, tile

POINT_KM, SIDE = 0.23, 512


# Counts at landing sites of known age (Stoeffler & Ryder 2001, Space Sci. Rev. 96, 9, memory):
# craters above 1 km on a km2, age in 1000 million years. Of Apollo 11's two the younger mare; the
# formula is not that paper's, and far off its older one (3.80: 9.0e-3, by the formula 18e-3).
@pytest.mark.parametrize(
    ("age", "counted"),
    [(3.15, 3.6e-3), (3.30, 3.2e-3), (3.41, 3.3e-3), (3.58, 6.4e-3)],
    ids=["Apollo 12", "Apollo 15", "Luna 16", "Apollo 11"],
)
def test_craters_are_as_many_as_were_counted_where_rocks_were_dated(
    age: float, counted: float
) -> None:
    assert per_km2(1.0, age) == pytest.approx(counted, rel=0.35)


def power(waves: NDArray[np.float64], low: float, high: float) -> NDArray[np.float64]:
    """Heights' power per wave of craters of Pike's shapes, between two sizes, worn by creep."""
    away = (np.arange(300) + 0.5) / 300 * 2.2
    shape = np.where(away < 1.0, 0.196 * away**2 - 0.16, 0.036 * (away**-3 - 0.0939) / 0.9061)
    ages = (np.arange(24) + 0.5) / 24 * AGE
    # Of the age at which half of all craters of 3400 million years had fallen, 1900, evenly before
    # and after: near enough to a steady rain with a shower at its beginning.
    grown = np.interp(ages / AGE, [0.0, 0.5, 1.0], [0.0, 1.9, AGE])
    total = np.zeros(len(waves))
    for small, large in itertools.pairwise(np.geomspace(low, high, 30)):
        size = math.sqrt(small * large)
        rings = size * shape * away * 2.0 * math.pi * (0.5 * size) ** 2 * 2.2 / 300
        image = j0(math.pi * size * waves[:, None] * away) @ rings
        many = (per_km2(small) - per_km2(large)) / len(grown)
        for age in grown:
            total += many * image**2 * np.exp(-4.0 * (math.pi * waves) ** 2 * 2.0 * 5.5e-3 * age)
    return total


def rise_km(low: float, high: float, over_km: float, point_km: float = 0.0) -> float:
    """Rms difference of heights at places so far apart."""
    waves = np.geomspace(0.02, 100.0, 500)
    rings = power(waves, low, high) * (1.0 - j0(2.0 * math.pi * waves * over_km))
    rings *= np.exp(-4.0 * (math.pi * waves) ** 2 * point_km**2 / 12.0)
    return math.sqrt(float(np.trapezoid(4.0 * math.pi * rings * waves**2, np.log(waves))))


# Half of a mare's slopes over 17 m are above 2.0 deg, and fall as distance to the power 0.76 - 1.
# Craters of all sizes from 15 m on, counted and worn as published, must make as many; with slopes
# spread normally the median is 0.674 of the rms. Far fewer or more would tell of wrong counts or a
# wrong creep: half the creep alone makes 1.2 times the slopes.
@pytest.mark.parametrize("over_km", [0.017, 0.115, 0.46])
def test_counted_and_worn_craters_make_the_slopes_that_lasers_found(over_km: float) -> None:
    found = 2.0 * (over_km / 0.017) ** -0.24
    made = 0.674 * math.degrees(rise_km(0.015, 8.0, over_km) / over_km)
    assert made == pytest.approx(found, rel=0.28)


@pytest.mark.parametrize("apart", [2, 4, 8])
def test_tile_is_as_rough_as_its_craters_add_up_to(apart: int) -> None:
    ground = tile(SIDE, POINT_KM, np.random.default_rng(1))
    made = float(np.sqrt(np.mean((ground - np.roll(ground, apart, axis=1)) ** 2)))
    wanted = rise_km(DIAMETERS_KM[0], DIAMETERS_KM[-1], apart * POINT_KM, POINT_KM)
    assert made == pytest.approx(wanted, rel=0.12)


# What the eye is shown on a plain: smooth ground with a few pits in it, not a grain.
def test_few_pits_hold_nearly_all_of_a_plains_relief() -> None:
    ground = tile(SIDE, POINT_KM, np.random.default_rng(2))
    square = (np.gradient(ground, POINT_KM, axis=1) ** 2).ravel()
    square.sort()
    assert square[-square.size // 20 :].sum() > 0.8 * square.sum()
    assert math.degrees(math.sqrt(float(np.median(square)))) < 0.1


# Observers of the maria from orbit: what is a third of a km wide has all but vanished in 3000
# million years, what is above a km is still a bowl (Fassett & Thomson 2014).
@pytest.mark.parametrize(("diameter_km", "least", "most"), [(0.33, 0.0, 0.2), (1.2, 0.5, 0.9)])
def test_old_craters_are_worn_by_their_size(diameter_km: float, least: float, most: float) -> None:
    old, new = (-float(_drawn(Kind(diameter_km, age, 1.0), 0.05).min()) for age in (3.0, 1e-6))
    assert least < old / new < most
    assert new == pytest.approx(0.16 * diameter_km, rel=0.1)


# Fassett & Thomson 2014, abstract: in 3000 million years a crater of 1 km is worn to some 52 % of
# its first depth, one of 0.3 km to 7 %. From rim to floor, on points fine enough for both.
@pytest.mark.parametrize(("diameter_km", "left"), [(0.3, 0.07), (1.0, 0.52)])
def test_craters_keep_as_much_of_their_depth_as_published(diameter_km: float, left: float) -> None:
    old, new = (float(np.ptp(_drawn(Kind(diameter_km, age, 1.0), 0.02))) for age in (3.0, 1e-6))
    assert old / new == pytest.approx(left, rel=0.12)


def test_tile_is_drawn_on_the_maps_own_pixels() -> None:
    assert pytest.approx(HEIGHT_KM, rel=0.002) == _PIXEL_KM
