"""What stands in the evening sky of a month at a latitude: real positions.

Places of stars and nebulae are J2000 and are precessed; Moon and planets come from
astronomy-engine (Don Cross, after VSOP87 and ELP/MPP02).
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, Literal

from simview.advice.speech import N_, Said, clock, day, number, say
from simview.errors import ChoiceError, RangeError, nearest, require_range

# The Sun this far below the horizon, degrees: dark enough to begin (nautical twilight).
DARK_DEG: Final = -12.0

# Nobody begins before this hour of the clock: a choice.
EARLIEST_HOUR: Final = 20

# Planets, their radii at the equator in km (IAU 2015 report on cartographic coordinates, from
# memory), in the order of worth.
PLANETS: Final = {"Jupiter": 71492.0, "Saturn": 60268.0, "Venus": 6051.8, "Mars": 3396.2}
PLANET_NAMES: Final = {
    "Jupiter": N_("Jupiter"),
    "Saturn": N_("Saturn"),
    "Venus": N_("Venus"),
    "Mars": N_("Mars"),
}
KM_PER_AU: Final = 149597870.7

POINTS: Final = (
    say("north"),
    say("north-east"),
    say("east"),
    say("south-east"),
    say("south"),
    say("south-west"),
    say("west"),
    say("north-west"),
)

Kind = Literal["moon", "planet", "cluster", "globular", "nebula", "galaxy", "double"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """One thing in the sky at one moment.

    Parameters
    ----------
    size_arcmin
        Two diameters; a double's separation stands in `separation_arcsec`.
    altitude_deg, azimuth_deg
        As seen, with refraction; azimuth from north through east.
    rank
        1 is the easiest.
    when
        Local time of the look.
    tilt_deg
        Of Saturn's ring towards Earth.
    lit
        How much of a planet's disc is lit, 0 to 1.
    """

    name: str
    title: str
    kind: Kind
    altitude_deg: float
    azimuth_deg: float
    magnitude: float
    size_arcmin: tuple[float, float] = (0.0, 0.0)
    separation_arcsec: float = 0.0
    magnitude_b: float = 0.0
    rank: int = 1
    when: str = ""
    tilt_deg: float = 0.0
    lit: float = 1.0

    @property
    def direction(self) -> Said:
        """Where to turn: "south-east"."""
        return POINTS[round(self.azimuth_deg / 45.0) % 8]

    @property
    def where(self) -> Said:
        """When to look, where to turn and how high, in words."""
        return say(
            "{when}, {direction}, {height}° up",
            when=self.when,
            direction=self.direction,
            height=number(self.altitude_deg),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """A month's evening at one place.

    Parameters
    ----------
    moment
        When to look, UTC.
    local
        The same by the clock there, in words.
    zone, zone_name
        Of that clock.
    turn
        Rotation from J2000 to north, west and zenith at that moment, as astronomy-engine keeps it.
    latitude
        In words: "52° north".
    dark
        False where the Sun does not sink far enough that night.
    sights
        Everything above the horizon.
    place_deg
        Latitude and longitude, north and east positive.
    one_day
        True for one evening, its Moon as it is then; False for a month at large.
    """

    moment: datetime
    local: str
    latitude: str
    dark: bool
    sights: tuple[Sight, ...]
    zone: tzinfo
    zone_name: str
    turn: tuple[tuple[float, ...], ...] = ()
    place_deg: tuple[float, float] = (0.0, 0.0)
    one_day: bool = False


def evening(
    year: int,
    month: int,
    latitude_deg: float,
    longitude_deg: float = 0.0,
    *,
    day: int | None = None,
    zone: str = "",
) -> Evening:
    """Return the evening of the 15th of a month, the Moon at its first quarter, or of one day.

    Parameters
    ----------
    year, month, day
        1900 to 2100; 1 to 12; of that month. None for the month at large.
    latitude_deg, longitude_deg
        North and east positive.
    zone
        Name of the clock's time zone, "Europe/Berlin"; empty takes the one that holds there.

    Notes
    -----
    Source: astronomy-engine 2.1; precession and refraction are its own.
    Checked by: tests/truth/test_evening_sky.py (against skyfield)
    """
    if not 1 <= month <= 12:
        raise RangeError("month", got=month, allowed="1 to 12")
    require_range("year", year, 1900, 2100)
    require_range("latitude_deg", latitude_deg, -90.0, 90.0, unit="deg")
    require_range("longitude_deg", longitude_deg, -180.0, 180.0, unit="deg")
    place = _place(latitude_deg, longitude_deg)
    name = zone or zone_at(latitude_deg, longitude_deg)
    there = zone_of(name)
    moment, dark = _dusk(_night(year, month, day), place, longitude_deg, there)
    shown_at = _clock(moment, there)
    if day is None:
        moon = _moon(year, month, place, longitude_deg, there)
    else:
        moon = _moon_at(moment, place, shown_at)
    sights = [moon, *_planets(moment, place, shown_at)]
    sights += _fixed(moment, place, shown_at)
    return Evening(
        moment=moment,
        local=shown_at,
        latitude=say("{deg}° north", deg=latitude_deg)
        if latitude_deg >= 0.0
        else say("{deg}° south", deg=-latitude_deg),
        dark=dark,
        zone=there,
        zone_name=name,
        turn=_turn(moment, place),
        sights=tuple(sight for sight in sights if sight.altitude_deg > 0.0),
        place_deg=(latitude_deg, longitude_deg),
        one_day=day is not None,
    )


def sights_at(when: Evening, moment: datetime) -> Evening:
    """Return the same evening at another time of it; a month's Moon stays on its own evening."""
    place = _place(*when.place_deg)
    moment = moment.astimezone(UTC)
    shown_at = _clock(moment, when.zone)
    kept = [one for one in when.sights if one.kind == "moon" and not when.one_day]
    moon = kept or [_moon_at(moment, place, shown_at)]
    sights = [*moon[: 1 if when.one_day or kept else 0], *_planets(moment, place, shown_at)]
    sights += _fixed(moment, place, shown_at)
    return replace(
        when,
        moment=moment,
        local=shown_at,
        turn=_turn(moment, place),
        sights=tuple(one for one in sights if one.altitude_deg > 0.0),
    )


def sun_altitude_deg(when: Evening, moment: datetime) -> float:
    """Return how high the Sun stands there, degrees; with refraction."""
    import astronomy

    return _horizontal(astronomy.Body.Sun, moment.astimezone(UTC), _place(*when.place_deg))[0]


def _night(year: int, month: int, day: int | None) -> date:
    try:
        return date(year, month, 15 if day is None else day)
    except ValueError:
        raise RangeError("day", got=day, allowed="a day of that month") from None


def zone_at(latitude_deg: float, longitude_deg: float) -> str:
    """Return the name of the time zone that holds at a place."""
    from tzfpy import get_tz

    return str(get_tz(longitude_deg, latitude_deg) or "Etc/UTC")


def zone_of(name: str) -> tzinfo:
    """Return the time zone of a name, "Europe/Berlin".

    Raises
    ------
    ChoiceError
        For a zone that there is not; offers the nearest.
    """
    from zoneinfo import ZoneInfo, available_timezones

    known = available_timezones()
    if name not in known:
        near = nearest(name, known)
        raise ChoiceError(
            "time zone",
            got=name,
            allowed="a name such as Europe/Berlin",
            remedy=f"did you mean {near!r}?" if near else "",
        )
    return ZoneInfo(name)


def _turn(moment: datetime, place: Any) -> tuple[tuple[float, ...], ...]:
    import astronomy

    rotation = astronomy.Rotation_EQJ_HOR(_time(moment), place)
    return tuple(tuple(float(one) for one in row) for row in rotation.rot)


def _place(latitude_deg: float, longitude_deg: float) -> Any:
    import astronomy

    return astronomy.Observer(latitude_deg, longitude_deg, 0.0)


def _time(moment: datetime) -> Any:
    import astronomy

    return astronomy.Time.Make(
        moment.year, moment.month, moment.day, moment.hour, moment.minute, float(moment.second)
    )


def _local(night: date, hour: float, longitude_deg: float) -> datetime:
    """Return local mean time as UTC."""
    midnight = datetime(night.year, night.month, night.day, tzinfo=UTC)
    return midnight + timedelta(hours=hour - longitude_deg / 15.0)


def _clock(moment: datetime, zone: tzinfo) -> Said:
    there = moment.astimezone(zone) + timedelta(seconds=30)
    return clock(there.time())


def _dusk(night: date, place: Any, longitude_deg: float, zone: tzinfo) -> tuple[datetime, bool]:
    """Return when it is dark enough, not before 20:00 by the clock.

    Solar midnight where it never is.
    """
    import astronomy

    noon = _local(night, 12.0, longitude_deg)
    earliest = datetime(night.year, night.month, night.day, EARLIEST_HOUR, tzinfo=zone).astimezone(
        UTC
    )
    found = astronomy.SearchAltitude(
        astronomy.Body.Sun, place, astronomy.Direction.Set, _time(noon), 0.5, DARK_DEG
    )
    if found is not None:
        dusk = found.Utc().replace(tzinfo=UTC)
        return max(dusk, earliest), True
    sun = _horizontal(astronomy.Body.Sun, earliest, place)[0]
    midnight = _local(night, 24.0, longitude_deg)
    # In the polar night it is dark all day; in the white nights it never is.
    return (earliest, True) if sun < DARK_DEG else (midnight, False)


def _horizontal(body: Any, moment: datetime, place: Any) -> tuple[float, float]:
    import astronomy

    time = _time(moment)
    there = astronomy.Equator(body, time, place, True, True)
    seen = astronomy.Horizon(time, place, there.ra, there.dec, astronomy.Refraction.Normal)
    return float(seen.altitude), float(seen.azimuth)


def _moon(year: int, month: int, place: Any, longitude_deg: float, zone: tzinfo) -> Sight:
    """Return the Moon on the evening of its first quarter in that month."""
    import astronomy

    start = _time(_local(date(year, month, 1), 0.0, longitude_deg))
    quarter = astronomy.SearchMoonPhase(90.0, start, 31.0).Utc()
    moment, _ = _dusk(quarter.date(), place, longitude_deg, zone)
    altitude, azimuth = _horizontal(astronomy.Body.Moon, moment, place)
    return Sight(
        name="moon",
        title=say("The Moon"),
        kind="moon",
        altitude_deg=altitude,
        azimuth_deg=azimuth,
        lit=0.5,
        magnitude=-10.0,  # first quarter; Allen 1973, p. 143: 2.63 fainter than the full -12.73
        size_arcmin=(31.1, 31.1),
        when=say(
            "about {date}, {time}",
            date=day(moment.astimezone(zone).date()),
            time=_clock(moment, zone),
        ),
    )


def _moon_at(moment: datetime, place: Any, when: str) -> Sight:
    """Return the Moon at a moment, as it is then."""
    import astronomy

    altitude, azimuth = _horizontal(astronomy.Body.Moon, moment, place)
    light = astronomy.Illumination(astronomy.Body.Moon, _time(moment))
    return Sight(
        name="moon",
        title=say("The Moon"),
        kind="moon",
        altitude_deg=altitude,
        azimuth_deg=azimuth,
        magnitude=float(light.mag),
        lit=float(light.phase_fraction),
        size_arcmin=(31.1, 31.1),
        when=when,
    )


def _planets(moment: datetime, place: Any, when: str) -> list[Sight]:
    import astronomy

    found = []
    for rank, (name, radius_km) in enumerate(PLANETS.items()):
        body = astronomy.Body[name]
        altitude, azimuth = _horizontal(body, moment, place)
        far = astronomy.Equator(body, _time(moment), place, True, True).dist
        light = astronomy.Illumination(body, _time(moment))
        disc = math.degrees(2.0 * math.asin(radius_km / (far * KM_PER_AU))) * 60.0
        found.append(
            Sight(
                name=name.lower(),
                title=say(PLANET_NAMES[name]),
                kind="planet",
                altitude_deg=altitude,
                azimuth_deg=azimuth,
                magnitude=float(light.mag),
                tilt_deg=float(light.ring_tilt or 0.0),
                lit=float(light.phase_fraction),
                size_arcmin=(disc, disc),
                rank=1 if rank < 2 else 2,
                when=when,
            )
        )
    return found


@lru_cache(maxsize=1)
def first_objects() -> tuple[dict[str, str], ...]:
    """Return the table of objects for a first list; cells stay text."""
    path = Path(__file__).parent / "data" / "first_objects.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


def _fixed(moment: datetime, place: Any, when: str) -> list[Sight]:
    import astronomy

    time = _time(moment)
    turn = astronomy.Rotation_EQJ_HOR(time, place)
    found = []
    for row in first_objects():
        sphere = astronomy.Spherical(float(row["dec_deg"]), float(row["ra_deg"]), 1.0)
        vector = astronomy.RotateVector(turn, astronomy.VectorFromSphere(sphere, time))
        seen = astronomy.HorizonFromVector(vector, astronomy.Refraction.Normal)
        found.append(
            Sight(
                name=row["name"],
                title=say(row["title"]),  # a key of the catalogues
                kind=row["kind"],  # type: ignore[arg-type]
                altitude_deg=float(seen.lat),
                azimuth_deg=float(seen.lon),
                magnitude=float(row["magnitude"]),
                size_arcmin=(float(row["size_arcmin"] or 0.0), float(row["size2_arcmin"] or 0.0)),
                separation_arcsec=float(row["separation_arcsec"] or 0.0),
                magnitude_b=float(row["magnitude_b"] or 0.0),
                rank=int(row["rank"]),
                when=when,
            )
        )
    return found
