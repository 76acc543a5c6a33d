"""The grain of clusters' hazes: as coarse as eyes add up light, and no light is lost to it."""

from __future__ import annotations

import numpy as np
import pytest

from simview.eye.grain import grain, summation_deg
from simview.scene.scene import Crowd, Scene, Stars

SIDE = 200


def crowd_of(x: np.ndarray, y: np.ndarray, shape: np.ndarray) -> tuple[Scene, Crowd]:
    stars = Stars(
        x_arcsec=x, y_arcsec=y, magnitude=np.full(len(x), 14.0), temperature_k=np.full(len(x), 6e3)
    )
    scene = Scene(planes=np.zeros((3, *shape.shape), np.float32), pixel_arcsec=1.0, stars=stars)
    return scene, Crowd(first=0, count=len(x), shape=shape.astype(np.float32))


def middle_heavy() -> np.ndarray:
    rows, columns = np.mgrid[:SIDE, :SIDE] - SIDE // 2
    return np.exp(-(rows**2 + columns**2) / (2.0 * 25.0**2))


def test_eyes_add_up_light_over_a_degree_or_two_in_the_dark_and_minutes_by_day() -> None:
    # Ricco's law holds to some 1 to 2 deg in the dark, outside the fovea (Barlow 1958, J. Physiol.
    # 141, 337; Hallett 1963, Vision Res. 3, 9), to some 5 to 15 arcmin by day (Davila & Geisler
    # 1991, Vision Res. 31, 1369); from memory.
    widths = summation_deg(np.array([1e-5, 1e-4, 1e-2, 1.0]))
    assert np.all(np.diff(widths) < 0.0)
    assert 0.8 < widths[0] < 2.0
    assert 5.0 / 60.0 < widths[-1] < 15.0 / 60.0


def test_haze_of_very_many_stars_is_even() -> None:
    rng = np.random.default_rng(3)
    x, y = rng.normal(0.0, 25.0, (2, 400_000))
    scene, crowd = crowd_of(x, y, middle_heavy())
    found = grain(scene, crowd, np.ones(len(x)), widths_px=(12.0, 8.0))
    inside = middle_heavy() > 0.1
    assert found[inside] == pytest.approx(np.ones(inside.sum()), abs=0.05)


def test_grain_of_few_stars_is_that_of_chance_and_keeps_their_light() -> None:
    # N stars a patch scatter by 1 / sqrt(N): Gaussian weights of width w count those in 2 pi s^2
    # twice over, s = w / 2.355.
    rng = np.random.default_rng(4)
    x, y = rng.uniform(-100.0, 100.0, (2, 4000))
    shape = np.ones((SIDE, SIDE))
    scene, crowd = crowd_of(x, y, shape)
    found = grain(scene, crowd, np.ones(len(x)), widths_px=(20.0, 20.0))
    assert found.sum() == pytest.approx(shape.sum(), rel=1e-4)
    each = 4000 / 200.0**2 * 4.0 * np.pi * (20.0 / 2.355) ** 2
    assert found[30:-30, 30:-30].std() == pytest.approx(1.0 / np.sqrt(each), rel=0.3)


def test_a_star_is_a_soft_spot_where_it_stands() -> None:
    # North is up, row 0 at the top; x to the right.
    scene, crowd = crowd_of(np.array([30.0]), np.array([40.0]), np.ones((SIDE, SIDE)))
    found = grain(scene, crowd, np.ones(1), widths_px=(16.0, 16.0))
    row, column = np.unravel_index(found.argmax(), found.shape)
    assert (row, column) == (pytest.approx(60, abs=2), pytest.approx(130, abs=2))
    assert found[row, column + 8] / found[row, column] == pytest.approx(0.5, abs=0.12)
    assert np.all(grain(scene, crowd, np.zeros(1), widths_px=(16.0, 16.0)) == 1.0)
