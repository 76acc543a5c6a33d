"""Settling of a touched mount: the damped oscillator. Common practice; no standard exists."""

import numpy as np
import pytest
from scipy import integrate

from simview.kit import Mount
from simview.telescope.mount import settle_seconds, shake_transfer


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
