"""The evening sky of a month against skyfield (JPL DE421 from skyfield-data, Hipparcos frame).

Two independent programs: astronomy-engine (VSOP87) here, skyfield there.
"""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from simview.advice.tonight import Evening, Sight, evening, first_objects


@lru_cache(maxsize=1)
def heavens() -> tuple[Any, Any]:
    skyfield = pytest.importorskip("skyfield.api")
    data = pytest.importorskip("skyfield_data")
    # Its own function warns that the tables of Earth's rotation are old; they are not used here.
    folder = Path(data.__file__).parent / "data"
    loader = skyfield.Loader(str(folder), verbose=False)
    return loader("de421.bsp"), loader.timescale(builtin=True)


def seen(sight: Sight, when: Any, latitude: float, longitude: float) -> tuple[float, float]:
    from skyfield.api import Star, wgs84

    planets, _ = heavens()
    place = planets["earth"] + wgs84.latlon(latitude, longitude)
    if sight.kind in ("moon", "planet"):
        name = sight.name if sight.kind == "moon" else f"{sight.name} barycenter"
        target = planets["venus" if sight.name == "venus" else name]
    else:
        row = next(one for one in first_objects() if one["name"] == sight.name)
        target = Star(ra_hours=float(row["ra_deg"]) / 15.0, dec_degrees=float(row["dec_deg"]))
    apparent = place.at(when).observe(target).apparent()
    # Refraction by the standard atmosphere of both programs: 10 C, 1010 millibars.
    altitude, azimuth, _ = apparent.altaz(temperature_C=10.0, pressure_mbar=1010.0)
    return altitude.degrees, azimuth.degrees


@pytest.mark.parametrize(
    ("year", "month", "latitude", "longitude"),
    [(2026, 1, 52.0, 0.0), (2026, 7, -34.0, 151.0), (2030, 4, 10.0, -70.0)],
)
def test_places_agree_with_skyfield(
    year: int, month: int, latitude: float, longitude: float
) -> None:
    found = evening(year, month, latitude, longitude)
    _, timescale = heavens()
    when = timescale.from_datetime(found.moment)
    checked = 0
    for sight in found.sights:
        if sight.kind == "moon" or sight.altitude_deg < 5.0:
            continue
        altitude, azimuth = seen(sight, when, latitude, longitude)
        # 0.05 deg: stars without proper motion, two refraction formulas; a beginner's hand is 10.
        assert sight.altitude_deg == pytest.approx(altitude, abs=0.05)
        turn = (sight.azimuth_deg - azimuth + 180.0) % 360.0 - 180.0
        assert abs(turn) < 0.05 / max(0.1, (90.0 - altitude) / 90.0)
        checked += 1
    assert checked >= 20


def test_first_quarter_is_when_skyfield_says() -> None:
    from skyfield import almanac

    planets, timescale = heavens()
    found = evening(2026, 11, 52.0)
    times, phases = almanac.find_discrete(
        timescale.utc(2026, 11, 1), timescale.utc(2026, 12, 1), almanac.moon_phases(planets)
    )
    (quarter,) = [t.utc_datetime() for t, phase in zip(times, phases, strict=True) if phase == 1]
    moon = next(sight for sight in found.sights if sight.kind == "moon")
    assert moon.when.startswith(f"about {quarter.day} November")


def test_evening_begins_in_nautical_darkness() -> None:
    from skyfield.api import wgs84

    planets, timescale = heavens()
    for month in range(1, 13):
        found = evening(2026, month, 52.0)
        place = planets["earth"] + wgs84.latlon(52.0, 0.0)
        sun = place.at(timescale.from_datetime(found.moment)).observe(planets["sun"]).apparent()
        assert sun.altaz()[0].degrees < -11.9
        assert found.dark


def test_white_night_is_said_and_uses_midnight() -> None:
    found: Evening = evening(2026, 6, 65.0)
    assert not found.dark
    # Solar midnight at Greenwich's longitude; the clock of the place shows it.
    there = found.moment.astimezone(found.zone)
    assert found.moment.hour == 0
    assert found.local == f"{there:%H:%M}"


def test_polar_night_is_dark_at_eight() -> None:
    found = evening(2026, 12, 78.0, 15.0)
    assert found.dark
    assert found.local == "20:00"


def test_clock_is_that_of_the_place() -> None:
    here, there = evening(2026, 1, 50.0, 0.0), evening(2026, 1, 50.0, 90.0)
    assert here.local == there.local == "20:00"
    # 90 degrees east, 50 north lies in Russia's Krasnoyarsk time, UTC+7 (IANA time zone data);
    # 0 east lies in the Channel, UTC.
    assert here.moment - there.moment == timedelta(hours=7)


def test_summer_time_is_kept() -> None:
    # Central European Summer Time, UTC+2, holds in July; dusk of 52 north is later than 22:00.
    found = evening(2026, 7, 52.0, 13.0)
    assert found.zone_name == "Europe/Berlin"
    shown = found.moment.astimezone(found.zone)
    assert shown.utcoffset() == timedelta(hours=2)
    assert abs(shown.hour * 60 + shown.minute - minutes(found.local)) <= 1


def minutes(clock: str) -> int:
    hour, minute = clock.split(":")
    return 60 * int(hour) + int(minute)


def test_planets_have_their_sizes() -> None:
    # Jupiter's equator at the opposition of January 2026: 46.6 arcsec. Source: the disc at
    # 4.23 au from 71492 km (IAU 2015; from memory), and skyfield's distance below.
    found = evening(2026, 1, 52.0)
    planets, timescale = heavens()
    when = timescale.from_datetime(found.moment)
    far = planets["earth"].at(when).observe(planets["jupiter barycenter"]).distance().km
    jupiter = next(sight for sight in found.sights if sight.name == "jupiter")
    assert jupiter.size_arcmin[0] * 60.0 == pytest.approx(206265.0 * 2 * 71492.0 / far, rel=1e-3)


@pytest.mark.parametrize("day", [27, 3])
def test_moon_of_one_evening_stands_where_skyfield_has_it(day: int) -> None:
    from skyfield import almanac

    found = evening(2026, 11 if day == 27 else 12, 40.0, 20.0, day=day)
    planets, timescale = heavens()
    when = timescale.from_datetime(found.moment)
    moons = [sight for sight in found.sights if sight.kind == "moon"]
    if not moons:
        # Below the horizon in both.
        from skyfield.api import wgs84

        place = planets["earth"] + wgs84.latlon(40.0, 20.0)
        assert place.at(when).observe(planets["moon"]).apparent().altaz()[0].degrees < 0.5
        return
    altitude, _ = seen(moons[0], when, 40.0, 20.0)
    assert moons[0].altitude_deg == pytest.approx(altitude, abs=0.05)
    lit = almanac.fraction_illuminated(planets, "moon", when)
    assert moons[0].lit == pytest.approx(lit, abs=0.01)
