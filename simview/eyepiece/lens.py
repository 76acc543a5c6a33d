"""An eyepiece as its glass: surfaces in the order the light meets them.

Light runs from the telescope (left) to the eye (right). A radius is positive when the centre of
curvature lies on the eye's side; a plane has an infinite radius.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final, Literal

from simview.errors import FitError, require_range

# Where a layout comes from: printed in a publication; fixed by textbook relations alone;
# textbook layout with curvatures from the optimisation that docs/models/eyepieces.md states;
# or written by the user.
Origin = Literal["published", "relations", "optimised", "user"]

# The medium between the lenses, and the only one that may lie before and behind them.
AIR: Final = "air"

# Surfaces of a prescription at the most. A choice.
MOST_SURFACES: Final = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """One surface between two media.

    Parameters
    ----------
    radius_mm
        Positive: centre of curvature on the eye's side; ``math.inf`` for a plane.
    thickness_mm
        Along the axis to the next surface, 0 or more; the last surface's is not used.
    glass
        Medium behind the surface: "air" or a glass of the telescope room.
    clear_mm
        Diameter that light may pass.
    """

    radius_mm: float
    thickness_mm: float
    glass: str
    clear_mm: float

    @property
    def curvature(self) -> float:
        """Return 1 / radius in 1/mm; 0 for a plane."""
        return 0.0 if math.isinf(self.radius_mm) else 1.0 / self.radius_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """A train of spherical surfaces, with the ring that bounds the field.

    Parameters
    ----------
    name, title
        The word on the command line and the name in a caption.
    surfaces
        In the order the light meets them.
    apparent_field_deg
        Full diameter that the field stop leaves, 5 to 120 deg.
    stop_after
        The field stop lies behind this many surfaces, where the focal plane is imaged by them:
        0 is before the lens, 2 is between the two lenses of a Huygens eyepiece.
    stop_offset_mm
        How far the field stop lies behind that image (towards the eye).
    origin, source
        Where the layout comes from.
    """

    name: str
    title: str
    surfaces: tuple[Surface, ...]
    apparent_field_deg: float = 40.0
    stop_after: int = 0
    stop_offset_mm: float = 0.0
    origin: Origin = "user"
    source: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "surfaces", tuple(self.surfaces))
        if len(self.surfaces) < 2:
            raise LensError("surfaces", got=len(self.surfaces), allowed="at least 2")
        for number, surface in enumerate(self.surfaces, 1):
            _require_surface(surface, number, last=number == len(self.surfaces))
        if self.surfaces[-1].glass != AIR:
            raise LensError(
                f"surface {len(self.surfaces)} (the last)",
                got=f"glass {self.surfaces[-1].glass!r} behind it",
                allowed="air, where the eye is",
            )
        require_range("apparent_field_deg", self.apparent_field_deg, 5.0, 120.0, unit="deg")
        if not 0 <= self.stop_after < len(self.surfaces):
            raise LensError(
                "stop_after", got=self.stop_after, allowed=f"0 to {len(self.surfaces) - 1}"
            )

    def scaled(self, factor: float) -> Lens:
        """Return the lens with every length multiplied by `factor` (above 0)."""
        surfaces = tuple(
            replace(
                surface,
                radius_mm=surface.radius_mm * factor,
                thickness_mm=surface.thickness_mm * factor,
                clear_mm=surface.clear_mm * factor,
            )
            for surface in self.surfaces
        )
        return replace(self, surfaces=surfaces, stop_offset_mm=self.stop_offset_mm * factor)

    def turned(self) -> Lens:
        """Return the lens turned end for end; the field stop then lies before it."""
        media = [AIR, *(surface.glass for surface in self.surfaces)]
        count = len(self.surfaces)
        surfaces = tuple(
            Surface(
                radius_mm=-self.surfaces[i].radius_mm,
                thickness_mm=self.surfaces[i - 1].thickness_mm if i else 0.0,
                glass=media[i],
                clear_mm=self.surfaces[i].clear_mm,
            )
            for i in reversed(range(count))
        )
        return replace(self, surfaces=surfaces, stop_after=0)

    def behind(self, front: Lens, gap_mm: float) -> Lens:
        """Return this lens with `front` (a Barlow) before it, `gap_mm` of air between them.

        Raises
        ------
        LensError
            For a gap below 0.
        """
        if not gap_mm >= 0.0:
            raise LensError("gap_mm", got=gap_mm, allowed="0 mm or more")
        joint = replace(front.surfaces[-1], thickness_mm=gap_mm)
        return replace(
            self,
            name=f"{front.name}+{self.name}",
            title=f"{self.title} behind {front.title}",
            surfaces=(*front.surfaces[:-1], joint, *self.surfaces),
            stop_after=len(front.surfaces) + self.stop_after,
        )


class LensError(FitError):
    """A prescription that cannot be made or does not pass light; names the surface and why."""


def _require_surface(surface: Surface, number: int, *, last: bool) -> None:
    where = f"surface {number}"
    if math.isnan(surface.radius_mm) or surface.radius_mm == 0.0:
        raise LensError(
            f"{where} radius_mm",
            got=surface.radius_mm,
            allowed="any length but 0; inf for a plane",
        )
    if not last and not 0.0 <= surface.thickness_mm < math.inf:
        raise LensError(
            f"{where} thickness_mm",
            got=f"{surface.thickness_mm:g} mm",
            allowed="0 mm or more",
            remedy="surfaces are listed from the telescope to the eye",
        )
    if not 0.0 < surface.clear_mm < math.inf:
        raise LensError(
            f"{where} clear_mm", got=f"{surface.clear_mm:g} mm", allowed="more than 0 mm"
        )
    if surface.clear_mm > 2.0 * abs(surface.radius_mm):
        raise LensError(
            f"{where} clear_mm",
            got=f"{surface.clear_mm:g} mm",
            allowed=f"up to {2.0 * abs(surface.radius_mm):g} mm, the whole sphere",
        )
