"""What is drawn by a short way is what the long way draws: noise, ellipses, light on a globe."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from simview.scene import jupiter, sky
from simview.scene.globe import minnaert
from simview.scene.noise import cloudy


@pytest.mark.parametrize("shape", [(64, 128), (63, 65), (1, 300), (2, 50)])
@pytest.mark.parametrize(("finest", "stretch"), [(5.0, 6.0), (2.0, 1.0), (0.3, 0.02)])
def test_noise_is_white_noise_through_its_gain(
    shape: tuple[int, int], finest: float, stretch: float
) -> None:
    found = cloudy(
        shape, np.random.default_rng(7), longest=20.0, finest=finest, stretch=stretch, slope=2.2
    )
    # All frequencies, in double precision, by what the docstring says of the spectrum.
    white = np.random.default_rng(7).standard_normal(shape, dtype=np.float32).astype(float)
    wave = np.hypot(np.fft.fftfreq(shape[0])[:, None], stretch * np.fft.fftfreq(shape[1]))
    gain = (1.0 + (20.0 * wave) ** 2) ** -1.1 * np.exp(-((finest * wave) ** 4))
    gain[0, 0] = 0.0
    wanted = np.fft.ifft2(np.fft.fft2(white) * gain).real
    assert found.dtype == np.float32
    np.testing.assert_allclose(found, wanted / wanted.std(), atol=1e-5)


def test_ellipses_are_blended_one_over_the_other() -> None:
    rng = np.random.default_rng(2)
    start = rng.random((jupiter.HEIGHT, jupiter.WIDTH, 3)).astype(np.float32)
    latitude = np.array([6.0, 5.0, 5.5, -2.0])
    longitude = np.array([1.0, -2.0, 359.0, 200.0])  # three of them meet where the map closes
    tall, wide = np.array([1.5, 0.8, 2.0, 1.0]), np.array([4.0, 2.0, 1.0, 3.0])
    share, colour = np.array([0.8, 0.3, 0.5, 0.9]), (0.3, 0.2, 0.1)
    found = start.copy()
    jupiter._soft_ellipses(found, (latitude, longitude), (tall, wide), share, colour)
    wanted = start.astype(float)
    north = 90.0 - (np.arange(jupiter.HEIGHT) + 0.5) * 180.0 / jupiter.HEIGHT
    east = (np.arange(jupiter.WIDTH) + 0.5) * 360.0 / jupiter.WIDTH
    for each in zip(latitude, longitude, tall, wide, share, strict=True):
        away = (east - each[1] + 180.0) % 360.0 - 180.0
        square = ((north[:, None] - each[0]) / each[2]) ** 2 + (away / each[3]) ** 2
        blend = (each[4] * np.exp(-(square**2)))[..., None]
        wanted += blend * (np.array(colour) - wanted)
    # An ellipse ends at 1.6 times its half-axes, where 0.14 % of its share is left.
    assert np.abs(found - wanted).max() < 0.0015
    untouched = np.abs(north + 40.0) < 20.0
    assert np.array_equal(found[untouched], start[untouched])


def test_light_on_a_globe_is_minnaerts_and_night_is_black() -> None:
    rng = np.random.default_rng(4)
    lit = rng.uniform(-1.0, 1.0, (40, 50)).astype(np.float32)
    seen = rng.uniform(1e-3, 1.0, (40, 50)).astype(np.float32)
    exponents = (0.98, 0.6, 1.0)
    found = minnaert(lit, seen, exponents)
    day = lit > 0.0
    for plane, k in zip(found, exponents, strict=True):
        wanted = lit[day].astype(float) ** k * seen[day].astype(float) ** (k - 1.0)
        np.testing.assert_allclose(plane[day], wanted, rtol=3e-6)
        assert not plane[~day].any()


@pytest.mark.parametrize(("pixel", "pixels"), [(4.4, 500), (1.7, 400), (0.8, 301)])
@pytest.mark.parametrize("aside", [(0.0, 0.0), (-700.0, 260.0)])
def test_steep_spiral_by_few_points_is_that_by_a_point_a_pixel(
    pixel: float, pixels: int, aside: tuple[float, float]
) -> None:
    glow = sky.glow_of("andromeda")
    assert glow is not None
    assert glow.smooth_arcsec >= 2.0 * pixel
    few, every = (
        sky._laid(one, pixel, pixels, aside) for one in (glow, replace(glow, smooth_arcsec=0.0))
    )
    # A step of 8 bits in the middle of a print is 0.5 to 1 % of light; the darkest sky shines with
    # 1.7e-4 cd/m2.
    np.testing.assert_allclose(few, every, rtol=3e-3, atol=1e-6)
    assert np.abs(few / every - 1.0).mean() < 3e-4
