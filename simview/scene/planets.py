"""Jupiter and Saturn as targets: sizes and brightness published, cloud detail drawn."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.scene import jupiter as clouds
from simview.scene import saturn as rings_and_globe
from simview.scene.colour import SUN_K, rgb_of_temperature
from simview.scene.globe import Globe, face, minnaert
from simview.scene.noise import Values, lookup
from simview.scene.sampling import Draw, area_mean
from simview.scene.scene import Scene, Target
from simview.scene.spectrum import LUMINANCE_WEIGHTS
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

# Kilometres in an astronomical unit. Source: IAU 2012 Resolution B2, exact.
KM_PER_AU: Final = 149_597_870.7

# Equatorial and polar radii at the 1-bar level, km. Source: Archinal et al. 2018 (IAU working
# group on cartographic coordinates), Celest. Mech. Dyn. Astr. 130, 22.
JUPITER_KM: Final = (71492.0, 66854.0)
SATURN_KM: Final = (60268.0, 54364.0)

# Mean distances from the Sun, au. Source: Standish's mean elements (memory).
JUPITER_AU: Final = 5.2026
SATURN_AU: Final = 9.5549

# Limb darkening of the giants, Minnaert's exponent in red, green, blue.
# Source: near 1 in the visible, lower in the blue, after Tejfel's profiles (memory).
_JUPITER_LIMB: Final = (0.98, 0.96, 0.90)

# Points across a globe beyond which its map holds nothing finer.
_MAP_DETAIL: Final = 900


def flattening(radii_km: tuple[float, float]) -> float:
    """Return (a - c) / a."""
    return 1.0 - radii_km[1] / radii_km[0]


def distance_au(diameter_arcsec: float, radius_km: float) -> float:
    """Return the distance at which a globe's equator has that diameter."""
    return 2.0 * radius_km / KM_PER_AU / (diameter_arcsec / ARCSEC_PER_RADIAN)


def diameter_arcsec(distance: float, radius_km: float) -> float:
    """Return the equatorial diameter at a distance in au."""
    return 2.0 * radius_km / KM_PER_AU / distance * ARCSEC_PER_RADIAN


def jupiter_magnitude(sun_au: float, earth_au: float, phase_deg: float) -> float:
    """Return Jupiter's V.

    Source: Mallama & Hilton 2018, Astronomy and Computing 25, 10, eq. 8 (phase below 12 deg).
    Checked by: tests/truth/test_planet_brightness.py
    """
    near = -9.395 - 3.7e-4 * phase_deg + 6.16e-4 * phase_deg**2
    return near + 5.0 * math.log10(sun_au * earth_au)


def luminance(planes: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the luminance of planes (3, ...), in their unit."""
    return np.tensordot(LUMINANCE_WEIGHTS.astype(np.float32), planes, axes=1)


def collected(planes: NDArray[np.float32], pixel_arcsec: float) -> float:
    """Return the illuminance in lux that planes in cd/m2 give outside the air."""
    total = luminance(planes).sum(dtype=np.float64)
    return float(total) * (pixel_arcsec / ARCSEC_PER_RADIAN) ** 2


def calibrated(
    draw: Callable[[float], Draw], reach_arcsec: tuple[float, float], magnitude: float
) -> float:
    """Return the factor that gives a drawing its published magnitude.

    It comes from one drawing of its own at a fixed sampling, so that every later sampling shows
    the same surface brightness.
    """
    pixel = 2.0 * max(reach_arcsec) / 320.0
    finest = pixel / 2.0
    planes = area_mean(
        draw(finest),
        pixel_arcsec=pixel,
        pixels=324,
        reach_arcsec=reach_arcsec,
        finest_arcsec=finest,
    )
    return illuminance_lux(magnitude) / collected(planes, pixel)


def sunlight() -> NDArray[np.float32]:
    """Return the colour of sunlight, linear sRGB with luminance 1."""
    return rgb_of_temperature(SUN_K).astype(np.float32)


def painter(
    draw: Callable[[float], Draw],
    *,
    reach_arcsec: tuple[float, float],
    detail_arcsec: float,
    magnitude: float,
) -> Callable[[float, int], Scene]:
    """Return the `paint` of a globe: area means, published magnitude.

    Parameters
    ----------
    draw
        Gives, for a spacing of points in arcsec, the function that shows the globe there.
    reach_arcsec
        All that it draws lies within this of the centre, in x and in y.
    detail_arcsec
        Finest detail that it holds.
    magnitude
        Integrated V.
    """

    @cache
    def scale() -> np.float32:
        return np.float32(calibrated(draw, reach_arcsec, magnitude))

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        fine = max(1, math.ceil(pixel_arcsec / detail_arcsec))
        planes = area_mean(
            draw(pixel_arcsec / fine),
            pixel_arcsec=pixel_arcsec,
            pixels=pixels,
            reach_arcsec=reach_arcsec,
            finest_arcsec=pixel_arcsec / fine * 1.0001,
        )
        planes *= scale()
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec)

    return paint


def mean_luminance_cd_m2(magnitude: float, area_arcsec2: float) -> float:
    """Return the mean luminance of light of that magnitude over an area."""
    return illuminance_lux(magnitude) / (area_arcsec2 / ARCSEC_PER_RADIAN**2)


def draw_jupiter(globe: Globe, meridian_deg: float, seed: int) -> Callable[[float], Draw]:
    """Return the drawing of Jupiter's globe with a map longitude on its central meridian."""
    texture = clouds.cloud_map(seed)

    def at(cell_arcsec: float) -> Draw:
        def draw(x: Values, y: Values) -> Values:
            seen = face(globe, x, y, cell_arcsec)
            row = (90.0 - np.degrees(seen.latitude(globe.squash))) * (clouds.HEIGHT / 180.0) - 0.5
            longitude = meridian_deg + np.degrees(seen.longitude())
            column = longitude % 360.0 * (clouds.WIDTH / 360.0) - 0.5
            colour = lookup(texture, row.astype(np.float32), column.astype(np.float32))
            planes = np.moveaxis(colour * sunlight(), -1, 0)
            for k, exponent in enumerate(_JUPITER_LIMB):
                planes[k] *= minnaert(seen.lit, seen.seen, exponent) * seen.cover
            return planes

        return draw

    return at


def jupiter(
    diameter_arcsec: float | None = None, meridian_deg: float = 165.0, seed: int = 5
) -> Target:
    """Return Jupiter at opposition.

    Parameters
    ----------
    diameter_arcsec
        Equatorial, 25 to 55 arcsec; None: mean opposition, 46.9.
    meridian_deg
        Which longitude of the drawn map faces us; the Great Red Spot lies at 180.
    seed
        Which clouds, 0 to 2**32 - 1.
    """
    size = _giant_size(diameter_arcsec, JUPITER_KM, JUPITER_AU, (25.0, 55.0))
    globe = Globe(diameter_arcsec=size, flattening=flattening(JUPITER_KM))
    meridian = require_range("meridian_deg", meridian_deg, -360.0, 720.0, unit="deg")
    number = int(require_range("seed", seed, 0, 2**32 - 1))
    magnitude = jupiter_magnitude(JUPITER_AU, distance_au(size, JUPITER_KM[0]), 0.0)
    across, along = globe.outline
    return Target(
        name="jupiter",
        title=f"Jupiter, {size:.1f}″",
        kind="planet",
        size_arcsec=size,
        paint=painter(
            draw_jupiter(globe, meridian, number),
            reach_arcsec=boxed(*globe.outline, globe.pole_angle_deg),
            detail_arcsec=size / _MAP_DETAIL,
            magnitude=magnitude,
        ),
        magnitude=magnitude,
        luminance_cd_m2=mean_luminance_cd_m2(magnitude, math.pi * across * along),
        contrast=0.25,
        notes=(
            "Jupiter: size, flattening and magnitude published (Archinal et al. 2018; Mallama & "
            "Hilton 2018); belts at their published latitudes; cloud detail invented.",
        ),
        recipe={
            "name": "jupiter",
            "diameter_arcsec": size,
            "meridian_deg": meridian,
            "seed": number,
        },
    )


def saturn_magnitude(
    sun_au: float, earth_au: float, phase_deg: float, tilt_deg: float, sun_tilt_deg: float
) -> float:
    """Return the V of Saturn with its rings.

    Parameters
    ----------
    tilt_deg, sun_tilt_deg
        Planetocentric latitude of the Earth and of the Sun; on opposite sides of the ring plane
        the rings count as edge-on.

    Notes
    -----
    Source: Mallama & Hilton 2018, Astronomy and Computing 25, 10, eq. 10 (phase below 6.5 deg,
    ring opening below 27 deg).
    Checked by: tests/truth/test_planet_brightness.py
    """
    opening = math.sin(math.radians(math.sqrt(max(tilt_deg * sun_tilt_deg, 0.0))))
    near = -8.914 - 1.825 * opening + 0.026 * phase_deg
    near -= 0.378 * opening * math.exp(-2.25 * phase_deg)
    return near + 5.0 * math.log10(sun_au * earth_au)


def saturn(
    diameter_arcsec: float | None = None,
    tilt_deg: float = 20.0,
    phase_deg: float = 3.0,
    sun_angle_deg: float = 90.0,
) -> Target:
    """Return Saturn with its rings.

    Parameters
    ----------
    diameter_arcsec
        Of the globe's equator, 13 to 22 arcsec; None: mean opposition, 19.4.
    tilt_deg
        Ring opening, -27 to 27 deg; positive shows the north face.
    phase_deg
        Angle Sun - Saturn - Earth, 0 to 6.4 deg: the globe's shadow on the rings.
    sun_angle_deg
        Position angle towards the Sun: 90 before opposition, 270 after it.
    """
    size = _giant_size(diameter_arcsec, SATURN_KM, SATURN_AU, (13.0, 22.0))
    tilt = require_range("tilt_deg", tilt_deg, -27.0, 27.0, unit="deg")
    phase = require_range("phase_deg", phase_deg, 0.0, 6.4, unit="deg")
    sun_angle = require_range("sun_angle_deg", sun_angle_deg, 0.0, 360.0, unit="deg")
    globe = Globe(
        diameter_arcsec=size,
        flattening=flattening(SATURN_KM),
        tilt_deg=tilt,
        phase_deg=phase,
        sun_angle_deg=sun_angle,
    )
    sun_tilt = math.degrees(math.asin(globe.sun()[2]))
    earth_au = distance_au(size, SATURN_KM[0])
    magnitude = saturn_magnitude(SATURN_AU, earth_au, phase, tilt, sun_tilt)
    return _saturn_target(
        globe,
        magnitude,
        {
            "name": "saturn",
            "diameter_arcsec": size,
            "tilt_deg": tilt,
            "phase_deg": phase,
            "sun_angle_deg": sun_angle,
        },
    )


def boxed(across: float, along: float, angle_deg: float) -> tuple[float, float]:
    """Return how far an ellipse reaches in x and y when its axis is turned by an angle."""
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return math.hypot(across * cos, along * sin), math.hypot(across * sin, along * cos)


def _saturn_box(globe: Globe, rings: float) -> tuple[float, float]:
    opening = abs(math.sin(math.radians(globe.tilt_deg)))
    by_rings = boxed(rings, rings * opening, globe.pole_angle_deg)
    by_globe = boxed(*globe.outline, globe.pole_angle_deg)
    return max(by_rings[0], by_globe[0]), max(by_rings[1], by_globe[1])


def _saturn_target(globe: Globe, magnitude: float, recipe: dict[str, Any]) -> Target:
    rings = globe.diameter_arcsec * rings_and_globe.EDGES_KM[-1] / rings_and_globe.EQUATOR_KM
    across, along = globe.outline
    opening = abs(math.sin(math.radians(globe.tilt_deg)))
    inner = globe.diameter_arcsec * rings_and_globe.EDGES_KM[1] / rings_and_globe.EQUATOR_KM
    area = math.pi * (across * along + 0.25 * opening * (rings**2 - inner**2))
    return Target(
        name="saturn",
        title=f"Saturn, rings {rings:.1f}″",
        kind="planet",
        size_arcsec=rings,
        paint=painter(
            rings_and_globe.draw_saturn(globe, sunlight()),
            reach_arcsec=_saturn_box(globe, 0.5 * rings),
            detail_arcsec=rings / 1300.0,
            magnitude=magnitude,
        ),
        magnitude=magnitude,
        luminance_cd_m2=mean_luminance_cd_m2(magnitude, area),
        contrast=0.5,
        notes=(
            "Saturn: sizes, ring radii, magnitude published (Archinal et al. 2018; French et al. "
            "2017; Mallama & Hilton 2018); bands and ringlets drawn after published contrasts.",
        ),
        recipe=recipe,
    )


def _giant_size(
    given: float | None, radii_km: tuple[float, float], sun_au: float, allowed: tuple[float, float]
) -> float:
    if given is None:
        return diameter_arcsec(sun_au - 1.0, radii_km[0])
    return require_range("diameter_arcsec", given, *allowed, unit="arcsec")
