"""What stands on the star-test poster: each telescope type's faults in three strengths."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from simview.kit import FOLDED, Kit, Layout, Telescope
from simview.telescope.fault_kinds import KINDS

# Travel that shows a wavefront best, and that which shows the pupil's outline, waves. Choices.
NEAR: Final = 4.0
FAR: Final = 8.0

# Weak, middling, strong.
_STRENGTHS: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One fault of the poster.

    Parameters
    ----------
    fault
        As typed, ``{}`` standing for the amount.
    amounts
        Weak, middling, strong.
    unit
        In words.
    travel_waves
        Inside and outside focus.
    """

    fault: str
    amounts: tuple[float, float, float]
    unit: str = "waves"
    travel_waves: float = NEAR

    def typed(self) -> list[str]:
        """Return the three faults as typed."""
        return [self.fault.format(f"{amount:g}") for amount in self.amounts]


# Strengths: the middle one is where a fault begins to cost contrast on planets, the weak one half
# of it, the strong one twice or more. Choices.
_ALL: Final = (
    Cell(fault="defocus={}", amounts=(0.25, 0.5, 1.0)),
    Cell(fault="undercorrection={}", amounts=(0.1, 0.25, 0.5)),
    Cell(fault="overcorrection={}", amounts=(0.1, 0.25, 0.5)),
    Cell(fault="astigmatism={}@60", amounts=(0.2, 0.4, 0.8)),
    Cell(fault="coma={}@60", amounts=(0.25, 0.5, 1.0)),
)
_MADE: Final = (
    Cell(fault="turned-down-edge={}", amounts=(0.4, 0.8, 1.6)),
    Cell(fault="turned-up-edge={}", amounts=(0.4, 0.8, 1.6)),
    Cell(fault="zone={}", amounts=(0.1, 0.2, 0.4)),
    Cell(fault="roughness={}", amounts=(0.25, 0.5, 1.0)),
)
_HELD: Final = (
    Cell(fault="pinched={}", amounts=(0.25, 0.5, 1.0)),
    Cell(fault="clips={}", amounts=(4.0, 8.0, 12.0), unit="mm", travel_waves=FAR),
)
_AIR: Final = (
    Cell(fault="plume={}", amounts=(0.25, 0.5, 1.0)),
    Cell(fault="seeing={}", amounts=(0.75, 1.5, 3.0), unit="arcsec"),
)
_SHADOW: Final = (
    Cell(fault="off-centre-shadow={}@60", amounts=(4.0, 8.0, 16.0), unit="%", travel_waves=FAR),
    Cell(fault="secondary={}%", amounts=(25.0, 35.0, 50.0), unit="%", travel_waves=FAR),
)

CELLS: Final[Mapping[str, tuple[Cell, ...]]] = {
    "newtonian": (
        *_ALL,
        Cell(fault="miscollimation={}mm@60", amounts=(1.0, 2.0, 4.0), unit="mm off axis"),
        *_MADE,
        *_HELD,
        *_SHADOW,
        Cell(fault="vanes={}", amounts=(1.0, 3.0, 6.0), unit="mm", travel_waves=FAR),
        *_AIR,
    ),
    "cassegrain": (
        *_ALL,
        Cell(fault="miscollimation={}arcmin@60", amounts=(2.0, 4.0, 8.0), unit="arcmin of tilt"),
        *_MADE,
        _HELD[0],
        *_SHADOW,
        *_AIR,
    ),
    "refractor": (
        *_ALL,
        Cell(fault="decentred-lens={}@60,wedge=1", amounts=(0.25, 0.5, 1.0)),
        Cell(fault="wedge={}@60", amounts=(0.75, 1.5, 3.0), unit="arcmin"),
        Cell(fault="colour={}", amounts=(0.5, 1.0, 2.0)),
        *_MADE,
        *_HELD,
        *_AIR,
    ),
}

# One telescope of each type, usual figures of small ones; common practice, no source.
_TELESCOPES: Final = {
    "newtonian": Telescope(
        aperture_mm=150.0, focal_length_mm=900.0, obstruction=0.27, vanes=4, vane_mm=1.0
    ),
    "cassegrain": Telescope(aperture_mm=150.0, focal_length_mm=1800.0, obstruction=0.35),
    "refractor": Telescope(
        aperture_mm=100.0, focal_length_mm=1000.0, objective="achromat", transmission=0.95
    ),
}
_NAMES: Final = {
    "newtonian": "Newtonian reflector",
    "cassegrain": "Cassegrain reflector",
    "refractor": "Refractor",
}


_LAYOUTS: Final[Mapping[str, Layout]] = {
    "newtonian": "newtonian",
    "cassegrain": "cassegrain",
    "refractor": "refractor",
}


def cells_for(telescope_type: str) -> tuple[Cell, ...]:
    """Return a type's cells, and those of faults whose table entry states strengths."""
    cells = CELLS[telescope_type]
    there = {cell.fault.partition("=")[0] for cell in cells}
    more = [
        Cell(
            fault=f"{name}={{}}{'@60' if kind.directed else ''}",
            amounts=(kind.strengths[0], kind.strengths[1], kind.strengths[2]),
            unit=next(iter(kind.units)),
        )
        for name, kind in KINDS.items()
        if len(kind.strengths) == _STRENGTHS and name not in there and not kind.layouts
    ]
    return (*cells, *more)


def subject(telescope_type: str) -> Kit:
    """Return a kit with a telescope of that type."""
    scope = _TELESCOPES[telescope_type]
    name = f"{_NAMES[telescope_type]} {scope.aperture_mm:g} mm f/{scope.focal_ratio:.3g}"
    return Kit(name=name, telescope=scope, layout=_LAYOUTS[telescope_type])


def type_of(scope: Telescope) -> str:
    """Return the type whose faults a telescope can have, from its pupil alone."""
    if scope.objective != "mirror":
        return "refractor"
    return "newtonian" if scope.vanes else "cassegrain"


def type_of_kit(kit: Kit) -> str:
    """Return the type whose faults a kit can have: its layout's where it states one."""
    if kit.layout in ("newtonian", "refractor"):
        return str(kit.layout)
    if kit.layout in FOLDED:
        return "cassegrain"
    assert kit.telescope is not None
    return type_of(kit.telescope)
