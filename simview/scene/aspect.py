"""How a planet stands: from a date and place, from figures given, or as it is on average."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

from simview.errors import RangeError, require_range
from simview.scene.ephemeris import KM_PER_AU, RADII_KM, Sight, sight
from simview.scene.globe import Globe
from simview.units import ARCSEC_PER_RADIAN

# What may be given, and its range.
_RANGES: Final[dict[str, tuple[float, float, str]]] = {
    "tilt_deg": (-90.0, 90.0, "deg"),
    "pole_angle_deg": (-360.0, 360.0, "deg"),
    "phase_deg": (0.0, 175.0, "deg"),
    "sun_angle_deg": (-360.0, 360.0, "deg"),
    "meridian_deg": (-360.0, 720.0, "deg"),
    "sun_longitude_deg": (0.0, 360.0, "deg"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Aspect:
    """A planet's size, distance, turn and light.

    Parameters
    ----------
    globe
        Size and directions.
    sun_au, earth_au
        Distances, for the magnitude.
    sun_tilt_deg
        Planetocentric latitude of the Sun.
    meridian_deg
        East longitude that faces us.
    sun_longitude_deg
        The planet's season (Mars).
    seen
        The moment, or None without a date.
    """

    globe: Globe
    sun_au: float
    earth_au: float
    sun_tilt_deg: float
    meridian_deg: float
    sun_longitude_deg: float
    seen: Sight | None

    @property
    def phase_deg(self) -> float:
        """Angle Sun - planet - observer."""
        return self.globe.phase_deg

    def altitude_deg(self) -> float | None:
        """Apparent altitude, or None without a date and place."""
        return self.seen.altitude_deg if self.seen else None

    def declination_deg(self) -> float:
        """Declination J2000, 0 without a date."""
        return self.seen.dec_deg if self.seen else 0.0


def diameter_arcsec(distance_au: float, radius_km: float) -> float:
    """Return the equatorial diameter at a distance in au."""
    return 2.0 * radius_km / KM_PER_AU / distance_au * ARCSEC_PER_RADIAN


def distance_au(diameter_arcsec: float, radius_km: float) -> float:
    """Return the distance at which a globe's equator has that diameter."""
    return 2.0 * radius_km / KM_PER_AU / (diameter_arcsec / ARCSEC_PER_RADIAN)


def flattening(body: str) -> float:
    """Return (a - c) / a of a body."""
    equator, pole = RADII_KM[body]
    return 1.0 - pole / equator


def aspect_of(
    body: str, mean: dict[str, float], given: dict[str, Any], sizes: tuple[float, float]
) -> Aspect:
    """Return how a planet stands.

    Parameters
    ----------
    mean
        Values without a date; needs ``sun_au`` and ``earth_au``.
    given
        What the user gave (None: nothing): ``date``, ``latitude_deg``, ``longitude_deg``,
        ``diameter_arcsec`` and the names of _RANGES. A date sets all; other values, given
        too, take its place.
    sizes
        Allowed ``diameter_arcsec``.

    Raises
    ------
    RangeError
        A value out of range, or a place without a date.
    """
    seen = _seen(body, given)
    values = dict(mean)
    if seen is not None:
        for word in (*_RANGES, "sun_au", "earth_au", "sun_tilt_deg"):
            values[word] = getattr(seen, word)
    for word, (low, high, unit) in _RANGES.items():
        if given.get(word) is not None:
            values[word] = require_range(word, given[word], low, high, unit=unit)
    radius = RADII_KM[body][0]
    size = diameter_arcsec(values["earth_au"], radius)
    if given.get("diameter_arcsec") is not None:
        size = require_range("diameter_arcsec", given["diameter_arcsec"], *sizes, unit="arcsec")
        values["earth_au"] = distance_au(size, radius)
    globe = Globe(
        diameter_arcsec=size,
        flattening=flattening(body),
        tilt_deg=values.get("tilt_deg", 0.0),
        pole_angle_deg=values.get("pole_angle_deg", 0.0),
        phase_deg=values.get("phase_deg", 0.0),
        sun_angle_deg=values.get("sun_angle_deg", 90.0),
    )
    return Aspect(
        globe=globe,
        sun_au=values["sun_au"],
        earth_au=values["earth_au"],
        sun_tilt_deg=_latitude_of(globe.sun()[2]),
        meridian_deg=values.get("meridian_deg", 0.0),
        sun_longitude_deg=values.get("sun_longitude_deg", 0.0),
        seen=seen,
    )


def _seen(body: str, given: dict[str, Any]) -> Sight | None:
    if given.get("date") is None:
        for word in ("latitude_deg", "longitude_deg"):
            if given.get(word) is not None:
                raise RangeError(word, got="a place without a date", allowed="with a date")
        return None
    return sight(
        body,
        given["date"],
        latitude_deg=given.get("latitude_deg"),
        longitude_deg=given.get("longitude_deg"),
    )


def _latitude_of(upwards: float) -> float:
    return math.degrees(math.asin(max(-1.0, min(1.0, upwards))))
