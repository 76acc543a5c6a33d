"""From a drawing in relative light to a Scene with a published magnitude."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.memory import remembered
from simview.scene.globe import Face, Globe, face, minnaert
from simview.scene.noise import Values, lookup
from simview.scene.sampling import Draw, area_mean
from simview.scene.scene import Scene
from simview.scene.spectrum import LUMINANCE_WEIGHTS
from simview.scene.star_colour import SUN_K, rgb_of_temperature
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

# A drawing: for a spacing of points in arcsec, the function that shows what is there.
Drawing = Callable[[float], Draw]

# Pixels across the drawing that sets the brightness.
_CALIBRATION: Final = 320


def luminance(planes: Values) -> Values:
    """Return the luminance of planes (3, ...), in their unit."""
    return np.tensordot(LUMINANCE_WEIGHTS.astype(np.float32), planes, axes=1)


def collected(planes: Values, pixel_arcsec: float) -> float:
    """Return the illuminance in lux that planes in cd/m2 give outside the air."""
    total = luminance(planes).sum(dtype=np.float64)
    return float(total) * (pixel_arcsec / ARCSEC_PER_RADIAN) ** 2


def calibrated(
    drawing: Drawing,
    reach_arcsec: tuple[float, float],
    magnitude: float,
    colour: tuple[float, float, float] | None = None,
) -> NDArray[np.float32]:
    """Return (3,) the factors that give a drawing its published magnitude, and colour if any.

    They come from one drawing of its own at a fixed sampling, so that every later sampling shows
    the same surface brightness. `colour` is that of the whole disc against sunlight's.
    """
    pixel = 2.0 * max(reach_arcsec) / _CALIBRATION
    planes = area_mean(
        drawing(pixel / 2.0),
        pixel_arcsec=pixel,
        pixels=_CALIBRATION + 4,
        reach_arcsec=reach_arcsec,
        finest_arcsec=pixel / 2.0,
    )
    tint = np.ones(3)
    if colour is not None:
        tint = np.array(colour) * sunlight() / planes.sum(axis=(1, 2), dtype=np.float64)
    planes *= tint[:, None, None].astype(np.float32)
    lux = illuminance_lux(magnitude) / collected(planes, pixel)
    return np.asarray(lux * tint, np.float32)


def sunlight() -> NDArray[np.float32]:
    """Return the colour of sunlight, linear sRGB with luminance 1."""
    return rgb_of_temperature(SUN_K).astype(np.float32)


# Points a pixel and axis whose mean no print tells from that of more, and points from a globe's
# middle to its edge that keep its outline. Chosen by prints: a ladder of six Jupiters and a
# Saturn with 12 and with up to 48 points differ in 0.04 and 0.1 % of their pixels, by one code of
# 255, in a few by two.
_ENOUGH: Final = 12
_ACROSS: Final = 16


def painter(
    drawing: Drawing,
    *,
    reach_arcsec: tuple[float, float],
    detail_arcsec: float,
    magnitude: float,
    colour: tuple[float, float, float] | None = None,
    finish: Callable[[Scene], Scene] | None = None,
) -> Callable[[float, int], Scene]:
    """Return the `paint` of a globe: area means, published magnitude.

    Parameters
    ----------
    reach_arcsec
        All that is drawn lies within this of the centre, in x and in y.
    detail_arcsec
        Finest detail that the drawing holds.
    magnitude
        Integrated V.
    colour
        Of the whole disc, linear sRGB against sunlight's; None leaves it as it is drawn.
    finish
        Adds what else belongs into the scene (moons), after the calibration.
    """

    @remembered(1)
    def scale() -> NDArray[np.float32]:
        return calibrated(drawing, reach_arcsec, magnitude, colour)[:, None, None]

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        most = max(_ENOUGH, math.ceil(_ACROSS * pixel_arcsec / max(reach_arcsec)))
        fine = max(1, min(most, math.ceil(pixel_arcsec / detail_arcsec)))
        planes = area_mean(
            drawing(pixel_arcsec / fine),
            pixel_arcsec=pixel_arcsec,
            pixels=pixels,
            reach_arcsec=reach_arcsec,
            finest_arcsec=pixel_arcsec / fine * 1.0001,
        )
        planes *= scale()
        scene = Scene(planes=planes, pixel_arcsec=pixel_arcsec)
        return finish(scene) if finish else scene

    return paint


def mean_luminance_cd_m2(magnitude: float, area_arcsec2: float) -> float:
    """Return the mean luminance of light of that magnitude over an area."""
    return illuminance_lux(magnitude) / (area_arcsec2 / ARCSEC_PER_RADIAN**2)


def boxed(across: float, along: float, angle_deg: float) -> tuple[float, float]:
    """Return how far an ellipse reaches in x and y when its axis is turned by an angle."""
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return math.hypot(across * cos, along * sin), math.hypot(across * sin, along * cos)


def globe_drawing(
    globe: Globe, colour: Callable[[Face], Values], limb: tuple[float, float, float]
) -> Drawing:
    """Return the drawing of a sunlit globe.

    Parameters
    ----------
    colour
        Gives the reflectance (3, ny, nx) of its surface.
    limb
        Minnaert's exponents in red, green and blue.
    """
    light = sunlight()

    def at(cell_arcsec: float) -> Draw:
        def draw(x: Values, y: Values) -> Values:
            seen = face(globe, x, y, cell_arcsec)
            planes = minnaert(seen.lit, seen.seen, limb)
            planes *= colour(seen)
            for k, strength in enumerate(light):
                planes[k] *= seen.cover * strength
            return planes

        return draw

    return at


def mapped(
    texture: Callable[[], Values], globe: Globe, meridian_deg: float
) -> Callable[[Face], Values]:
    """Return the colour of a globe covered by a map.

    Parameters
    ----------
    texture
        Gives the map when it is first drawn: (ny, nx, 3), row 0 at 90 deg north
        (planetographic), column 0 at longitude 0, growing eastwards on the body.
    meridian_deg
        The map's longitude that faces us.
    """

    def colour(seen: Face) -> Values:
        drawn = texture()
        ny, nx = drawn.shape[:2]
        row = (90.0 - np.degrees(seen.latitude(globe.squash))) * np.float32(ny / 180.0) - 0.5
        column = np.degrees(seen.longitude()) + np.float32(meridian_deg)
        column *= np.float32(nx / 360.0)
        column -= np.float32(0.5)
        return np.moveaxis(lookup(drawn, row, column), -1, 0)

    return colour
