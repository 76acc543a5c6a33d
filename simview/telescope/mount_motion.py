"""The path of the image on a mount that moves: frame by frame, for films.

Two things add up: the dying swing after a touch, up and down, and an oscillator of the mount's own
frequency and damping that chance (wind, a trembling hand) keeps going in both directions.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError, require_range
from simview.kit import Mount
from simview.telescope.mount import shake_rms_arcsec, tap_amplitude_arcsec

Values = NDArray[np.float64]


def path_arcsec(
    mount: Mount,
    count: int,
    rng: np.random.Generator,
    *,
    frames_per_second: float = 30.0,
    touched_s: float = math.inf,
) -> Values:
    """Return where the image stands in each frame, in arcsec on the sky.

    Parameters
    ----------
    mount
        Its tap, frequency, damping and shake count.
    count
        Of frames, 1 to 100000.
    rng
        Where the chance comes from.
    frames_per_second
        0.1 to 10000.
    touched_s
        How long before the first frame the mount was touched, 0 upwards; infinite for never.

    Returns
    -------
    array
        (count, 2): to the right, upwards.

    Raises
    ------
    RangeError
        For a count, rate or time out of range.

    Notes
    -----
    Source: oscillator driven by white noise, e.g. Chandrasekhar 1943, Rev. Mod. Phys. 15, 1,
    chapter II (from memory).
    Checked by: tests/truth/test_vibration.py
    """
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= 100000:
        raise RangeError("frames", got=count, allowed="whole numbers 1 to 100000")
    rate = require_range("frames_per_second", frames_per_second, 0.1, 10000.0, unit="1/s")
    path = shake_rms_arcsec(mount) * _driven(mount, count, 1.0 / rate, rng)
    if touched_s != math.inf:
        start = require_range("touched_s", touched_s, 0.0, 1e6, unit="s")
        path[:, 1] += _swing(mount, start + np.arange(count) / rate)
    return path


def _swing(mount: Mount, seconds: Values) -> Values:
    """Return the swing after a touch, at its full amplitude at 0 s, in arcsec."""
    rate = 2.0 * math.pi * mount.frequency_hz
    phase = rate * math.sqrt(1.0 - mount.damping**2) * seconds
    fall = np.exp(-rate * mount.damping * seconds)
    return np.asarray(tap_amplitude_arcsec(mount) * fall * np.cos(phase))


def _driven(mount: Mount, count: int, step_s: float, rng: np.random.Generator) -> Values:
    """Return (count, 2) positions of an oscillator of unit RMS driven by white noise.

    Position and velocity (over the frequency) go from frame to frame by the exact solution; the
    chance added keeps both at RMS 1.
    """
    forward = _one_step(mount, step_s)
    # The stationary state has unit covariance, so what a step loses, chance must give back.
    lost = np.eye(2) - forward @ forward.T
    values, vectors = np.linalg.eigh(lost)
    push = vectors * np.sqrt(np.maximum(values, 0.0))
    state = rng.standard_normal((2, 2))
    path = np.empty((count, 2))
    for number in range(count):
        path[number] = state[0]
        state = forward @ state + push @ rng.standard_normal((2, 2))
    return path


def _one_step(mount: Mount, step_s: float) -> Values:
    """Return how position and velocity / (2 pi f) of a free oscillator go on in one step."""
    rate, damping = 2.0 * math.pi * mount.frequency_hz, mount.damping
    swing = rate * math.sqrt(1.0 - damping**2)
    fall = math.exp(-rate * damping * step_s)
    cosine = math.cos(swing * step_s)
    # sin(w t) / w stays finite when the damping leaves no swing.
    sine = rate * step_s * float(np.sinc(swing * step_s / math.pi))
    return fall * np.array([[cosine + damping * sine, sine], [-sine, cosine - damping * sine]])
