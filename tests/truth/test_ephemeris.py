"""Places, sizes, phases, tilts and moons for a date, against independent ephemerides."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import skyfield_data
from skyfield.api import Loader, Star, wgs84

from simview.errors import RangeError
from simview.scene.ephemeris import sight
from simview.scene.moment import moment
from simview.scene.targets import target
from simview.scene.titan import titan_km

DATES = ["2024-03-05T03:00", "2026-11-25T21:00", "2027-02-19T23:30", "2031-07-01T01:15"]
PLANETS = {
    "mercury": "mercury",
    "venus": "venus",
    "mars": "mars",
    "jupiter": "jupiter barycenter",
    "saturn": "saturn barycenter",
    "uranus": "uranus barycenter",
    "neptune": "neptune barycenter",
}


@lru_cache(maxsize=1)
def jpl() -> tuple[Any, Any]:
    load = Loader(str(Path(skyfield_data.__file__).parent / "data"))
    return load("de421.bsp"), load.timescale(builtin=True)


@lru_cache(maxsize=64)
def theirs(body: str, date: str) -> tuple[Any, Any, Any]:
    """Return the body as seen from the Earth's centre, and from the Sun, by JPL's DE421."""
    kernel, scale = jpl()
    when = moment(date)
    time = scale.from_datetime(when)
    target = kernel[PLANETS.get(body, body)]
    seen = kernel["earth"].at(time).observe(target)
    then = scale.tt_jd(time.tt - seen.distance().au / 173.1446)
    from_sun = target.at(then).position.au - kernel["sun"].at(then).position.au
    return seen, from_sun, then


# The library's own claim is an arcminute; DE421 is good to milliarcseconds.
@pytest.mark.parametrize("date", DATES)
@pytest.mark.parametrize("body", [*PLANETS, "moon"])
def test_body_stands_where_jpls_ephemeris_has_it(body: str, date: str) -> None:
    ra, dec, distance = theirs(body, date)[0].radec()
    ours = sight(body, date)
    across = (ours.ra_deg - ra.degrees + 180.0) % 360.0 - 180.0
    # 60 arcsec, of which 20 are aberration, which only ours includes.
    assert math.hypot(across * math.cos(math.radians(dec.degrees)), ours.dec_deg - dec.degrees) < (
        80.0 / 3600.0
    )
    assert ours.earth_au == pytest.approx(distance.au, rel=2e-4)


@pytest.mark.parametrize("date", DATES)
@pytest.mark.parametrize("body", [*PLANETS, "moon"])
def test_phase_and_distance_from_the_sun_are_jpls(body: str, date: str) -> None:
    seen, from_sun, _ = theirs(body, date)
    to_us, to_sun = -seen.position.au, -from_sun
    cosine = to_us @ to_sun / np.linalg.norm(to_us) / np.linalg.norm(to_sun)
    ours = sight(body, date)
    assert ours.phase_deg == pytest.approx(math.degrees(math.acos(cosine)), abs=0.05)
    assert ours.sun_au == pytest.approx(float(np.linalg.norm(from_sun)), rel=2e-4)


# Poles and rotation, J2000, degrees. Source: Archinal et al. 2018 (IAU working group), main terms:
# the periodic ones stay below 0.1 deg.
POLES = {
    "mars": (317.681, 52.887, 176.630, 350.89198226),
    "jupiter": (268.0566, 64.4953, 284.95, 870.5360000),
    "saturn": (40.589, 83.537, 38.90, 810.7939024),
    "venus": (272.76, 67.16, 160.20, -1.4813688),
    "uranus": (257.311, -15.175, 203.81, -501.1600928),
}


@pytest.mark.parametrize("date", DATES)
@pytest.mark.parametrize("body", POLES)
def test_tilt_pole_and_meridian_follow_the_iaus_elements(body: str, date: str) -> None:
    seen, _, then = theirs(body, date)
    ra, dec, meridian, rate = POLES[body]
    ra, dec = math.radians(ra), math.radians(dec)
    pole = np.array([math.cos(dec) * math.cos(ra), math.cos(dec) * math.sin(ra), math.sin(dec)])
    ahead = seen.position.au / np.linalg.norm(seen.position.au)
    ours = sight(body, date)
    assert ours.tilt_deg == pytest.approx(math.degrees(math.asin(-ahead @ pole)), abs=0.3)
    east = np.cross([0, 0, 1.0], ahead)
    east /= np.linalg.norm(east)
    angle = math.degrees(math.atan2(pole @ east, pole @ np.cross(ahead, east))) % 360.0
    assert ours.pole_angle_deg == pytest.approx(angle, abs=0.4)
    node = np.array([-math.sin(ra), math.cos(ra), 0.0])
    around = math.degrees(math.atan2(-ahead @ np.cross(pole, node), -ahead @ node))
    spin = meridian + rate * (then.tdb - 2451545.0)
    off = (ours.meridian_deg - (around - spin) + 180.0) % 360.0 - 180.0
    assert abs(off) < 0.7


def test_saturns_rings_are_edge_on_in_march_2025() -> None:
    # The Earth crossed the ring plane on 2025 March 23 (published in every almanac; memory).
    before, after = (sight("saturn", f"2025-03-{day}").tilt_deg for day in (20, 26))
    assert before > 0.0 > after


def test_mars_has_its_equinox_when_published() -> None:
    # Mars year 37 began (Ls = 0) on 2024 November 12, northern summer (Ls = 90) on 2025 May 29
    # (Mars calendar after Piqueux et al. 2015, Icarus 251, 332; memory): half a degree a day.
    assert (sight("mars", "2024-11-12").sun_longitude_deg + 180.0) % 360.0 == pytest.approx(
        180.0, abs=1.0
    )
    assert sight("mars", "2025-05-29").sun_longitude_deg == pytest.approx(90.0, abs=1.0)


# Meeus, Astronomical Algorithms, 2nd ed., example 44: 1992 December 16, 0 h UT: X, Y in Jupiter's
# equatorial radii, west and north positive along the equator (memory). His theory and the
# library's differ by up to 0.02.
MEEUS = {
    "io": (-3.4503, 0.2137),
    "europa": (7.4418, 0.2753),
    "ganymede": (1.2011, 0.5900),
    "callisto": (7.0720, 1.0290),
}


@pytest.mark.parametrize("name", MEEUS)
def test_jupiters_moons_stand_where_meeus_has_them(name: str) -> None:
    # 0 h dynamical time is 59 s before 0 h UTC.
    jupiter = sight("jupiter", "1992-12-15T23:59")
    moon = next(m for m in jupiter.moons if m.name == name)
    angle = math.radians(jupiter.pole_angle_deg)
    right = moon.x_arcsec * math.cos(angle) + moon.y_arcsec * math.sin(angle)
    up = moon.y_arcsec * math.cos(angle) - moon.x_arcsec * math.sin(angle)
    radius = 0.5 * jupiter.diameter_arcsec
    assert right / radius == pytest.approx(MEEUS[name][0], abs=0.03)
    assert up / radius == pytest.approx(MEEUS[name][1], abs=0.03)


@pytest.mark.parametrize("body", ["moon", "jupiter", "mars"])
def test_altitude_and_azimuth_from_a_place_are_skyfields(body: str) -> None:
    kernel, scale = jpl()
    date = "2026-11-25T04:00"
    place = kernel["earth"] + wgs84.latlon(48.1, 11.6)
    target = kernel[PLANETS.get(body, body)]
    apparent = place.at(scale.from_datetime(moment(date))).observe(target).apparent()
    altitude, azimuth, distance = apparent.altaz(temperature_C=10.0, pressure_mbar=1010.0)
    ours = sight(body, date, latitude_deg=48.1, longitude_deg=11.6)
    assert ours.altitude_deg == pytest.approx(altitude.degrees, abs=0.05)
    assert ours.azimuth_deg == pytest.approx(azimuth.degrees, abs=0.05)
    # The Moon is a radius of the Earth nearer or farther than from its centre.
    assert ours.earth_au == pytest.approx(distance.au, rel=3e-4)


def test_libration_of_the_moon_is_that_of_another_theory() -> None:
    # The library's own libration (after Meeus ch. 53) is another theory than its axis (IAU): the
    # two agree to 0.05 deg, seen from the Earth's centre.
    import astronomy

    when = moment("2026-11-25T21:00")
    other = astronomy.Libration(astronomy.Time.Make(2026, 11, 25, 21, 0, 0))
    ours = sight("moon", when.isoformat())
    assert ours.tilt_deg == pytest.approx(other.elat, abs=0.06)
    assert (ours.meridian_deg + 180) % 360 - 180 == pytest.approx(other.elon, abs=0.06)
    assert ours.diameter_arcsec == pytest.approx(other.diam_deg * 3600.0, rel=2e-3)


def test_date_without_a_time_is_the_evening_of_the_place() -> None:
    assert moment("2026-11-25").isoformat() == "2026-11-25T22:00:00+00:00"
    assert moment("2026-11-25T21:30+01:00").isoformat() == "2026-11-25T20:30:00+00:00"


@pytest.mark.parametrize(
    ("place", "day", "utc"),
    [
        # Clocks and summer times as the IANA time zone database has them: CET, CEST, EST, India's
        # half hour, Australia's southern summer.
        ((52.5, 13.4), "2027-01-10", "2027-01-10T21:00:00+00:00"),
        ((52.5, 13.4), "2027-07-10", "2027-07-10T20:00:00+00:00"),
        ((40.7, -74.0), "2027-01-10", "2027-01-11T03:00:00+00:00"),
        ((28.6, 77.2), "2027-07-10", "2027-07-10T16:30:00+00:00"),
        ((-33.9, 151.2), "2027-01-10", "2027-01-10T11:00:00+00:00"),
        ((42.3, -8.6), "2027-01-10", "2027-01-10T21:00:00+00:00"),
    ],
)
def test_evening_is_that_of_the_clock_on_the_wall(
    place: tuple[float, float], day: str, utc: str
) -> None:
    assert moment(day, *place).isoformat() == utc


def test_titan_stands_where_other_mean_elements_have_it() -> None:
    # JPL's mean elements (memory): at 2000 January 1.5 in Titan's Laplace plane, whose
    # pole lies at 36.2, 83.9 deg, argument of the pericentre 180.532, mean anomaly 163.310, node
    # 28.060 deg, eccentricity 0.0288; counted from where the plane rises through the equator.
    anomaly = math.radians(163.310)
    longitude = 180.532 + 163.310 + 28.060 - 360.0 + math.degrees(2.0 * 0.0288 * math.sin(anomaly))
    place = titan_km(2451545.0)
    right_ascension = math.degrees(math.atan2(place[1], place[0]))
    # The plane is tilted by 6 deg to the equator: that changes right ascension by < 0.1 deg here.
    assert right_ascension == pytest.approx(36.2 + 90.0 + longitude, abs=0.5)
    # Its path lies in Saturn's equator within Titan's own 0.3 deg (pole 40.589, 83.537; Archinal et
    # al. 2018).
    pole = np.cross(place, titan_km(2451549.0))
    pole /= np.linalg.norm(pole)
    ra, dec = math.radians(40.589), math.radians(83.537)
    saturn = [math.cos(dec) * math.cos(ra), math.cos(dec) * math.sin(ra), math.sin(dec)]
    assert math.degrees(math.acos(pole @ np.array(saturn))) < 0.6


@pytest.mark.parametrize("bad", ["yesterday", "1850-01-01", "2026-13-01", "2026-11-25T25:00", ""])
def test_what_is_no_usable_date_is_refused(bad: str) -> None:
    with pytest.raises(RangeError, match="date"):
        sight("mars", bad)


@pytest.mark.parametrize(("lat", "lon"), [(91.0, 0.0), (float("nan"), 0.0), (10.0, None)])
def test_place_off_the_earth_is_refused(lat: float, lon: float | None) -> None:
    with pytest.raises(RangeError):
        sight("mars", "2026-11-25", latitude_deg=lat, longitude_deg=lon)


@pytest.mark.parametrize(
    ("name", "ra_deg", "dec_deg"), [("m13", 250.4235, 36.4613), ("albireo", 292.6804, 27.9597)]
)
@pytest.mark.parametrize(
    ("date", "latitude", "longitude"),
    [
        ("2027-07-14T22:00", 52.0, 13.0),
        ("2040-03-02T09:20", -35.0, 149.0),
        ("1950-01-01", 5.0, 0.0),
    ],
)
def test_height_of_a_fixed_star_is_skyfields(
    name: str, ra_deg: float, dec_deg: float, date: str, latitude: float, longitude: float
) -> None:
    kernel, scale = jpl()
    place = kernel["earth"] + wgs84.latlon(latitude, longitude)
    star = Star(ra_hours=ra_deg / 15.0, dec_degrees=dec_deg)
    apparent = place.at(scale.from_datetime(moment(date, longitude))).observe(star).apparent()
    altitude = apparent.altaz(temperature_C=10.0, pressure_mbar=1010.0)[0].degrees
    ours = target(name, date=date, latitude_deg=latitude, longitude_deg=longitude).altitude_deg
    # Below the horizon there is no refraction to agree on.
    assert ours == pytest.approx(altitude, abs=0.05 if altitude > -1.0 else 0.6)


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        ({"date": "2027-01-01"}, "place"),
        ({"date": "2027-01-01", "latitude_deg": 50.0}, "longitude_deg"),
        ({"latitude_deg": 50.0, "longitude_deg": 0.0}, "date"),
    ],
)
def test_height_of_a_fixed_star_needs_date_and_place(given: dict, missing: str) -> None:
    with pytest.raises(RangeError, match=missing):
        target("m13", **given)
