"""Air in motion against frozen flow and the theory of turbulence, within statistical errors.

Tolerances as in test_screens.py: four standard errors of the mean, taken from the scatter of
independent draws, plus what is stated for the method.
"""

import math

import numpy as np
import pytest

from simview.air import flow, turbulence
from simview.air.seeing import fried_r0_m
from simview.kit import Sky

SKY = Sky(seeing_arcsec=2.0, altitude_deg=90.0, outer_scale_m=25.0)
SAMPLES = 16
APERTURE_MM = 150.0
RAD_PER_NM = 2.0 * math.pi / 500.0


def structure(baseline_m):
    return float(turbulence.structure_rad2(np.array([baseline_m]), fried_r0_m(2.0), 25.0)[0])


def draws(layers, count, moments):
    """Screens in rad at 500 nm, (count, moments, n, n); each draw is independent."""
    rng = np.random.default_rng(99)
    made = [flow.start(SAMPLES, APERTURE_MM, SKY, rng, layers) for _ in range(count)]
    screens = np.array([[f.screen_nm(t) for t in moments] for f in made], dtype=np.float64)
    return screens * RAD_PER_NM


def mean_and_error(values):
    return values.mean(axis=0), values.std(axis=0, ddof=1) / math.sqrt(len(values))


@pytest.fixture(scope="module")
def air():
    return draws(flow.LAYERS, 120, [0.11, 0.37, 1.91, 7.3])


@pytest.mark.parametrize("step", [1, 2, 6, 9, 13])
def test_every_moment_has_von_karmans_structure_function(air, step):
    across = ((air[..., step:] - air[..., :-step]) ** 2).mean(axis=(1, 2, 3))
    down = ((air[..., step:, :] - air[..., :-step, :]) ** 2).mean(axis=(1, 2, 3))
    theory = structure(step / SAMPLES * APERTURE_MM * 1e-3)
    # Interpolation between samples smooths the finest scales, by up to 20 % of the structure
    # function at one sample, 7 % at two and 2 % at four when a window falls half-way between, and
    # by nothing when it falls on the samples: on the average by the middle of that.
    kept, method = {1: (0.88, 0.07), 2: (0.96, 0.03)}.get(step, (1.0, 0.015))
    for values in (across, down):
        mean, error = mean_and_error(values)
        assert mean == pytest.approx(kept * theory, abs=4.0 * error + method * theory)
        assert error < 0.08 * theory


def test_change_with_time_is_the_structure_function_along_the_wind():
    # Frozen flow (Taylor 1938; Roddier 1981): the change at a place within t is the difference
    # over a distance v t. Piston is not in the screens: it is taken out of the theory, too.
    layer = flow.Layer(share=1.0, wind_m_s=5.0, direction_deg=20.0)
    moments = [0.0, 0.002, 0.006, 0.015]
    stack = draws([layer], 250, moments)
    for k, seconds in enumerate(moments[1:], start=1):
        change = ((stack[:, k] - stack[:, 0]) ** 2).mean(axis=(1, 2))
        mean, error = mean_and_error(change)
        expected = change_without_piston(5.0 * seconds)
        assert mean == pytest.approx(expected, abs=4.0 * error + 0.02 * expected)


def change_without_piston(moved_m):
    """Mean square change over a square aperture of a pattern moved by a distance, piston out.

    E |phi(x + d) - phi(x) - mean|^2 = D(d) - variance of the difference of the two means.
    """
    place = (np.arange(12) + 0.5) / 12.0 * APERTURE_MM * 1e-3
    y, x = (plane.ravel() for plane in np.meshgrid(place, place))
    dx, dy = moved_m * math.cos(math.radians(20.0)), -moved_m * math.sin(math.radians(20.0))

    def mean_structure(shift_x, shift_y):
        apart = np.hypot(x[:, None] - x + shift_x, y[:, None] - y + shift_y)
        return turbulence.structure_rad2(apart, fried_r0_m(2.0), 25.0).mean()

    return structure(moved_m) - (mean_structure(dx, dy) - mean_structure(0.0, 0.0))


@pytest.mark.parametrize("direction_deg", [0.0, 77.0, 190.0, -90.0])
def test_pattern_moves_where_the_wind_blows(direction_deg):
    # Without boiling the pattern is the same, only elsewhere: at a moment when it has moved by
    # about four samples it fits best when moved back by what speed and direction say.
    layer = flow.Layer(share=1.0, wind_m_s=5.0, direction_deg=direction_deg)
    made = flow.start(64, APERTURE_MM, SKY, np.random.default_rng(3), [layer])
    seconds = 4.0 / 64.0 * 0.15 / 5.0
    before, after = made.screen_nm(0.0), made.screen_nm(seconds)
    inner = slice(8, 56)

    def misfit(dx, dy):
        moved = before[8 + dy : 56 + dy, 8 - dx : 56 - dx]
        return np.var(after[inner, inner] - moved)

    right = 4.0 * math.cos(math.radians(direction_deg))
    up = 4.0 * math.sin(math.radians(direction_deg))
    tried = {(dx, dy): misfit(dx, dy) for dx in range(-6, 7) for dy in range(-6, 7)}
    best = min(tried, key=tried.get)
    # The direction holds to 6 deg, which is 0.42 samples here; the grid to half a sample.
    assert math.hypot(best[0] - right, best[1] - up) < 1.2
    # And it is the same pattern: what is left is the part of a sample.
    assert tried[best] < 0.01 * tried[(-best[0], -best[1])]


def test_still_air_boils_as_the_cosine():
    # The rule of the model itself: correlation cos(t / boil) with the first moment.
    layer = flow.Layer(share=1.0, wind_m_s=0.0, boil_s=0.5)
    moments = [0.0, 0.25, 0.5 * math.pi / 2.0, 1.0]
    stack = draws([layer], 200, moments)
    power = (stack**2).mean(axis=(2, 3)).mean()
    for k, seconds in enumerate(moments):
        mean, error = mean_and_error((stack[:, k] * stack[:, 0]).mean(axis=(1, 2)))
        tolerance = 4.0 * error / power + 0.02
        assert mean / power == pytest.approx(math.cos(seconds / 0.5), abs=tolerance)


def test_layers_share_the_turbulence():
    # r0^(-5/3) adds up over layers (Roddier 1981): a layer of three quarters has three times
    # the mean square of one of a quarter.
    layers = [flow.Layer(share=3.0, wind_m_s=0.0), flow.Layer(share=1.0, wind_m_s=0.0)]
    rng = np.random.default_rng(5)
    made = [flow.start(SAMPLES, APERTURE_MM, SKY, rng, layers) for _ in range(120)]
    assert made[0].drifts[0].strength / made[0].drifts[1].strength == pytest.approx(3.0**0.5)
    whole = np.array([np.var(f.screen_nm(0.0)) for f in made]) * RAD_PER_NM**2
    mean, error = mean_and_error(whole)
    place = (np.arange(SAMPLES) + 0.5) / SAMPLES * APERTURE_MM * 1e-3
    y, x = (plane.ravel() for plane in np.meshgrid(place, place))
    apart = np.hypot(x[:, None] - x, y[:, None] - y)
    theory = turbulence.structure_rad2(apart, fried_r0_m(2.0), 25.0).mean() / 2.0
    assert mean == pytest.approx(theory, abs=4.0 * error + 0.02 * theory)


def test_coherence_time_is_roddiers():
    # Roddier 1981: 0.314 r0 / v, in which the phase at a place changes by one radian RMS.
    layer = flow.Layer(share=1.0, wind_m_s=10.0)
    sky = Sky(seeing_arcsec=1.0, altitude_deg=90.0)
    found = flow.coherence_seconds(sky, layers=[layer])
    assert found == pytest.approx(0.314 * 0.1006 / 10.0, rel=1e-3)
    change = turbulence.structure_rad2(np.array([10.0 * found]), fried_r0_m(1.0))[0]
    assert change == pytest.approx(1.0, abs=0.01)
    # Two like layers with different winds: the mean of v^(5/3).
    two = [flow.Layer(share=1.0, wind_m_s=v) for v in (5.0, 15.0)]
    mean = ((5.0 ** (5 / 3) + 15.0 ** (5 / 3)) / 2.0) ** 0.6
    assert flow.coherence_seconds(sky, layers=two) == pytest.approx(0.314 * 0.1006 / mean, rel=1e-3)
