"""The Moon in pixels so coarse that no small crater has its place in them."""

from __future__ import annotations

import pytest

from simview.scene.targets import target


@pytest.mark.parametrize("pixel_arcsec", [80.0, 300.0, 900.0])
def test_moon_is_drawn_however_coarse_the_pixels(pixel_arcsec: float) -> None:
    scene = target("moon").scene(pixel_arcsec=pixel_arcsec, pixels=16)
    # The lit half shines with some thousands of cd/m2; spread over a pixel wider than the Moon's
    # lit part it is less, never nothing.
    assert 500.0 < float(scene.planes.max()) < 10000.0
