"""Screens as arrays: seeds, scales, shapes."""

import numpy as np
import pytest

from simview.air import screens
from simview.kit import Sky


def draw(seed=1, samples=32, aperture_mm=100.0, **sky):
    return screens.screen_nm(samples, aperture_mm, Sky(**sky), np.random.default_rng(seed))


def test_same_seed_gives_the_same_moment():
    assert np.array_equal(draw(5), draw(5))


def test_other_seed_gives_another_moment():
    assert np.abs(np.corrcoef(draw(5).ravel(), draw(6).ravel())[0, 1]) < 0.999


def test_mean_is_nought_and_the_shape_as_asked():
    screen = draw(samples=50)
    assert screen.shape == (50, 50)
    assert screen.dtype == np.float64
    assert screen.mean() == pytest.approx(0.0, abs=1e-9)


def test_perfect_seeing_bends_nothing():
    assert np.array_equal(draw(seeing_arcsec=0.0), np.zeros((32, 32)))


def test_path_error_grows_with_seeing_to_the_power_five_sixths():
    ratio = draw(seeing_arcsec=4.0) / draw(seeing_arcsec=1.0)
    assert ratio == pytest.approx(np.full((32, 32), 4.0 ** (5.0 / 6.0)), rel=1e-9)


def test_path_error_grows_towards_the_horizon():
    ratio = draw(altitude_deg=30.0) / draw(altitude_deg=90.0)
    # r0 as sin(h)^(3/5), path error as r0^(-5/6): together sin(h)^(-1/2).
    assert ratio == pytest.approx(np.full((32, 32), 2.0**0.5), rel=1e-9)


def test_awkward_size_costs_no_awkward_transform():
    recipe = screens._recipe(257, 125.0)
    assert len(recipe.fine) == 540
    for n in (16, 17, 100, 257, 500):
        size = screens._fast_size(n)
        assert size >= n
        assert size % 2 == 0


def test_opposite_edges_do_not_repeat():
    # The transform's grid is twice as wide, so the seam of its period lies outside.
    screen = draw(samples=64)
    seam = np.abs(screen[:, 0] - screen[:, -1]).mean()
    neighbours = np.abs(screen[:, 0] - screen[:, 1]).mean()
    assert seam > 3.0 * neighbours


@pytest.mark.parametrize("frequency", [0.02, 0.375, 0.75])
def test_slow_waves_are_interpolated_to_a_millionth(frequency):
    def wave(where):
        return np.cos(2.0 * np.pi * frequency * (where[:, None] - 0.7 * where - 0.1))

    found = screens.spread_out(wave(screens.places()), 64)
    assert found == pytest.approx(wave((np.arange(64) - 32) / 64.0), abs=5e-6)
