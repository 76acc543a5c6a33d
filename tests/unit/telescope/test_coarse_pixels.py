"""A star stands in the middle of pixel n // 2, however coarse and however many the pixels are."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.telescope.star import point_spread

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0, obstruction=0.25)
UNIT = 550e-6 / 150.0 * 206264.806  # wavelength / aperture, arcsec


@pytest.mark.parametrize("pixels", [40, 41])
@pytest.mark.parametrize("pixel", [0.4, 0.6, 0.9, 2.0, 7.0])
@pytest.mark.parametrize("air", ["none", "long"])
def test_star_stands_in_the_middle_of_its_pixel(pixel: float, pixels: int, air: str) -> None:
    sky = simview.Sky(seeing_arcsec=1.5, air=air)
    star = point_spread(SCOPE, pixel_arcsec=pixel * UNIT, pixels=pixels, sky=sky)
    place = np.arange(pixels) - pixels // 2
    near = np.hypot(place[:, None], place[None, :]) < 0.4 * pixels
    light = np.where(near, star.image, 0.0)
    # By symmetry its centre of light is there; in pixels, float32.
    assert (light.sum(axis=0) @ place) / light.sum() == pytest.approx(0.0, abs=1e-4)
    assert (light.sum(axis=1) @ place) / light.sum() == pytest.approx(0.0, abs=1e-4)
