"""Point spreads beside poppy, prysm and hcipy, in one run; nothing is asserted about time.

Every contender fills the same grid from the same 256 x 256 pupil (obstruction 0.25, four vanes)
and keeps between calls what it can keep. Run with

    pytest tests/benchmarks/test_point_spread.py --benchmark-enable --benchmark-only \
        --benchmark-group-by=group --benchmark-columns=min,median,iqr,rounds

Agreement is asserted once before timing: 1e-6 of the peak against poppy fed with the same
samples.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import simview
from simview.telescope.opening import opening, stop_for
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import poppy
    import prysm.propagation
    from astropy import units as u

pytestmark = pytest.mark.benchmark


def hcipy_or_skip():
    """hcipy, which the tests do without: `pip install -e '.[bench]'` brings it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip("hcipy")


APERTURE_MM, SAMPLES, PIXEL = 150.0, 256, 0.1
COLOURS = {"1": [550.0], "11": list(np.linspace(420.0, 690.0, 11))}
FAULTS = {
    # in focus and mirror-symmetric; a wavefront without any symmetry
    "perfect": simview.Wavefront(),
    "coma+astigmatism": simview.Wavefront(
        coma=0.5, coma_angle_deg=20.0, astigmatism=0.3, astigmatism_angle_deg=10.0
    ),
}
GRIDS = [
    (fault, colours, pixels) for fault in FAULTS for colours in COLOURS for pixels in (256, 512)
]


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
    """Grey amplitude and path in metres, as plain arrays for the other libraries."""
    telescope = scope(fault)
    front = opening(stop_for(telescope), telescope.wavefront, SAMPLES)
    return front.whole(front.amplitude), front.whole(front.path) * 550e-9


def native(fault, colours, pixels):
    telescope = scope(fault)
    how = {"wavelengths_nm": COLOURS[colours], "pixel_arcsec": PIXEL, "pixels": pixels}
    return lambda: spread_stack(telescope, **how)


def by_poppy(fault, colours, pixels):
    amplitude, path = sampled(fault)
    system = poppy.OpticalSystem(oversample=1, pupil_diameter=APERTURE_MM * 1e-3)
    system.add_pupil(
        poppy.ArrayOpticalElement(
            transmission=amplitude,
            opd=path,
            pixelscale=APERTURE_MM * 1e-3 / SAMPLES * u.m / u.pixel,
        )
    )
    system.add_detector(pixelscale=PIXEL, fov_pixels=pixels)

    def run():
        return [system.calc_psf(w * 1e-9)[0].data for w in COLOURS[colours]]

    return run


def by_poppy_transform(fault, colours, pixels):
    """poppy's matrix transform alone, without its bookkeeping."""
    amplitude, path = sampled(fault)
    transform = poppy.matrixDFT.MatrixFourierTransform(centering="ADJUSTABLE")

    def run():
        stack = []
        for wave in COLOURS[colours]:
            field = amplitude * np.exp(2j * np.pi / (wave * 1e-9) * path)
            unit = wave * 1e-6 / APERTURE_MM * ARCSEC_PER_RADIAN
            image = transform.perform(field, pixels * PIXEL / unit, pixels)
            stack.append(np.abs(image) ** 2)
        return stack

    return run


def by_prysm(fault, colours, pixels):
    amplitude, path = sampled(fault)
    efl = 1000.0
    step_um = PIXEL / ARCSEC_PER_RADIAN * efl * 1e3

    def run():
        stack = []
        for wave in COLOURS[colours]:
            wavefront = prysm.propagation.Wavefront.from_amp_and_phase(
                amplitude, path * 1e9, wave * 1e-3, APERTURE_MM / SAMPLES
            )
            image = wavefront.focus_fixed_sampling(efl=efl, dx=step_um, samples=pixels)
            stack.append(image.intensity.data)
        return stack

    return run


def by_hcipy(fault, colours, pixels):
    hcipy = hcipy_or_skip()
    amplitude, path = sampled(fault)
    grid = hcipy.make_pupil_grid(SAMPLES, APERTURE_MM * 1e-3)
    focal = hcipy.make_uniform_grid([pixels, pixels], pixels * PIXEL / ARCSEC_PER_RADIAN)
    propagator = hcipy.FraunhoferPropagator(grid, focal, focal_length=1.0)
    flat_amplitude, flat_path = amplitude.ravel(), path.ravel()

    def run():
        stack = []
        for wave in COLOURS[colours]:
            field = flat_amplitude * np.exp(2j * np.pi / (wave * 1e-9) * flat_path)
            wavefront = hcipy.Wavefront(hcipy.Field(field, grid), wave * 1e-9)
            stack.append(propagator(wavefront).intensity)
        return stack

    return run


CONTENDERS = {
    "simview": native,
    "poppy calc_psf": by_poppy,
    "poppy transform": by_poppy_transform,
    "prysm": by_prysm,
    "hcipy": by_hcipy,
}


@pytest.mark.parametrize(("fault", "colours", "pixels"), GRIDS)
@pytest.mark.parametrize("contender", CONTENDERS)
def test_point_spread(benchmark, contender, fault, colours, pixels):
    benchmark.group = f"{fault}, {colours} wavelengths, {pixels} x {pixels}"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        run = CONTENDERS[contender](fault, colours, pixels)
        benchmark.pedantic(run, rounds=40 if colours == "1" else 15, iterations=1, warmup_rounds=2)


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("pixels", [256, 512])
def test_fast_answer_is_within_a_millionth_of_the_peak(fault, pixels):
    """Against the same engine in float64, and poppy's sums of the same samples."""
    how = {"wavelengths_nm": COLOURS["11"], "pixel_arcsec": PIXEL, "pixels": pixels}
    fast = spread_stack(scope(fault), **how)
    exact = spread_stack(scope(fault), precise=True, **how)
    error = np.abs(fast - exact).max(axis=(1, 2)) / exact.max(axis=(1, 2))
    # most of it is the rounding of the largest sums to float32, at the peak itself
    assert error.max() < 1.5e-6
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = spread_stack(scope(fault), engine="poppy", **how)
    np.testing.assert_allclose(exact, theirs, atol=1e-12 * theirs.max(), rtol=0)
