"""A star through focus: 7 positions x 7 wavelengths on 256 x 256, beside poppy and hcipy.

poppy and hcipy fill the grid from a grey 256 x 256 pupil (obstruction 0.25, four vanes), simview
from 128 x 128 samples, which its way of reading edges makes the more accurate of the two (tested
below). All keep between calls what they can keep. Nothing is asserted about time. Run with

    pytest tests/benchmarks/test_focus_stack.py --benchmark-enable --benchmark-only \
        --benchmark-group-by=group --benchmark-columns=min,median,iqr,rounds
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import simview
from simview.telescope import focus
from simview.telescope.focus import axial_cut, through_focus
from simview.telescope.opening import opening, stop_for
from simview.telescope.wavefront import path_waves
from simview.units import ARCSEC_PER_RADIAN

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


APERTURE_MM, SAMPLES, PIXEL, PIXELS = 150.0, 256, 0.1, 256
TRAVEL = np.linspace(-3.0, 3.0, 7)
COLOURS = np.linspace(440.0, 680.0, 7)
FAULTS = {
    "spherical": simview.Wavefront(spherical=0.25),
    "coma+astigmatism": simview.Wavefront(
        coma=0.5, coma_angle_deg=20.0, astigmatism=0.3, astigmatism_angle_deg=10.0
    ),
}


def scope(fault):
    return simview.Telescope(
        aperture_mm=APERTURE_MM,
        focal_length_mm=1200.0,
        obstruction=0.25,
        vanes=4,
        vane_mm=1.0,
        wavefront=FAULTS[fault],
    )


def sampled(fault):
    """Grey amplitude, path and r^2 times one wave (550 nm) in metres, as plain arrays."""
    telescope = scope(fault)
    front = opening(stop_for(telescope), telescope.wavefront, SAMPLES)
    parts = front.amplitude, front.path * 550e-9, front.r2 * 550e-9
    return tuple(front.whole(part) for part in parts)


def native(fault):
    telescope = scope(fault)
    how = {"wavelengths_nm": COLOURS, "pixel_arcsec": PIXEL, "pixels": PIXELS}
    return lambda: through_focus(telescope, TRAVEL, **how)


def by_poppy(fault):
    amplitude, path, wave_of_defocus = sampled(fault)
    systems = []
    for travel in TRAVEL:
        system = poppy.OpticalSystem(oversample=1, pupil_diameter=APERTURE_MM * 1e-3)
        system.add_pupil(
            poppy.ArrayOpticalElement(
                transmission=amplitude,
                opd=path + travel * wave_of_defocus,
                pixelscale=APERTURE_MM * 1e-3 / SAMPLES * u.m / u.pixel,
            )
        )
        system.add_detector(pixelscale=PIXEL, fov_pixels=PIXELS)
        systems.append(system)
    return lambda: [s.calc_psf(w * 1e-9)[0].data for s in systems for w in COLOURS]


def by_hcipy(fault):
    hcipy = hcipy_or_skip()
    amplitude, path, wave_of_defocus = (part.ravel() for part in sampled(fault))
    grid = hcipy.make_pupil_grid(SAMPLES, APERTURE_MM * 1e-3)
    focal = hcipy.make_uniform_grid([PIXELS, PIXELS], PIXELS * PIXEL / ARCSEC_PER_RADIAN)
    propagator = hcipy.FraunhoferPropagator(grid, focal, focal_length=1.0)

    def run():
        stack = []
        for travel in TRAVEL:
            moved = path + travel * wave_of_defocus
            for wave in COLOURS * 1e-9:
                field = hcipy.Field(amplitude * np.exp(2j * np.pi / wave * moved), grid)
                stack.append(propagator(hcipy.Wavefront(field, wave)).intensity)
        return stack

    return run


CONTENDERS = {"simview": native, "poppy calc_psf": by_poppy, "hcipy": by_hcipy}


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("contender", CONTENDERS)
def test_focus_stack(benchmark, contender, fault):
    benchmark.group = f"7 positions x 7 wavelengths, {fault}"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        run = CONTENDERS[contender](fault)
        benchmark.pedantic(run, rounds=15, iterations=1, warmup_rounds=1)


def test_axial_cut(benchmark):
    benchmark.group = "cut along the axis, 300 positions x 7 wavelengths x 512 pixels"
    how = {"wavelengths_nm": COLOURS, "pixel_arcsec": PIXEL, "pixels": 512}
    travel = np.linspace(-8.0, 8.0, 300)
    telescope = scope("coma+astigmatism")
    benchmark.pedantic(lambda: axial_cut(telescope, travel, **how), rounds=5, warmup_rounds=1)


@pytest.mark.parametrize("fault", FAULTS)
def test_128_grey_samples_are_nearer_to_the_truth_than_256_plain_ones(fault, monkeypatch):
    """simview's stack takes 128 samples across, the others 256: is it the same work?

    The truth is 1024 samples, a hundred times nearer; plain is what the others do: path read
    mid-sample, no damping.
    """
    from simview.telescope import exposure

    how = {"wavelengths_nm": [550.0], "pixel_arcsec": PIXEL, "pixels": PIXELS}
    ours = through_focus(scope(fault), TRAVEL, **how)[:, 0]
    amplitude = sampled(fault)[0]
    step = PIXEL / ARCSEC_PER_RADIAN * APERTURE_MM / 550e-6 / SAMPLES
    u = (np.arange(PIXELS) - PIXELS // 2) * step
    x = np.arange(SAMPLES) - (SAMPLES - 1) / 2
    kernel = np.exp(-2j * np.pi * np.outer(u, x))
    middle = ((2.0 * x / SAMPLES) ** 2)[None, :] + ((2.0 * x / SAMPLES) ** 2)[:, None]
    plain_path = path_waves(FAULTS[fault], SAMPLES)
    monkeypatch.setattr(exposure, "samples_for", lambda *_: 1024)
    truth = through_focus(scope(fault), TRAVEL, precise=True, **how)[:, 0]
    for k, travel in enumerate(TRAVEL):
        field = amplitude * np.exp(2j * np.pi * (plain_path + travel * middle))
        plain = np.abs(kernel @ field @ kernel.T) ** 2 * (step**2 / amplitude.sum())
        error_ours, error_plain = (np.abs(image - truth[k]).max() for image in (ours[k], plain))
        assert error_ours < error_plain
        assert error_ours < 1.5e-3 * truth[k].max()


@pytest.mark.parametrize("fault", FAULTS)
def test_fast_stack_is_within_a_millionth_of_its_brightest_peak(fault, monkeypatch):
    how = {"wavelengths_nm": COLOURS, "pixel_arcsec": PIXEL, "pixels": PIXELS}
    monkeypatch.setattr(focus, "LEAST_SAMPLES", focus._STACK_SAMPLES)  # the same pupil for both
    fast = focus.through_focus(scope(fault), TRAVEL, **how)
    exact = focus.through_focus(scope(fault), TRAVEL, precise=True, **how)
    error = np.abs(fast - exact).max(axis=(0, 2, 3)) / exact.max(axis=(0, 2, 3))
    assert error.max() < 1.5e-6
