"""Faults of place - a mirror tilted, a lens out of its distance - by exact rays."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from simview.errors import FitError
from simview.kit import Telescope
from simview.telescope.fault_kinds import Asked
from simview.telescope.layouts import misplaced
from simview.telescope.layouts.misplaced import TILTED, Change, layout_of
from simview.telescope.layouts.ray_wavefront import Layout, scale_mm

# Terms smaller than this are no more than the rays' own rounding, waves RMS.
_LEAST_WAVES: Final = 1e-7


def layout_word(scope: Telescope, layout: str | None) -> str:
    """Return by which layout a telescope is traced; what none says is told by its objective."""
    if layout is None:
        return "newtonian" if scope.objective == "mirror" else "refractor"
    return layout


def traced_layout(scope: Telescope, layout: str | None, fault: str) -> Layout:
    """Return the surfaces of a telescope.

    Raises
    ------
    FitError
        For a layout without a prescription, or glass that does not go with it.
    """
    word = layout_word(scope, layout)
    mirror = scope.objective == "mirror"
    if word not in TILTED or (word == "refractor") == mirror or scope.objective == "singlet":
        raise FitError(
            f"fault {fault}",
            got=f"layout {word!r} with objective {scope.objective!r}",
            allowed=f"layout {', '.join(TILTED)}, whose surfaces are known",
            remedy="give the error itself, for example coma=0.5@90",
        )
    return layout_of(word, scope.aperture_mm, scope.focal_length_mm)


def change(scope: Telescope, layout: str | None, fault: Asked) -> Change:
    """Return what a fault of place does to a star in the middle of the field.

    Raises
    ------
    FitError
        For a layout that cannot have it.
    """
    surfaces = traced_layout(scope, layout, fault.name)
    return _MADE[fault.name](surfaces, fault)


def lever_mm(layout: Layout) -> float:
    """Return how far before the focal plane the part stands that the screws tilt."""
    part = layout.part(*TILTED[layout.name])
    middle = sum(each.z_mm for each in part) / len(part)
    return abs(layout.image_mm - middle)


def lean_arcmin(layout: Layout, amount: float, unit: str) -> float:
    """Return by how much the tilted part's axis leans, from arcmin or mm in the focal plane."""
    if unit == "arcmin":
        return amount
    return math.degrees(math.atan(amount / lever_mm(layout))) * 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Collimated:
    """What the collimating screws of a layout do, for each arcminute that their part leans.

    Parameters
    ----------
    coma_waves
        Peak to valley at 550 nm, tilt removed.
    shadow
        By how much the secondary's shadow moves towards the part's axis, radii of the aperture.
    star
        Where the star in the middle of the field stands, arcmin along the lean.
    lever_mm
        From that part to the focal plane.
    """

    coma_waves: float
    shadow: float
    star: float
    lever_mm: float


@lru_cache(maxsize=64)
def collimated(aperture_mm: float, focal_mm: float, layout: str) -> Collimated:
    """Return what the screws of a folded telescope do.

    Checked by: tests/truth/test_telescope_layouts.py, tests/truth/test_folded_loop.py
    """
    surfaces = layout_of(layout, aperture_mm, focal_mm)
    found = misplaced.tilted(surfaces, 1.0, 0.0)
    return Collimated(
        coma_waves=abs(found.coma),
        shadow=found.shadow.real,
        star=misplaced.star_for_lean(surfaces),
        lever_mm=lever_mm(surfaces),
    )


def _tilted(layout: Layout, fault: Asked) -> Change:
    return misplaced.tilted(layout, lean_arcmin(layout, fault.amount, fault.unit), fault.angle)


def _off_axis(layout: Layout, fault: Asked) -> Change:
    arcmin = fault.amount
    if fault.unit == "mm":
        focal = abs(scale_mm(layout))
        arcmin = math.degrees(math.atan(fault.amount / focal)) * 60.0
    refocused = fault.option("refocused") > 0.5
    return misplaced.aside(layout, arcmin, fault.angle, refocused=refocused)


_MADE: Final[dict[str, Callable[[Layout, Asked], Change]]] = {
    "miscollimation": _tilted,
    "off-axis": _off_axis,
    "secondary-shift": lambda layout, fault: misplaced.shifted(
        layout, "secondary", fault.amount, fault.angle
    ),
    "corrector-shift": lambda layout, fault: misplaced.shifted(
        layout, "corrector", fault.amount, fault.angle
    ),
    "back-focus": lambda layout, fault: misplaced.farther_back(layout, fault.amount),
    "mirror-spacing": lambda layout, fault: misplaced.wider(layout, fault.amount),
    "lens-spacing": lambda layout, fault: misplaced.glasses_apart(layout, fault.amount),
}


def significant(found: Change) -> dict[int, float]:
    """Return the terms beyond coma, astigmatism and spherical aberration, by Noll's index."""
    return {
        index: float(waves)
        for index, waves in enumerate(found.noll)
        if index >= 4 and index not in (5, 6, 7, 8, 11) and abs(waves) > _LEAST_WAVES
    }
