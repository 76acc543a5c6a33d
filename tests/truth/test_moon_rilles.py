"""The Moon's rilles: where they lie, how wide and deep, against published figures and the map."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from simview.scene.moon_map import MOON_KM, height_km_at, unit_vector
from simview.scene.moon_rilles import COARSEST_KM, cut, rilles, valley_km

# IAU Gazetteer of Planetary Nomenclature: middle (latitude, longitude) in deg, length in km.
PUBLISHED = {0: ((7.6, 6.8), 204.0), 1: ((6.5, 13.4), 247.0)}


def length_km(line: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) * MOON_KM


@pytest.mark.parametrize("which", PUBLISHED)
def test_rille_lies_where_it_is_published(which: int) -> None:
    (latitude, longitude), length = PUBLISHED[which]
    line = rilles()[which].line
    # The ends fade out: nobody agrees on them to better than a tenth.
    assert length_km(line) == pytest.approx(length, rel=0.1)
    away = np.linalg.norm(line - unit_vector(latitude, longitude), axis=1) * MOON_KM
    assert away.min() < 25.0


def depth_on_the_map_km(which: int) -> np.ndarray:
    """Return how deep the measured map itself is along a line, against 6 to 8 km on both sides."""
    line = rilles()[which].line
    found = []
    for start, end in itertools.pairwise(line):
        middle = 0.5 * (start + end)
        aside = np.cross(end - start, middle)
        aside /= np.linalg.norm(aside)
        km = np.concatenate([np.linspace(-8, -6, 5), np.linspace(-1, 1, 5), np.linspace(6, 8, 5)])
        points = middle + km[:, None] / MOON_KM * aside
        points /= np.linalg.norm(points, axis=1)[:, None]
        x, y, z = points.astype(np.float32).T
        height = height_km_at(x[None], y[None], z[None], 10.0)[0]
        found.append(0.5 * (height[:5].mean() + height[10:].mean()) - height[5:10].min())
    return np.array(found)


# Cambridge Photographic Moon Atlas 2012, no. 33: Rima Ariadaeus "about 250 km long, a depth of
# 500 m"; the map's pixels are half as wide as the rille and leave some two thirds. Of Hyginus and
# Triesnecker the map is the source: what is drawn must leave there what was measured.
@pytest.mark.parametrize(("which", "least", "most"), [(0, 0.15, 0.32), (1, 0.25, 0.5)])
def test_map_has_a_valley_along_the_line(which: int, least: float, most: float) -> None:
    depth = depth_on_the_map_km(which)
    assert least < np.median(depth) < most
    # All along it but for its ends and the hills across it.
    assert np.mean(depth > 0.05) > 0.75


def flat_grid(cell_km: float, side: int, middle: np.ndarray) -> tuple[np.ndarray, ...]:
    axis = (np.arange(side) - side // 2) * cell_km / MOON_KM
    right = (middle[0] + axis)[None, :].astype(np.float32)
    up = (middle[1] - axis)[:, None].astype(np.float32)
    return right, up, np.sqrt(1.0 - right**2 - up**2).astype(np.float32)


@pytest.mark.parametrize("which", [0, 1, 2])
def test_sharpening_moves_no_ground_but_makes_the_valley_as_deep_as_published(which: int) -> None:
    rille = rilles()[which]
    place = len(rille.line) // 2
    middle = 0.5 * (rille.line[place] + rille.line[place + 1])
    grid = flat_grid(0.2, 240, middle)
    field = np.zeros((240, 240), np.float32)
    cut(field, np.eye(3), grid, 0.2)
    # Deeper in its middle, higher at its rims, by as much.
    assert field.min() < 0.0 < field.max()
    # (At bends a little more ground lies on one side than on the other.)
    assert abs(field.mean()) < 0.12 * np.abs(field).mean()
    # What is left of 2 sigma is the map's: the whole valley is never deeper than it should be.
    assert -field.min() < rille.depth_km


def test_walls_rest_at_their_slope_and_the_floor_is_flat() -> None:
    away = np.arange(-3.0, 3.0, 0.01)
    height = valley_km(away, 4.0, 0.5)
    assert height.min() == pytest.approx(-0.5)
    slope = np.degrees(np.arctan(np.abs(np.gradient(height, 0.01)).max()))
    assert slope == pytest.approx(25.0, abs=0.5)
    # 4 km from rim to rim less two walls of 0.5 km / tan(25 deg).
    floor = 4.0 - 2.0 * 0.5 / math.tan(math.radians(25.0))
    assert np.ptp(away[height < -0.499]) == pytest.approx(floor, abs=0.03)
    # A narrow one is a V, no deeper than asked for.
    assert valley_km(away, 0.2, 0.5).min() == pytest.approx(-0.5, abs=0.05)


def test_coarse_pictures_and_far_places_are_left_alone() -> None:
    field = np.zeros((50, 50), np.float32)
    cut(field, np.eye(3), flat_grid(COARSEST_KM, 50, rilles()[0].line[5]), COARSEST_KM)
    cut(field, np.eye(3), flat_grid(0.5, 50, unit_vector(-40.0, 30.0)), 0.5)
    assert not field.any()
