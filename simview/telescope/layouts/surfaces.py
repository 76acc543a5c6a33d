"""Exact rays through mirrors and lenses that may stand tilted and off the axis.

Snell's law and the law of reflection in vector form, at the exact point on a conic with further
even powers; nothing is expanded.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.glass import index_of

Floats = NDArray[np.float64]

AIR: Final = "air"
MIRROR: Final = "mirror"

# Newton's steps to a surface; each doubles the digits.
_STEPS: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """One surface of a telescope.

    Parameters
    ----------
    z_mm
        Place of its vertex.
    curvature
        1 / radius, 1/mm; the centre of curvature lies at z + radius.
    behind
        What the light goes on in: a glass of `simview.glass`, "air", or "mirror" to turn back.
    conic
        -1 for a paraboloid, 0 for a sphere.
    powers
        Coefficients of r^4, r^6, added to the conic.
    part
        What it belongs to: "primary", "secondary", "corrector", "crown", "flint".
    shift_mm
        Off the axis, to the right and upwards.
    lean
        By which its axis, drawn towards the sky, leans to the right and upwards, radians.
    pivot_mm
        z of the point about which it leans; None for its own vertex.
    """

    z_mm: float
    curvature: float
    behind: str
    part: str
    conic: float = 0.0
    powers: tuple[float, float] = (0.0, 0.0)
    shift_mm: tuple[float, float] = (0.0, 0.0)
    lean: tuple[float, float] = (0.0, 0.0)
    pivot_mm: float | None = None

    def moved(self, along_mm: float) -> Surface:
        """Return the surface moved along the axis."""
        return replace(self, z_mm=self.z_mm + along_mm)

    def sag(self, r2: Floats) -> tuple[Floats, Floats]:
        """Return height above the vertex and its slope against r^2."""
        c = self.curvature
        root = np.sqrt(np.maximum(1.0 - (1.0 + self.conic) * c * c * r2, 1e-12))
        a4, a6 = self.powers
        height = c * r2 / (1.0 + root) + a4 * r2**2 + a6 * r2**3
        slope = c / (2.0 * root) + 2.0 * a4 * r2 + 3.0 * a6 * r2**2
        return height, slope

    def frame(self) -> tuple[Floats, Floats]:
        """Return its vertex in space, and rows of its own right, up and back."""
        turn = _leaning(*self.lean)
        vertex = np.array([0.0, 0.0, self.z_mm])
        pivot = vertex if self.pivot_mm is None else np.array([0.0, 0.0, self.pivot_mm])
        return turn @ (vertex - pivot) + pivot + np.array([*self.shift_mm, 0.0]), turn.T


@dataclass(frozen=True, slots=True, kw_only=True)
class Rays:
    """Rays by a point and a direction each, (n, 3), and how far the light has come, (n,)."""

    point: Floats
    direction: Floats
    path_mm: Floats


def trace(surfaces: tuple[Surface, ...], rays: Rays, wavelength_nm: float) -> Rays:
    """Return the rays on the last surface, with their directions behind it.

    Parameters
    ----------
    surfaces
        In the order in which the light meets them.
    rays
        In air; their paths are counted on.
    wavelength_nm
        Of the light.

    Notes
    -----
    Checked by: tests/truth/test_layout_rays.py (an independent program)
    """
    point, direction, path = rays.point, rays.direction, rays.path_mm
    medium = 1.0
    for surface in surfaces:
        vertex, rows = surface.frame()
        at, to = (point - vertex) @ rows.T, direction @ rows.T
        run, normal = _meeting(surface, at, to)
        at = at + run[:, None] * to
        path = path + medium * run
        across = np.einsum("ij,ij->i", to, normal)
        if surface.behind == MIRROR:
            to = to - 2.0 * across[:, None] * normal
        else:
            after = _index(surface.behind, wavelength_nm)
            ratio = medium / after
            side = np.sign(across)
            out = np.sqrt(1.0 - ratio**2 * (1.0 - across**2))
            to = ratio * to + (side * out - ratio * across)[:, None] * normal
            medium = after
        point, direction = at @ rows + vertex, to @ rows
    return Rays(point=point, direction=direction, path_mm=path)


def _meeting(surface: Surface, at: Floats, to: Floats) -> tuple[Floats, Floats]:
    """Return the run along each ray to a surface in its own frame, and the unit normals there."""
    run = -at[:, 2] / to[:, 2]
    for _ in range(_STEPS):
        here = at + run[:, None] * to
        height, slope = surface.sag(here[:, 0] ** 2 + here[:, 1] ** 2)
        miss = here[:, 2] - height
        steep = to[:, 2] - 2.0 * slope * (here[:, 0] * to[:, 0] + here[:, 1] * to[:, 1])
        run = run - miss / steep
    here = at + run[:, None] * to
    _, slope = surface.sag(here[:, 0] ** 2 + here[:, 1] ** 2)
    normal = np.stack((-2.0 * slope * here[:, 0], -2.0 * slope * here[:, 1], np.ones_like(run)), 1)
    return run, normal / np.linalg.norm(normal, axis=1)[:, None]


def _index(medium: str, wavelength_nm: float) -> float:
    return 1.0 if medium == AIR else float(index_of(medium, np.asarray(wavelength_nm)))


def _leaning(right: float, up: float) -> Floats:
    """Return the rotation that leans an axis drawn towards the sky, (0, 0, -1), to a side."""
    size = math.hypot(right, up)
    if size == 0.0:
        return np.eye(3)
    # About the axis that stands across the lean: (up, -right, 0).
    x, y = up / size, -right / size
    cross = np.array([[0.0, 0.0, y], [0.0, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + math.sin(size) * cross + (1.0 - math.cos(size)) * cross @ cross)
