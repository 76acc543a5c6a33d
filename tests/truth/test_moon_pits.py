"""Small craters of the Moon made crisp: against named ones, and against ground that is known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter, laplace

from simview.scene.moon_map import MAP_SIGMA_KM, MOON_KM, unit_vector
from simview.scene.moon_pits import Pits, fresh, pits, sharpen
from simview.scene.moon_rilles import COARSEST_KM

# Satellite craters of Hyginus: latitude, longitude in deg, diameter in km. Source: Andersson &
# Whitaker 1982, NASA Catalogue of Lunar Nomenclature, NASA RP-1097 (places to 0.1 deg, 3 km).
NAMED = {
    "A": (6.3, 5.7, 8.0),
    "B": (7.6, 5.1, 6.0),
    "C": (7.7, 8.3, 5.0),
    "E": (8.7, 8.5, 4.0),
    "F": (8.0, 8.6, 4.0),
}


@pytest.mark.parametrize("name", NAMED)
def test_named_small_crater_is_found_with_its_size(name: str) -> None:
    latitude, longitude, diameter = NAMED[name]
    away = np.linalg.norm(pits().centre - unit_vector(latitude, longitude), axis=1) * MOON_KM
    nearest = int(away.argmin())
    assert away[nearest] < 4.0
    assert pits().diameter_km[nearest] == pytest.approx(diameter, rel=0.3)


# Pike 1977 (memory): none is deeper than a fifth of its diameter; most are worn.
def test_most_are_shallower_than_fresh_craters() -> None:
    assert 0.2 < np.median(pits().depth) < 0.9
    assert pits().depth.max() <= 1.1


def grid(cell_km: float, side: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    axis = ((np.arange(side) - side // 2) * cell_km / MOON_KM).astype(np.float32)
    right, up = axis[None, :], -axis[:, None]
    return right, up, np.sqrt(1.0 - right**2 - up**2)


# Slopes creep as heat spreads, by 5.5 m2 a million years (Fassett & Thomson 2014, J. Geophys. Res.
# 119, 2255): in half of 3000 million years over sqrt(2 k t) = 0.128 km. The freshest are as old.
CREPT_KM = (2.0 * 5.5e-6 * 1500.0) ** 0.5


# A crater that is known, and what the map keeps of it: made crisp it is the crater again, where the
# map had lost a third of its depth and its rim.
@pytest.mark.parametrize("diameter", [3.2, 5.0, 8.0])
def test_crater_that_the_map_has_smoothed_comes_back(
    diameter: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = Pits(np.array([[0.0, 0.0, 1.0]]), np.array([diameter]), np.array([1.0]))
    monkeypatch.setattr("simview.scene.moon_pits.pits", lambda: one)
    cell = 0.2
    places = grid(cell, 161)
    away = np.hypot(places[0], places[1]) * MOON_KM
    truth = gaussian_filter(fresh(away, diameter), CREPT_KM / cell)
    mapped = gaussian_filter(truth, MAP_SIGMA_KM / cell)
    crisp = mapped.copy()
    sharpen(crisp, np.eye(3), places, cell)
    lost, left = (float(np.sqrt(np.mean((v - truth) ** 2))) for v in (mapped, crisp))
    assert left < 0.25 * lost
    # Its walls, which light and shade tell of, are as steep as they were.
    steep = [float(np.abs(np.gradient(v, cell, axis=1)).max()) for v in (truth, mapped, crisp)]
    assert steep[1] < 0.8 * steep[0]
    assert steep[2] == pytest.approx(steep[0], rel=0.1)


# A crater of 1 km is left with about 52 % of its depth after 3000 million years (same source, for
# the mean shape of measured fresh craters; ours is Pike's bowl, and its walls are straighter).
def test_fresh_crater_wears_as_slopes_creep() -> None:
    cell = 0.02
    away = np.hypot(*np.meshgrid(*[np.arange(-100, 101) * cell] * 2))
    deep = [float(np.ptp(gaussian_filter(fresh(away, 1.0), s / cell))) for s in (1e-3, 0.1817)]
    assert deep[1] / deep[0] == pytest.approx(0.52, abs=0.09)


# What is drawn of a worn crater is a crater whose slopes have crept, not a fresh one made shallow.
def test_worn_crater_is_a_soft_hollow_without_a_ring(monkeypatch: pytest.MonkeyPatch) -> None:
    cell, diameter = 0.2, 4.0
    places = grid(cell, 161)
    away = np.hypot(places[0], places[1]) * MOON_KM
    steepest = {}
    for crept in (0.2, 0.8):
        truth = gaussian_filter(fresh(away, diameter), crept / cell)
        mapped = gaussian_filter(truth, MAP_SIGMA_KM / cell)
        # Its depth as the search for craters has it, by second differences.
        whole = gaussian_filter(fresh(away, diameter), MAP_SIGMA_KM / cell)
        bends = [laplace(ground) for ground in (whole, mapped)]
        depth = float((bends[0] * bends[1]).sum() / (bends[0] ** 2).sum())
        one = Pits(np.array([[0.0, 0.0, 1.0]]), np.array([diameter]), np.array([depth]))
        monkeypatch.setattr("simview.scene.moon_pits.pits", lambda one=one: one)
        crisp = mapped.copy()
        sharpen(crisp, np.eye(3), places, cell)
        lost, left = (float(np.sqrt(np.mean((v - truth) ** 2))) for v in (mapped, crisp))
        assert left < 0.4 * lost
        steepest[crept] = float(np.abs(np.gradient(crisp, cell, axis=1)).max())
    assert steepest[0.8] < 0.5 * steepest[0.2]


def test_coarse_pictures_are_left_alone() -> None:
    field = np.zeros((60, 60), np.float32)
    sharpen(field, np.eye(3), grid(COARSEST_KM, 60), COARSEST_KM)
    assert not field.any()
    sharpen(field, np.eye(3), grid(0.5 * COARSEST_KM, 60), 0.5 * COARSEST_KM)
    assert field.any()
