"""A field smaller than the Moon points at the terminator, as an observer would point it."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pytest

import simview
from simview.glide import Glide
from simview.picture import captions
from simview.picture.films.power_film import PowerFilm
from simview.scene.aiming import aimed, near
from simview.scene.targets import target

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=150.0, focal_length_mm=1200.0),
    eyepieces=(simview.Eyepiece(focal_length_mm=8.0, apparent_field_deg=42.0),),
)


def light_in(moon: simview.Target, field_arcsec: float) -> float:
    """Share of a field that is bright ground: half as bright as the mean lit ground or more."""
    scene = moon.scene(pixel_arcsec=field_arcsec / 100.0, pixels=100)
    across = np.arange(100) - 50.0
    inside = np.hypot(across[:, None], across[None, :]) < 50.0
    assert moon.luminance_cd_m2 is not None
    return float(np.mean(scene.planes[1][inside] > 0.25 * moon.luminance_cd_m2))


# Observers, common practice: at 150 times a crescent's lit ground is looked at, not its dark side.
@pytest.mark.parametrize("waxing", [True, False])
@pytest.mark.parametrize("phase_deg", [110.0, 130.0, 138.0])
def test_lit_ground_of_a_crescent_is_in_a_field_of_150_times(
    phase_deg: float, waxing: bool
) -> None:
    moon, field = target("moon", phase_deg=phase_deg, waxing=waxing), 42.0 * 3600.0 / 150.0
    assert light_in(aimed(moon, field), field) > 0.1
    assert light_in(moon, field) < light_in(aimed(moon, field), field) - 0.05


@pytest.mark.parametrize("phase_deg", [30.0, 45.0, 60.0])
def test_terminator_of_a_gibbous_moon_is_in_a_small_field(phase_deg: float) -> None:
    field = 42.0 * 3600.0 / 200.0
    moon = aimed(target("moon", phase_deg=phase_deg), field)
    assert math.hypot(*moon.interest_arcsec) < 0.5 * field
    assert 0.3 < light_in(moon, field) < 0.97


# A field on the disc's edge would waste itself on the sky.
@pytest.mark.parametrize("power", [85.0, 100.0, 120.0, 150.0, 200.0, 400.0])
def test_field_lies_on_the_disc(power: float) -> None:
    field = 42.0 * 3600.0 / power
    moon = aimed(target("moon", phase_deg=130.0), field)
    radius = 0.5 * moon.size_arcsec
    assert math.hypot(*moon.aimed_arcsec) + 0.5 * field <= max(radius, 0.5 * field) + 1e-6


def test_field_that_holds_the_moon_and_full_moons_stay_in_the_middle() -> None:
    for phase, field in ((130.0, 1900.0), (82.0, 600.0), (3.0, 600.0)):
        moon = target("moon", phase_deg=phase)
        assert aimed(moon, field) is moon
    for other in ("jupiter", "albireo", "copernicus"):
        thing = target(other)
        assert aimed(thing, 30.0) is thing


def test_aimed_moon_is_the_same_moon_moved() -> None:
    moon = target("moon", phase_deg=130.0)
    moved = aimed(moon, 700.0)
    x, y = moved.aimed_arcsec
    assert x > 300.0
    assert y == pytest.approx(0.0, abs=1e-6)
    seen = moved.scene(pixel_arcsec=4.0, pixels=120).planes
    same = moon.scene(pixel_arcsec=4.0, pixels=120, at_arcsec=(x, y)).planes
    np.testing.assert_array_equal(seen, same)
    np.testing.assert_allclose(
        np.add(moved.interest_arcsec, moved.aimed_arcsec), moon.interest_arcsec
    )
    again = pickle.loads(pickle.dumps(moved))
    np.testing.assert_array_equal(again.scene(pixel_arcsec=4.0, pixels=120).planes, seen)
    aside = moved.scene(pixel_arcsec=4.0, pixels=60, at_arcsec=(-x, -y)).planes
    np.testing.assert_array_equal(aside, moon.scene(pixel_arcsec=4.0, pixels=60).planes)
    assert aimed(moved, 300.0) is moved


# IAU Gazetteer: Langrenus 8.9 S 61.0 E, Mare Crisium 17.0 N 59.1 E, Taruntius 5.6 N 46.5 E: what
# lies about 50 deg east on the equator, where a crescent of 130 deg has its terminator.
def test_sheet_says_where_it_points() -> None:
    moon = target("moon", phase_deg=130.0)
    view = simview.look(KIT, moon)
    (sentence,) = captions.pointing([view])
    place = near(view.target)
    assert place in {"Taruntius", "Messier", "Mare Fecunditatis", "Goclenius", "Gutenberg"}
    minutes = math.hypot(*view.target.aimed_arcsec) / 60.0
    assert f"near {place}" in sentence
    assert f"{minutes:.1f}′" in sentence or f"{minutes:.0f}′" in sentence
    low = simview.look(KIT, moon, power=60.0)
    assert captions.pointing([low]) == ()
    assert captions.pointing([low, view]) == (sentence,)


def test_dragged_power_shows_the_same_field_as_at_rest() -> None:
    view = simview.look(KIT, target("moon", phase_deg=130.0))
    scale, pixels = 160 / 42.0, 160
    rest = view.expose(pixels_per_degree=scale, pixels=pixels).retina()
    glide = Glide("aimed moon")
    # A power close by that points elsewhere must not lend its painting.
    near_by = simview.look(KIT, target("moon", phase_deg=130.0), power=125.0)
    glide.expose(near_by, pixels_per_degree=scale, pixels=pixels)
    drag = glide.expose(view, pixels_per_degree=scale, pixels=pixels).retina()
    likeness = np.corrcoef(rest.extended[1].ravel(), drag.extended[1].ravel())[0, 1]
    assert likeness > 0.99


def test_film_of_a_rising_power_points_at_one_place() -> None:
    asked = PowerFilm(
        kit=KIT,
        target=target("moon", phase_deg=130.0),
        sky=simview.Sky(),
        observer=simview.Observer(),
        power=40.0,
        to_power=200.0,
    )
    pointed = {asked.at(power).target.aimed_arcsec for power in (40.0, 90.0, 140.0, 200.0)}
    assert len(pointed) == 1
    assert pointed != {(0.0, 0.0)}
