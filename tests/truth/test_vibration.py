"""Settling of a touched mount: the damped oscillator. Common practice; no standard exists."""

import numpy as np
import pytest
from scipy import integrate

from simview.errors import RangeError
from simview.kit import Mount
from simview.telescope.mount import settle_seconds, shake_transfer
from simview.telescope.mount_motion import path_arcsec


@pytest.mark.parametrize(
    ("frequency_hz", "damping", "ratio", "seconds"),
    # t = ln(A / A_threshold) / (2 pi f zeta), evaluated; any text on vibration, e.g. Den Hartog,
    # Mechanical Vibrations.
    [
        (5.0, 0.03, 20.0, 3.18),
        (10.0, 0.03, 20.0, 1.59),
        (5.0, 0.1, 20.0, 0.95),
        (3.0, 0.02, 30, 9.02),
    ],
)
def test_time_to_settle_is_the_damped_oscillators(frequency_hz, damping, ratio, seconds):
    mount = Mount(tap_arcsec=ratio, frequency_hz=frequency_hz, damping=damping)
    assert settle_seconds(mount, 1.0) == pytest.approx(seconds, abs=0.006)


def test_envelope_bounds_the_motion_of_a_real_oscillator():
    # The differential equation itself, x'' + 2 zeta w x' + w^2 x = 0, integrated numerically:
    # after the settling time its swings stay below the threshold, half a period earlier not.
    frequency_hz, damping, threshold = 5.0, 0.03, 1.0
    mount = Mount(tap_arcsec=20.0, frequency_hz=frequency_hz, damping=damping)
    w = 2.0 * np.pi * frequency_hz
    times = np.linspace(0.0, 5.0, 5001)
    path = integrate.solve_ivp(
        lambda _, x: [x[1], -2.0 * damping * w * x[1] - w**2 * x[0]],
        (0.0, 5.0),
        [20.0, 0.0],
        t_eval=times,
        rtol=1e-9,
    ).y[0]
    end = settle_seconds(mount, threshold)
    assert np.abs(path[times >= end]).max() <= threshold * 1.001
    just_before = (times >= end - 0.5 / frequency_hz) & (times <= end)
    # The first swing falls short of the envelope by zeta^2 / 2 and by where the peak falls.
    assert np.abs(path[just_before]).max() >= threshold * 0.98


def test_doubled_image_is_the_time_average_of_the_swing():
    # Abramowitz & Stegun 9.1.21: the mean of exp(2 pi i A f sin wt) is J0(2 pi A f). Here by
    # averaging over one period of the decaying swing itself, in 4000 steps.
    mount = Mount(tap_arcsec=6.0, frequency_hz=4.0, damping=0.02)
    frequency = np.linspace(0.0, 0.5, 11)
    steps = (np.arange(4000) + 0.5) / 4000.0 / 4.0
    swing = 6.0 * np.exp(-2.0 * np.pi * 4.0 * 0.02 * steps) * np.sin(2.0 * np.pi * 4.0 * steps)
    expected = np.exp(2j * np.pi * np.outer(frequency, swing)).mean(axis=1).real
    found = shake_transfer(mount, np.zeros(11), frequency, "double")
    # The amplitude falls by 12 % over the period; the average over it, not the phase within it,
    # is what is modelled: good to 0.02.
    assert found == pytest.approx(expected, abs=0.02)


class TestPath:
    def test_swing_after_a_touch_solves_the_differential_equation(self):
        # x'' + 2 zeta w x' + w^2 x = 0 by finite differences of the path itself.
        mount = Mount(tap_arcsec=10.0, frequency_hz=2.0, damping=0.1)
        rate, step = 4000.0, 1.0 / 4000.0
        path = path_arcsec(
            mount, 4000, np.random.default_rng(0), frames_per_second=rate, touched_s=0.0
        )
        x = path[:, 1]
        assert np.all(path[:, 0] == 0.0)
        assert x[0] == pytest.approx(10.0)
        w = 2.0 * np.pi * 2.0
        speed = (x[2:] - x[:-2]) / (2.0 * step)
        bend = (x[2:] - 2.0 * x[1:-1] + x[:-2]) / step**2
        left = bend + 2.0 * 0.1 * w * speed + w**2 * x[1:-1]
        assert np.abs(left).max() < 1e-5 * w**2 * 10.0

    def test_steady_shake_has_its_size_and_its_frequency(self):
        # Correlation of a driven oscillator, exp(-zeta w t) (cos w't + zeta w / w' sin w't):
        # Chandrasekhar 1943, Rev. Mod. Phys. 15, 1 (from memory). The error follows from
        # 60 paths of 600 frames each.
        mount = Mount(shake_arcsec=3.0, frequency_hz=2.0, damping=0.2)
        rng = np.random.default_rng(4)
        paths = np.array([path_arcsec(mount, 600, rng) for _ in range(60)])
        w = 2.0 * np.pi * 2.0
        swing = w * np.sqrt(1.0 - 0.2**2)
        for lag in (0, 3, 8, 15):
            t = lag / 30.0
            products = (paths[:, lag:] * paths[:, : 600 - lag]).mean(axis=1)
            mean = products.mean(axis=0)
            error = products.std(axis=0, ddof=1) / np.sqrt(60)
            expected = np.exp(-0.2 * w * t) * (
                np.cos(swing * t) + 0.2 * w / swing * np.sin(swing * t)
            )
            for axis in (0, 1):
                assert mean[axis] == pytest.approx(9.0 * expected, abs=4.0 * error[axis])
                assert error[axis] < 0.3

    def test_fixed_mount_stands_still(self):
        fixed = Mount(kind="fixed", tap_arcsec=10.0, shake_arcsec=3.0)
        path = path_arcsec(fixed, 5, np.random.default_rng(0), touched_s=0.0)
        assert np.array_equal(path, np.zeros((5, 2)))

    @pytest.mark.parametrize("damping", [0.001, 0.3, 1.0])
    def test_shake_keeps_its_size_for_any_damping_and_rate(self, damping):
        mount = Mount(shake_arcsec=1.0, frequency_hz=5.0, damping=damping)
        rng = np.random.default_rng(8)
        ends = np.array(
            [path_arcsec(mount, 12, rng, frames_per_second=3.0)[-1] for _ in range(1500)]
        )
        # Variance of 3000 independent values: 1 within 4 x sqrt(2 / 3000).
        assert np.mean(ends**2) == pytest.approx(1.0, abs=0.1)

    @pytest.mark.parametrize("count", [0, -3, 1.5, True])
    def test_frames_that_cannot_be_are_refused(self, count):
        with pytest.raises(RangeError, match="frames"):
            path_arcsec(Mount(), count, np.random.default_rng(0))
