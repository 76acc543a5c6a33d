"""What holds the telescope: how it shakes, how it settles, how the sky drifts past it.

A touched mount is a damped oscillator: the tube nods up and down with an amplitude that dies as
A exp(-2 pi f zeta t). Seen by the eye, which cannot follow some hertz, it is a doubled image: a
swinging point spends most of its time at the two turning points. What never settles (wind, the
tremor of hands) has no such pattern and is a blur.
"""

from __future__ import annotations

import math
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.bessel import j0
from simview.kit import Mount

Values = NDArray[np.float64]

# Length of the sidereal day in seconds of mean solar time; it changes by less than 1e-7 a century.
# Source: Aoki et al. 1982, A&A 105, 359: 86400 s / 1.002737909350795.
SIDEREAL_DAY_S: Final = 86164.0905

# Turn of the sky at the equator, arcsec per second of time.
SKY_RATE_ARCSEC_S: Final = 360.0 * 3600.0 / SIDEREAL_DAY_S

# How much motion at the eye blurs fine detail, arcmin.
# A choice, from practice and not from a source; hyperacuity would notice less beside a mark that
# stands still (Whitaker & Buckingham 1987).
BLURS_ARCMIN: Final = 1.0

# Tremor of a hand-held binocular that the eye does not follow, RMS per axis, arcsec on the sky.
# Common practice, no source: held by hand, ten times shows no more than six times on a stand. An
# eye that parts 1 arcmin then sees a blur of (10^2 - 6^2)^(1/2) = 8 arcsec, full width at half
# maximum, over 2.355. The slow sway, some arcminutes, is larger, but the eye follows it.
HAND_TREMOR_ARCSEC: Final = 8.0 / 2.3548


def shake_rms_arcsec(mount: Mount) -> float:
    """Return the jitter that never settles, RMS per axis on the sky, in arcsec.

    The mount's own figure; for "hand" without one, the usual tremor; for "fixed" none.

    Source: tremor: common practice, no source.
    Checked by: tests/unit/telescope/test_mount.py
    """
    if mount.kind == "fixed":
        return 0.0
    if mount.kind == "hand" and mount.shake_arcsec == 0.0:
        return HAND_TREMOR_ARCSEC
    return mount.shake_arcsec


def tap_amplitude_arcsec(mount: Mount, seconds: float = 0.0) -> float:
    """Return the amplitude of the swing some time after a light touch, in arcsec on the sky.

    Source: damped oscillator, A exp(-2 pi f zeta t).
    Checked by: tests/unit/telescope/test_mount.py
    """
    if mount.kind == "fixed":
        return 0.0
    rate = 2.0 * math.pi * mount.frequency_hz * mount.damping
    return mount.tap_arcsec * math.exp(-rate * seconds)


def settle_seconds(mount: Mount, threshold_arcsec: float) -> float:
    """Return how long after a light touch the swing sinks below a threshold, in seconds.

    Parameters
    ----------
    threshold_arcsec
        Amplitude on the sky, above 0.

    Notes
    -----
    Source: t = ln(A / A_threshold) / (2 pi f zeta), damped oscillator.
    Checked by: tests/truth/test_vibration.py
    """
    start = tap_amplitude_arcsec(mount)
    if start <= threshold_arcsec:
        return 0.0
    rate = 2.0 * math.pi * mount.frequency_hz * mount.damping
    return math.log(start / threshold_arcsec) / rate


def settle_seconds_at(mount: Mount, power: float, threshold_arcmin: float = BLURS_ARCMIN) -> float:
    """Return how long after a touch the view at a power is steady, in seconds.

    Parameters
    ----------
    threshold_arcmin
        Amplitude at the eye that counts as steady.

    Notes
    -----
    Source: motion at the eye is power times motion on the sky.
    Checked by: tests/unit/telescope/test_mount.py
    """
    return settle_seconds(mount, threshold_arcmin * 60.0 / power)


def apparent_motion_arcmin(mount: Mount, power: float, seconds: float = math.inf) -> float:
    """Return how much the view moves at the eye, RMS along the worse axis, in arcmin.

    Parameters
    ----------
    seconds
        Since the last touch; infinite for what never settles.

    Notes
    -----
    Source: motion at the eye is power times motion on the sky; a swing's RMS is A / sqrt(2).
    Checked by: tests/unit/telescope/test_mount.py
    """
    swing = 0.0 if math.isinf(seconds) else tap_amplitude_arcsec(mount, seconds) / math.sqrt(2.0)
    return power * math.hypot(shake_rms_arcsec(mount), swing) / 60.0


def drift_rate_arcsec_s(declination_deg: float) -> float:
    """Return how fast an object moves past a mount at rest, arcsec/s.

    Parameters
    ----------
    declination_deg
        -90 to 90 deg.

    Notes
    -----
    Source: rotation of the sky, 15.041 arcsec/s times cos(declination).
    Checked by: tests/truth/test_drift.py
    """
    # cos(90 deg) is 6e-17 in floating point; at the pole it must be nothing at all.
    if abs(declination_deg) >= 90.0:
        return 0.0
    return SKY_RATE_ARCSEC_S * math.cos(math.radians(declination_deg))


def shake_transfer(
    mount: Mount,
    frequency_x: Values,
    frequency_y: Values,
    kind: Literal["blur", "double"] = "blur",
    *,
    seconds: float = 0.0,
) -> Values:
    """Return the mount's factor on the transfer function.

    Parameters
    ----------
    frequency_x, frequency_y
        Cycles/arcsec, shapes that broadcast together.
    kind
        "blur": the jitter that never settles, exp(-2 pi^2 s^2 f^2) for an RMS of s an axis.
        "double": the swing up and down after a touch besides, J0(2 pi A f_y), averaged over one
        period while the amplitude A dies.
    seconds
        Since the touch; counts for "double".

    Returns
    -------
    array
        Of the broadcast shape, -1 to 1; real, for all motions are about the mean position.

    Notes
    -----
    Source: blur: Fourier transform of a normal distribution; swing: time average of
    exp(2 pi i A f sin(w t)), e.g. Abramowitz & Stegun 9.1.21.
    Checked by: tests/unit/telescope/test_mount.py
    """
    frequency_x = np.asarray(frequency_x, dtype=float)
    frequency_y = np.asarray(frequency_y, dtype=float)
    rms = shake_rms_arcsec(mount)
    square = frequency_x**2 + frequency_y**2
    answer: Values = np.exp(-2.0 * (math.pi * rms) ** 2 * square)
    if kind == "double" and tap_amplitude_arcsec(mount) > 0.0:
        answer = answer * _swing_transfer(mount, frequency_y, seconds)
    return answer


def _swing_transfer(mount: Mount, frequency_y: Values, seconds: float) -> Values:
    nodes, weights = np.polynomial.legendre.leggauss(8)
    total = np.zeros_like(frequency_y)
    for node, weight in zip(nodes, weights, strict=True):
        when = seconds + (node + 1.0) / 2.0 / mount.frequency_hz
        amplitude = tap_amplitude_arcsec(mount, when)
        total += weight / 2.0 * j0(2.0 * math.pi * amplitude * frequency_y)
    return total
