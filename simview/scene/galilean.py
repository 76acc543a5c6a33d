"""Jupiter's four large moons, and Titan: discs beside and before the planet, shadows on it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from simview.scene.ephemeris import RADII_KM, Moonlet
from simview.scene.globe import Face, Globe
from simview.scene.noise import Values
from simview.scene.painting import mean_luminance_cd_m2, sunlight
from simview.scene.scene import Satellite, Scene, Stars
from simview.scene.star_colour import temperature_of_bv

# Mean radii in km and V at 1 au from Sun and Earth. Source: Archinal et al. 2018 (radii);
# encyclopaedias' magnitudes at mean opposition: 5.02, 5.29, 4.61, 5.65;
# Saturn's as in Allen's Astrophysical Quantities (memory): 8.28, 9.7, 10.4, 10.2 and, midway
# between its two sides, 11.0.
_MOONS: Final = {
    "io": (1821.5, -1.68),
    "europa": (1560.8, -1.41),
    "ganymede": (2631.2, -2.09),
    "callisto": (2410.3, -1.05),
    "titan": (2575.0, -1.28),
    "rhea": (763.5, 0.14),
    "dione": (561.4, 0.84),
    "tethys": (531.0, 0.64),
    "iapetus": (734.3, 1.44),
}

# Colours against sunlight with luminance about 1: Io yellow, the others near white (memory).
_COLOURS: Final = {
    "io": (1.15, 1.0, 0.55),
    "europa": (1.03, 1.0, 0.88),
    "ganymede": (1.05, 1.0, 0.84),
    "callisto": (1.06, 1.0, 0.80),
    "titan": (1.20, 1.0, 0.45),
    "rhea": (1.03, 1.0, 0.90),
    "dione": (1.02, 1.0, 0.93),
    "tethys": (1.02, 1.0, 0.93),
    "iapetus": (1.03, 1.0, 0.90),
}

# Colour indices B-V. Source: Allen's Astrophysical Quantities (memory).
_BV: Final = {
    "io": 1.17,
    "europa": 0.87,
    "ganymede": 0.83,
    "callisto": 0.86,
    "titan": 1.28,
    "rhea": 0.78,
    "dione": 0.71,
    "tethys": 0.73,
    "iapetus": 0.72,
}

# The Sun's radius over a planet's distance, as an angle: width of the shadows' penumbra.
# Source: 696 000 km (IAU) over 5.2 and 9.55 au.
_SUN_RADIAN: Final = {"jupiter": 8.94e-4, "saturn": 4.87e-4}


# Where the moons stand without a date: distances in Jupiter's radii (Archinal et al. 2018; orbits
# of Allen's Astrophysical Quantities, memory) and angles in their orbits from behind the planet,
# deg. The angles are invented; no moon is hidden, and none covers another.
_USUAL: Final = {
    "io": (5.905, 118.0),
    "europa": (9.397, 241.0),
    "ganymede": (14.99, 62.0),
    "callisto": (26.37, 305.0),
}

NOTE: Final = "Moons at published distances; places in their orbits invented."


def usual(globe: Globe) -> tuple[Moonlet, ...]:
    """Return the four moons as they stand without a date, in the plane of the equator."""
    moons = []
    for name, (radii, angle_deg) in _USUAL.items():
        reach, angle = radii * globe.radius, math.radians(angle_deg)
        tilt, turn = math.radians(globe.tilt_deg), math.radians(globe.pole_angle_deg)
        right, behind = reach * math.sin(angle), reach * math.cos(angle)
        up = behind * math.sin(tilt)
        moons.append(
            Moonlet(
                name=name,
                x_arcsec=right * math.cos(turn) - up * math.sin(turn),
                y_arcsec=up * math.cos(turn) + right * math.sin(turn),
                depth_arcsec=behind * math.cos(tilt),
            )
        )
    return tuple(moons)


def moon_magnitude(name: str, sun_times_earth_au: float) -> float:
    """Return a moon's V without its phase term (below 0.1 mag within 6 deg of opposition)."""
    return _MOONS[name][1] + 5.0 * math.log10(sun_times_earth_au)


def _in_body_frame(globe: Globe, moon: Moonlet) -> tuple[float, float, float]:
    """Return a moon's place in the planet's frame, arcsec."""
    right, up = globe.turned(np.float64(moon.x_arcsec), np.float64(moon.y_arcsec))  # type: ignore[arg-type]
    tilt, ahead = math.radians(globe.tilt_deg), -moon.depth_arcsec
    return (
        -math.sin(tilt) * float(up) + math.cos(tilt) * ahead,
        float(right),
        math.cos(tilt) * float(up) + math.sin(tilt) * ahead,
    )


def _planet_of(name: str) -> str:
    return "jupiter" if name in _USUAL else "saturn"


def _radius_arcsec(globe: Globe, name: str) -> float:
    return globe.radius * _MOONS[name][0] / RADII_KM[_planet_of(name)][0]


def shadowed(
    colour: Callable[[Face], Values], globe: Globe, moons: Sequence[Moonlet]
) -> Callable[[Face], Values]:
    """Return a surface's colour with the moons' shadows on it."""
    sun = np.array(globe.sun())
    spots = []
    for moon in moons:
        place = np.array(_in_body_frame(globe, moon))
        along, aside = _of_the_sun(place, sun)
        if along > 0.0 and float(np.linalg.norm(aside)) < 1.1 * globe.radius:
            sun_radian = _SUN_RADIAN[_planet_of(moon.name)]
            spots.append((place, along, _radius_arcsec(globe, moon.name), sun_radian))

    def paint(seen: Face) -> Values:
        planes = colour(seen)
        for place, along, radius, sun_radian in spots:
            reach = seen.x * sun[0] + seen.y * sun[1] + seen.z * sun[2]
            square = np.zeros_like(seen.x, dtype=np.float64)
            for axis, point in enumerate((seen.x, seen.y, seen.z)):
                square += (point - reach * sun[axis] - (place[axis] - along * sun[axis])) ** 2
            penumbra = sun_radian * np.maximum(along - reach, 0.0) + 1e-3 * radius
            planes *= np.clip(0.5 + 0.5 * (np.sqrt(square) - radius) / penumbra, 0.0, 1.0)
        return planes

    return paint if spots else colour


def shadows_on(globe: Globe, moons: Sequence[Moonlet]) -> tuple[tuple[str, float], ...]:
    """Return the moons whose shadows lie wholly on the side that faces us, and their diameters.

    The diameter, arcsec, is the moon's own, half-shadow at its edge taken for shadow.
    """
    sun, found = np.array(globe.sun()), []
    rounded = np.array([1.0, 1.0, globe.squash])  # turns the globe into a ball
    tilt = math.radians(globe.tilt_deg)
    towards_us = np.array([math.cos(tilt), 0.0, math.sin(tilt)])
    for moon in moons:
        along, aside = _of_the_sun(np.array(_in_body_frame(globe, moon)), sun)
        radius = _radius_arcsec(globe, moon.name)
        start, way = aside * rounded, sun * rounded
        half = float(start @ way) / float(way @ way)
        root = half**2 - (float(start @ start) - (globe.radius - radius) ** 2) / float(way @ way)
        if along <= 0.0 or root <= 0.0:
            continue
        spot = aside + (math.sqrt(root) - half) * sun
        if float(spot * rounded**2 @ towards_us) > 0.0:
            found.append((moon.name, 2.0 * radius))
    return tuple(found)


def _of_the_sun(place: Values, sun: Values) -> tuple[float, Values]:
    """Return how far a place lies towards the Sun, and how far beside the line to it."""
    along = float(place @ sun)
    return along, place - along * sun


def with_moons(
    scene: Scene, globe: Globe, moons: Sequence[Moonlet], sun_times_earth_au: float
) -> Scene:
    """Return the scene with all moons that are not hidden behind the planet or in its shadow.

    Before the disc and at its limb they cover what lies behind; beside it they print as stars do,
    discs of 1 to 2 arcsec where a telescope shows them as such.
    """
    planes = scene.planes.copy()
    stars: list[tuple[float, float, float, float, float]] = []
    for moon in sorted(moons, key=lambda m: -m.depth_arcsec):
        if _hidden(globe, moon):
            continue
        magnitude = moon_magnitude(moon.name, sun_times_earth_au)
        radius = _radius_arcsec(globe, moon.name)
        if _is_beside(globe, moon):
            stars.append((moon.x_arcsec, moon.y_arcsec, magnitude, _BV[moon.name], radius))
            continue
        level = mean_luminance_cd_m2(magnitude, math.pi * radius**2)
        tint = np.array(_COLOURS[moon.name]) * sunlight()
        _add_disc(planes, scene.pixel_arcsec, moon, radius, level * tint)
    x, y, v, bv, disc = np.array(stars).reshape(-1, 5).T
    shown = Stars(
        x_arcsec=x,
        y_arcsec=y,
        magnitude=v,
        temperature_k=temperature_of_bv(bv),
        radius_arcsec=disc,
    )
    return replace(scene, planes=planes, stars=shown)


def beside(
    globe: Globe, moons: Sequence[Moonlet], sun_times_earth_au: float
) -> tuple[Satellite, ...]:
    """Return the moons that `with_moons` draws beside the planet, as stars are."""
    return tuple(
        Satellite(
            name=moon.name,
            x_arcsec=moon.x_arcsec,
            y_arcsec=moon.y_arcsec,
            magnitude=moon_magnitude(moon.name, sun_times_earth_au),
        )
        for moon in moons
        if _is_beside(globe, moon) and not _hidden(globe, moon)
    )


def _is_beside(globe: Globe, moon: Moonlet) -> bool:
    return math.hypot(moon.x_arcsec, moon.y_arcsec) > 1.15 * globe.radius


def _hidden(globe: Globe, moon: Moonlet) -> bool:
    """Tell whether the planet covers a moon, or keeps the Sun from it."""
    across, along = globe.outline
    right, up = globe.turned(np.float64(moon.x_arcsec), np.float64(moon.y_arcsec))  # type: ignore[arg-type]
    covered = math.hypot(float(right) / across, float(up) / along) < 1.0
    if covered and moon.depth_arcsec > 0.0:
        return True
    place, sun = np.array(_in_body_frame(globe, moon)), np.array(globe.sun())
    toward = float(place @ sun)
    aside = place - toward * sun
    aside[2] *= globe.squash
    return toward < 0.0 and float(np.linalg.norm(aside)) < globe.radius


def _add_disc(
    planes: Values, pixel_arcsec: float, moon: Moonlet, radius: float, colour: Values
) -> None:
    """Lay a disc over the picture, each pixel by the share of it that is covered."""
    pixels = planes.shape[1]
    column = pixels // 2 + moon.x_arcsec / pixel_arcsec
    row = pixels // 2 - moon.y_arcsec / pixel_arcsec
    half = radius / pixel_arcsec + 1.5
    top, bottom = max(0, math.floor(row - half)), min(pixels, math.ceil(row + half) + 1)
    left, right = max(0, math.floor(column - half)), min(pixels, math.ceil(column + half) + 1)
    if top >= bottom or left >= right:
        return
    fine = 16
    inside = (np.arange(fine) + 0.5) / fine - 0.5
    y = (np.arange(top, bottom)[:, None] + inside).ravel() - row
    x = (np.arange(left, right)[:, None] + inside).ravel() - column
    square = (x[None, :] ** 2 + y[:, None] ** 2) * (pixel_arcsec / radius) ** 2
    # Slightly darkened towards the limb; the mean over the disc stays 1.
    bright = np.where(square < 1.0, 0.85 + 0.30 * (1.0 - np.minimum(square, 1.0)), 0.0)
    shape = (bottom - top, fine, right - left, fine)
    cover = (square < 1.0).reshape(shape).mean(axis=(1, 3))
    light = bright.reshape(shape).mean(axis=(1, 3))
    for k in range(3):
        here = planes[k, top:bottom, left:right]
        here *= (1.0 - cover).astype(np.float32)
        here += (colour[k] * light).astype(np.float32)
