"""Invented faint stars: as many as published counts give, where the real ones crowd."""

from __future__ import annotations

import numpy as np
import pytest
from astropy import units as u
from astropy.coordinates import SkyCoord

from simview.scene import faint_stars
from simview.scene.faint_stars import faint_stars_in, galactic, growth, reachable_v


@pytest.mark.parametrize("place", [(0.0, 0.0), (266.4, -28.9), (192.9, 27.1), (83.8, -5.4)])
def test_galactic_coordinates_are_astropys(place: tuple[float, float]) -> None:
    theirs = SkyCoord(*place, unit=u.deg).galactic
    longitude, latitude = galactic(*place)
    assert latitude == pytest.approx(theirs.b.deg, abs=1e-4)
    # At the pole the longitude means nothing.
    if abs(latitude) < 89.0:
        assert longitude == pytest.approx(theirs.l.deg, abs=1e-4)


# Stars of the whole sky brighter than V: 0.9, 2.3, 5.7, 13.8 and 32 million to V 11, 12, 13, 14, 15
# (Allen 1973, Astrophysical Quantities; memory). Two slopes and 600 places: 25 %.
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
    assert total / 600 * 41_253.0 / 1e6 == pytest.approx(millions, rel=0.25)


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
