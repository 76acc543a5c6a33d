"""What a point spread promises: light accounted for, directions, refusals."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.telescope import spread
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN

UNIT = 550e-6 / 100.0 * ARCSEC_PER_RADIAN


def scope(**more):
    return simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, **more)


def stack(telescope=None, **more):
    how = {"wavelengths_nm": [550.0], "pixel_arcsec": 0.25, "pixels": 64, **more}
    return spread_stack(telescope or scope(), **how)


@pytest.mark.parametrize("pixels", [64, 65])
def test_star_stands_on_pixel_half_of_the_count(pixels):
    plane = stack(pixels=pixels)[0]
    assert np.unravel_index(plane.argmax(), plane.shape) == (pixels // 2, pixels // 2)


def test_wavefront_rising_to_the_right_moves_the_star_right_and_upwards_up():
    # Noll 2 of 1 wave RMS is 2 x: 4 waves across the diameter, 4 lambda/D
    right = stack(scope(wavefront=simview.Wavefront(noll={2: 1.0})), pixel_arcsec=UNIT / 4)[0]
    assert np.unravel_index(right.argmax(), right.shape) == (32, 48)
    up = stack(scope(wavefront=simview.Wavefront(noll={3: 1.0})), pixel_arcsec=UNIT / 4)[0]
    assert np.unravel_index(up.argmax(), up.shape) == (16, 32)


@pytest.mark.parametrize("angle", [0.0, 90.0, 200.0])
def test_comas_flare_points_along_its_angle(angle):
    wavefront = simview.Wavefront(coma=2.0, coma_angle_deg=angle)
    plane = stack(scope(wavefront=wavefront), pixel_arcsec=UNIT / 4, pixels=129)[0]
    place = np.arange(129) - 64
    # light-weighted mean of the flare (tilt removed: the peak itself leans the other way)
    far = np.hypot(place[None, :], place[:, None]) > 16
    x = (plane * far * place[None, :]).sum()
    y = -(plane * far * place[:, None]).sum()
    turned = (np.degrees(np.arctan2(y, x)) % 360.0 - angle + 180.0) % 360.0 - 180.0
    assert turned == pytest.approx(0.0, abs=2.0)


def test_single_and_double_precision_agree():
    wavefront = simview.Wavefront(spherical=2.0, coma=1.0, coma_angle_deg=20.0, defocus=20.0)
    single = stack(scope(wavefront=wavefront), pixel_arcsec=0.4, pixels=256)
    double = stack(scope(wavefront=wavefront), pixel_arcsec=0.4, pixels=256, precise=True)
    assert (single.dtype, double.dtype) == (np.float32, np.float64)
    # phases of 40 turns are reduced before they are cut to float32
    np.testing.assert_allclose(single, double, atol=3e-6 * double.max())


@pytest.mark.parametrize("faults", [{}, {"defocus": 12.0}, {"spherical": 4.0}, {"coma": 8.0}])
def test_strong_faults_lose_no_light_on_a_wide_grid(faults):
    plane = stack(
        scope(wavefront=simview.Wavefront(**faults)), pixel_arcsec=0.5, pixels=512, precise=True
    )[0]
    # 128 arcsec to each side are 113 lambda/D: 0.2 % of an Airy pattern lies outside
    assert plane.sum() == pytest.approx(0.998, abs=0.0015)


@pytest.mark.parametrize("pixel", [0.1, 0.5, 0.6, 3.0, 20.0, 300.0])
def test_sum_is_the_light_that_the_grid_catches(pixel):
    plane = stack(pixel_arcsec=pixel, pixels=65, precise=True)[0]
    half = 32.5 * pixel / UNIT
    # light outside a square of half-width h: about 0.2 / h of it is outside a circle (Clark,
    # Howard and Freniere 1984); the square keeps a tenth more
    assert 1.0 - plane.sum() == pytest.approx(0.18 / half, rel=0.25, abs=3e-5)


def test_coarse_and_wide_grid_continues_into_the_far_wing():
    """Beyond the computed middle the mean wing stands in: no step where they meet."""
    coarse = stack(pixel_arcsec=20.0 * UNIT, pixels=257, precise=True)[0]
    computed = spread._computed(257, spread._division(20.0 * UNIT, UNIT), 0.0)
    assert computed < 257
    place = np.arange(257) - 128
    radius = np.hypot(place[None, :], place[:, None])
    edge = computed // 2
    for inner, outer in ((edge - 2.5, edge + 0.5), (edge + 1.5, edge + 6.5)):
        ring = (radius > inner) & (radius < outer)
        # the mean wing is 0.2 / (2 pi r^3) per area
        wing = 2.0 / np.pi**2 / (2.0 * np.pi * (radius[ring] * 20.0) ** 3) * 400.0
        assert coarse[ring].sum() == pytest.approx(wing.sum(), rel=0.04)


def test_far_wing_never_stands_in_for_light_that_a_fault_throws_there():
    """Defocus of 30 waves throws light 120 lambda/D out, on pixels of 10: all is computed."""
    plane = stack(pixel_arcsec=10.0 * UNIT, pixels=65, defocus_waves=30.0)[0]
    place = (np.arange(65) - 32) * 10.0
    radius = np.hypot(place[None, :], place[:, None])
    assert plane[radius < 130.0].sum() > 0.97
    flat = plane[radius < 90.0]
    # the disc's light over its area, evenly
    assert flat.mean() == pytest.approx(100.0 / (np.pi * 120.0**2), rel=0.03)


def test_lone_wavelengths_do_not_know_of_each_other():
    together = stack(wavelengths_nm=[450.0, 550.0, 650.0])
    for k, wave in enumerate((450.0, 550.0, 650.0)):
        np.testing.assert_array_equal(together[k], stack(wavelengths_nm=[wave])[0])


def test_eye_that_stops_down_widens_the_pattern():
    full, half = stack(pixel_arcsec=0.1)[0], stack(pixel_arcsec=0.1, aperture_mm=50.0)[0]
    # the light of half the aperture is 1 again, spread over four times the area
    assert half.max() / full.max() == pytest.approx(0.25, rel=1e-4)


def test_cropped_wavefront_is_not_rebalanced():
    faulty = scope(wavefront=simview.Wavefront(spherical=1.0))
    got = stack(faulty, aperture_mm=50.0, precise=True)
    # 4 (r^4 - r^2) at r = s / 2 is s^4 / 4 - s^2: W040 a sixteenth, W020 a quarter
    wanted = spread_stack(
        simview.Telescope(
            aperture_mm=50.0,
            focal_length_mm=1000.0,
            wavefront=simview.Wavefront(spherical=1.0 / 16.0, defocus=-1.0 + 0.25),
        ),
        wavelengths_nm=[550.0],
        pixel_arcsec=0.25,
        pixels=64,
        precise=True,
    )
    np.testing.assert_allclose(got, wanted, atol=1e-9)


def test_screen_adds_to_the_wavefront():
    x = (2.0 * np.arange(256) - 255.0) / 256
    screen = np.broadcast_to(2.0 * x * 550.0, (256, 256))  # Noll 2, one wave RMS
    with_screen = stack(pixel_arcsec=UNIT / 4, screen_nm=screen, precise=True)
    tilted = stack(
        scope(wavefront=simview.Wavefront(noll={2: 1.0})), pixel_arcsec=UNIT / 4, precise=True
    )
    np.testing.assert_allclose(with_screen, tilted, atol=1e-6 * tilted.max())


def test_weights_are_scaled_and_mix_the_colours():
    one = simview.point_spread(scope(), wavelengths_nm=[450.0, 650.0], weights=[3.0, 1.0])
    planes = stack(wavelengths_nm=[450.0, 650.0], pixel_arcsec=0.05, pixels=512)
    np.testing.assert_allclose(one.image, 0.75 * planes[0] + 0.25 * planes[1], atol=1e-9)
    assert one.weights == (0.75, 0.25)
    assert one.image.dtype == np.float64


def test_same_seed_gives_the_same_moment():
    sky = simview.Sky(seeing_arcsec=2.0, air="moment", seed=7)
    first, second = (
        simview.point_spread(scope(), pixels=64, pixel_arcsec=0.2, sky=sky).image for _ in range(2)
    )
    np.testing.assert_array_equal(first, second)
    other = simview.Sky(seeing_arcsec=2.0, air="moment", seed=8)
    moved = simview.point_spread(scope(), pixels=64, pixel_arcsec=0.2, sky=other).image
    assert np.abs(first - moved).max() > 0.05 * first.max()


@pytest.mark.parametrize(
    ("how", "word"),
    [
        ({"wavelengths_nm": []}, "wavelengths"),
        ({"wavelengths_nm": [5500.0]}, "1000 nm"),
        ({"wavelengths_nm": [float("nan")]}, "wavelength"),
        ({"pixel_arcsec": 0.0}, "pixel_arcsec"),
        ({"pixel_arcsec": float("inf")}, "pixel_arcsec"),
        ({"pixels": 1}, "pixels"),
        ({"pixels": 10**9}, "pixels"),
        ({"pixels": 64.5}, "pixels"),
        ({"defocus_waves": float("nan")}, "defocus_waves"),
        ({"engine": "popy"}, "poppy"),
        ({"screen_nm": np.full((16, 16), np.nan)}, "screen_nm"),
        ({"screen_nm": np.zeros((16, 8))}, "screen_nm"),
    ],
)
def test_unusable_values_are_named(how, word):
    with pytest.raises(SimviewError, match=word):
        stack(**how)


@pytest.mark.parametrize("weights", [[1.0], [-1.0, 2.0], [0.0, 0.0], [float("nan"), 1.0]])
def test_unusable_weights_are_refused(weights):
    with pytest.raises(SimviewError, match="weights"):
        simview.point_spread(scope(), wavelengths_nm=[500.0, 600.0], weights=weights)


def test_fault_that_no_grid_can_sample_states_the_limit():
    wild = scope(wavefront=simview.Wavefront(noll={200: 10.0}))
    with pytest.raises(SimviewError, match="2048"):
        stack(wild)


def test_circle_beyond_the_grid_is_refused():
    star = simview.point_spread(scope(), pixels=64)
    with pytest.raises(SimviewError, match="radius_arcsec"):
        star.encircled(5.0)
    assert star.encircled(0.0) == 0.0


def test_module_loads_no_heavy_library():
    import subprocess
    import sys

    code = (
        "import sys, simview.telescope.spread; "
        "print([m for m in ('poppy','scipy.signal','matplotlib','astropy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
