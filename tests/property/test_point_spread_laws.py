"""What is true of every point spread, whatever the telescope."""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

import simview
from simview.telescope.quality import transfer
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN

waves = st.floats(-1.0, 1.0)
wavefronts = st.builds(
    simview.Wavefront,
    defocus=st.floats(-2.0, 2.0),
    spherical=waves,
    coma=waves,
    coma_angle_deg=st.floats(0.0, 360.0),
    astigmatism=waves,
    astigmatism_angle_deg=st.floats(0.0, 180.0),
    trefoil=waves,
    noll=st.dictionaries(st.integers(4, 22), st.floats(-0.1, 0.1), max_size=3),
)
telescopes = st.builds(
    simview.Telescope,
    aperture_mm=st.floats(40.0, 400.0),
    focal_length_mm=st.floats(800.0, 3000.0),
    obstruction=st.floats(0.0, 0.5),
    vanes=st.integers(0, 6),
    vane_mm=st.floats(0.0, 3.0),
    objective=st.sampled_from(["mirror", "achromat", "apochromat"]),
    wavefront=wavefronts,
)
few = settings(max_examples=25, deadline=None)


def unit_of(scope, wave=550.0):
    return wave * 1e-6 / scope.aperture_mm * ARCSEC_PER_RADIAN


def plane(scope, pixels=64, units=0.4, **more):
    how = {"wavelengths_nm": [550.0], "precise": True, **more}
    return spread_stack(scope, pixel_arcsec=units * unit_of(scope), pixels=pixels, **how)[0]


@few
@given(telescopes)
def test_light_is_never_negative_and_never_more_than_all(scope):
    image = plane(scope)
    assert image.min() >= -1e-12
    assert 0.05 < image.sum() <= 1.0 + 1e-4


@few
@given(telescopes)
def test_no_pixel_outshines_the_perfect_telescopes_peak(scope):
    perfect = simview.Telescope(
        aperture_mm=scope.aperture_mm,
        focal_length_mm=scope.focal_length_mm,
        obstruction=scope.obstruction,
        vanes=scope.vanes,
        vane_mm=scope.vane_mm,
    )
    assert plane(scope).max() <= plane(perfect).max() * (1.0 + 1e-6)


@few
@given(telescopes, st.floats(0.05, 0.95), st.floats(0.0, 180.0))
def test_contrast_transfer_never_exceeds_the_perfect_pupils(scope, nu, angle):
    frequency = [nu / unit_of(scope)]
    perfect = simview.Telescope(
        aperture_mm=scope.aperture_mm,
        focal_length_mm=scope.focal_length_mm,
        obstruction=scope.obstruction,
        vanes=scope.vanes,
        vane_mm=scope.vane_mm,
    )
    got = transfer(scope, frequency, angle_deg=angle)[0]
    assert 0.0 <= got <= transfer(perfect, frequency, angle_deg=angle)[0] + 1e-3


@few
@given(wavefronts)
def test_turning_the_wavefront_half_round_turns_the_image(wavefront):
    """W(-x, -y) gives I(-x, -y): even terms stay, odd ones change sign."""
    odd = {n for n in wavefront.noll if n in (7, 8, 9, 10, 16, 17, 18, 19, 20, 21)}
    turned = simview.Wavefront(
        defocus=wavefront.defocus,
        spherical=wavefront.spherical,
        coma=-wavefront.coma,
        coma_angle_deg=wavefront.coma_angle_deg,
        astigmatism=wavefront.astigmatism,
        astigmatism_angle_deg=wavefront.astigmatism_angle_deg,
        trefoil=-wavefront.trefoil,
        noll={n: -w if n in odd else w for n, w in wavefront.noll.items()},
    )
    one, other = (
        plane(simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, wavefront=w), pixels=65)
        for w in (wavefront, turned)
    )
    np.testing.assert_allclose(other, one[::-1, ::-1], atol=1e-9 * one.max())


@few
@given(telescopes, st.integers(3, 9))
def test_coarse_pixels_gather_the_light_of_fine_ones(scope, parts):
    parts += 1 - parts % 2
    coarse = plane(scope, pixels=15, units=0.3 * parts)
    fine = plane(scope, pixels=15 * 3 * parts, units=0.1)
    summed = fine.reshape(15, 3 * parts, 15, 3 * parts).sum(axis=(1, 3))
    # plain sums over samples 0.1 apart are themselves good to 4e-3 of the brightest
    np.testing.assert_allclose(coarse, summed, atol=6e-3 * summed.max())


@few
@given(telescopes)
def test_strehl_lies_between_0_and_1(scope):
    star = simview.point_spread(scope, pixel_arcsec=0.4 * unit_of(scope), pixels=64)
    assert 0.0 < star.strehl <= 1.0 + 1e-6


@few
@given(telescopes, st.lists(st.floats(0.0, 11.0), min_size=2, max_size=5))
def test_a_larger_circle_never_holds_less_light(scope, radii):
    star = simview.point_spread(scope, pixel_arcsec=0.4 * unit_of(scope), pixels=64, precise=True)
    inside = [star.encircled(r * unit_of(scope)) for r in sorted(radii)]
    assert all(a <= b + 2e-3 for a, b in itertools.pairwise(inside))
