"""Where Moon and planets stand for a date and place, and how they are turned and lit.

Positions come from the astronomy-engine library (VSOP87 and NOVAS, good to about an arcminute;
axes after the IAU's reports). All directions are J2000, so that north is up as in the charts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError, require_range
from simview.scene.moment import moment
from simview.scene.scene import Target
from simview.units import ARCSEC_PER_RADIAN

if TYPE_CHECKING:
    import astronomy

Vector = NDArray[np.float64]

# Equatorial and polar radii, km. Source: Archinal et al. 2018 (IAU working group on cartographic
# coordinates), Celest. Mech. Dyn. Astr. 130, 22.
RADII_KM: Final[dict[str, tuple[float, float]]] = {
    "mercury": (2440.5, 2438.3),
    "venus": (6051.8, 6051.8),
    "moon": (1737.4, 1737.4),
    "mars": (3396.19, 3376.20),
    "jupiter": (71492.0, 66854.0),
    "saturn": (60268.0, 54364.0),
    "uranus": (25559.0, 24973.0),
    "neptune": (24764.0, 24341.0),
}

# Kilometres in an astronomical unit. Source: IAU 2012 Resolution B2, exact.
KM_PER_AU: Final = 149_597_870.7

# Astronomical units that light travels in a day. Source: c = 299 792.458 km/s, exact.
AU_PER_DAY: Final = 299_792.458 * 86400.0 / KM_PER_AU

# The moons of Jupiter in the order of their distance.
JUPITER_MOONS: Final = ("io", "europa", "ganymede", "callisto")


@dataclass(frozen=True, slots=True, kw_only=True)
class Moonlet:
    """A planet's moon as seen from here.

    Parameters
    ----------
    x_arcsec, y_arcsec
        Right (west) and up (north) of the planet's centre.
    depth_arcsec
        Behind the planet's centre (positive) or in front of it, as an angle at its distance.
    """

    name: str
    x_arcsec: float
    y_arcsec: float
    depth_arcsec: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """How a body looks at one moment.

    Parameters
    ----------
    utc
        ISO 8601, to the minute.
    ra_deg, dec_deg
        J2000, seen from the place (from the Earth's centre without a place).
    altitude_deg, azimuth_deg
        Apparent (refracted) altitude, azimuth from north through east; None without a place.
    sun_au, earth_au
        Distances from the Sun and from the observer.
    diameter_arcsec
        Equatorial.
    phase_deg
        Angle Sun - body - observer.
    sun_angle_deg
        Position angle towards the Sun.
    tilt_deg, sun_tilt_deg
        Planetocentric latitude of the observer and of the Sun.
    meridian_deg
        Planetocentric east longitude (IAU) that faces the observer.
    pole_angle_deg
        Position angle of the north pole.
    sun_longitude_deg
        Areocentric longitude of the Sun in the body's year: 0 where its northern spring begins.
    moons
        Jupiter's four, Saturn's Titan.
    """

    body: str
    utc: str
    ra_deg: float
    dec_deg: float
    altitude_deg: float | None
    azimuth_deg: float | None
    sun_au: float
    earth_au: float
    diameter_arcsec: float
    phase_deg: float
    sun_angle_deg: float
    tilt_deg: float
    sun_tilt_deg: float
    meridian_deg: float
    pole_angle_deg: float
    sun_longitude_deg: float
    moons: tuple[Moonlet, ...] = ()


def sight(
    body: str,
    date: str,
    *,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Sight:
    """Return how a body looks at a date, from a place or from the Earth's centre.

    Parameters
    ----------
    body
        One of RADII_KM.
    date
        See `moment`.
    latitude_deg, longitude_deg
        Geographic, north and east positive; both or neither.

    Raises
    ------
    RangeError
        A bad date or place.

    Notes
    -----
    Checked by: tests/truth/test_ephemeris.py (against skyfield and astropy).
    """
    import astronomy

    place = _place(latitude_deg, longitude_deg)
    when = moment(date, latitude_deg, longitude_deg)
    time = _time(when)
    which = getattr(astronomy.Body, body.capitalize())
    towards = _vector(astronomy.GeoVector(which, time, True))
    if place is not None:
        towards = towards - _vector(astronomy.ObserverVector(time, place, False))
    distance = float(np.linalg.norm(towards))
    then = time.AddDays(-distance / AU_PER_DAY)
    sun = -_vector(astronomy.HelioVector(which, then))
    altitude, azimuth = _above(which, time, place)
    return Sight(
        body=body,
        utc=_minute(when),
        altitude_deg=altitude,
        azimuth_deg=azimuth,
        moons=_moons(body, then, towards),
        **_where(towards, sun),
        **_turned(astronomy.RotationAxis(which, then), towards, sun),
        diameter_arcsec=2.0 * RADII_KM[body][0] / KM_PER_AU / distance * ARCSEC_PER_RADIAN,
    )


# Equinox of a target's declination where no date is given: years' precession matters only near a
# pole, where a star moves so slowly that it drifts by where the pole stands.
EQUINOX_YEAR: Final = 2025


def declination_of_date(ra_deg: float, dec_deg: float, when: datetime | None = None) -> float:
    """Return the declination at a date, deg, of a place that is given for J2000.

    `when` of None takes the start of `EQUINOX_YEAR`.

    Notes
    -----
    Source: precession and nutation of astronomy-engine 2.1 (IAU 2006, IAU 2000B shortened).
    Checked by: tests/truth/test_drift.py
    """
    import astronomy

    then = _time(when or datetime(EQUINOX_YEAR, 1, 1))
    place = astronomy.VectorFromSphere(astronomy.Spherical(dec_deg, ra_deg % 360.0, 1.0), then)
    turned = astronomy.RotateVector(astronomy.Rotation_EQJ_EQD(then), place)
    return float(astronomy.SphereFromVector(turned).lat)


def at_moment(target: Target, ra_deg: float, dec_deg: float, when: Mapping[str, Any]) -> Target:
    """Return something fixed among the stars as high as it stands at a date and place.

    Parameters
    ----------
    ra_deg, dec_deg
        J2000.
    when
        ``date`` (see `moment`), ``latitude_deg`` and ``longitude_deg``.

    Raises
    ------
    RangeError
        A bad date or place, or one without the other.

    Notes
    -----
    Checked by: tests/truth/test_ephemeris.py (against skyfield).
    """
    place = _place(when.get("latitude_deg"), when.get("longitude_deg"))
    if when.get("date") is None:
        raise RangeError("latitude_deg", got="a place without a date", allowed="with a date")
    if place is None:
        raise RangeError(
            "date",
            got="a date without a place",
            allowed="with latitude and longitude",
            remedy="leave it out without them: this looks the same on any night",
        )
    import astronomy

    then = moment(when["date"], when["latitude_deg"], when["longitude_deg"])
    star = astronomy.Body.Star1
    # Far away: no parallax.
    astronomy.DefineStar(star, ra_deg % 360.0 / 15.0, dec_deg, 1e6)
    altitude, _ = _above(star, _time(then), place)
    assert altitude is not None
    return replace(
        target,
        altitude_deg=altitude,
        declination_deg=declination_of_date(ra_deg, dec_deg, then),
        notes=(*target.notes, f"On {_minute(then)} {_height(altitude)}."),
        recipe={**target.recipe, **when},
    )


def moment_notes(seen: Sight | None) -> tuple[str, ...]:
    """Return what a caption says of moment and place; nothing without a date."""
    if seen is None:
        return ()
    where = "" if seen.altitude_deg is None else f", {_height(seen.altitude_deg)}"
    return (f"Size, phase and tilt computed for {seen.utc}{where}.",)


def _height(altitude_deg: float) -> str:
    if altitude_deg < 0.0:
        return "below the horizon: drawn all the same"
    return f"{altitude_deg:.0f}° above the horizon"


def _minute(when: datetime) -> str:
    return when.strftime("%Y-%m-%dT%H:%MZ")


def _time(when: datetime) -> astronomy.Time:
    import astronomy

    return astronomy.Time.Make(when.year, when.month, when.day, when.hour, when.minute, when.second)


def _place(latitude_deg: float | None, longitude_deg: float | None) -> astronomy.Observer | None:
    if latitude_deg is None and longitude_deg is None:
        return None
    if latitude_deg is None or longitude_deg is None:
        missing = "latitude_deg" if latitude_deg is None else "longitude_deg"
        raise RangeError(missing, got="nothing", allowed="both of a place, or neither")
    import astronomy

    latitude = require_range("latitude_deg", latitude_deg, -90.0, 90.0, unit="deg")
    longitude = require_range("longitude_deg", longitude_deg, -180.0, 360.0, unit="deg")
    return astronomy.Observer(latitude, longitude, 0.0)


def _vector(found: Any) -> Vector:
    return np.array([found.x, found.y, found.z])


def _above(
    which: astronomy.Body, time: astronomy.Time, place: astronomy.Observer | None
) -> tuple[float | None, float | None]:
    if place is None:
        return None, None
    import astronomy

    own = astronomy.Equator(which, time, place, True, True)
    found = astronomy.Horizon(time, place, own.ra, own.dec, astronomy.Refraction.Normal)
    return float(found.altitude), float(found.azimuth)


def _sky_axes(towards: Vector) -> tuple[Vector, Vector, Vector]:
    """Return unit vectors to the body, to the east and to the north there."""
    ahead = towards / np.linalg.norm(towards)
    east = np.cross([0.0, 0.0, 1.0], ahead)
    east /= np.linalg.norm(east)
    return ahead, east, np.cross(ahead, east)


def _position_angle(vector: Vector, towards: Vector) -> float:
    _, east, north = _sky_axes(towards)
    return math.degrees(math.atan2(vector @ east, vector @ north)) % 360.0


def _angle(one: Vector, other: Vector) -> float:
    cross = float(np.linalg.norm(np.cross(one, other)))
    return math.degrees(math.atan2(cross, float(one @ other)))


def _where(towards: Vector, sun: Vector) -> dict[str, float]:
    """Return place on the sky, distances and phase; `sun` runs from the body to the Sun."""
    return {
        "ra_deg": math.degrees(math.atan2(towards[1], towards[0])) % 360.0,
        "dec_deg": math.degrees(math.asin(towards[2] / float(np.linalg.norm(towards)))),
        "sun_au": float(np.linalg.norm(sun)),
        "earth_au": float(np.linalg.norm(towards)),
        "phase_deg": _angle(-towards, sun),
        "sun_angle_deg": _position_angle(sun, towards),
    }


def _turned(axis: astronomy.AxisInfo, towards: Vector, sun: Vector) -> dict[str, float]:
    """Return how the body's axis stands to us and to the Sun."""
    pole = _vector(axis.north)
    # The prime meridian lies `spin` east of where the equator rises through J2000's.
    node = np.cross([0.0, 0.0, 1.0], pole)
    node /= np.linalg.norm(node)
    quarter = np.cross(pole, node)
    us = -towards / np.linalg.norm(towards)
    east = math.degrees(math.atan2(us @ quarter, us @ node)) - axis.spin
    light = sun / np.linalg.norm(sun)
    return {
        "tilt_deg": math.degrees(math.asin(us @ pole)),
        "sun_tilt_deg": math.degrees(math.asin(light @ pole)),
        "meridian_deg": east % 360.0,
        "pole_angle_deg": _position_angle(pole, towards),
        "sun_longitude_deg": _season(pole, light),
    }


# Pole of Mars' orbit, J2000 equatorial. Source: inclination 1.84969 deg, node 49.55954 deg to the
# ecliptic (Standish & Williams, Approximate Positions of the Planets, table 1); obliquity 23.4393.
_MARS_ORBIT: Final = (math.radians(1.84969), math.radians(49.55954), math.radians(23.4393))


def _season(pole: Vector, light: Vector) -> float:
    """Return the Sun's longitude along Mars' orbit, 0 at northern spring (Mars only)."""
    tilt, node, ecliptic = _MARS_ORBIT
    x = math.sin(tilt) * math.sin(node)
    y, z = -math.sin(tilt) * math.cos(node), math.cos(tilt)
    orbit = np.array(
        [
            x,
            y * math.cos(ecliptic) - z * math.sin(ecliptic),
            y * math.sin(ecliptic) + z * math.cos(ecliptic),
        ]
    )
    spring = np.cross(orbit, pole) * -1.0
    spring /= np.linalg.norm(spring)
    return math.degrees(math.atan2(light @ np.cross(orbit, spring), light @ spring)) % 360.0


def _moons(body: str, then: astronomy.Time, towards: Vector) -> tuple[Moonlet, ...]:
    import astronomy

    if body == "jupiter":
        found = astronomy.JupiterMoons(then)
        offsets = {name: _vector(getattr(found, name)) for name in JUPITER_MOONS}
    elif body == "saturn":
        from simview.scene.titan import titan_km

        offsets = {"titan": titan_km(float(then.tt) + 2451545.0) / KM_PER_AU}
    else:
        return ()
    ahead, east, north = _sky_axes(towards)
    distance = float(np.linalg.norm(towards))
    moons = []
    for name, offset in offsets.items():
        scale = ARCSEC_PER_RADIAN / (distance + float(offset @ ahead))
        moons.append(
            Moonlet(
                name=name,
                x_arcsec=-float(offset @ east) * scale,
                y_arcsec=float(offset @ north) * scale,
                depth_arcsec=float(offset @ ahead) * scale,
            )
        )
    return tuple(moons)
