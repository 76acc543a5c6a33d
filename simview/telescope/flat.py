"""A Newtonian's flat out of place: where the field's middle goes, what its shadow and edge hide.

The flat hangs in the tube and sends the light out through the focuser. Seen in it, the middle of
the field stands somewhere up the tube; that place, and the flat's outline, are all that the light
knows of it. The places here come from reflection at a plane in space, outlines from points of the
flat's rim thrown onto the primary, nothing from small angles.

Axes: right and up as seen along the tube from behind the primary, then towards the sky; the
primary's vertex stands at 0. Directions across the tube are complex numbers.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError
from simview.kit import Telescope

Vector = NDArray[np.float64]

# From a Newtonian's axis to its focal plane, outside the tube: the tube is wider than the mirror by
# so much, and the focus stands above its wall. Common practice, no source.
TUBE_RADII: Final = 1.15
ABOVE_TUBE_MM: Final = 90.0

# Points of the flat's rim.
_RIM: Final = 48


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """How a flat hangs.

    Parameters
    ----------
    shift_mm
        Off the tube's axis, to the right and upwards.
    along_mm
        Towards the sky of its place.
    lean
        By which its holder's axis, drawn towards the sky, leans to the right and upwards, radians.
    focuser_deg
        Where the focuser stands, anticlockwise from the right.
    collimated
        Whether the primary has been set again on a star in the middle of the field.
    """

    shift_mm: complex = 0j
    along_mm: float = 0.0
    lean: complex = 0j
    focuser_deg: float = 0.0
    collimated: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a star in the middle of the field then shows.

    Parameters
    ----------
    axis
        Where the primary's axis stands from the star, radians; 0 once the primary is set again.
    star
        Where the star stands off the tube's axis, radians.
    shadow
        Where the flat's shadow stands off the primary's middle, radii of the aperture.
    lit, lit_radius
        Middle and radius of the part of the primary whose light the flat takes in, radii.
    """

    axis: complex
    star: complex
    shadow: complex
    lit: complex
    lit_radius: float


def to_focus_mm(scope: Telescope) -> float:
    """Return how far from the flat the focus stands.

    As the tube asks for, and never farther than where the flat just takes in the cone of light.
    """
    usual = TUBE_RADII * scope.aperture_mm / 2.0 + ABOVE_TUBE_MM
    return min(usual, scope.obstruction * scope.focal_length_mm)


def height_mm(scope: Telescope) -> float:
    """Return how far before the primary the flat hangs."""
    return scope.focal_length_mm - to_focus_mm(scope)


def offset_mm(scope: Telescope) -> float:
    """Return by how much a flat is set off on purpose, so that it lights the field evenly.

    Away from the focuser, and as much towards the primary. The cone of light meets a plane at 45
    degrees farther out on the side where it is wider: the middle of where it meets it stands its
    slope times the flat's half-width off.

    Source: geometry; Peters & Pike (1977), The size of the Newtonian diagonal, Sky and Telescope
    53, 220 (title and place from memory). Checked by: tests/truth/test_daylight.py
    """
    return scope.obstruction * scope.aperture_mm / (4.0 * scope.focal_ratio)


def require_flat(scope: Telescope, what: str) -> None:
    """Refuse a telescope that has no flat.

    Raises
    ------
    FitError
        For a lens, or a mirror without a secondary.
    """
    if scope.objective != "mirror" or not scope.obstruction:
        got = f"objective {scope.objective!r}, obstruction {scope.obstruction:g}"
        raise FitError(what, got=got, allowed="a Newtonian with a secondary")


def star_for_lean(scope: Telescope, lean: complex, focuser_deg: float) -> complex:
    """Return by how much the star in the middle moves on the sky for a small lean, the same unit.

    A plane that leans by t in the plane of the fold turns the light by 2 t; one that leans across
    it, as it faces the light at 45 degrees, by t. The field's middle stands `to_focus_mm` from
    the flat and the star is seen from the primary.

    Source: law of reflection. Checked by: tests/truth/test_flat_loop.py
    """
    unit = cmath.rect(1.0, math.radians(focuser_deg))
    own = lean * unit.conjugate()
    part = to_focus_mm(scope) / scope.focal_length_mm
    return part * complex(2.0 * own.real, own.imag) * unit


def lean_for_star(scope: Telescope, star: complex, focuser_deg: float) -> complex:
    """Return the small lean that moves the star in the middle so far; see `star_for_lean`."""
    unit = cmath.rect(1.0, math.radians(focuser_deg))
    own = star * unit.conjugate() * scope.focal_length_mm / to_focus_mm(scope)
    return complex(0.5 * own.real, own.imag) * unit


@lru_cache(maxsize=64)
def seen(scope: Telescope, hung: Hung) -> Seen:
    """Return what a star in the middle of the field shows of a flat that hangs like this.

    Raises
    ------
    FitError
        For a telescope without a flat.

    Notes
    -----
    Source: reflection at a plane, central projection. Checked by: tests/truth/test_flat_loop.py,
    tests/truth/test_flat_rays.py
    """
    require_flat(scope, "secondary of a Newtonian")
    along, across, out = frame(hung)
    height, reach = height_mm(scope), to_focus_mm(scope)
    unit = cmath.rect(1.0, math.radians(hung.focuser_deg))
    eyepiece = np.array([reach * unit.real, reach * unit.imag, height])
    middle = np.array([hung.shift_mm.real, hung.shift_mm.imag, height + hung.along_mm])
    face = (out - along) / math.sqrt(2.0)
    # The middle of the field as the primary sees it: its picture in the flat.
    field = eyepiece - 2.0 * float((eyepiece - middle) @ face) * face
    aim = complex(field[0], field[1]) / float(field[2])
    # Set again, the primary's axis points there and the star stands on it; as it was, its axis is
    # the tube's and the star stands as far on the other side (law of reflection).
    star = aim if hung.collimated else -aim
    half = scope.obstruction * scope.aperture_mm / 2.0
    angle = np.linspace(0.0, 2.0 * math.pi, _RIM, endpoint=False)[:, None]
    rim = middle + half * (np.cos(angle) * across + np.sin(angle) * (out + along))
    sky = np.array([star.real, star.imag, 1.0])
    shadow, _ = _circle(_thrown(rim, np.broadcast_to(sky, rim.shape), scope))
    # The light runs together a focal length from the primary, wherever the flat sends that.
    focus = field * (scope.focal_length_mm / float(np.linalg.norm(field)))
    lit, radius = _circle(_thrown(rim, rim - focus, scope))
    size = scope.aperture_mm / 2.0
    return Seen(
        axis=0j if hung.collimated else -star,
        star=star,
        shadow=shadow / size,
        lit=lit / size,
        lit_radius=radius / size,
    )


def frame(hung: Hung) -> tuple[Vector, Vector, Vector]:
    """Return the holder's own axis towards the sky, its side, and its way to the focuser."""
    aside = cmath.rect(math.sin(abs(hung.lean)), cmath.phase(hung.lean))
    along = np.array([aside.real, aside.imag, math.cos(abs(hung.lean))])
    angle = math.radians(hung.focuser_deg)
    out = np.array([math.cos(angle), math.sin(angle), 0.0])
    # The shortest turn that brings the tube's axis to the holder's; nothing turns about it.
    axis = np.cross([0.0, 0.0, 1.0], along)
    sine = float(np.linalg.norm(axis))
    if sine > 0.0:
        axis /= sine
        cosine = float(along[2])
        out = cosine * out + sine * np.cross(axis, out) + (1.0 - cosine) * float(axis @ out) * axis
    return along, np.cross(along, out), out


def _thrown(points: Vector, ways: Vector, scope: Telescope) -> Vector:
    """Return where lines through points meet the primary's paraboloid, (n, 2) mm."""
    height = np.zeros(len(points))
    at = points[:, :2]
    for _ in range(6):
        run = (height - points[:, 2]) / ways[:, 2]
        at = points[:, :2] + run[:, None] * ways[:, :2]
        height = (at**2).sum(axis=1) / (4.0 * scope.focal_length_mm)
    return np.asarray(at)


def _circle(points: Vector) -> tuple[complex, float]:
    """Return the circle through points by least squares: its middle, its radius."""
    matrix = np.c_[2.0 * points, np.ones(len(points))]
    x, y, rest = np.linalg.lstsq(matrix, (points**2).sum(axis=1), rcond=None)[0]
    return complex(x, y), math.sqrt(rest + x * x + y * y)
