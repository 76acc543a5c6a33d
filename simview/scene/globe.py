"""The face of a globe: where on it each point of the picture lies, how it is lit and seen.

The body frame has z along the rotation axis (north) and x towards the meridian that faces the
observer; longitude grows eastwards on the body, which is to the right with north up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

# Fields of any float precision; float32 unless a place needs more.
Values = NDArray[np.floating[Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Globe:
    """An oblate body in the sky, lit by the Sun.

    Parameters
    ----------
    diameter_arcsec
        Equatorial.
    flattening
        (a - c) / a.
    tilt_deg
        Planetocentric latitude of the observer; positive shows the north pole.
    pole_angle_deg
        Position angle of the north pole, from north through east.
    phase_deg
        Angle Sun - body - observer, 0 to 180.
    sun_angle_deg
        Position angle towards the Sun, the middle of the lit limb.
    """

    diameter_arcsec: float
    flattening: float = 0.0
    tilt_deg: float = 0.0
    pole_angle_deg: float = 0.0
    phase_deg: float = 0.0
    sun_angle_deg: float = 0.0

    @property
    def radius(self) -> float:
        """Equatorial radius, arcsec."""
        return 0.5 * self.diameter_arcsec

    @property
    def squash(self) -> float:
        """Equatorial over polar radius."""
        return 1.0 / (1.0 - self.flattening)

    @property
    def outline(self) -> tuple[float, float]:
        """Semi-axes of the visible outline along equator and pole, arcsec."""
        a, tilt = self.radius, math.radians(self.tilt_deg)
        return a, a * math.hypot(math.cos(tilt) / self.squash, math.sin(tilt))

    def sun(self) -> tuple[float, float, float]:
        """Return the unit vector towards the Sun in the body frame."""
        phase = math.radians(self.phase_deg)
        around = math.radians(self.sun_angle_deg - self.pole_angle_deg)
        right, up = -math.sin(phase) * math.sin(around), math.sin(phase) * math.cos(around)
        ahead, tilt = math.cos(phase), math.radians(self.tilt_deg)
        return (
            -math.sin(tilt) * up + math.cos(tilt) * ahead,
            right,
            math.cos(tilt) * up + math.sin(tilt) * ahead,
        )

    def turned(self, x: Values, y: Values) -> tuple[Values, Values]:
        """Return picture points along the body's equator (right) and axis (up), arcsec."""
        angle = math.radians(self.pole_angle_deg)
        cos, sin = np.float32(math.cos(angle)), np.float32(math.sin(angle))
        return np.asarray(x * cos + y * sin), np.asarray(y * cos - x * sin)


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """What lies under each point of the picture, arrays of its shape.

    Parameters
    ----------
    cover
        Share of the point's cell inside the outline, 0 to 1.
    x, y, z
        Place in the body frame, arcsec.
    depth
        Distance in front of the plane of the sky through the centre, arcsec.
    lit, seen
        Cosines of the Sun's and of the observer's zenith angle; `lit` is negative by night.
    """

    cover: Values
    x: Values
    y: Values
    z: Values
    depth: Values
    lit: Values
    seen: Values

    def latitude(self, squash: float = 1.0) -> Values:
        """Return latitude in radians: planetographic for the body's own squash."""
        angle: Values = np.arctan2(self.z * np.float32(squash**2), np.sqrt(self.x**2 + self.y**2))
        return angle

    def longitude(self) -> Values:
        """Return longitude in radians from the central meridian, growing to the right."""
        return np.arctan2(self.y, self.x)


def face(globe: Globe, x: Values, y: Values, cell_arcsec: float) -> Face:
    """Find the surface under picture points.

    Parameters
    ----------
    x, y
        (1, nx) and (ny, 1) right and up from the centre, arcsec.
    cell_arcsec
        Spacing of the points: the outline is softened over it, so that it keeps its area.
    """
    right, up = globe.turned(x, y)
    a, b = (np.float32(v) for v in globe.outline)
    ring = np.maximum(np.sqrt((right / a) ** 2 + (up / b) ** 2), np.float32(1e-6))
    slope = np.sqrt((right / a**2) ** 2 + (up / b**2) ** 2) / ring
    outside = (ring - 1.0) / np.maximum(slope, np.float32(1e-9))
    cover = np.clip(0.5 - outside / np.float32(cell_arcsec), 0.0, 1.0).astype(np.float32)
    inward = np.minimum(np.float32(1.0), np.float32(0.99999) / ring)
    return _surface(globe, right * inward, up * inward, cover)


def _surface(globe: Globe, right: Values, up: Values, cover: Values) -> Face:
    """Meet the line of sight with the ellipsoid x^2 + y^2 + (squash z)^2 = a^2."""
    tilt = math.radians(globe.tilt_deg)
    sin, cos, square = math.sin(tilt), math.cos(tilt), globe.squash**2
    quad = np.float32(cos**2 + square * sin**2)
    half = np.float32(sin * cos * (square - 1.0)) * up
    rest = right**2 + np.float32(sin**2 + square * cos**2) * up**2 - np.float32(globe.radius**2)
    depth = (np.sqrt(np.maximum(half**2 - quad * rest, 0.0)) - half) / quad
    x = np.float32(cos) * depth - np.float32(sin) * up
    z = np.float32(sin) * depth + np.float32(cos) * up
    y = np.broadcast_to(right, x.shape)
    steep = np.float32(square) * z
    long = 1.0 / np.sqrt(x**2 + y**2 + steep**2)
    sun = globe.sun()
    lit = (x * np.float32(sun[0]) + y * np.float32(sun[1]) + steep * np.float32(sun[2])) * long
    seen = np.maximum((x * np.float32(cos) + steep * np.float32(sin)) * long, np.float32(1e-3))
    return Face(cover=cover, x=x, y=y, z=z, depth=depth, lit=lit, seen=seen)


def minnaert(lit: Values, seen: Values, exponents: Sequence[float]) -> NDArray[np.float32]:
    """Return brightness lit^k seen^(k-1), 1 where Sun and observer stand overhead, 0 by night.

    One plane for each exponent k, above 0; `seen` is above 0, too.

    Source: Minnaert 1941, ApJ 93, 403.
    Checked by: tests/unit/scene/test_drawn_quickly.py
    """
    # (lit seen)^k / seen: one logarithm serves all exponents; by night it is that of 0.
    both = np.maximum(lit, np.float32(0.0)) * seen
    with np.errstate(divide="ignore"):
        depth = np.log(both, out=both)
    shaded = np.empty((len(exponents), *both.shape), np.float32)
    for plane, exponent in zip(shaded, exponents, strict=True):
        np.exp(np.multiply(depth, np.float32(exponent), out=plane), out=plane)
    shaded /= seen
    return shaded
