"""Faint stars close together are taken for one: over Ricco's area, and no light is lost to it."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from simview.eye.gathered import _even, _moved, summation_deg
from simview.scene.scene import Stars


def stars_at(x: np.ndarray, y: np.ndarray) -> Stars:
    count = len(x)
    return Stars(
        x_arcsec=x,
        y_arcsec=y,
        magnitude=np.full(count, 14.0),
        temperature_k=np.full(count, 6e3),
    )


def moved(x: np.ndarray, y: np.ndarray, *, above: float = 0.5, even: float = 1e-12) -> np.ndarray:
    """Return each star's light after gathering over 20 arcsec, 1 before."""
    count = len(x)
    return _moved(
        stars_at(x, y),
        np.ones(count),
        np.full(count, above),
        np.full(count, 20.0),
        np.full(count, even),
    )


def test_eyes_add_up_light_over_a_degree_or_two_in_the_dark_and_minutes_by_day() -> None:
    # Ricco's law holds to some 1 to 2 deg in the dark, outside the fovea (Barlow 1958, J. Physiol.
    # 141, 337; Hallett 1963, Vision Res. 3, 9), to some 5 to 15 arcmin by day (Davila & Geisler
    # 1991, Vision Res. 31, 1369); from memory.
    widths = summation_deg(np.array([1e-5, 1e-4, 1e-2, 1.0]))
    assert np.all(np.diff(widths) < 0.0)
    assert 0.8 < widths[0] < 2.0
    assert 5.0 / 60.0 < widths[-1] < 15.0 / 60.0


def test_two_unseen_stars_close_together_are_as_bright_as_one_of_both() -> None:
    found = np.sort(moved(np.array([0.0, 2.0]), np.zeros(2), above=0.2))
    # Hardly any of their light is seen singly (Blackwell 1946); 2 of 20 arcsec off the middle of a
    # Gaussian 0.97 of it is left.
    assert found == pytest.approx([0.05, 1.95], abs=0.05)


def test_stars_far_apart_stay_as_they_are() -> None:
    assert moved(np.array([0.0, 60.0]), np.zeros(2)) == pytest.approx([1.0, 1.0])


def test_star_that_is_surely_seen_gathers_nothing() -> None:
    # More than twice the light of one seen half of the time (Blackwell 1946: 90 % at 1.62 times).
    assert moved(np.array([0.0, 2.0]), np.zeros(2), above=4.0) == pytest.approx([1.0, 1.0])


def test_a_haze_gathers_by_chance_alone_and_keeps_its_light() -> None:
    # Four stars to the area that is added up, drawn by chance: what a star's place has more than
    # the mean scatters by the square root of the sum of the weights' squares, 1.4 stars (half of
    # the area's four: a Gaussian squared has half of its area).
    rng = np.random.default_rng(4)
    side, area = 2000.0, math.pi / (4.0 * math.log(2.0)) * 20.0**2
    count = int(4.0 * side**2 / area)
    x, y = rng.uniform(-side / 2.0, side / 2.0, (2, count))
    found = moved(x, y, above=0.2, even=1.0 / side**2)
    assert found.sum() == pytest.approx(count, rel=1e-9)
    assert found.min() > 0.0
    # Those that gather first have an excess above nothing half of the time, 0.4 deviations on the
    # mean; later ones find less.
    gained = found[found > 1.0] - 1.0
    assert 0.3 < gained.mean() < 1.6
    assert found.max() < 1.0 + 6.0 * math.sqrt(2.0)


def test_even_field_gathers_nothing_since_every_place_has_the_mean() -> None:
    # A grid of 2 arcsec: 0.25 stars to the arcsec2. A Gaussian 20 arcsec wide adds up over
    # pi / (4 ln 2) x 400 = 453 arcsec2, 113 stars; 1.8 % of them lie further out than it is
    # followed, and the star itself is one: no place has more than the mean.
    along = np.arange(-50.0, 51.0, 2.0)
    x, y = (each.ravel() for each in np.meshgrid(along, along))
    found = moved(x, y, above=0.2, even=0.25 / len(x))
    assert found == pytest.approx(np.ones(len(x)))


def test_hazes_light_at_a_star_is_that_of_its_own_pixel_and_none_off_the_frame() -> None:
    # 7 columns and 5 rows of 10 arcsec, the middle pixel at column 3, row 2; right and up.
    shape = np.arange(35, dtype=np.float32).reshape(5, 7)
    places = {(0.0, 0.0): 17, (12.0, 0.0): 18, (0.0, 12.0): 10, (-30.0, -20.0): 28, (30.0, 20.0): 6}
    off = [(36.0, 0.0), (-36.0, 0.0), (0.0, 26.0), (0.0, -26.0)]
    x, y = np.array([*places, *off]).T
    one = SimpleNamespace(haze_pixel_arcsec=10.0)
    told = _even(one, SimpleNamespace(shape=shape), stars_at(x, y))  # type: ignore[arg-type]
    per_arcsec2 = np.array(list(places.values())) / 206264.806**2
    np.testing.assert_allclose(told[: len(places)], per_arcsec2, rtol=1e-6)
    assert told[len(places) :].tolist() == [-1.0] * len(off)
