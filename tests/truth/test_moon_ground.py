"""Ground between the pixels of the map of heights, against ground that is known everywhere.

The truth is synthetic: random ground whose spectrum falls as wavenumber^-1.95, as the Moon's does,
drawn at eight points a pixel, of which the map sees the pixels' means.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import j0

from simview.scene.moon_relief import between_pixels, finer_for
from simview.scene.sunlit_terrain import open_to_light

Array = NDArray[np.float32]

FINE, SIDE = 8, 128
PIXEL_KM = 1.86


def wave_numbers(side: int, spacing: float) -> NDArray[np.float64]:
    k = np.fft.fftfreq(side, spacing)
    return np.hypot(*np.meshgrid(k, k))


def fractal_ground(seed: int, amplitude_km: float = 0.011) -> Array:
    """Heights in km, `FINE` points a pixel, joined at its edges."""
    side = FINE * SIDE
    wave = wave_numbers(side, 1.0 / FINE)
    wave[0, 0] = 1.0
    gain = FINE * amplitude_km * wave**-1.95
    gain[wave < 1.0 / 40.0] = 0.0
    white = np.random.default_rng(seed).standard_normal((side, side))
    return np.fft.ifft2(np.fft.fft2(white) * gain).real.astype(np.float32)


def pixel_means(ground: Array) -> Array:
    ny, nx = (n // FINE for n in ground.shape)
    return ground.reshape(ny, FINE, nx, FINE).mean(axis=(1, 3))


def spectrum(ground: Array, low: float, high: float) -> float:
    """Rms amplitude of a ground's waves between two wavenumbers, per pixel of the map."""
    side = ground.shape[0]
    window = np.hanning(side)[:, None] * np.hanning(side)[None, :]
    power = np.abs(np.fft.fft2((ground - ground.mean()) * window)) ** 2
    wave = wave_numbers(side, 1.0 / FINE)
    return math.sqrt(float(power[(wave >= low) & (wave < high)].mean()))


# A wave of ground is put back to its own height, where its pixels' means are lower (by
# sinc(1 / length)) and a straight or a local cubic line between them lower still.
@pytest.mark.parametrize("length", [4.0, 6.0, 10.0])
def test_wave_whose_means_are_given_comes_back_in_its_own_height(length: float) -> None:
    along = (np.arange(SIDE * FINE) + 0.5) / FINE
    truth = np.sin(2.0 * math.pi * along / length).astype(np.float32)
    truth = np.broadcast_to(truth, (SIDE * FINE, SIDE * FINE))
    inner = slice(20 * FINE, -20 * FINE)
    fine = between_pixels(pixel_means(truth), FINE, (0, 0)).mean(axis=0)
    height = 2.0 * np.mean((fine * truth[0])[inner]) / (2.0 * np.mean((truth[0] ** 2)[inner]))
    # Of a series its first two terms: 1 % is left of 10 % at 4 pixels a wave, and the cubic spline
    # through points so far apart loses about as much again.
    assert height == pytest.approx(1.0, abs=0.022)
    # Heights stand where they are, not a fraction of a pixel aside.
    aside = np.sin(2.0 * math.pi * (along - 0.1) / length)
    assert np.mean((fine * truth[0])[inner]) > np.mean((fine * aside)[inner])


# What the map cannot hold is as rough as the true ground is there, and nothing of what it does
# hold is lost: octave by octave of wavenumber.
@pytest.mark.parametrize(("low", "high"), [(0.1, 0.2), (0.2, 0.4), (0.4, 0.8), (0.8, 1.6)])
def test_invented_roughness_carries_on_the_grounds_own_spectrum(low: float, high: float) -> None:
    truth = fractal_ground(1)
    made = between_pixels(pixel_means(truth), FINE, (0, 0))
    assert spectrum(made, low, high) == pytest.approx(spectrum(truth, low, high), rel=0.2)


def test_rough_ground_stays_rough_and_smooth_ground_smooth() -> None:
    rough, smooth = (fractal_ground(2, amplitude) for amplitude in (0.012, 0.0045))
    made = [between_pixels(pixel_means(ground), FINE, (0, 0)) for ground in (rough, smooth)]
    ratio = spectrum(made[0], 0.6, 1.6) / spectrum(made[1], 0.6, 1.6)
    assert ratio == pytest.approx(0.012 / 0.0045, rel=0.2)


def test_same_ground_is_found_through_every_window() -> None:
    means = pixel_means(fractal_ground(3))
    whole = between_pixels(means, 4, (200, 300))
    part = between_pixels(means[30:90, 20:100], 4, (230, 320))
    np.testing.assert_allclose(
        part[48:-48, 48:-48], whole[120 + 48 : 360 - 48, 80 + 48 : 400 - 48], atol=2e-5
    )


def test_closer_look_adds_waves_and_keeps_those_that_were_there() -> None:
    means = pixel_means(fractal_ground(4))
    near, far = (between_pixels(means, finer, (0, 0)) for finer in (8, 2))
    again = near.reshape(SIDE * 2, 4, SIDE * 2, 4).mean(axis=(1, 3))
    assert np.std(again - far) < 0.05 * np.std(far - np.repeat(np.repeat(means, 2, 0), 2, 1))


# Hartmann's count of old highland's craters (10^-1.33 (D / 1 km)^-1.83 per km2, Icarus 60, 56), of
# Pike's shapes, each worn to a depth between 3 and 100 %, halving as often early as late: what they
# add up to, wave by wave, is as strong as the roughness that the map's own heights lead to, 0.0096
# to 0.0126 km (the medians of four highlands), and falls as they do, as wavenumber^-1.95.
def test_roughness_of_the_highlands_is_that_of_their_counted_craters() -> None:
    waves = np.array([0.5, 0.7, 1.0, 1.4, 2.0, 2.8])
    edges = np.geomspace(0.22, 6.0, 14)
    power = np.zeros(len(waves))
    away = (np.arange(400) + 0.5) / 400 * 2.2
    for low, high in itertools.pairwise(edges):
        size = math.sqrt(low * high)
        count = 10**-1.33 * PIXEL_KM**2 * ((low * PIXEL_KM) ** -1.83 - (high * PIXEL_KM) ** -1.83)
        squares = count * (1.0 - 0.03**2) / (2.0 * math.log(1.0 / 0.3))
        fall = 0.036 * (away**-3 - 2.2**-3) / (1.0 - 2.2**-3)
        height = size * PIXEL_KM * np.where(away < 1.0, 0.196 * away**2 - 0.16, fall)
        rings = height * away * 2.0 * math.pi * (0.5 * size) ** 2 * 2.2 / 400
        power += squares * (j0(math.pi * size * waves[:, None] * away) @ rings) ** 2
    amplitude = np.sqrt(power) * waves**1.95
    assert 0.0096 < amplitude.min() < amplitude.max() < 0.0130


def across(lit: Array, low: float, high: float) -> float:
    """Share of the power across the light's way that lies between two wavenumbers per pixel."""
    lit = lit - lit.mean(axis=0)
    power = (np.abs(np.fft.rfft(lit, axis=0)) ** 2).mean(axis=1)
    wave = np.fft.rfftfreq(lit.shape[0], 1.0 / FINE)
    whole = power[(wave > 0.05) & (wave < 2.0)].sum()
    return float(power[(wave >= low) & (wave < high)].sum() / whole)


# The Sun grazes the ground along the map's rows. Shadows' ends and the shafts of light between
# them are as broad and as close as on the true ground: no more of them at two pixels' spacing (a
# comb of the map's rows), and not less of those that are finer.
@pytest.mark.parametrize("altitude_deg", [1.5, 3.0])
def test_shadows_show_no_rows_of_the_map(altitude_deg: float) -> None:
    slope, step = math.tan(math.radians(altitude_deg)), PIXEL_KM / FINE
    share: dict[str, list[list[float]]] = {"true": [], "made": [], "turned": []}
    for seed in (5, 6, 7):
        truth = fractal_ground(seed)
        made = between_pixels(pixel_means(truth), FINE, (0, 0))
        # The same with the map's columns along the light: nothing hangs on the map's way to read.
        turned = between_pixels(pixel_means(truth.T), FINE, (64, 0)).T
        for name, ground in (("true", truth), ("made", made), ("turned", turned)):
            lit = open_to_light(np.ascontiguousarray(ground), step, slope, 4.65e-3)
            share[name].append([across(lit, 0.4, 0.6), across(lit, 0.6, 2.0)])
    comb = {name: np.mean(found, axis=0) for name, found in share.items()}
    np.testing.assert_allclose(comb["made"], comb["true"], rtol=0.3)
    np.testing.assert_allclose(comb["turned"], comb["made"], rtol=0.2)


def test_ground_is_drawn_as_fine_as_it_is_looked_at() -> None:
    assert [finer_for(1.86, cell) for cell in (9.0, 2.5, 1.9, 0.5, 0.01)] == [1, 1, 2, 4, 8]
