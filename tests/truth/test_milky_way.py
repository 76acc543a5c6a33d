"""The Milky Way between the stars against published surface brightness of starlight."""

from __future__ import annotations

import numpy as np
import pytest

from simview.scene.faint_stars import DEEPEST_V, galactic
from simview.scene.milky_way import POLE_DENSITY, crowding, starlit, unlisted_lux_per_deg2
from simview.scene.scene import Scene
from simview.scene.sky import sky_scene
from simview.scene.star_catalogue import FAINTEST_V, separation_deg, zone
from simview.scene.targets import target
from simview.units import illuminance_lux

# One star of V 10 in a square degree, the unit of such tables.
S10 = float(illuminance_lux(10.0))

# North galactic pole, J2000 (IAU 1958 in the Hipparcos catalogue).
POLE = (192.859, 27.128)


def place(longitude: float, latitude: float) -> tuple[float, float]:
    """Right ascension and declination of a galactic place, found by search (no formula of ours)."""
    from astropy.coordinates import SkyCoord

    found = SkyCoord(l=longitude, b=latitude, unit="deg", frame="galactic").icrs
    return float(found.ra.deg), float(found.dec.deg)


def starlight(longitude: float, latitude: float, radius: float = 4.0) -> float:
    """All stars' light fainter than V 6.5, in S10: the catalogue's own and what is supplied."""
    ra, dec = place(longitude, latitude)
    rows = zone(ra, dec, radius)
    scale = 360.0 / 2.0**32
    near = separation_deg(rows["ra"] * scale, rows["dec"] * scale, (ra, dec)) < radius
    v = rows["v"][near] / 1000.0
    area = 2.0 * np.pi * (1.0 - np.cos(np.radians(radius))) * (180.0 / np.pi) ** 2
    listed = illuminance_lux(v[v > 6.5]).sum() / area
    density = float((v < FAINTEST_V).sum()) / area
    return float(listed + unlisted_lux_per_deg2(density, latitude, FAINTEST_V)) / S10


# Integrated starlight by galactic latitude, mean over longitude, V, S10: Allen 1973, Astrophysical
# Quantities, sec. 117 and 118, and Leinert et al. 1998, A&A Suppl. 127, 1, sec. 10 (both from
# memory): some 25 to 35 at the poles, 40 to 60 at 30 deg, 150 to 320 in the plane. Bright stars
# that an eye sees one by one are left out.
@pytest.mark.parametrize(
    ("latitude", "low", "high"), [(85.0, 20.0, 40.0), (30.0, 35.0, 75.0), (0.0, 150.0, 340.0)]
)
def test_starlight_is_as_bright_as_published(latitude: float, low: float, high: float) -> None:
    mean = np.mean([starlight(each, latitude) for each in np.arange(15.0, 360.0, 30.0)])
    assert low < mean < high


# Common descriptions: the summer Milky Way of Scutum, Sagittarius and Cygnus is brighter than that
# of winter, in Auriga, opposite the galaxy's middle.
def test_summer_milky_way_is_brighter_than_that_of_winter() -> None:
    summer = max(starlight(each, -2.0) for each in (27.0, 75.0))
    assert summer > 1.2 * starlight(175.0, -2.0)


def test_pole_has_the_density_that_is_taken_off() -> None:
    around = [crowding(*place(each, 75.0)) for each in np.arange(0.0, 360.0, 20.0)]
    assert np.mean(around) == pytest.approx(POLE_DENSITY, rel=0.15)


def luminance(scene: Scene) -> float:
    """Mean of what is laid over a frame, S10."""
    added = starlit(scene).planes - scene.planes
    mean = (np.array([0.2126, 0.7152, 0.0722]) @ added.reshape(3, -1)).mean()
    return float(mean) / (180.0 / np.pi) ** 2 / S10


def test_light_is_laid_over_frames_in_the_plane_and_not_at_the_poles() -> None:
    assert luminance(sky_scene(POLE, 30.0, 128)) < 2.0
    in_plane = luminance(sky_scene(place(75.0, 0.0), 30.0, 128))
    assert 15.0 < in_plane < 120.0
    assert starlit(target("jupiter").scene(pixel_arcsec=1.0, pixels=64)).field is None


def test_wide_frames_have_in_their_ground_what_their_lists_lack() -> None:
    # Cygnus: a frame of 8 deg goes less deep than one of 1 deg; stars and ground together send the
    # same from a square degree, as far as a wide frame is as crowded as its middle.
    middle = place(75.0, 0.0)
    sums, lists = [], []
    for pixel in (225.0, 28.1):
        scene = sky_scene(middle, pixel, 128)
        half = 64 * pixel
        stars = scene.stars
        inside = (abs(stars.x_arcsec) < half) & (abs(stars.y_arcsec) < half)
        faint = inside & (stars.magnitude > FAINTEST_V)
        listed = illuminance_lux(stars.magnitude[faint]).sum() / (2.0 * half / 3600.0) ** 2 / S10
        lists.append(listed)
        sums.append(listed + luminance(scene))
    assert scene.field is not None
    assert scene.field[1] == DEEPEST_V
    assert lists[0] < 0.8 * lists[1]
    assert sums[0] == pytest.approx(sums[1], rel=0.25)


def test_galactic_places_are_those_of_another_library() -> None:
    longitude, latitude = galactic(*place(75.0, -2.0))
    assert (longitude, latitude) == (pytest.approx(75.0, abs=1e-3), pytest.approx(-2.0, abs=1e-3))
