"""Shadows and craters of the Moon against geometry and the power law asked for."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.scene import craters
from simview.scene.craters import expected, random_craters
from simview.scene.moon_map import MOON_KM, unit_vector
from simview.scene.sunlit_terrain import higher_part, open_to_light
from simview.scene.targets import target


# A post of height h throws a shadow of length h / tan(altitude) on a plain.
@pytest.mark.parametrize("altitude_deg", [3.0, 10.0, 30.0, 60.0])
@pytest.mark.parametrize("height", [0.5, 2.0])
def test_shadow_is_as_long_as_height_over_the_tangent_of_the_altitude(
    altitude_deg: float, height: float
) -> None:
    step, n = 0.01, 8000
    ground = np.zeros((1, n), np.float32)
    ground[0, 6000] = height
    lit = open_to_light(ground, step, math.tan(math.radians(altitude_deg)))
    length = (1.0 - lit[0, :6000]).sum() * step
    # One step of the grid on either end.
    assert length == pytest.approx(height / math.tan(math.radians(altitude_deg)), abs=2 * step)
    assert lit[0, 6001:].min() == 1.0


def test_shadow_gets_as_much_longer_as_the_ground_falls_away() -> None:
    # On ground falling by slope g away from the light, the shadow ends where
    # h = L (tan a - g): longer than on the level.
    step, n, fall, slope = 0.01, 8000, 0.05, 0.2
    ground = (np.arange(n, dtype=np.float32) * np.float32(step * fall))[None, :].copy()
    ground[0, 6000] += 1.0
    lit = open_to_light(ground, step, slope)
    length = (1.0 - lit[0, :6000]).sum() * step
    assert length == pytest.approx(1.0 / (slope - fall), abs=2 * step)


def test_penumbra_is_as_wide_as_the_sun_makes_it() -> None:
    step, n, slope = 0.01, 8000, 0.2
    ground = np.zeros((1, n), np.float32)
    ground[0, 6000] = 2.0
    soft = open_to_light(ground, step, slope, softness=0.02)
    partly = (soft[0] > 0.01) & (soft[0] < 0.99)
    # A share of 1 % of a disc lies beyond 0.935 radii: acos(t) - t sqrt(1 - t^2) = 0.01 pi.
    expected_width = 2.0 / (slope - 0.935 * 0.02) - 2.0 / (slope + 0.935 * 0.02)
    assert partly[:6000].sum() * step == pytest.approx(expected_width, rel=0.05)


def disc_above(level: np.ndarray) -> np.ndarray:
    """Return the share of a disc above a level in radii: the segment of a circle (geometry)."""
    t = np.clip(level, -1.0, 1.0)
    return np.asarray((np.arccos(t) - t * np.sqrt(1.0 - t * t)) / math.pi)


# Each point against its own horizon, found one by one: the share of the Sun's disc above it. Where
# the disc's edges and its middle meet different hills, what lies between is judged by straight
# lines, to a fortieth of the light.
@pytest.mark.parametrize("altitude_deg", [-0.3, 1.0, 3.0, 12.0])
def test_light_in_a_penumbra_is_the_share_of_the_suns_disc_above_the_horizon(
    altitude_deg: float,
) -> None:
    rng = np.random.default_rng(5)
    step, n, radius = 0.5, 400, 4.65e-3
    hills = np.convolve(rng.normal(0.0, 1.0, n + 40), np.hanning(41), mode="valid")[:n]
    along = np.arange(n) * step
    # Ground in km on a globe of the Moon's size, which hides what lies beyond its own horizon.
    ground = 0.05 * hills - (along - along[-1] / 2.0) ** 2 / (2.0 * 1737.4)
    slope = math.tan(math.radians(altitude_deg))
    away = along[None, :] - along[:, None]
    apart = np.where(away > 0.0, away, 1.0)

    def exact(raised: np.ndarray) -> np.ndarray:
        rise = (ground[None, :] - raised[:, None] - ground[:, None]) / apart
        horizon = np.where(away > 0.0, rise, -9.0)[:-1].max(axis=1)
        return disc_above((horizon - slope) / radius)

    found = open_to_light(ground[None].astype(np.float32), step, slope, radius)[0, :-1]
    # A shadow's end is spread over half a step of the grid either way, in which its ray clears the
    # ground by as much more or less as these smooth hills slope.
    rays = np.abs(np.gradient(ground) - step * slope)
    more, less = (exact(0.5 * sign * rays) for sign in (1.0, -1.0))
    assert (found > less - 1.0 / 40.0).all()
    assert (found < more + 1.0 / 40.0).all()
    assert found.mean() == pytest.approx(exact(np.zeros(n)).mean(), abs=0.01)


# The Sun's disc (radius 4.652e-3 rad) point by point, sunk behind a straight horizon: how high the
# middle of what is left stands over that of the whole.
@pytest.mark.parametrize("level", [-1.0, -0.5, 0.0, 0.5, 0.9])
def test_part_of_the_sun_over_the_horizon_stands_higher_than_its_middle(level: float) -> None:
    x, y = np.meshgrid(*[np.linspace(-1.0, 1.0, 1001)] * 2)
    disc = x**2 + y**2 <= 1.0
    left = disc & (y > level)
    share = np.float32(left.sum() / disc.sum())
    assert float(higher_part(share)) == pytest.approx(4.652e-3 * y[left].mean(), rel=0.15, abs=2e-6)


# A crest whose height wavers by 60 m throws a shadow 60 km long under a Sun of 2 deg. Its points'
# ends lie 1.7 km apart (0.06 / tan 2 deg), in a penumbra that is 16 km long (2.1 km / tan 1.73 deg
# less 2.1 km / tan 2.27 deg), so on the ground two neighbouring points differ by a seventh of the
# full light at the most: the disc's steepest, 2 / pi a radius, over 1.7 km of 8 km a radius.
def test_jagged_crest_throws_no_comb_of_shadow_under_a_low_sun() -> None:
    step, n = 0.5, 400
    ground = np.zeros((20, n), np.float32)
    ground[::2, 300], ground[1::2, 300] = 2.07, 2.13
    lit = open_to_light(ground, step, math.tan(math.radians(2.0)), 4.65e-3)[:, :300]
    teeth = np.abs(np.diff(lit, axis=0)).max()
    assert 0.1 < teeth < 0.15


# Counts of the craters drawn against N(> D) = k D^-b, the law asked for: within four standard
# deviations of Poisson at each size.
def test_crater_counts_follow_the_power_law() -> None:
    found = random_craters(3, 8.0, middle=unit_vector(0.0, 0.0), reach_deg=181.0)
    area = 4.0 * math.pi * MOON_KM**2
    for smallest in (8.0, 12.0, 20.0, 35.0):
        count = int((found.diameter_km >= smallest).sum())
        wanted = expected(area, smallest)
        assert count == pytest.approx(wanted, abs=4.0 * math.sqrt(wanted))


def test_slope_of_the_crater_counts_is_the_one_asked_for() -> None:
    found = random_craters(11, 2.0, middle=unit_vector(10.0, 20.0), reach_deg=25.0)
    sizes = found.diameter_km[found.diameter_km < 20.0]
    # Maximum-likelihood index of a power law cut at both ends, solved on a grid (Hill's estimator
    # without a cut would read 1 / mean(log(D / 2))).
    grid = np.linspace(1.5, 2.5, 401)
    low, high = 2.0, 20.0
    log_likelihood = [
        len(sizes) * math.log(b / (low**-b - high**-b)) - (b + 1) * np.log(sizes).sum()
        for b in grid
    ]
    best = grid[int(np.argmax(log_likelihood))]
    assert best == pytest.approx(craters.SLOPE, abs=0.05)


def test_closer_look_adds_small_craters_and_moves_none() -> None:
    middle = unit_vector(-20.0, 5.0)
    far = random_craters(3, 10.0, middle=middle, reach_deg=12.0)
    near = random_craters(3, 3.0, middle=middle, reach_deg=12.0)
    kept = near.diameter_km >= 10.0
    np.testing.assert_array_equal(np.sort(near.diameter_km[kept]), np.sort(far.diameter_km))


# Pike 1977: a fresh simple crater of 5 km is 0.196 x 5^1.01 = 1.0 km deep, Copernicus (93 km) about
# 3.8 to 4.1 km rim to floor.
def test_fresh_craters_are_as_deep_as_published() -> None:
    depth = craters.depth_km(np.array([5.0, 93.0]))
    np.testing.assert_allclose(depth, [0.996, 4.08], rtol=0.01)


def test_crater_profile_has_the_rim_and_floor_of_its_size() -> None:
    fresh = craters.Craters(
        centre=np.array([unit_vector(9.6, -20.1)]),
        diameter_km=np.array([93.0]),
        wear=np.zeros(1),
        flooded=np.zeros(1, dtype=bool),
    )
    shape = craters.shapes(fresh).at(np.array([0]))
    reach = np.linspace(0.0, 3.0, 3001, dtype=np.float32)[None, None, :]
    height = craters.profile(reach, shape)[0, 0]
    assert reach[0, 0, int(np.argmax(height))] == pytest.approx(1.0, abs=0.02)
    floor = height[(reach[0, 0] > 0.35) & (reach[0, 0] < 0.5)].mean()
    assert height.max() - floor == pytest.approx(4.08, rel=0.05)
    assert height[-1] == 0.0


# A crescent's horns lie a half circle apart, at the ends of a diameter, if the ground
# were smooth; relief shortens them by some degrees (Danjon 1932 found hardly any loss at phases
# of 140 deg and less).
@pytest.mark.parametrize("phase", [100.0, 135.0, 145.0])
def test_horns_of_the_crescent_reach_nearly_from_pole_to_pole(phase: float) -> None:
    scene = target("moon", phase_deg=phase).scene(pixel_arcsec=5.0, pixels=400)
    lit = scene.planes[1] > 0.01 * scene.planes[1].max()
    rows = np.flatnonzero(lit.any(axis=1))
    span = (rows[-1] - rows[0] + 1) * 5.0 / 1864.6
    # Height of the horns' chord over the diameter: 0.96 is 16 deg short at each end.
    assert span > 0.96


@pytest.mark.parametrize("phase", [60.0, 90.0, 120.0])
def test_lit_width_of_the_moon_follows_its_phase(phase: float) -> None:
    scene = target("moon", phase_deg=phase).scene(pixel_arcsec=4.0, pixels=500)
    middle = scene.planes[1][230:270].mean(axis=0)
    lit = (middle > 0.02 * middle.max()).sum() * 4.0 / 1864.6
    assert lit == pytest.approx(0.5 * (1.0 + math.cos(math.radians(phase))), abs=0.03)


@pytest.mark.parametrize("north", [1, -1])
def test_cusps_in_wide_pixels_are_averaged_not_sampled(north: int) -> None:
    # A whole field's pixels are wider than peaks and shadows. A patch of the same pixels is small
    # enough to be painted at three points a pixel and axis; one a pixel differs by a third of its
    # light there, and draws the cusps as beads.
    moon = target("moon", phase_deg=130.0)
    pixel, pixels, half = 2.7, 820, 60
    radius = moon.size_arcsec / 2.0 / pixel
    right, up = round(0.25 * radius), north * round(0.93 * radius)
    whole = moon.paint(pixel, pixels).planes[1]
    row, column = pixels // 2 - up, pixels // 2 + right
    here = whole[row - half : row + half, column - half : column + half]
    assert moon.paint_at is not None
    patch = moon.paint_at(pixel, 2 * half, (right * pixel, up * pixel)).planes[1]
    assert patch.max() > 100.0
    assert np.sqrt(np.mean((here - patch) ** 2)) < 0.22 * np.sqrt(np.mean(patch**2))
