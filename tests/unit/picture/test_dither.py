"""The dither pattern: all levels once, no lumps, steps of 8 bits hidden."""

from __future__ import annotations

import numpy as np
import pytest

from simview import srgb
from simview.picture.prints import dither, tone


def test_shipped_tile_is_what_void_and_cluster_makes():
    made = (dither.make_ranks() + 0.5) / dither.SIDE**2
    assert np.array_equal(dither.tile(), made.astype(np.float32))


def test_tile_holds_every_level_once():
    levels = np.sort(dither.tile().ravel()) * dither.SIDE**2 - 0.5
    assert np.allclose(levels, np.arange(dither.SIDE**2), atol=1e-3)


def test_tile_has_no_slow_waves():
    # Blue noise: power below a tenth of the sampling rate is a thousandth of that above a third.
    # White noise has as much of both.
    power = np.abs(np.fft.fft2(dither.tile() - dither.tile().mean())) ** 2
    along = np.fft.fftfreq(dither.SIDE)
    frequency = np.hypot(along[:, None], along)
    slow = power[(frequency > 0.0) & (frequency < 0.1)].mean()
    assert slow < 1e-3 * power[frequency > 1 / 3].mean()


@pytest.mark.parametrize("light", [0.002, 0.0123, 0.2, 0.7])
def test_even_light_keeps_its_mean_in_8_bits(light):
    # Over whole tiles the mean of the codes is the exact code: 0.1 of a step is left for the
    # table's own steps.
    codes = tone.encode(np.full((128, 192), light, np.float32))
    exact = 255.0 * srgb.coded(tone.shoulder(np.array(light)))
    assert codes.mean() == pytest.approx(float(exact), abs=0.1)
    assert np.ptp(codes) <= 1


def test_a_slow_gradient_shows_no_band():
    # One step of 8 bits over 256 columns: rounding alone would give two flat halves.
    ramp = np.linspace(0.0100, 0.0103, 256, dtype=np.float32)
    codes = tone.encode(np.tile(ramp, (128, 1))).astype(float)
    exact = 255.0 * srgb.coded(ramp.astype(float))
    columns = codes.mean(axis=0).reshape(8, 32).mean(axis=1)
    assert np.abs(columns - exact.reshape(8, 32).mean(axis=1)).max() < 0.1


def test_pattern_goes_on_across_pieces():
    light = np.full((100, 70), 0.01, np.float32)
    whole = tone.encode(light)
    parts = [tone.encode(light[:37]), tone.encode(light[37:], top=37)]
    assert np.array_equal(whole, np.vstack(parts))


def test_black_stays_black_and_bright_light_ends_at_white():
    assert tone.encode(np.zeros((64, 64), np.float32)).max() == 0
    # The shoulder never quite reaches white: a pixel in a few hundred is one step below.
    bright = tone.encode(np.full((64, 64), 50.0, np.float32))
    assert bright.min() >= 254
    assert bright.mean() > 254.9
