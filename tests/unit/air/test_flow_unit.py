"""A stream of screens: repeatable, any moment in any order, no early repetition."""

import math

import numpy as np
import pytest

from simview.air import flow
from simview.errors import RangeError, SimviewError
from simview.kit import Sky


def made(seed=1, samples=32, layers=flow.LAYERS, **sky):
    return flow.start(samples, 150.0, Sky(**sky), np.random.default_rng(seed), layers)


def test_same_seed_gives_the_same_film():
    one, other = made(4), made(4)
    assert all(np.array_equal(a, b) for a, b in zip(one.frames(3), other.frames(3), strict=True))
    assert not np.array_equal(made(5).screen_nm(0.0), one.screen_nm(0.0))


def test_moments_may_be_asked_for_in_any_order():
    film = made()
    last = film.screen_nm(2.0)
    film.screen_nm(0.5)
    assert np.array_equal(film.screen_nm(2.0), last)


def test_frames_are_evenly_spaced_from_nought():
    film = made()
    frames = list(film.frames(3, frames_per_second=20.0))
    for number, frame in enumerate(frames):
        assert np.array_equal(frame, film.screen_nm(number / 20.0))
    assert frames[0].dtype == np.float32
    assert frames[0].shape == (32, 32)
    assert abs(float(frames[0].mean())) < 1e-3


def test_neighbouring_frames_are_alike_and_distant_ones_are_not():
    # The mean of many skies: in one whose tilt happens to be small, a millisecond changes more.
    near, apart = [], []
    for seed in range(1, 13):
        film = made(seed, samples=48)
        first = film.screen_nm(0.0).ravel()
        near.append(np.corrcoef(first, film.screen_nm(0.001).ravel())[0, 1])
        later = [np.corrcoef(first, film.screen_nm(t).ravel())[0, 1] for t in (3.1, 5.3, 7.7, 11.9)]
        apart.append(min(np.abs(later)))
    assert np.mean(near) > 0.97
    assert max(apart) < 0.7 < min(near)


def test_perfect_seeing_gives_flat_screens():
    assert np.array_equal(made(seeing_arcsec=0.0).screen_nm(1.0), np.zeros((32, 32)))


@pytest.mark.parametrize("direction_deg", [0.0, 90.0, 45.0, 180.0, -135.0, 30.0])
def test_window_crosses_the_screen_before_it_meets_its_own_track(direction_deg):
    turned = flow._long_way_deg(direction_deg, 16.0)
    assert abs(turned - direction_deg) <= 6.0
    # Straight along the grid it would come back after 16 apertures (22.6 on the diagonal).
    way = np.arange(2.0, 2000.0, 0.1)
    x, y = (f(math.radians(turned)) * way / 16.0 for f in (math.cos, math.sin))
    met = np.hypot(x - np.rint(x), y - np.rint(y)) * 16.0 < 1.0
    assert way[met.argmax()] > 100.0


def test_seam_of_the_periodic_screen_does_not_show():
    # A window that lies across the seam changes no more from frame to frame than any other.
    layer = flow.Layer(share=1.0, wind_m_s=10.0, direction_deg=10.0)
    film = made(samples=32, layers=[layer])
    period_s = film.drifts[0].period / 32 * 0.15 / 10.0
    changes = [
        np.abs(film.screen_nm(t + 5e-4) - film.screen_nm(t)).mean()
        for t in np.linspace(0.9 * period_s, 1.1 * period_s, 60)
    ]
    assert max(changes) < 3.0 * np.median(changes)


def test_interpolation_is_exact_for_cubics():
    rows = np.arange(12.0, dtype=np.float32)
    plane = (0.1 * rows**3 - rows**2 + 2.0)[:, None] * np.ones((1, 3), np.float32)
    moved = flow._between(plane, 0.3)[:, 0]
    at = rows[1:-2] + 0.3
    assert moved == pytest.approx(0.1 * at**3 - at**2 + 2.0, rel=1e-4, abs=1e-3)


@pytest.mark.parametrize("count", [0, -1, 2.5, True, 10**9])
def test_frames_that_cannot_be_are_refused(count):
    with pytest.raises(RangeError, match="frames"):
        next(made().frames(count))


@pytest.mark.parametrize("seconds", [-1.0, math.nan, 1e9])
def test_moment_out_of_range_is_refused(seconds):
    with pytest.raises(RangeError, match="seconds"):
        made().screen_nm(seconds)


def test_setup_that_cannot_be_is_refused():
    with pytest.raises(SimviewError, match="at least one"):
        made(layers=())
    with pytest.raises(RangeError, match="screen samples"):
        made(samples=4)
    with pytest.raises(RangeError, match="wind_m_s"):
        flow.Layer(share=1.0, wind_m_s=-1.0)
    with pytest.raises(RangeError, match="boil_s"):
        flow.Layer(share=1.0, wind_m_s=1.0, boil_s=0.0)


def test_coherence_lasts_for_ever_without_wind_or_turbulence():
    still = [flow.Layer(share=1.0, wind_m_s=0.0)]
    assert flow.coherence_seconds(Sky(), layers=still) == math.inf
    assert flow.coherence_seconds(Sky(seeing_arcsec=0.0)) == math.inf
