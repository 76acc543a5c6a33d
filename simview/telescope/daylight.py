"""A Newtonian by day: what an eye at a small hole in the empty focuser sees.

From the hole each way is followed outwards: past the focuser's inner edge, to the flat or past it;
from the flat down to the primary, its clips, or past it; from the primary up to the vanes and the
sky, or to the flat again, and from that back to the focuser and the hole. All by exact reflection.

Axes are those of `simview.telescope.flat`. A way is told by its two slopes against the line from
the hole through the middle of the focuser: to the right, and up, towards the tube's open end, as
the eye sees them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError
from simview.kit import Telescope
from simview.telescope.flat import (
    TUBE_RADII,
    Hung,
    frame,
    height_mm,
    offset_mm,
    require_flat,
    to_focus_mm,
)

Floats = NDArray[np.float64]
Labels = NDArray[np.uint8]

# The hole stands where the eyepiece's focus will be, nearer by this part of the way from the
# flat, so that the flat's own edge shows beyond the primary's. A choice.
_NEARER: Final = 0.1

# Radius of the hole, and of the inner edge of focusers by barrel, mm. Common practice, no source.
HOLE_MM: Final = 1.5
EDGE_MM: Final = {"0.965in": 11.5, "1.25in": 15.5, "2in": 25.0}

# Clips of the primary: how many, how wide, how far over its rim, mm; and how far the tube reaches
# beyond the flat, in apertures. Common practice, no source.
CLIPS: Final = 3
_CLIP_WIDE_MM: Final = 12.0
_CLIP_DEEP_MM: Final = 4.0
_MOUTH: Final = 1.0


class Part(IntEnum):
    """What a way from the hole ends on."""

    FOCUSER = 0
    WALL = 1
    CELL = 2
    CLIP = 3
    SKY = 4
    TUBE = 5
    VANE = 6
    BEHIND = 7
    EDGE = 8
    CAP = 9
    HOLE = 10


# What is seen in the flat; in the primary; and the flat's picture in that.
IN_FLAT: Final = tuple(part for part in Part if part >= Part.CELL)
IN_PRIMARY: Final = tuple(part for part in Part if part >= Part.SKY)
FLAT_AGAIN: Final = tuple(part for part in Part if part >= Part.BEHIND)


@dataclass(frozen=True, slots=True, kw_only=True)
class ByDay:
    """A Newtonian with its eyepiece taken out.

    Parameters
    ----------
    scope
        With a flat.
    hung
        How that hangs; its focuser's direction is that of the focuser itself.
    turned
        By how much the flat is turned about the tube's axis, out of the focuser's direction,
        radians anticlockwise seen from behind.
    primary
        By how much the primary's axis leans to the right and upwards, radians.
    edge_mm
        Radius of the focuser's inner edge.

    Raises
    ------
    FitError
        For a telescope without a flat, or one whose focus lies within its tube.

    Notes
    -----
    Checked by: tests/truth/test_daylight.py
    """

    scope: Telescope
    hung: Hung
    turned: float = 0.0
    primary: complex = 0j
    edge_mm: float = EDGE_MM["1.25in"]

    def __post_init__(self) -> None:
        require_flat(self.scope, "a view by day")
        if self.hole_mm <= 1.1 * self.wall_mm:
            raise FitError(
                "a view by day",
                got=f"a focus {to_focus_mm(self.scope):.0f} mm from the tube's axis",
                allowed=f"one outside the tube, beyond {self.wall_mm:.0f} mm",
                remedy="a larger obstruction, if the secondary is larger",
            )

    @property
    def hole_mm(self) -> float:
        """How far the hole stands from the tube's axis."""
        return (1.0 - _NEARER) * to_focus_mm(self.scope)

    @property
    def wall_mm(self) -> float:
        """How far the tube's wall stands from its axis, and with it the focuser's inner edge."""
        return TUBE_RADII * self.scope.aperture_mm / 2.0

    @property
    def axes(self) -> Floats:
        """Rows: the way to the focuser, the eye's right, the tube's open end."""
        angle = math.radians(self.hung.focuser_deg)
        out = np.array([math.cos(angle), math.sin(angle), 0.0])
        sky = np.array([0.0, 0.0, 1.0])
        return np.array([out, np.cross(-out, sky), sky])

    @property
    def half_width(self) -> float:
        """Slope of the focuser's inner edge."""
        return self.edge_mm / (self.hole_mm - self.wall_mm)


def set_off(scope: Telescope, focuser_deg: float = 0.0) -> Hung:
    """Return a flat set off on purpose: away from the focuser, and as much towards the primary."""
    off = offset_mm(scope)
    angle = math.radians(focuser_deg)
    way = complex(math.cos(angle), math.sin(angle))
    return Hung(shift_mm=-off * way, along_mm=-off, focuser_deg=focuser_deg)


def seen_along(by_day: ByDay, slopes: Floats) -> Labels:
    """Return what each way ends on.

    Parameters
    ----------
    slopes
        (n, 2) to the right and up.

    Returns
    -------
    numpy.ndarray
        (n,) `Part` as numbers.
    """
    found = np.full(len(slopes), Part.FOCUSER, np.uint8)
    here = np.flatnonzero(np.hypot(*slopes.T) <= by_day.half_width)
    rays = _Rays.from_hole(by_day, slopes[here])
    found[here] = Part.WALL
    on_flat, rays = rays.at_flat()
    here = here[on_flat]
    found[here] = Part.CELL
    found[here[rays.on_clip()]] = Part.CLIP
    on_mirror, rays = rays.at_primary()
    here = here[on_mirror]
    found[here] = rays.upwards()
    again, rays = rays.at_flat()
    found[here[again]] = rays.at_focuser()
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rays:
    """Rays on their way: points and directions (n, 3)."""

    by_day: ByDay
    point: Floats
    way: Floats

    @classmethod
    def from_hole(cls, by_day: ByDay, slopes: Floats) -> _Rays:
        out, right, up = by_day.axes
        start = by_day.hole_mm * out + height_mm(by_day.scope) * up
        way = -out + slopes[:, :1] * right + slopes[:, 1:] * up
        return cls(by_day=by_day, point=np.broadcast_to(start, way.shape), way=way)

    def _kept(self, keep: NDArray[np.bool_], point: Floats, way: Floats) -> _Rays:
        return _Rays(by_day=self.by_day, point=point[keep], way=way[keep])

    def at_flat(self) -> tuple[NDArray[np.bool_], _Rays]:
        """Return which rays meet the flat's face, and those after it."""
        hung, scope = self.by_day.hung, self.by_day.scope
        along, across, out = frame(hung)
        cosine, sine = math.cos(self.by_day.turned), math.sin(self.by_day.turned)
        across, out = cosine * across - sine * out, cosine * out + sine * across
        face = (out - along) / math.sqrt(2.0)
        middle = np.array([hung.shift_mm.real, hung.shift_mm.imag, height_mm(scope)])
        middle[2] += hung.along_mm
        toward = self.way @ face
        run = ((middle - self.point) @ face) / np.where(toward == 0.0, np.inf, toward)
        point = self.point + run[:, None] * self.way
        off = point - middle
        half = scope.obstruction * scope.aperture_mm / 2.0
        hit = (toward < 0.0) & (run > 0.0) & (np.hypot(off @ out, off @ across) <= half)
        return hit, self._kept(hit, point, self.way - 2.0 * toward[:, None] * face)

    def _mirror(self) -> tuple[Floats, Floats, Floats]:
        """Return where rays meet the primary's paraboloid, in its own axes, the way, the axes."""
        lean = self.by_day.primary
        axis = np.array([lean.real, lean.imag, 1.0])
        axis /= np.linalg.norm(axis)
        right = np.array([1.0, 0.0, 0.0]) - axis[0] * axis
        right /= np.linalg.norm(right)
        own = np.array([right, np.cross(axis, right), axis])
        point, way = self.point @ own.T, self.way @ own.T
        focal = self.by_day.scope.focal_length_mm
        # x^2 + y^2 = 4 f z along the ray; the root that is met on the way down.
        a = (way[:, :2] ** 2).sum(axis=1)
        b = 2.0 * (point[:, :2] * way[:, :2]).sum(axis=1) - 4.0 * focal * way[:, 2]
        c = (point[:, :2] ** 2).sum(axis=1) - 4.0 * focal * point[:, 2]
        root = np.sqrt(np.maximum(b**2 - 4.0 * a * c, 0.0))
        run = -2.0 * c / (b + np.where(b < 0.0, -root, root))
        return point + run[:, None] * way, way, own

    def on_clip(self) -> NDArray[np.bool_]:
        """Return which rays meet a clip of the primary."""
        place = self._mirror()[0]
        rim = self.by_day.scope.aperture_mm / 2.0
        found = np.zeros(len(place), bool)
        for k in range(CLIPS):
            angle = math.radians(90.0 + 360.0 / CLIPS * k)
            inwards = place[:, 0] * math.cos(angle) + place[:, 1] * math.sin(angle)
            aside = place[:, 1] * math.cos(angle) - place[:, 0] * math.sin(angle)
            deep = (inwards >= rim - _CLIP_DEEP_MM) & (inwards <= rim + _CLIP_DEEP_MM)
            found |= deep & (np.abs(aside) <= _CLIP_WIDE_MM / 2.0)
        return found

    def at_primary(self) -> tuple[NDArray[np.bool_], _Rays]:
        """Return which rays meet the primary, free of its clips, and those after it."""
        place, way, own = self._mirror()
        rim = self.by_day.scope.aperture_mm / 2.0
        hit = (np.hypot(*place[:, :2].T) <= rim) & ~self.on_clip()
        normal = np.c_[-place[:, :2] / (2.0 * self.by_day.scope.focal_length_mm), np.ones(len(way))]
        normal /= np.linalg.norm(normal, axis=1)[:, None]
        back = way - 2.0 * (way * normal).sum(axis=1)[:, None] * normal
        return hit, self._kept(hit, place @ own, back @ own)

    def _at_height(self, height: float) -> Floats:
        run = (height - self.point[:, 2]) / self.way[:, 2]
        return np.asarray((self.point + run[:, None] * self.way)[:, :2])

    def upwards(self) -> Labels:
        """Return what rays from the primary end on if they miss the flat."""
        scope = self.by_day.scope
        height = height_mm(scope)
        mouth = self._at_height(height + _MOUTH * scope.aperture_mm)
        sky = np.hypot(*mouth.T) <= self.by_day.wall_mm
        found = np.where(sky, Part.SKY, Part.TUBE).astype(np.uint8)
        x, y = self._at_height(height).T
        for k in range(scope.vanes):
            # One vane halfway between the focuser and its side.
            angle = math.radians(self.by_day.hung.focuser_deg + 45.0 + 360.0 / scope.vanes * k)
            along = x * math.cos(angle) + y * math.sin(angle)
            aside = y * math.cos(angle) - x * math.sin(angle)
            found[(along > 0.0) & (np.abs(aside) <= scope.vane_mm / 2.0)] = Part.VANE
        return found

    def at_focuser(self) -> Labels:
        """Return what rays from the flat end on, on their way back."""
        out, right, up = self.by_day.axes
        middle = height_mm(self.by_day.scope) * up
        offs = []
        for distance in (self.by_day.wall_mm, self.by_day.hole_mm):
            run = (distance - self.point @ out) / (self.way @ out)
            off = self.point + run[:, None] * self.way - middle
            offs.append(np.hypot(off @ right, off @ up))
        edge, hole = offs
        found = np.full(len(edge), Part.BEHIND, np.uint8)
        found[edge <= self.by_day.edge_mm] = Part.EDGE
        found[(edge <= self.by_day.edge_mm) & (hole <= self.by_day.edge_mm)] = Part.CAP
        found[(edge <= self.by_day.edge_mm) & (hole <= HOLE_MM)] = Part.HOLE
        return found
