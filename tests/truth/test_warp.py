"""Shifts of a warped picture against the theory of tilt.

Source: Noll 1976, J. Opt. Soc. Am. 66, 207: the variance of one axis of tilt over an aperture is
0.182 (D / r0)^(5/3) (wavelength / D)^2; for light from a point at the end of the path r0 is the
spherical wave's (Fried 1966).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import j0

from simview.air import shimmer, warp
from simview.air.seeing import TILT_VARIANCE
from simview.scene.scene import Scene
from simview.units import ARCSEC_PER_RADIAN

PATH = warp.Path(cn2=1e-13, distance_m=400.0, aperture_m=0.1)


def test_power_over_all_frequencies_is_nolls_variance_of_both_axes() -> None:
    t = np.linspace(math.log(1e-4), math.log(1e8), 6001)
    frequency = np.exp(t)
    power = warp.spectrum_rad2(frequency, PATH)
    both = np.trapezoid(2.0 * math.pi * frequency**2 * power, t)
    r0 = shimmer.fried_r0_m(PATH.cn2, PATH.distance_m)
    one = TILT_VARIANCE * (PATH.aperture_m / r0) ** (5.0 / 3.0) * (500e-9 / PATH.aperture_m) ** 2
    # What lies below 1e-4 cycles/rad falls as the power 1/3 of it: under 1 %.
    assert both == pytest.approx(2.0 * one, rel=0.01)


def test_finite_outer_scale_takes_power_from_long_waves_only() -> None:
    near = warp.Path(cn2=1e-13, distance_m=400.0, aperture_m=0.1, outer_scale_m=2.0)
    low, high = np.array([5.0]), np.array([20_000.0])
    assert warp.spectrum_rad2(low, near)[0] < 0.5 * warp.spectrum_rad2(low, PATH)[0]
    assert warp.spectrum_rad2(high, near)[0] == pytest.approx(
        warp.spectrum_rad2(high, PATH)[0], rel=0.01
    )


def test_fields_of_shifts_have_the_spectrums_variance() -> None:
    # Sum of the spectrum over the grid's own frequencies, both axes, against 12 fields.
    right, _, step = warp.shifts_arcsec(PATH, 1)
    n = len(right)
    frequency = np.fft.fftfreq(n, step / ARCSEC_PER_RADIAN)
    radius = np.hypot(frequency[:, None], frequency)
    radius[0, 0] = 1.0
    power = warp.spectrum_rad2(radius, PATH)
    power[0, 0] = 0.0
    expected = power.sum() * (ARCSEC_PER_RADIAN / step / n) ** 2 * ARCSEC_PER_RADIAN**2
    found = []
    for seed in range(12):
        across, up, _ = warp.shifts_arcsec(PATH, seed)
        found.append(across.var() + up.var())
    # The few longest waves carry most: a field scatters by 5 %, twelve by 1.5 %.
    assert np.mean(found) == pytest.approx(expected, rel=0.05)


def test_places_wander_apart_as_the_spectrum_says() -> None:
    # Mean square of how two places' shifts differ: 2 int P(f) [1 - J0(2 pi f a)] 2 pi f df, from
    # the lowest frequency that the field holds to the highest.
    _, _, step = warp.shifts_arcsec(PATH, 0)
    n = 512
    node = step / ARCSEC_PER_RADIAN
    t = np.linspace(math.log(0.2 / n / node), math.log(0.5 / node), 20_001)
    frequency = np.exp(t)
    power = 2.0 * math.pi * frequency**2 * warp.spectrum_rad2(frequency, PATH)
    for nodes in (2, 6, 24):
        kept = power * (1.0 - j0(2.0 * math.pi * frequency * nodes * node))
        expected = 2.0 * np.trapezoid(kept, t) * ARCSEC_PER_RADIAN**2
        found = []
        for seed in range(12):
            right, up, _ = warp.shifts_arcsec(PATH, seed)
            found += [np.mean((part - np.roll(part, nodes, axis=1)) ** 2) for part in (right, up)]
        assert 2.0 * np.mean(found) == pytest.approx(expected, rel=0.05)


def test_bent_scene_is_moved_as_the_shifts_say() -> None:
    # A ramp of light to the right: moved to the right by s, each place has s less of it.
    pixel, n = 1.0, 128
    right, _, step = warp.shifts_arcsec(PATH, 7)
    margin = 30
    ramp = np.arange(n + 2 * margin, dtype=np.float32) + 100.0
    scene = Scene(
        planes=np.broadcast_to(ramp, (3, n + 2 * margin, n + 2 * margin)).astype(np.float32),
        pixel_arcsec=pixel,
    )
    moved = warp.bent(scene, n, PATH, 7)
    assert moved.planes.shape == (3, n, n)
    straight = ramp[margin : margin + n]
    middle = n // 2
    # The centre pixel is node 0 of the field.
    assert moved.planes[1, middle, middle] == pytest.approx(
        straight[middle] - right[0, 0] / pixel, abs=0.02
    )
    # A node upwards is a row less: the field's rows count upwards.
    rows = round(step)
    assert moved.planes[1, middle - rows, middle] == pytest.approx(
        straight[middle] - np.interp(rows / step, [0, 1, 2], right[:3, 0]), abs=0.05
    )


def test_turbulence_upwards_moves_the_picture_up() -> None:
    _, up, _ = warp.shifts_arcsec(PATH, 7)
    n, margin = 64, 30
    rows = np.arange(n + 2 * margin, dtype=np.float32)[:, None] + 100.0
    scene = Scene(
        planes=np.broadcast_to(rows, (3, n + 2 * margin, n + 2 * margin)).astype(np.float32),
        pixel_arcsec=1.0,
    )
    moved = warp.bent(scene, n, PATH, 7)
    # Light grows downwards; moved up by s, each place has that of s rows further down.
    expected = rows[margin + n // 2, 0] + up[0, 0]
    assert moved.planes[1, n // 2, n // 2] == pytest.approx(expected, abs=0.02)
