"""A disc too small to show as one is a star; its light stays the same."""

from __future__ import annotations

import numpy as np
import pytest

from simview.scene.scene import Dot, Scene
from simview.scene.star_colour import SUN_K, rgb_of_temperature
from simview.scene.targets import target
from simview.units import illuminance_lux

DOT = Dot(diameter_arcsec=4.0, magnitude=6.0, temperature_k=6000.0)


@pytest.mark.parametrize(("spot", "share"), [(8.0, 1.0), (4.0, 1.0), (3.2, 0.5), (2.0, 0.0)])
def test_share_goes_by_the_spot_that_a_star_fills(spot: float, share: float) -> None:
    assert DOT.share(spot) == pytest.approx(share, abs=1e-6)


@pytest.mark.parametrize("spot", [8.0, 3.4, 3.0, 1.0])
@pytest.mark.parametrize("name", ["uranus", "neptune", "mercury", "mars"])
def test_star_and_disc_together_have_all_of_the_light(name: str, spot: float) -> None:
    shown = target(name)
    assert shown.dot is not None
    pixel = 1.3 * shown.size_arcsec / 100
    scene = shown.dot.drawn(shown.scene(pixel_arcsec=pixel, pixels=100), spot)
    disc = np.tensordot([0.2126, 0.7152, 0.0722], scene.planes.astype(float), axes=1).sum()
    lux = disc * (pixel / 206264.8) ** 2 + illuminance_lux(scene.stars.magnitude).sum()
    assert shown.magnitude is not None
    assert lux == pytest.approx(illuminance_lux(shown.magnitude), rel=0.02)


def test_large_disc_stays_a_disc() -> None:
    scene = Scene(planes=np.ones((3, 4, 4), np.float32), pixel_arcsec=1.0)
    assert DOT.drawn(scene, 1.0) is scene


# Mallama, Krobusek & Pavlov 2017: B-V and V-R of 0.50 and -0.27 (Uranus), 0.39 and -0.33 (Neptune),
# 1.36 and 0.82 (Mars) against the Sun's 0.65 and 0.35: two are bluer than it, one is redder.
@pytest.mark.parametrize(("name", "bluer"), [("uranus", True), ("neptune", True), ("mars", False)])
def test_planet_as_a_star_has_its_colour(name: str, bluer: bool) -> None:
    dot = target(name).dot
    assert dot is not None
    red, _, blue = rgb_of_temperature(np.array([dot.temperature_k]))[0]
    sun_red, _, sun_blue = rgb_of_temperature(np.array([SUN_K]))[0]
    share = (red / blue) / (sun_red / sun_blue)
    assert share < 0.7 if bluer else share > 1.8


@pytest.mark.parametrize("name", ["jupiter", "saturn"])
def test_planets_with_moons_are_never_stars(name: str) -> None:
    assert target(name).dot is None
