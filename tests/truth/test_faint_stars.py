"""Invented faint stars: as many as published counts give, where the real ones crowd."""

from __future__ import annotations

import numpy as np
import pytest
from astropy import units as u
from astropy.coordinates import SkyCoord

from simview.scene import faint_stars
from simview.scene.faint_stars import faint_stars_in, galactic, growth, reachable_v
from simview.scene.star_catalogue import stars_in
from simview.scene.targets import entries, target


@pytest.mark.parametrize("place", [(0.0, 0.0), (266.4, -28.9), (192.9, 27.1), (83.8, -5.4)])
def test_galactic_coordinates_are_astropys(place: tuple[float, float]) -> None:
    theirs = SkyCoord(*place, unit=u.deg).galactic
    longitude, latitude = galactic(*place)
    assert latitude == pytest.approx(theirs.b.deg, abs=1e-4)
    # At the pole the longitude means nothing.
    if abs(latitude) < 89.0:
        assert longitude == pytest.approx(theirs.l.deg, abs=1e-4)


# Stars of the whole sky brighter than V: 0.9, 2.3, 5.7, 13.8 and 32 million to V 11, 12, 13, 14, 15
# (Allen 1973, Astrophysical Quantities; memory). Two slopes and 600 places: 15 %.
@pytest.mark.parametrize(
    ("limit", "millions"), [(11.0, 0.9), (12.0, 2.3), (13.0, 5.7), (14.0, 13.8), (15.0, 32.0)]
)
def test_whole_sky_holds_the_published_number_of_faint_stars(limit: float, millions: float) -> None:
    rng = np.random.default_rng(4)
    total = 0.0
    for _ in range(600):
        dec = np.degrees(np.arcsin(rng.uniform(-1.0, 1.0)))
        ra = rng.uniform(0.0, 360.0)
        band = min(89, int((dec + 90.0) // 2.0))
        tile = int(ra / 360.0 * faint_stars._tiles_around(band))
        _, latitude = galactic(*faint_stars._tile_centre(band, tile))
        total += faint_stars._crowding(band, tile) * growth(limit, latitude)
    assert total / 600 * 41_253.0 / 1e6 == pytest.approx(millions, rel=0.15)


def test_field_holds_as_many_stars_as_the_count_says() -> None:
    centre, half = (300.0, 35.0), 1800.0
    stars = faint_stars_in(*centre, half_width_arcsec=half)
    _, latitude = galactic(*centre)
    band = int((centre[1] + 90.0) // 2.0)
    tile = int(centre[0] / 360.0 * faint_stars._tiles_around(band))
    wanted = faint_stars._crowding(band, tile) * (growth(15.5, latitude) - 1.0)
    # Neighbouring tiles differ a little: 15 %.
    assert len(stars) == pytest.approx(wanted, rel=0.15)
    assert stars.magnitude.min() > 10.5
    assert stars.magnitude.max() <= 15.5


def test_milky_way_is_more_crowded_than_the_pole() -> None:
    plane = faint_stars_in(290.0, 15.0, half_width_arcsec=1200.0)
    pole = faint_stars_in(192.9, 27.1, half_width_arcsec=1200.0)
    assert len(plane) > 4 * len(pole)


def test_closer_look_keeps_the_same_stars() -> None:
    wide = faint_stars_in(83.6, 22.0, half_width_arcsec=1500.0)
    near = faint_stars_in(83.6, 22.0, half_width_arcsec=300.0)
    inside = (np.abs(wide.x_arcsec) <= 300.0) & (np.abs(wide.y_arcsec) <= 300.0)
    np.testing.assert_allclose(np.sort(wide.magnitude[inside]), np.sort(near.magnitude), atol=1e-12)


def test_wide_field_goes_less_deep_but_never_holds_too_many() -> None:
    half = 12.0 * 3600.0
    assert reachable_v((290.0, 15.0), half) < 12.0
    assert len(faint_stars_in(290.0, 15.0, half_width_arcsec=half)) < 40_000


# Bahcall & Soneira 1980, ApJS 44, 73, eq. B1 with the constants for V (memory, compared with one
# other transcription): stars per square degree brighter than V, 20 deg and more from the plane.
def bahcall_soneira(magnitude: float, longitude_deg: float, latitude_deg: float) -> float:
    far, up = np.radians(longitude_deg), np.radians(latitude_deg)
    held = min(max(magnitude, 12.0), 20.0)
    mu, gamma = 0.03 + 0.0075 * (held - 12.0), 0.36 - 0.04 * (held - 12.0)
    sigma = 1.45 - 0.2 * np.cos(up) * np.cos(far)
    one, two = magnitude - 15.75, magnitude - 17.5
    disc = 925.0 * 10 ** (0.035 * one) / (1.0 + 10 ** (-0.132 * one)) ** 3.0
    disc /= (np.sin(up) * (1.0 - mu / np.tan(up) * np.cos(far))) ** (3.0 - 5.0 * gamma)
    halo = 1050.0 * 10 ** (0.087 * two) / (1.0 + 10 ** (-0.18 * two)) ** 2.5
    return float(disc + halo / (1.0 - np.cos(up) * np.cos(far)) ** sigma)


# How the number grows from the catalogue's limit on, which is all that is taken from counts: their
# formula is good to 15 %, ours has two slopes: 20 %.
@pytest.mark.parametrize("limit", [12.0, 13.0, 14.0, 15.0])
@pytest.mark.parametrize("latitude", [30.0, 50.0, 90.0])
def test_number_grows_with_magnitude_as_bahcall_and_soneira_have_it(
    latitude: float, limit: float
) -> None:
    around = np.arange(0.0, 360.0, 10.0)
    fainter, brighter = (
        np.mean([bahcall_soneira(m, longitude, latitude) for longitude in around])
        for m in (limit, 10.5)
    )
    assert growth(limit, latitude) == pytest.approx(fainter / brighter, rel=0.20)


# The number per half magnitude goes on across the limit as it went up to it: the step from the last
# real half magnitude to the first invented one is that between the last two real ones, in 40 fields
# of 36 square degrees in each zone of galactic latitude, to three standard deviations of the counts
# (some 4 % in the plane, 20 % at the poles) and 4 % for the bend.
@pytest.mark.parametrize(("low", "high"), [(0.0, 10.0), (10.0, 30.0), (30.0, 60.0), (60.0, 90.0)])
def test_number_of_stars_goes_on_evenly_across_the_catalogues_limit(
    low: float, high: float
) -> None:
    rng, half = np.random.default_rng(8), 3.0 * 3600.0
    up = np.sin(np.radians([low, high]))
    latitude = np.degrees(np.arcsin(rng.uniform(*up, 40))) * rng.choice([-1, 1], 40)
    places = SkyCoord(rng.uniform(0.0, 360.0, 40), latitude, unit=u.deg, frame="galactic").icrs
    counts = np.zeros(3)
    for place in places:
        centre = (place.ra.deg, place.dec.deg)
        real = stars_in(*centre, half_width_arcsec=half).magnitude
        invented = faint_stars_in(*centre, half_width_arcsec=half).magnitude
        all_of_them = np.concatenate([real, invented])
        counts += np.histogram(all_of_them, bins=[9.5, 10.0, 10.5, 11.0])[0]
    before, last, first = counts
    chance = 3.0 * np.sqrt(1.0 / before + 4.0 / last + 1.0 / first)
    assert np.log((first / last) / (last / before)) == pytest.approx(0.0, abs=chance + 0.04)


def test_seed_decides_which_stars_are_invented_and_nothing_else() -> None:
    one, again, other = (
        faint_stars_in(83.6, 22.0, half_width_arcsec=1500.0, seed=seed) for seed in (1, 1, 2)
    )
    np.testing.assert_array_equal(one.magnitude, again.magnitude)
    np.testing.assert_array_equal(one.x_arcsec, again.x_arcsec)
    assert len(other) == pytest.approx(len(one), abs=5.0 * np.sqrt(len(one)))
    assert len(np.intersect1d(one.magnitude, other.magnitude)) == 0


def test_captions_say_that_faint_stars_are_invented() -> None:
    kinds = ("stars", "deep-sky", "double")
    names = [each.name for each in entries() if each.kind in kinds and not each.free]
    notes = {name: " ".join(target(name).notes) for name in names}
    assert len(notes) > 130
    for words in ("Fainter stars: invented", "Stars to V 10.5: real"):
        assert [name for name, told in notes.items() if words not in told] == []
