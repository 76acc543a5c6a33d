"""The retina's arithmetic: kernels, convolution, stars."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from simview.eye.colour import response
from simview.eye.dots import star_planes
from simview.eye.kernels import (
    NOTHING,
    Grid,
    choose_grid,
    kernels,
    kernels_of,
    mixed,
    spectral_weights,
    widened,
    width_px,
)
from simview.eye.retina import convolve, even_light
from simview.scene.scene import Stars
from simview.scene.spectrum import primaries
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux


@pytest.mark.parametrize("count", [1, 3, 10, 27])
def test_spectral_weights_keep_the_primaries_luminance_whatever_the_number_of_bands(count):
    weights = spectral_weights(primaries(), response(), count)
    # IEC 61966-2-1: luminances of the sRGB primaries.
    assert weights[1].sum(axis=1) == pytest.approx([0.2126, 0.7152, 0.0722], abs=1e-4)


def test_convolve_agrees_with_a_direct_sum():
    rng = np.random.default_rng(1)
    planes = rng.random((3, 40, 44)).astype(np.float32)
    kernel = rng.random((4, 3, 8, 8)).astype(np.float32)
    got = convolve(planes, kernel)
    assert got.shape == (4, 32, 36)
    for c in range(4):
        whole = sum(
            signal.convolve2d(planes[p].astype(float), kernel[c, p].astype(float)) for p in range(3)
        )
        # A kernel centred on k // 2 = 4: picture pixel 4 stands at 4 + 4 in the whole sum.
        # float32 transforms of sums of about 100: 1e-3 is a hundred units in the last place.
        assert got[c] == pytest.approx(whole[8:40, 8:44], abs=1e-3)


@pytest.mark.parametrize(
    ("rows", "columns"),
    [((25, 28), (30, 31)), ((0, 3), (70, 80)), ((2, 4), (1, 3)), ((0, 0), (0, 0))],
)
def test_convolve_of_a_small_thing_in_a_wide_dark_field_agrees_with_a_direct_sum(rows, columns):
    planes = np.zeros((3, 60, 80), np.float32)
    rng = np.random.default_rng(3)
    lit = planes[:, slice(*rows), slice(*columns)]
    lit[:] = rng.random(lit.shape)
    kernel = rng.random((4, 3, 8, 8)).astype(np.float32)
    got = convolve(planes, kernel)
    for c in range(4):
        whole = sum(
            signal.convolve2d(planes[p].astype(float), kernel[c, p].astype(float)) for p in range(3)
        )
        assert got[c] == pytest.approx(whole[8:60, 8:80], abs=1e-4)


def test_convolve_leaves_a_scene_alone_when_the_kernel_is_one_pixel():
    planes = np.random.default_rng(2).random((3, 30, 30)).astype(np.float32)
    kernel = np.zeros((4, 3, 6, 6), np.float32)
    kernel[1, 0, 3, 3] = 2.0
    got = convolve(planes, kernel)
    # The kernel's centre is pixel k // 2, so pixel k // 2 of the scene comes out first.
    assert got[1] == pytest.approx(2.0 * planes[0, 3:27, 3:27], abs=1e-5)
    assert got[0] == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("pixel", [0.2, 1.0, 3.7, 12.0])
def test_kernel_is_centred_and_sums_to_the_light_when_pixels_are_split(pixel):
    grid = choose_grid(pixel, 100.0, 2.0)
    n = grid.fine_size
    y, x = np.indices((n, n)) - n // 2
    width = 3.0 / grid.fine_arcsec
    spread = np.exp(-(x**2 + y**2) / width**2)
    spread = (spread / spread.sum())[None]
    factor = [np.ones((n, n // 2 + 1), np.float32)]
    weights = np.full((4, 3, 1), 0.5)
    got = kernels(spread, factor, weights, grid, shift_arcsec=np.zeros(1))[1, 0]
    size = grid.size
    row, column = np.indices((size, size)) - size // 2
    total = got.sum()
    # The soft round window takes a little of a wide spread's corners.
    assert total == pytest.approx(0.5, rel=2e-3)
    assert (got * row).sum() / total == pytest.approx(0.0, abs=2e-3)
    assert (got * column).sum() / total == pytest.approx(0.0, abs=2e-3)


def test_kernel_moves_up_when_refraction_lifts_the_colour():
    grid = choose_grid(0.5, 100.0, 2.0)
    n = grid.fine_size
    y, x = np.indices((n, n)) - n // 2
    spread = np.exp(-(x**2 + y**2) * grid.fine_arcsec**2 / 2.0)
    spread = (spread / spread.sum())[None]
    factor = [np.ones((n, n // 2 + 1), np.float32)]
    got = kernels(spread, factor, np.ones((4, 3, 1)), grid, shift_arcsec=np.array([1.5]))[1, 0]
    row = np.indices(got.shape)[0] - grid.size // 2
    # Row 0 is at the top: up is towards smaller rows; 1.5 arcsec are 3 pixels.
    assert (got * row).sum() / got.sum() == pytest.approx(-3.0, abs=0.01)


def test_star_planes_hold_each_stars_light():
    stars = Stars(
        x_arcsec=np.array([1.3, -4.0]),
        y_arcsec=np.array([2.2, 0.0]),
        magnitude=np.array([2.0, 5.0]),
        temperature_k=np.array([6000.0, 6000.0]),
    )
    planes = star_planes(stars, np.ones((2, 3)), 0.5, 40)
    pixel_sr = (0.5 / ARCSEC_PER_RADIAN) ** 2
    wanted = illuminance_lux(stars.magnitude).sum()
    assert planes[0].sum() * pixel_sr == pytest.approx(wanted, rel=1e-6)
    y, x = np.indices((40, 40)) - 20
    bright = planes[0].copy()
    bright[:, :16] = 0.0
    # x grows to the right (west), y upwards (north).
    assert (bright * x).sum() / bright.sum() * 0.5 == pytest.approx(1.3, abs=1e-3)
    assert -(bright * y).sum() / bright.sum() * 0.5 == pytest.approx(2.2, abs=1e-3)


@pytest.mark.parametrize(
    "grid",
    [
        Grid(size=24, pixel_arcsec=6.0, split=8),
        Grid(size=90, pixel_arcsec=1.0, split=1),
        Grid(size=150, pixel_arcsec=1.0, split=1, enough=130),
    ],
    ids=["pixels cut", "pixels as they are", "fewer samples than pixels"],
)
def test_kernel_from_the_frequencies_that_the_eye_passes_is_the_same(grid):
    # A Gaussian of 6 arcsec: it passes 1e-5 of 0.18 cycles/arcsec (its own transform).
    sigma = 6.0 / np.sqrt(8.0 * np.log(2.0))

    def eye(frequency):
        return np.exp(-2.0 * (np.pi * sigma * frequency) ** 2)

    few = grid.passing(eye)
    top = np.sqrt(-np.log(NOTHING) / 2.0) / np.pi / sigma
    assert few.kept == 1 + int(top * grid.size * grid.pixel_arcsec)
    n = grid.fine_size
    rng = np.random.default_rng(6)
    y, x = (np.indices((n, n)) - n // 2) * grid.fine_arcsec
    spread = rng.random((3, n, n)) * np.exp(-(x**2 + y**2) / 60.0)
    spread /= spread.sum(axis=(1, 2), keepdims=True)
    weights, shift = rng.random((4, 3, 3)), np.array([0.4, 0.0, -0.7])

    def made(on):
        common = eye(np.hypot(*on.frequencies()))
        air = [np.exp(-np.hypot(*on.frequencies()) * k) for k in (1.0, 2.0, 3.0)]
        return kernels_of(mixed(spread, air, weights, on, shift_arcsec=shift) * common, on)

    whole, got = made(grid), made(few)
    assert got == pytest.approx(whole, abs=3e-6 * float(whole.max()))


def test_grid_is_left_alone_where_nearly_all_frequencies_pass():
    grid = Grid(size=90, pixel_arcsec=1.0, split=1)
    assert grid.passing(np.ones_like) == grid
    assert grid.passing(lambda f: np.where(f < 0.4, 1.0, 0.0)) == grid
    # The highest of all lies past the cut-off; few large pixels are summed up without it.
    assert Grid(size=24, pixel_arcsec=6.0, split=8).passing(np.ones_like).kept == 24 * 8 // 2


def test_widened_kernel_keeps_its_light_and_has_its_full_width():
    # One pixel of light 3 pixels wide: a Gaussian, half as high at 1.5 pixels from the middle;
    # its widest half holds pi / 4 x 9 = 7 pixels, to a pixel or two of a square grid.
    point = np.zeros((4, 1, 9, 9), np.float32)
    point[:, :, 4, 4] = 0.8
    wide = widened(point, 3.0)
    assert wide.sum(axis=(2, 3)) == pytest.approx(0.8, rel=1e-5)
    row = wide[1, 0, wide.shape[2] // 2]
    middle = len(row) // 2
    assert int(row.argmax()) == middle
    assert row[middle + 1] / row[middle] == pytest.approx(0.5 ** (1.0 / 1.5**2), rel=1e-3)
    assert row[middle - 2] / row[middle] == pytest.approx(0.5 ** (4.0 / 1.5**2), rel=1e-3)
    assert width_px(wide) == pytest.approx(3.0, abs=0.45)


def summed(planes: np.ndarray, kernel: np.ndarray) -> np.ndarray:
    """Convolve by scipy's direct sums in double precision; the valid part that `convolve` gives."""
    k = kernel.shape[-1]
    whole = [
        sum(
            signal.convolve2d(plane.astype(float), lens.astype(float), mode="full")
            for plane, lens in zip(planes, channel, strict=True)
        )
        for channel in kernel
    ]
    ny, nx = planes.shape[1:]
    return np.array(whole)[:, k:ny, k:nx]


@pytest.mark.parametrize("box", [(3, 9, 20, 27), (0, 40, 0, 44), (38, 40, 42, 44), (15, 16, 5, 30)])
@pytest.mark.parametrize("size", [4, 5, 10, 31])
@pytest.mark.parametrize("one_colour", [False, True])
def test_light_of_a_part_of_the_scene_is_convolved_as_by_direct_sums(box, size, one_colour):
    rng = np.random.default_rng(5)
    top, bottom, left, right = box
    planes = np.zeros((3, 40, 44), np.float32)
    planes[:, top:bottom, left:right] = rng.random((3, bottom - top, right - left))
    if one_colour:
        planes[1:] = planes[:1] * np.array([0.5, 1.7], np.float32)[:, None, None]
    kernel = rng.random((4, 3, size, size)).astype(np.float32)
    kernel /= kernel.sum(axis=(2, 3), keepdims=True)
    wanted = summed(planes, kernel)
    # Single precision's transforms: some 1e-7 of the brightest.
    np.testing.assert_allclose(convolve(planes, kernel), wanted, atol=2e-6 * wanted.max())


def test_even_light_is_convolved_to_what_it_was():
    rng = np.random.default_rng(2)
    kernel = rng.random((4, 3, 12, 12)).astype(np.float32)
    level = np.array([1.0, 2.0, 0.5], np.float32)[:, None, None]
    slope = (1.0 + 1e-3 * np.arange(50, dtype=np.float32))[None, :]
    planes = np.broadcast_to(level * slope[None], (3, 50, 50)).astype(np.float32)
    told, wanted = even_light(planes, kernel), summed(planes, kernel)
    assert told.shape == wanted.shape
    # A slope of a thousandth a pixel, and kernels that are up to a pixel or so out of the middle.
    np.testing.assert_allclose(told, wanted, rtol=2e-3)
