"""The same telescope through poppy.

Independent: poppy's own circular aperture, Zernike wavefronts and matrix transform; and its
OpticalSystem fed by us. poppy's exponent has the other sign: its picture is ours turned by 180
degrees.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from astropy import units as u

import simview
from simview.telescope.poppy_bridge import to_poppy
from simview.telescope.spread import spread_stack

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import poppy

SCOPES = {
    "perfect": {},
    "faults": {
        "wavefront": simview.Wavefront(
            spherical=0.3,
            coma=0.5,
            coma_angle_deg=25.0,
            astigmatism=0.3,
            trefoil=0.2,
            noll={7: 0.1},
        )
    },
    "vanes": {"obstruction": 0.3, "vanes": 3, "vane_mm": 2.0},
    "achromat": {"objective": "achromat"},
}  # fmt: skip


def scope(name):
    return simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, **SCOPES[name])


@pytest.mark.parametrize("name", SCOPES)
@pytest.mark.parametrize(("pixels", "pixel"), [(96, 0.15), (97, 0.15), (24, 2.0)])
def test_second_engine_gives_the_same_picture(name, pixels, pixel):
    how = {"wavelengths_nm": [450.0, 550.0], "pixel_arcsec": pixel, "pixels": pixels}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = spread_stack(scope(name), engine="poppy", **how)
    exact = spread_stack(scope(name), precise=True, **how)
    fast = spread_stack(scope(name), **how)
    # the same sums in another order: 1e-12; float32 arithmetic: 2e-6 of the peak
    np.testing.assert_allclose(exact, theirs, atol=1e-12 * theirs.max(), rtol=0)
    np.testing.assert_allclose(fast, theirs, atol=2e-6 * theirs.max(), rtol=0)


@pytest.mark.parametrize("index", [4, 5, 6, 7, 8, 10, 11])
def test_pattern_is_that_of_poppys_own_zernike_wavefront(index):
    """Nothing of ours goes in: poppy's grey circle and its Zernike polynomial in Noll's order."""
    rms, npix, pixels = 0.15, 512, 129
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        system = poppy.OpticalSystem(npix=npix, oversample=1, pupil_diameter=0.1 * u.m)
        system.add_pupil(poppy.CircularAperture(radius=0.05, gray_pixel=False))
        system.add_pupil(
            poppy.ZernikeWFE(radius=0.05, coefficients=[0.0] * (index - 1) + [rms * 550e-9])
        )
        system.add_detector(pixelscale=0.15, fov_pixels=pixels)
        theirs = system.calc_psf(550e-9)[0].data[::-1, ::-1]  # the other sign of the exponent
    # poppy counts rows upwards from y = -1, we downwards from the top: flip both
    theirs = theirs[::-1]
    ours = simview.point_spread(
        simview.Telescope(
            aperture_mm=100.0,
            focal_length_mm=1000.0,
            wavefront=simview.Wavefront(noll={index: rms}),
        ),
        pixel_arcsec=0.15,
        pixels=pixels,
        precise=True,
    ).image
    # poppy's staircase edge at 512 samples is good to 3e-3 of the peak
    np.testing.assert_allclose(ours / ours.sum(), theirs / theirs.sum(), atol=3e-3 * ours.max())


def test_bridge_gives_a_system_that_poppy_runs():
    telescope = scope("faults")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        system = to_poppy(telescope, pixel_arcsec=0.15, pixels=65)
        theirs = system.calc_psf(550e-9, normalize="first")[0].data
    ours = simview.point_spread(telescope, pixel_arcsec=0.15, pixels=65, precise=True).image
    # poppy leaves a sample's own damping in and counts grey edges squared: 4e-3 at this width
    np.testing.assert_allclose(theirs, ours, atol=4e-3 * ours.max())
    assert np.unravel_index(theirs.argmax(), theirs.shape) == np.unravel_index(
        ours.argmax(), ours.shape
    )


def test_second_engine_knows_edges_clips_shadows_and_wedges():
    from simview.telescope.faults import apply_faults, parse

    words = ("turned-down-edge=0.5", "clips=4mm", "off-centre-shadow=5%@30", "wedge=1arcmin@70")
    faulty = apply_faults(
        simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, obstruction=0.3),
        [parse(word) for word in words],
    )
    how = {"wavelengths_nm": [450.0, 600.0], "pixel_arcsec": 0.2, "pixels": 64}
    exact = spread_stack(faulty.scope, precise=True, extras=faulty.extras, **how)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = spread_stack(faulty.scope, engine="poppy", extras=faulty.extras, **how)
    np.testing.assert_allclose(exact, theirs, atol=1e-12 * theirs.max(), rtol=0)
