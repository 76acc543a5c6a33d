"""The planets as targets: size, phase and brightness published, surface detail drawn.

Every planet can be had as it is on average, by its own figures, or for a date and a place.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from simview.errors import RangeError, require_range
from simview.scene import galilean, saturnian
from simview.scene import jupiter as clouds
from simview.scene import mars as ground
from simview.scene import saturn as rings_and_globe
from simview.scene.aspect import aspect_of
from simview.scene.brightness import saturn_magnitude
from simview.scene.ephemeris import moment_notes
from simview.scene.globe import Face, Globe
from simview.scene.noise import Values
from simview.scene.painting import (
    boxed,
    globe_drawing,
    mapped,
    mean_luminance_cd_m2,
    painter,
    sunlight,
)
from simview.scene.planet_target import (
    LIMB,
    SIZES,
    SUN_AU,
    given_options,
    lit_share,
    mean_opposition,
    planet_target,
)
from simview.scene.scene import Scene, Target

# Latitude of Jupiter that faces us without a date, deg: its axis stands 3.12 deg off its orbit's
# (Archinal et al. 2018), whose 1.30 deg to ours add a fifth as seen from the Earth, so it swings by
# some 3.4 deg; this is the root of its mean square. So the moons do not stand on one line.
# Checked by: tests/unit/scene/test_moons_by_default.py
_USUAL_TILT: Final = 2.4


def jupiter(
    diameter_arcsec: float | None = None,
    meridian_deg: float | None = None,
    seed: int = 5,
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Target:
    """Return Jupiter with its four large moons: at mean opposition, or for a date.

    Parameters
    ----------
    diameter_arcsec
        Equatorial, 25 to 55 arcsec.
    meridian_deg
        Which longitude of the drawn map faces us; the Great Red Spot lies at 180.
    seed
        Which clouds, 0 to 2**32 - 1.
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place.
    """
    given = given_options(locals())
    number = int(require_range("seed", seed, 0, 2**32 - 1))
    held = aspect_of(
        "jupiter",
        mean_opposition("jupiter", meridian_deg=165.0, tilt_deg=_USUAL_TILT),
        given,
        SIZES["jupiter"],
    )
    colour = mapped(lambda: clouds.cloud_map(number), held.globe, held.meridian_deg)
    moons = held.seen.moons if held.seen else galilean.usual(held.globe)
    colour = galilean.shadowed(colour, held.globe, moons)

    def finish(scene: Scene) -> Scene:
        return galilean.with_moons(scene, held.globe, moons, held.sun_au * held.earth_au)

    shadows = galilean.shadows_on(held.globe, moons)
    placed = "" if held.seen else f". {galilean.NOTE.rstrip('.')}"
    return planet_target(
        "jupiter",
        held,
        given,
        drawing=globe_drawing(held.globe, colour, LIMB["jupiter"]),
        contrast=0.25,
        drawn="belts at published latitudes; clouds, and the place of the Great Red Spot, invented"
        + placed,
        finish=finish,
        shadows=shadows,
        moons=galilean.beside(held.globe, moons, held.sun_au * held.earth_au),
        fetch=_Clouds(number),
    )


@dataclass(frozen=True, slots=True)
class _Clouds:
    """Draws Jupiter's map, which takes a sixth of a second, and keeps it."""

    seed: int

    def __call__(self) -> None:
        clouds.cloud_map(self.seed)


# How far Saturn's rings are open without a date, deg: as in 2021.
# Checked by: tests/unit/scene/test_saturn_shows.py
_USUAL_OPENING: Final = 20.0


def saturn(
    diameter_arcsec: float | None = None,
    tilt_deg: float | None = None,
    phase_deg: float | None = None,
    sun_angle_deg: float | None = None,
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Target:
    """Return Saturn with its rings and Titan.

    Without a date it is as large as at its mean opposition, and lit from 5.5 deg aside, as about
    seven weeks before it: most of the time its globe's shadow lies on the rings.

    Parameters
    ----------
    diameter_arcsec
        Of the globe's equator, 13 to 22 arcsec.
    tilt_deg
        Ring opening, -27 to 27 deg; positive shows the north face.
    phase_deg
        Angle Sun - Saturn - Earth, 0 to 6.5 deg: the globe's shadow on the rings, and below a
        degree their opposition surge.
    sun_angle_deg
        Position angle towards the Sun: 90 before opposition, 270 after it.
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place.
    """
    given = given_options(locals())
    for word, low, high in (("tilt_deg", -27.0, 27.0), ("phase_deg", 0.0, 6.5)):
        if word in given:
            require_range(word, given[word], low, high, unit="deg")
    mean = mean_opposition("saturn", tilt_deg=_USUAL_OPENING, phase_deg=5.5, sun_angle_deg=90.0)
    held = aspect_of("saturn", mean, given, SIZES["saturn"])
    globe = held.globe
    magnitude = saturn_magnitude(
        held.sun_au, held.earth_au, globe.phase_deg, globe.tilt_deg, held.sun_tilt_deg
    )
    km = globe.diameter_arcsec / rings_and_globe.EQUATOR_KM
    rings, inner = km * rings_and_globe.EDGES_KM[-1], km * rings_and_globe.EDGES_KM[1]
    across, along = globe.outline
    opening = abs(math.sin(math.radians(globe.tilt_deg)))
    moons = held.seen.moons if held.seen else saturnian.usual(globe)

    def finish(scene: Scene) -> Scene:
        return galilean.with_moons(scene, globe, moons, held.sun_au * held.earth_au)

    return Target(
        name="saturn",
        title=f"Saturn, rings {rings:.1f}″, open {abs(held.globe.tilt_deg):.0f}°",
        kind="planet",
        size_arcsec=rings,
        paint=painter(
            rings_and_globe.draw_saturn(globe, sunlight()),
            reach_arcsec=_saturn_box(globe, 0.5 * rings),
            detail_arcsec=rings / 1300.0,
            magnitude=magnitude,
            finish=finish,
        ),
        magnitude=magnitude,
        luminance_cd_m2=mean_luminance_cd_m2(
            magnitude, math.pi * (across * along + 0.25 * opening * (rings**2 - inner**2))
        ),
        contrast=0.5,
        declination_deg=held.declination_deg(),
        notes=(
            "Saturn: sizes, rings, magnitude published (Archinal et al. 2018; French et al. 2017; "
            "Mallama & Hilton 2018); bands and ringlets drawn after published contrasts.",
            *(moment_notes(held.seen) or (saturnian.NOTE,)),
        ),
        recipe={"name": "saturn", **given},
        altitude_deg=held.altitude_deg(),
        moons=galilean.beside(globe, moons, held.sun_au * held.earth_au),
    )


def _saturn_box(globe: Globe, rings: float) -> tuple[float, float]:
    opening = abs(math.sin(math.radians(globe.tilt_deg)))
    by_rings = boxed(rings, rings * opening, globe.pole_angle_deg)
    by_globe = boxed(*globe.outline, globe.pole_angle_deg)
    return max(by_rings[0], by_globe[0]), max(by_rings[1], by_globe[1])


def mars(  # noqa: PLR0913, PLR0917 - one word for each thing that may be set
    diameter_arcsec: float | None = None,
    tilt_deg: float | None = None,
    meridian_deg: float | None = None,
    phase_deg: float | None = None,
    sun_longitude_deg: float | None = None,
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Target:
    """Return Mars: dark areas, polar caps by the season, phase.

    Parameters
    ----------
    diameter_arcsec
        3.4 to 26 arcsec.
    tilt_deg
        Latitude that faces us.
    meridian_deg
        East longitude that faces us.
    phase_deg
        0 to 47 deg.
    sun_longitude_deg
        Season: 0 northern spring, 90 northern summer.
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place.
    """
    given = given_options(locals())
    if "phase_deg" in given:
        require_range("phase_deg", phase_deg or 0.0, 0.0, 47.0, unit="deg")
    mean = mean_opposition("mars", tilt_deg=-12.0, meridian_deg=65.0, sun_longitude_deg=270.0)
    held = aspect_of("mars", mean, given, SIZES["mars"])
    season = round(held.sun_longitude_deg, 1)
    return planet_target(
        "mars",
        held,
        given,
        drawing=globe_drawing(
            held.globe,
            mapped(lambda: ground.surface_map(season), held.globe, held.meridian_deg),
            LIMB["mars"],
        ),
        contrast=0.3,
        drawn="dark areas at their published places, simplified; caps after the season",
    )


def venus(
    phase_deg: float | None = None,
    diameter_arcsec: float | None = None,
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Target:
    """Return Venus: its phase, its cusps; the clouds show next to nothing.

    Parameters
    ----------
    phase_deg
        Angle Sun - Venus - Earth, 0 (full) to 163 deg (thin crescent); the size follows it.
    diameter_arcsec
        9 to 68 arcsec, instead of the size that follows from the phase.
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place.
    """
    return _inner("venus", given_options(locals()), 163.0, _plain((0.90, 0.86, 0.74)))


def mercury(
    phase_deg: float | None = None,
    diameter_arcsec: float | None = None,
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Target:
    """Return Mercury: small, its phase.

    Parameters
    ----------
    phase_deg
        Angle Sun - Mercury - Earth, 0 to 165 deg; the size follows it.
    diameter_arcsec
        4 to 14 arcsec, instead of the size that follows from the phase.
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place.
    """
    return _inner("mercury", given_options(locals()), 165.0, _plain((0.15, 0.135, 0.11)))


def _inner(
    body: str, given: dict[str, Any], largest_phase: float, colour: Callable[[Face], Values]
) -> Target:
    phase = require_range("phase_deg", given.get("phase_deg", 90.0), 0.0, largest_phase, unit="deg")
    sun_au = SUN_AU[body]
    angle = math.radians(phase)
    # The triangle Sun - planet - Earth with sides sun_au and 1 au and this angle at the planet.
    earth_au = sun_au * math.cos(angle) + math.sqrt(1.0 - (sun_au * math.sin(angle)) ** 2)
    mean = {"sun_au": sun_au, "earth_au": earth_au, "phase_deg": phase, "sun_angle_deg": 270.0}
    held = aspect_of(body, mean, given, SIZES[body])
    if held.phase_deg > largest_phase + 7.0:
        raise RangeError(
            "date",
            got=given.get("date"),
            allowed="a day when it is not almost in front of the Sun",
            remedy="never look there with any instrument",
        )
    return planet_target(
        body,
        held,
        given,
        drawing=globe_drawing(held.globe, colour, LIMB[body]),
        contrast=0.3,
        drawn="surface plain",
        extra=f"{round(100 * lit_share(held.phase_deg))} % lit",
    )


def _plain(colour: tuple[float, float, float]) -> Callable[[Face], Values]:
    def paint(seen: Face) -> Values:
        even = np.array(colour, np.float32)[:, None, None]
        return np.ones((3, *seen.cover.shape), np.float32) * even

    return paint


def uranus(
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Target:
    """Return Uranus as what it is: a small pale greenish disc.

    Parameters
    ----------
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place.
    """
    given = given_options(locals())
    mean = mean_opposition("uranus", tilt_deg=65.0, pole_angle_deg=290.0)
    return _far("uranus", mean, given, (0.44, 0.56, 0.59))


def neptune(
    date: str | None = None,
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
) -> Target:
    """Return Neptune as what it is: hardly more than a bluish star.

    Parameters
    ----------
    date, latitude_deg, longitude_deg
        Moment (see `simview.scene.moment.moment`) and place.
    """
    given = given_options(locals())
    mean = mean_opposition("neptune", tilt_deg=-22.0, pole_angle_deg=320.0)
    return _far("neptune", mean, given, (0.37, 0.50, 0.58))


def _far(
    body: str, mean: dict[str, float], given: dict[str, Any], colour: tuple[float, float, float]
) -> Target:
    """Draw a far giant: one colour, its sunlit pole a little brighter.

    What `colour` says of it is only the start: the disc is brought to its published colour.
    """
    held = aspect_of(body, mean, given, SIZES[body])
    base = np.array(colour, np.float32)[:, None, None]

    def paint(seen: Face) -> Values:
        latitude = seen.latitude(held.globe.squash)
        hood = 1.0 + 0.08 / (1.0 + np.exp(-(np.degrees(latitude) - 45.0) / 6.0))
        return np.asarray(base * hood, np.float32)

    return planet_target(
        body,
        held,
        given,
        drawing=globe_drawing(held.globe, paint, LIMB[body]),
        contrast=0.1,
        drawn="colour after Mallama et al. 2017",
    )
