"""The photograph's promise: what a camera's print adds, and that it stays a picture."""

from __future__ import annotations

import numpy as np
import pytest

from simview.scene.long_exposure_photo import camera_target, photograph
from simview.scene.targets import target


@pytest.mark.parametrize("name", ["orion-nebula", "m13", "jupiter", "pleiades", "albireo"])
def test_photograph_is_a_picture_that_uses_its_range(name: str) -> None:
    shown = target(name)
    picture = photograph(shown, pixel_arcsec=max(shown.size_arcsec, 40.0) / 90.0, pixels=128)
    assert picture.shape == (128, 128, 3)
    assert picture.dtype == np.uint8
    assert picture.max() > 180
    assert np.median(picture) < 200


def test_camera_sees_the_red_that_the_eye_does_not() -> None:
    shown = target("orion-nebula")
    eye = shown.scene(pixel_arcsec=40.0, pixels=64).planes
    camera = camera_target(shown).scene(pixel_arcsec=40.0, pixels=64).planes
    red_of_eye, red_of_camera = (p[0].sum() / p[1].sum() for p in (eye, camera))
    assert red_of_camera > 2.0 * red_of_eye


def test_photograph_shows_faint_parts_that_a_linear_print_would_not() -> None:
    shown = target("andromeda")
    picture = photograph(shown, pixel_arcsec=60.0, pixels=128)
    scene = shown.scene(pixel_arcsec=60.0, pixels=128)
    linear = scene.planes[1] / scene.planes[1].max()
    disc = (linear > 0.001) & (linear < 0.01)
    assert (picture[..., 1][disc].astype(float) / 255.0).mean() > 0.15
