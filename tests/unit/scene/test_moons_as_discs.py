"""Jupiter's moons and Titan: discs of their own size, hidden, eclipsed, and their shadows."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.eye.dots import star_planes
from simview.scene.scene import Stars
from simview.units import illuminance_lux


def test_a_disc_has_a_stars_light_and_its_own_size() -> None:
    star = Stars(
        x_arcsec=np.array([3.0]),
        y_arcsec=np.array([-2.0]),
        magnitude=np.array([5.0]),
        temperature_k=np.array([6500.0]),
        radius_arcsec=np.array([0.85]),
    )
    pixel = 0.1
    plane = star_planes(star, np.ones((1, 3)), pixel, 256)[1].astype(float)
    lux = plane.sum() * np.radians(pixel / 3600.0) ** 2
    assert lux == pytest.approx(float(illuminance_lux(5.0)), rel=1e-5)
    column = np.nonzero(plane)[1]
    assert (np.ptp(column) + 1) * pixel == pytest.approx(1.7, abs=0.25)
    share = plane / plane.sum()
    x, y = (np.arange(256) - 128) * pixel, (128 - np.arange(256)) * pixel
    assert (share.sum(axis=0) * x).sum() == pytest.approx(3.0, abs=0.02)
    assert (share.sum(axis=1) * y).sum() == pytest.approx(-2.0, abs=0.02)
    # Variance of an even disc along each axis: a quarter of its radius' square.
    spread = (share.sum(axis=0) * (x - 3.0) ** 2).sum()
    assert spread == pytest.approx(0.85**2 / 4.0 + pixel**2 / 6.0, rel=0.06)


def shadows(date: str) -> int:
    """How many dark spots the moons throw on Jupiter's disc."""
    scene = simview.target("jupiter", date=date).scene(pixel_arcsec=0.15, pixels=400)
    plane = scene.planes[1].astype(float)
    lit = plane > 0.3 * plane.max()
    row, column = np.nonzero(lit)
    yy, xx = np.indices(plane.shape)
    centre = (row.min() + row.max()) / 2.0, (column.min() + column.max()) / 2.0
    half = np.ptp(row) / 2.0, np.ptp(column) / 2.0
    inside = ((yy - centre[0]) / half[0]) ** 2 + ((xx - centre[1]) / half[1]) ** 2 < 0.96
    dark = inside & (plane < 0.15 * np.median(plane[inside]))
    from scipy import ndimage

    return int(ndimage.label(dark)[1])


# 2015 January 24: the shadows of Callisto (03:11 to 08:00 UT), Io (04:35 to 06:52) and Europa
# (06:28 to 09:22) were on the disc, all three from 06:28 to 06:52: almanacs of that year (memory).
@pytest.mark.parametrize(
    ("time", "count"), [("02:40", 0), ("04:10", 1), ("05:30", 2), ("06:40", 3), ("08:40", 1)]
)
def test_three_shadows_crossed_jupiter_as_predicted(time: str, count: int) -> None:
    assert shadows(f"2015-01-24T{time}") == count


def test_titan_is_hidden_by_saturn_or_its_shadow_and_shows_again() -> None:
    # Rings nearly edge on in 2025: Titan passes behind and before the globe every 16 days.
    seen = []
    for day in range(1, 17):
        saturn = simview.target("saturn", date=f"2025-06-{day:02d}T04:00")
        seen.append(len(saturn.scene(pixel_arcsec=1.0, pixels=64).stars))
    assert 12 <= sum(seen) <= 16
