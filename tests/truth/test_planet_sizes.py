"""Angular sizes of what is drawn, measured on the pictures, within 0.5 %."""

from __future__ import annotations

import numpy as np
import pytest

from simview.scene.scene import Scene
from simview.scene.targets import target


def extent_arcsec(scene: Scene, axis: int, dimmest: float = 0.0) -> float:
    """Measure the width of what shines along an axis: up to half a pixel too wide on each side."""
    on = np.flatnonzero(scene.planes[1].max(axis=axis) > dimmest)
    return float((on[-1] - on[0]) * scene.pixel_arcsec)


# Diameters from Archinal et al. 2018 radii at the mean opposition distances: 46.9 x 43.9 and
# 19.4 x 17.5 (ring A 44.1) arcsec.
def test_jupiter_is_as_wide_and_as_high_as_published() -> None:
    scene = target("jupiter").scene(pixel_arcsec=0.05, pixels=1000)
    assert extent_arcsec(scene, axis=0) == pytest.approx(46.9, rel=0.005)
    assert extent_arcsec(scene, axis=1) == pytest.approx(43.87, rel=0.005)


def test_saturn_globe_is_as_wide_and_as_high_as_published_when_the_rings_are_edge_on() -> None:
    scene = target("saturn", tilt_deg=0.0).scene(pixel_arcsec=0.02, pixels=1000)
    assert extent_arcsec(scene, axis=0) == pytest.approx(19.43, rel=0.005)
    assert extent_arcsec(scene, axis=1) == pytest.approx(17.53, rel=0.005)


# Outer A ring 136 775 km (French et al. 2017, Icarus 290, 14) against 60 268 km: 44.1 arcsec.
def test_saturn_rings_reach_as_far_as_published() -> None:
    scene = target("saturn", tilt_deg=20.0).scene(pixel_arcsec=0.05, pixels=960)
    profile = scene.planes[1][480].astype(float)
    on = np.flatnonzero(profile > 0.2 * profile.max())
    assert (on[-1] - on[0] + 1) * 0.05 == pytest.approx(44.1, rel=0.005)


# Cassini Division: 4590 km, from 117 580 to 122 170 km: 0.74 arcsec at the ansa.
def test_cassini_division_is_dark_and_as_wide_as_published_at_the_ansa() -> None:
    pixel = 0.02
    scene = target("saturn", tilt_deg=25.0).scene(pixel_arcsec=pixel, pixels=2300)
    row = scene.planes[1][1150].astype(float)
    radius_km = (np.arange(2300) - 1150) * pixel / (0.5 * 19.4277) * 60268.0
    b_ring = row[(radius_km > 112e3) & (radius_km < 116e3)].mean()
    dark = (row < 0.4 * b_ring) & (radius_km > 110e3) & (radius_km < 130e3)
    assert dark.sum() * pixel == pytest.approx(0.74, abs=2.5 * pixel)
    assert radius_km[dark].mean() == pytest.approx((117_580 + 122_170) / 2, rel=0.003)


# Full disc 1737.4 km at 384 400 km: 31.1 arcmin.
def test_full_moon_is_as_wide_as_published() -> None:
    scene = target("moon", phase_deg=0.0).scene(pixel_arcsec=3.0, pixels=640)
    for axis in (0, 1):
        assert extent_arcsec(scene, axis, dimmest=100.0) == pytest.approx(1864.6, rel=0.005)


def test_globe_keeps_its_place_and_area_whatever_the_sampling() -> None:
    fine = target("jupiter").scene(pixel_arcsec=0.1, pixels=512).planes[1].astype(float)
    coarse = target("jupiter").scene(pixel_arcsec=1.6, pixels=33).planes[1].astype(float)
    # The fine picture, averaged over the coarse pixels: 16 x 16 around the same centres.
    block = fine[8:-8, 8:-8][: 31 * 16, : 31 * 16]
    averaged = block.reshape(31, 16, 31, 16).mean(axis=(1, 3))
    # The fine grid's block edges lie half a fine pixel off the coarse pixels' edges: 0.05 arcsec
    # of 1.6, which moves up to 3 % of the limb's light.
    inner = coarse[1:-1, 1:-1]
    assert np.abs(averaged - inner).max() < 0.05 * inner.max()
    assert averaged.sum() == pytest.approx(inner.sum(), rel=1e-3)


def test_bright_limb_of_the_waxing_moon_is_on_the_right() -> None:
    scene = target("moon", phase_deg=90.0).scene(pixel_arcsec=8.0, pixels=256)
    left, right = scene.planes[1][:, :120].sum(), scene.planes[1][:, 136:].sum()
    assert right > 20 * left
    waning = target("moon", phase_deg=90.0, waxing=False).scene(pixel_arcsec=8.0, pixels=256)
    assert waning.planes[1][:, :120].sum() > 20 * waning.planes[1][:, 136:].sum()
