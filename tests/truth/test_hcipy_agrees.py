"""The same pupil through hcipy's Fraunhofer propagator (Por et al. 2018, SPIE 10703, 1070342)."""

from __future__ import annotations

import warnings

import numpy as np

import simview
from simview.telescope.wavefront import path_waves
from simview.units import ARCSEC_PER_RADIAN

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import hcipy


def test_aberrated_pattern_is_hcipys():
    wavefront = simview.Wavefront(spherical=0.3, coma=0.6, coma_angle_deg=40.0, astigmatism=0.25)
    telescope = simview.Telescope(
        aperture_mm=100.0, focal_length_mm=1000.0, obstruction=0.3, wavefront=wavefront
    )
    samples, pixels, pixel = 512, 128, 0.15
    grid = hcipy.make_pupil_grid(samples, 0.1)
    ring = hcipy.make_obstructed_circular_aperture(0.1, 0.3)
    aperture = hcipy.evaluate_supersampled(ring, grid, 8)
    # hcipy's rows count upwards, ours downwards
    path = path_waves(wavefront, samples)[::-1]
    field = aperture * np.exp(2j * np.pi * path.ravel())
    step = pixel / ARCSEC_PER_RADIAN
    focal = hcipy.make_uniform_grid([pixels, pixels], pixels * step)
    focal = focal.shifted([-step / 2.0, -step / 2.0])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        propagator = hcipy.FraunhoferPropagator(grid, focal, focal_length=1.0)
        light = propagator(hcipy.Wavefront(field, 550e-9)).intensity.shaped[::-1]
    theirs = np.zeros((pixels, pixels))
    theirs[1:, :] = light[:-1, :]  # the flip moved the centre from row n/2 to n/2 - 1
    ours = simview.point_spread(telescope, pixel_arcsec=pixel, pixels=pixels, precise=True).image
    ratio = ours[1:].sum() / theirs[1:].sum()
    # hcipy's 8 x 8 grey edge, field read mid-sample: a few 1e-5 of the peak at 512 samples
    np.testing.assert_allclose(ours[1:], theirs[1:] * ratio, atol=1e-4 * ours.max())
