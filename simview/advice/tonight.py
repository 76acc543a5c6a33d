"""What stands in the evening sky of a month at a latitude: real positions.

Places of stars and nebulae are J2000 and are precessed; Moon and planets come from
astronomy-engine (Don Cross, after VSOP87 and ELP/MPP02).
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, Literal

from simview.errors import RangeError, require_range

# The Sun this far below the horizon, degrees: dark enough to begin (nautical twilight).
DARK_DEG: Final = -12.0

# Nobody begins before this local time, hours: a choice.
EARLIEST_HOUR: Final = 20.0

# Planets, their radii at the equator in km (IAU 2015 report on cartographic coordinates, from
# memory), in the order of worth.
PLANETS: Final = {"Jupiter": 71492.0, "Saturn": 60268.0, "Venus": 6051.8, "Mars": 3396.2}
KM_PER_AU: Final = 149597870.7

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

    @property
    def direction(self) -> str:
        """Where to turn: "south-east", and how high in plain words."""
        points = (
            "north",
            "north-east",
            "east",
            "south-east",
            "south",
            "south-west",
            "west",
            "north-west",
        )
        return points[round(self.azimuth_deg / 45.0) % 8]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """A month's evening at one place.

    Parameters
    ----------
    moment
        When to look, UTC.
    local
        The same as local mean time, in words.
    latitude
        In words: "52° north".
    dark
        False where the Sun does not sink far enough that night.
    sights
        Everything above the horizon.
    """

    moment: datetime
    local: str
    latitude: str
    dark: bool
    sights: tuple[Sight, ...]


def evening(year: int, month: int, latitude_deg: float, longitude_deg: float = 0.0) -> Evening:
    """Return the evening of the 15th of a month.

    Parameters
    ----------
    year, month
        1900 to 2100; 1 to 12.
    latitude_deg, longitude_deg
        North and east positive. Local mean time follows from the longitude.

    Source: astronomy-engine 2.1; precession and refraction are its own.
    Checked by: tests/truth/test_evening_sky.py (against skyfield)
    """
    if not 1 <= month <= 12:
        raise RangeError("month", got=month, allowed="1 to 12")
    require_range("year", year, 1900, 2100)
    require_range("latitude_deg", latitude_deg, -90.0, 90.0, unit="deg")
    require_range("longitude_deg", longitude_deg, -180.0, 180.0, unit="deg")
    place = _place(latitude_deg, longitude_deg)
    moment, dark = _dusk(date(year, month, 15), place, longitude_deg)
    clock = _clock(moment, longitude_deg)
    sights = [_moon(year, month, place, longitude_deg), *_planets(moment, place, clock)]
    sights += _fixed(moment, place, clock)
    return Evening(
        moment=moment,
        local=clock,
        latitude=f"{abs(latitude_deg):g}° {'north' if latitude_deg >= 0.0 else 'south'}",
        dark=dark,
        sights=tuple(sight for sight in sights if sight.altitude_deg > 0.0),
    )


def _place(latitude_deg: float, longitude_deg: float) -> Any:
    import astronomy

    return astronomy.Observer(latitude_deg, longitude_deg, 0.0)


def _time(moment: datetime) -> Any:
    import astronomy

    return astronomy.Time.Make(
        moment.year, moment.month, moment.day, moment.hour, moment.minute, float(moment.second)
    )


def _local(day: date, hour: float, longitude_deg: float) -> datetime:
    """Return local mean time as UTC."""
    midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
    return midnight + timedelta(hours=hour - longitude_deg / 15.0)


def _clock(moment: datetime, longitude_deg: float) -> str:
    return (moment + timedelta(hours=longitude_deg / 15.0)).strftime("%H:%M")


def _dusk(day: date, place: Any, longitude_deg: float) -> tuple[datetime, bool]:
    """Return when it is dark enough, not before 20:00; local midnight where it never is."""
    import astronomy

    noon = _local(day, 12.0, longitude_deg)
    earliest = _local(day, EARLIEST_HOUR, longitude_deg)
    found = astronomy.SearchAltitude(
        astronomy.Body.Sun, place, astronomy.Direction.Set, _time(noon), 0.5, DARK_DEG
    )
    if found is not None:
        dusk = found.Utc().replace(tzinfo=UTC)
        return max(dusk, earliest), True
    sun = _horizontal(astronomy.Body.Sun, earliest, place)[0]
    midnight = _local(day, 24.0, longitude_deg)
    # In the polar night it is dark all day; in the white nights it never is.
    return (earliest, True) if sun < DARK_DEG else (midnight, False)


def _horizontal(body: Any, moment: datetime, place: Any) -> tuple[float, float]:
    import astronomy

    time = _time(moment)
    there = astronomy.Equator(body, time, place, True, True)
    seen = astronomy.Horizon(time, place, there.ra, there.dec, astronomy.Refraction.Normal)
    return float(seen.altitude), float(seen.azimuth)


def _moon(year: int, month: int, place: Any, longitude_deg: float) -> Sight:
    """Return the Moon on the evening of its first quarter in that month."""
    import astronomy

    start = _time(_local(date(year, month, 1), 0.0, longitude_deg))
    quarter = astronomy.SearchMoonPhase(90.0, start, 31.0).Utc()
    moment, _ = _dusk(quarter.date(), place, longitude_deg)
    altitude, azimuth = _horizontal(astronomy.Body.Moon, moment, place)
    return Sight(
        name="moon",
        title="The Moon",
        kind="moon",
        altitude_deg=altitude,
        azimuth_deg=azimuth,
        magnitude=-10.0,  # first quarter: Allen's Astrophysical Quantities, from memory
        size_arcmin=(31.1, 31.1),
        when=f"about {quarter.day} {quarter:%B}, {_clock(moment, longitude_deg)}",
    )


def _planets(moment: datetime, place: Any, clock: str) -> list[Sight]:
    import astronomy

    found = []
    for rank, (name, radius_km) in enumerate(PLANETS.items()):
        body = astronomy.Body[name]
        altitude, azimuth = _horizontal(body, moment, place)
        far = astronomy.Equator(body, _time(moment), place, True, True).dist
        disc = math.degrees(2.0 * math.asin(radius_km / (far * KM_PER_AU))) * 60.0
        found.append(
            Sight(
                name=name.lower(),
                title=name,
                kind="planet",
                altitude_deg=altitude,
                azimuth_deg=azimuth,
                magnitude=float(astronomy.Illumination(body, _time(moment)).mag),
                size_arcmin=(disc, disc),
                rank=1 if rank < 2 else 2,
                when=clock,
            )
        )
    return found


@lru_cache(maxsize=1)
def first_objects() -> tuple[dict[str, str], ...]:
    """Return the table of objects for a first list; cells stay text."""
    path = Path(__file__).parent / "data" / "first_objects.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


def _fixed(moment: datetime, place: Any, clock: str) -> list[Sight]:
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
                title=row["title"],
                kind=row["kind"],  # type: ignore[arg-type]
                altitude_deg=float(seen.lat),
                azimuth_deg=float(seen.lon),
                magnitude=float(row["magnitude"]),
                size_arcmin=(float(row["size_arcmin"] or 0.0), float(row["size2_arcmin"] or 0.0)),
                separation_arcsec=float(row["separation_arcsec"] or 0.0),
                magnitude_b=float(row["magnitude_b"] or 0.0),
                rank=int(row["rank"]),
                when=clock,
            )
        )
    return found
