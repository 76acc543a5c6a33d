"""Light of stars below the limit: none is lost, none is counted twice, crowds show as haze."""

from __future__ import annotations

import numpy as np
import pytest

from simview import Observer, Sky, look
from simview.demo import kit_path
from simview.eye.thresholds import seen_fraction
from simview.eye.unseen import _spread_out, _unseen_tint, with_unseen
from simview.kitfile import load_kit_file
from simview.scene.scene import Scene, Stars
from simview.scene.targets import target
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

PIXEL = 20.0
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])


def unseen_light(scene: Scene, limit: float, *, pixels: int, spread_px: float) -> np.ndarray:
    """Light of the stars fainter than `limit`, spread out, cd/m2."""
    tint = _unseen_tint(scene.stars, 10.0 ** (0.4 * (limit - scene.stars.magnitude)))
    return _spread_out(scene, tint, pixels=pixels, spread_px=spread_px)


def scene(x: np.ndarray, y: np.ndarray, magnitude: np.ndarray, side: int = 300) -> Scene:
    stars = Stars(
        x_arcsec=x, y_arcsec=y, magnitude=magnitude, temperature_k=np.full(len(x), 6500.0)
    )
    return Scene(planes=np.zeros((3, side, side), np.float32), pixel_arcsec=PIXEL, stars=stars)


def test_all_light_of_unseen_stars_arrives() -> None:
    rng = np.random.default_rng(5)
    place = rng.normal(0.0, 200.0, (2, 400))
    magnitude = rng.uniform(13.0, 15.5, 400)
    light = np.tensordot(
        LUMINANCE, unseen_light(scene(*place, magnitude), 10.0, pixels=300, spread_px=20.0), axes=1
    )
    pixel_sr = (PIXEL / ARCSEC_PER_RADIAN) ** 2
    assert light.sum() * pixel_sr == pytest.approx(illuminance_lux(magnitude).sum(), rel=0.01)


def test_star_is_shared_between_points_and_haze() -> None:
    limit, pixel_sr = 12.0, (PIXEL / ARCSEC_PER_RADIAN) ** 2
    for magnitude in (10.0, 11.8, 12.0, 12.2, 14.0):
        one = scene(np.zeros(1), np.zeros(1), np.array([magnitude]))
        light = unseen_light(one, limit, pixels=300, spread_px=20.0)
        haze = np.tensordot(LUMINANCE, light, axes=1).sum() * pixel_sr
        seen = float(seen_fraction(10.0 ** (0.4 * (limit - magnitude))))
        whole = float(illuminance_lux(magnitude))
        assert haze + seen * whole == pytest.approx(whole, rel=0.01)


def test_even_field_is_even_up_to_its_edge() -> None:
    steps = (np.arange(600) - 299.5) * 0.5 * PIXEL
    x, y = (each.ravel() for each in np.meshgrid(steps, steps))
    even = scene(x, y, np.full(x.size, 15.0))
    green = unseen_light(even, 10.0, pixels=300, spread_px=36.0)[1]
    assert green.max() / green.min() < 1.05


def test_haze_lies_where_its_stars_lie() -> None:
    # North is up (row 0), x grows to the right.
    off = scene(np.array([800.0]), np.array([400.0]), np.array([15.0]))
    green = unseen_light(off, 10.0, pixels=200, spread_px=20.0)[1]
    row, column = np.unravel_index(green.argmax(), green.shape)
    assert (row, column) == (pytest.approx(100 - 20, abs=3), pytest.approx(100 + 40, abs=3))


def test_crowded_cluster_is_a_patch_of_haze() -> None:
    # M 11, V 5.8 within 14 arcmin (Archinal & Hynes 2003; memory): 20.2 mag/arcsec2 on average,
    # brighter in its middle, against a sky of 21.
    file = load_kit_file(kit_path("demo:tabletop-150"))
    view = look(
        file.kit, target("m11"), power=30, sky=Sky(sky_mag_arcsec2=21.0), observer=Observer()
    )
    plain = view.expose(pixels_per_degree=6.0, pixels=180)
    hazy = with_unseen(plain, view.numbers["limiting_magnitude"])
    light = hazy.extended[1] / plain.extended[1, 90, 90]
    assert light[90, 90] > 1.5
    assert light[90, 90] > 1.4 * light[90, 40]
    assert with_unseen(plain, None) is plain
