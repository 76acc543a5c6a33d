"""Screens and films of air beside poppy and hcipy, in one run; nothing is asserted about time.

    pytest tests/benchmarks/test_air.py --benchmark-enable --benchmark-only \
        --benchmark-group-by=group --benchmark-columns=median,iqr,rounds
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import simview
from simview.air import flow, screens, seeing
from simview.telescope.spread import spread_stack

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import poppy
    from astropy import units as u

pytestmark = pytest.mark.benchmark


def hcipy_or_skip():
    """hcipy, which the tests do without: `pip install -e '.[bench]'` brings it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip("hcipy")


SAMPLES, APERTURE_MM, FRAMES = 256, 150.0, 64
SKY = simview.Sky(seeing_arcsec=2.0, altitude_deg=60.0, air="moment")
R0_M = seeing.fried_r0_m(2.0, altitude_deg=60.0)


@pytest.mark.benchmark(group="64 independent screens of 256 x 256")
def test_screens(benchmark):
    def run():
        rng = np.random.default_rng(1)
        return [screens.screen_nm(SAMPLES, APERTURE_MM, SKY, rng) for _ in range(FRAMES)]

    assert len(benchmark(run)) == FRAMES


@pytest.mark.benchmark(group="64 independent screens of 256 x 256")
def test_screens_by_poppy(benchmark):
    wave = poppy.FresnelWavefront(
        beam_radius=APERTURE_MM / 2.0 * u.mm, wavelength=500e-9, npix=SAMPLES, oversample=1
    )

    def run():
        layers = [
            poppy.KolmogorovWFE(r0=R0_M, dz=1.0 * u.m, outer_scale=25.0, seed=k)
            for k in range(FRAMES)
        ]
        return [layer.get_opd(wave) for layer in layers]

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert len(benchmark(run)) == FRAMES


@pytest.mark.benchmark(group="64 moments of moving air, 256 x 256")
@pytest.mark.parametrize("setup", ["setup apart", "with setup"])
def test_moving_air(benchmark, setup):
    def begin():
        return flow.start(SAMPLES, APERTURE_MM, SKY, np.random.default_rng(1))

    ready = begin()

    def run():
        air = ready if setup == "setup apart" else begin()
        return sum(1 for _ in air.frames(FRAMES))

    assert benchmark(run) == FRAMES


@pytest.mark.benchmark(group="64 moments of moving air, 256 x 256")
def test_moving_air_by_hcipy(benchmark):
    hcipy = hcipy_or_skip()
    grid = hcipy.make_pupil_grid(SAMPLES, APERTURE_MM * 1e-3)
    layer = hcipy.InfiniteAtmosphericLayer(
        grid, Cn_squared=hcipy.Cn_squared_from_fried_parameter(R0_M, 500e-9), L0=25.0, velocity=3.0
    )
    moment = iter(range(10**9))

    def run():
        for _ in range(FRAMES):
            layer.t = next(moment) / 30.0
            layer.phase_for(500e-9)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        benchmark.pedantic(run, rounds=1, iterations=1)


@pytest.mark.benchmark(group="film: 64 frames of 512 x 512, computing alone")
@pytest.mark.parametrize("colours", [1, 3])
def test_film(benchmark, colours):
    scope = simview.Telescope(aperture_mm=APERTURE_MM, focal_length_mm=750.0, obstruction=0.3)
    wavelengths = np.linspace(610.0, 460.0, colours) if colours > 1 else np.array([550.0])

    def run():
        air = flow.start(SAMPLES, APERTURE_MM, SKY, np.random.default_rng(1))
        for screen in air.frames(FRAMES):
            spread_stack(
                scope,
                wavelengths_nm=wavelengths,
                pixel_arcsec=0.05,
                pixels=512,
                screen_nm=screen.astype(np.float64),
            )

    benchmark.pedantic(run, rounds=3, iterations=1, warmup_rounds=1)


@pytest.mark.benchmark(group="long exposure: one factor of 512 x 257")
@pytest.mark.parametrize("precision", ["float32", "float64"])
def test_long_exposure(benchmark, precision):
    sky = simview.Sky(seeing_arcsec=2.0)
    fy, fx = np.fft.fftfreq(512, 0.2), np.fft.rfftfreq(512, 0.2)
    frequency = np.hypot(fy[:, None], fx).astype(precision)
    kept = benchmark(
        seeing.transfer, sky, wavelength_nm=550.0, frequency=frequency, aperture_mm=150.0
    )
    assert kept.dtype == precision
