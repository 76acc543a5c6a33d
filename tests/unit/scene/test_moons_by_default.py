"""Jupiter's and Saturn's moons without a date, and where a loupe looks on the Moon."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pytest

import simview
from simview.scene.scene import Stars, Target


def _stars(target: Target) -> Stars:
    return target.scene(pixel_arcsec=2.0, pixels=8).stars


def test_four_moons_stand_beside_jupiter_without_a_date() -> None:
    target = simview.target("jupiter")
    stars = _stars(target)
    assert len(stars) == 4
    # Within the reach of Callisto's orbit, 26.4 radii.
    away = np.hypot(stars.x_arcsec, stars.y_arcsec) / (target.size_arcsec / 2.0)
    assert 1.2 < away.min() < away.max() < 26.5
    # Off the line of the equator by what the plane of their orbits is turned to us: up to 3.4 deg
    # (Jupiter's axis is 3.1 deg off its orbit's, and that 1.3 deg off ours), never on one row.
    plane = np.degrees(np.arcsin(np.abs(stars.y_arcsec) / (26.4 * target.size_arcsec / 2.0)))
    assert 0.3 < plane.max() < 3.4
    assert np.unique(np.round(stars.y_arcsec)).size == 4
    # Allen: 4.6 to 5.7 at mean opposition.
    assert 4.4 < stars.magnitude.min() < stars.magnitude.max() < 5.8


def test_moons_keep_their_distance_in_radii_when_the_disc_is_set() -> None:
    small, large = (simview.target("jupiter", diameter_arcsec=d) for d in (32.0, 48.0))
    assert _stars(large).x_arcsec == pytest.approx(1.5 * _stars(small).x_arcsec)


def test_titan_and_four_fainter_moons_stand_beside_the_rings_of_saturn() -> None:
    stars = _stars(simview.target("saturn"))
    # Allen: V at mean opposition of Titan, Rhea, Tethys, Dione and, on the mean, Iapetus (memory).
    order = np.argsort(stars.magnitude)
    assert stars.magnitude[order] == pytest.approx([8.3, 9.7, 10.2, 10.4, 11.0], abs=0.15)
    # Titan's orbit reaches 20.3 radii of the globe, Iapetus' 59; the rings end at 2.3.
    away = np.hypot(stars.x_arcsec, stars.y_arcsec)[order]
    assert 100.0 < away[0] < 200.0
    assert away[4] > 400.0
    assert away.min() > 24.0


@pytest.mark.parametrize(
    ("phase_deg", "waxing", "side"), [(135.0, True, 1.0), (135.0, False, -1.0), (50.0, True, -1.0)]
)
def test_loupe_looks_at_the_terminator(phase_deg: float, waxing: bool, side: float) -> None:
    moon = simview.target("moon", phase_deg=phase_deg, waxing=waxing)
    x, y = moon.interest_arcsec
    # An ellipse of half-axis cos(phase) of the radius (any handbook of the Moon's phases).
    half = moon.size_arcsec / 2.0
    assert x == pytest.approx(side * half * abs(math.cos(math.radians(phase_deg))), rel=1e-3)
    assert y == pytest.approx(0.0, abs=1.0)


def test_part_of_the_moon_is_drawn_where_it_stands_in_the_whole() -> None:
    moon = simview.target("moon", phase_deg=120.0)
    pixel, at = 16.0, (320.0, -160.0)
    whole = moon.scene(pixel_arcsec=pixel, pixels=128).planes[1]
    part = pickle.loads(pickle.dumps(moon)).scene(pixel_arcsec=pixel, pixels=40, at_arcsec=at)
    row, column = 64 + 10 - 20, 64 + 20 - 20
    cut = whole[row : row + 40, column : column + 40]
    # The two grids cast shadows from different margins: alike but for single pixels.
    assert np.median(np.abs(part.planes[1] - cut)) < 0.02 * cut.max()
    assert part.planes[1].sum() == pytest.approx(cut.sum(), rel=0.02)
