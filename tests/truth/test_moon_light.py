"""Light of the Moon's night side against published figures."""

from __future__ import annotations

import math

import pytest

from simview.scene.moon import earthshine_cd_m2
from simview.scene.targets import target

# 0 mag/arcsec2 in cd/m2: 10.8e4, from Garstang 1986, PASP 98, 364 (V zero point as in
# tests/truth/test_luminance.py).
ZERO_CD_M2 = 10.8e4


def surface_mag(luminance: float) -> float:
    return -2.5 * math.log10(luminance / ZERO_CD_M2)


# Goode et al. 2001, GRL 28, 1671, and common practice (from memory): the ashen light of a thin
# crescent is about 12.5 to 13.5 mag/arcsec2, near half Moon 2 mag less or fainter.
def test_ashen_light_is_as_bright_as_reported() -> None:
    assert surface_mag(earthshine_cd_m2(155.0)) == pytest.approx(13.2, abs=0.4)
    assert 1.0 < surface_mag(earthshine_cd_m2(90.0)) - surface_mag(earthshine_cd_m2(160.0)) < 2.5


# Danjon 1936 (from memory): the night side of a crescent is some 1e-4 of the lit part.
def test_ashen_light_is_a_ten_thousandth_of_the_lit_ground() -> None:
    scene = target("moon", phase_deg=140.0).scene(pixel_arcsec=8.0, pixels=256)
    dark = scene.planes[1][128, 60:100].mean()
    lit = scene.planes[1].max()
    assert 3e-5 < dark / lit < 5e-4


def test_plains_are_darker_than_highlands_in_earthlight_too() -> None:
    # Waxing: the west (left) of the disc is dark; Oceanus Procellarum against the highlands near
    # the southern limb (-65, -30), both far from the lit part. 0 deg libration.
    scene = target("moon", phase_deg=150.0).scene(pixel_arcsec=8.0, pixels=256)
    radius = 0.5 * 1864.6 / 8.0

    def at(latitude: float, longitude: float) -> float:
        b, el = math.radians(latitude), math.radians(longitude)
        row = 128 - round(math.sin(b) * radius)
        column = 128 + round(math.cos(b) * math.sin(el) * radius)
        return float(scene.planes[1][row - 1 : row + 2, column - 1 : column + 2].mean())

    assert at(15.0, -55.0) < 0.75 * at(-55.0, -20.0)
