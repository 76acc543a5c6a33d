"""Transfers from the pupil's overlap with itself are those of point spreads."""

import numpy as np
import pytest

from simview.air.stopping import annular_transfer
from simview.kit import Telescope, Wavefront
from simview.telescope import overlap
from simview.telescope.spread import spread_stack

WAVES = np.array([433.5, 555.0, 676.5])


def of_spreads(scope, fx, fy, pixel_arcsec, pixels, obstruction):
    """Transform point spreads as sums of waves about the star's own pixel."""
    stack = spread_stack(
        scope,
        wavelengths_nm=WAVES,
        pixel_arcsec=pixel_arcsec,
        pixels=pixels,
        aperture_mm=scope.aperture_mm,
        obstruction=obstruction,
    )
    place = (np.arange(pixels) - pixels // 2) * pixel_arcsec
    right, down = (np.exp(-2j * np.pi * np.outer(axis.ravel(), place)) for axis in (fx, fy))
    return down @ stack @ right.T


def both(scope, top, **how):
    """Return the transfers at some frequencies up to a share of the cut-off, by both ways."""
    fx = np.linspace(0.0, top, 7)[None, :] * overlap.cut_off(scope.aperture_mm)
    fy = np.linspace(-top, top, 9)[:, None] * overlap.cut_off(scope.aperture_mm)
    obstruction = scope.obstruction
    got = overlap.transfers(
        scope,
        wavelengths_nm=WAVES,
        frequencies=(fx, fy),
        aperture_mm=scope.aperture_mm,
        obstruction=obstruction,
    )
    return got, of_spreads(scope, fx, fy, obstruction=obstruction, **how)


@pytest.mark.parametrize(
    "wavefront",
    [Wavefront(), Wavefront(coma=0.6, coma_angle_deg=20.0, astigmatism=0.3, spherical=0.2)],
    ids=["perfect", "lopsided"],
)
def test_transfer_is_that_of_the_point_spread(wavefront):
    scope = Telescope(
        aperture_mm=150.0,
        focal_length_mm=750.0,
        obstruction=0.3,
        vanes=4,
        vane_mm=1.0,
        wavefront=wavefront,
    )
    got, wanted = both(scope, overlap.FARTHEST, pixel_arcsec=0.25, pixels=1600)
    # Of the light 0.2 % falls past the point spread's edge (0.0022 at 676 nm).
    assert got == pytest.approx(wanted, abs=2.5e-3)
    # A wrong way up, or round, would not pass: turned over, it is another.
    if wavefront.coma:
        assert np.abs(got[:, ::-1] - wanted).max() > 0.1
        assert np.abs(got.conj() - wanted).max() > 0.1


def test_colours_of_a_single_lens_blur_apart():
    scope = Telescope(aperture_mm=60.0, focal_length_mm=600.0, objective="achromat")
    got, wanted = both(scope, 0.3, pixel_arcsec=0.6, pixels=1200)
    assert got == pytest.approx(wanted, abs=2e-3)
    assert abs(got[0, 4, 5]) < abs(got[1, 4, 5])  # violet is out of focus


def test_a_perfect_ring_has_the_published_transfer():
    scope = Telescope(aperture_mm=200.0, focal_length_mm=1000.0, obstruction=0.25)
    nu = np.linspace(0.0, overlap.FARTHEST, 21)
    got = overlap.transfers(
        scope,
        wavelengths_nm=np.array([550.0]),
        frequencies=(nu[None, :] * overlap.cut_off(200.0), np.zeros((1, 1))),
        aperture_mm=200.0,
        obstruction=0.25,
    )
    # O'Neill 1956; the pupil's samples are 1/256 of it, which rounds the transfer's tip.
    assert got[0, 0].real == pytest.approx(annular_transfer(nu, 0.25), abs=1.5e-3)
    assert got[0, 0].imag == pytest.approx(np.zeros(21), abs=1e-5)
