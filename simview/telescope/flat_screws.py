"""Three screws of a Newtonian's flat: what a turn of each does to where its shadow stands.

They press on the flat's holder from the tube's front. The primary is set on the star after every
turn, so that no coma is left; what then shows is the flat alone: its shadow stands off the
middle of the disc, on opposite sides inside and outside focus, and beyond its edge light is lost.

A flat that leans sends the middle of the field aside. The star that is then in the middle, on the
axis of the primary set again, stands t off the tube's axis, and the flat, z in front of the
primary, throws its shadow z t to the other side. A star's motion in the field while a
screw is turned is that of t; so the shadow comes back to the middle when the star goes to the
side where the shadow stands. Outside focus the disc shows that side as the sky does, inside focus
turned round. The same tilt makes good for a flat that hangs off the axis.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np

from simview.errors import FitError, require_range
from simview.kit import Telescope
from simview.telescope.faults import Fault
from simview.telescope.flat import (
    height_mm,
    lean_for_star,
    offset_mm,
    require_flat,
    star_for_lean,
    to_focus_mm,
)
from simview.telescope.screws import (
    FINE_PITCH_MM,
    LEAST_SECONDARY_CIRCLE,
    NAMES,
    USUAL_SECONDARY_CIRCLE,
    band_ratio,
    require_circle,
)

Turns = tuple[float, float, float]

# The band of light between shadow and rim may be so much wider on one side than on the other. A
# choice: less is not seen.
WIDER: Final = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatScrews:
    """The three screws of one Newtonian's flat.

    A tilt is told by where the star in the middle of the field then stands off the tube's axis,
    arcmin, to the right and upwards as a complex number, the primary set again.

    Parameters
    ----------
    scope
        With a flat.
    circle_mm
        Diameter of the circle on which they stand, no wider than the flat's shadow; None for what
        is usual.
    pitch_mm
        By which one turn moves its side; None for what is usual.
    first_deg
        Where screw A stands, anticlockwise from the right as seen from behind the primary.
    focuser_deg
        Where the focuser stands, in the same way.
    layout
        As in a kit; None is a Newtonian.

    Raises
    ------
    SimviewError
        For a telescope without a flat, or lengths out of range.

    Notes
    -----
    Checked by: tests/unit/telescope/test_flat.py, tests/truth/test_flat_loop.py
    """

    scope: Telescope
    circle_mm: float | None = None
    pitch_mm: float | None = None
    first_deg: float = 90.0
    focuser_deg: float = 0.0
    layout: str | None = None

    def __post_init__(self) -> None:
        if self.layout not in (None, "newtonian"):
            raise FitError(
                "--secondary",
                got=f"layout {self.layout!r}",
                allowed="a Newtonian's flat",
                remedy="leave --secondary out",
            )
        require_flat(self.scope, "--secondary")
        glass = self.scope.aperture_mm * self.scope.obstruction
        usual = USUAL_SECONDARY_CIRCLE * glass
        circle = usual if self.circle_mm is None else self.circle_mm
        require_circle(circle, LEAST_SECONDARY_CIRCLE * glass, glass, "secondary")
        pitch = FINE_PITCH_MM if self.pitch_mm is None else self.pitch_mm
        require_range("screw pitch", pitch, 0.05, 5.0, unit="mm")
        require_range("first screw", self.first_deg, -360.0, 360.0, unit="deg")
        require_range("focuser", self.focuser_deg, -360.0, 360.0, unit="deg")
        object.__setattr__(self, "circle_mm", circle)
        object.__setattr__(self, "pitch_mm", pitch)

    @property
    def before_secondary(self) -> bool:
        """True: they are reached from the tube's front."""
        return True

    def angles_deg(self) -> Turns:
        """Return where the screws stand."""
        return self.first_deg, self.first_deg + 120.0, self.first_deg + 240.0

    def moves(self) -> tuple[complex, complex, complex]:
        """Return what one turn forward (towards the sky) of each screw does to the tilt."""
        a, b, c = (
            star_for_lean(
                self.scope,
                -self._lean_arcmin * cmath.rect(1.0, math.radians(angle)),
                self.focuser_deg,
            )
            for angle in self.angles_deg()
        )
        return a, b, c

    @property
    def _lean_arcmin(self) -> float:
        """By how much one turn leans the holder; its hinge is 3/4 of the circle away."""
        assert self.circle_mm is not None
        assert self.pitch_mm is not None
        return math.degrees(math.atan(self.pitch_mm / (0.75 * self.circle_mm))) * 60.0

    @property
    def turn_arcmin(self) -> float:
        """By how much one turn of a screw moves the star, on the mean of all directions."""
        return 1.5 * self._lean_arcmin * to_focus_mm(self.scope) / self.scope.focal_length_mm

    def tilt(self, turns: Turns) -> complex:
        """Return the tilt after turns of A, B and C, positive forwards."""
        return sum((turn * move for turn, move in zip(turns, self.moves(), strict=True)), start=0j)

    def turns_for(self, tilt: complex) -> Turns:
        """Return turns of two screws, the third at rest, that make a tilt: the least turning."""
        found = []
        for one, other in combinations(range(3), 2):
            first, second = self.moves()[one], self.moves()[other]
            matrix = np.array([[first.real, second.real], [first.imag, second.imag]])
            turns = [0.0, 0.0, 0.0]
            turns[one], turns[other] = np.linalg.solve(matrix, [tilt.real, tilt.imag]).tolist()
            found.append((turns[0], turns[1], turns[2]))
        return min(found, key=lambda turns: sum(map(abs, turns)))

    def next_turn(self, tilt: complex) -> tuple[str, float] | None:
        """Return the screw to turn next and by how much, or None when it is good enough.

        The rule of the sheet, with the amount that brings the shadow nearest.
        """
        if abs(tilt) <= self.tolerance_arcmin:
            return None
        moves = self.moves()
        along = [(tilt * move.conjugate()).real / abs(move) for move in moves]
        best = max(range(3), key=lambda index: abs(along[index]))
        return NAMES[best], -along[best] / abs(moves[best])

    def fault(self, tilt: complex) -> Fault:
        """Return the leaning flat that shows a tilt, its primary set again on the star."""
        lean = lean_for_star(self.scope, tilt, self.focuser_deg)
        angle = math.degrees(cmath.phase(lean)) if lean else 0.0
        options = (("collimated", 1.0), ("focuser", self.focuser_deg))
        return Fault(
            name="secondary-tilt",
            amount=abs(lean),
            unit="arcmin",
            angle_deg=angle,
            options=options,
        )

    @property
    def tolerance_mm(self) -> float:
        """How far off the middle of the primary the shadow may stand."""
        band = 1.0 - self.scope.obstruction
        return 0.5 * WIDER * band / (1.0 + 0.5 * WIDER) * self.scope.aperture_mm / 2.0

    @property
    def tolerance_arcmin(self) -> float:
        """The same as a tilt."""
        return math.degrees(math.atan(self.tolerance_mm / height_mm(self.scope))) * 60.0

    @property
    def tolerance_turns(self) -> float:
        """The same as turns of one screw."""
        return self.tolerance_arcmin / self.turn_arcmin

    def off_mm(self, tilt: complex) -> float:
        """Return how far off the middle of the primary the shadow stands."""
        return height_mm(self.scope) * math.tan(math.radians(abs(tilt) / 60.0))

    def band_ratio(self, tilt: complex, defocus_waves: float) -> float:
        """Return how much wider the light beside the shadow is on one side than on the other."""
        del defocus_waves  # near and far the same: disc and shadow grow alike
        return band_ratio(self.scope.obstruction, 2.0 * self.off_mm(tilt) / self.scope.aperture_mm)

    def star_moves(self, turned: complex) -> complex:
        """Return how a star moves in the field while the tilt changes by `turned`, arcmin."""
        return turned

    def axis_from_star(self, tilt: complex) -> complex:
        """Return to which side the shadow stands, as large as the tilt."""
        return -tilt

    @property
    def offset_mm(self) -> float:
        """By how much a flat is set off on purpose, away from the focuser."""
        return offset_mm(self.scope)
