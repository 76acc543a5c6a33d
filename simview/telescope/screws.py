"""Three screws behind a Newtonian's primary: what a turn of each does to its axis.

Seen from behind the mirror, along the tube towards the sky, which is also how the sky is drawn: the
first screw stands at its angle, the others a third of a circle on, anticlockwise. A screw that is
turned forwards pushes its side of the mirror towards the sky; the mirror's axis then leans to the
opposite side. Three equal turns move the mirror along the tube and tilt nothing.

A mirror that leans by t against its tube sends the light of a star that stands 2 t off the tube's
axis to the middle of the field (law of reflection). The telescope is pointed so that the star is
there: its own axis, at t, then lies t off the star *on the other side*, at -t. That is what the
star's pattern shows, and what `axis_from_star` says.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from typing import Final

from simview.errors import FitError, require_range
from simview.kit import Telescope
from simview.telescope.coma import axis_offset_mm, coma_tolerance_mm
from simview.telescope.faults import Fault

NAMES: Final = ("A", "B", "C")

# Thread that moves the mirror in one turn, mm: M6 coarse. Source: ISO 261.
USUAL_PITCH_MM: Final = 1.0

# Circle on which the screws stand, against the aperture. Common practice, no source.
USUAL_CIRCLE: Final = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Screws:
    """The three screws of one telescope.

    Parameters
    ----------
    scope
        A Newtonian.
    circle_mm
        Diameter of the circle on which they stand; None for the usual part of the aperture.
    pitch_mm
        By which one turn moves the mirror's side.
    first_deg
        Where screw A stands, anticlockwise from the right as seen from behind.

    Raises
    ------
    SimviewError
        For a telescope that is no mirror, or lengths out of range.

    Checked by: tests/unit/telescope/test_screws.py
    """

    scope: Telescope
    circle_mm: float | None = None
    pitch_mm: float = USUAL_PITCH_MM
    first_deg: float = 90.0

    def __post_init__(self) -> None:
        if self.scope.objective != "mirror":
            raise FitError(
                "collimation",
                got=f"objective {self.scope.objective!r}",
                allowed="a Newtonian's mirror",
                remedy="for a lens see startest with decentred-lens",
            )
        aperture = self.scope.aperture_mm
        circle = aperture * USUAL_CIRCLE if self.circle_mm is None else self.circle_mm
        require_range("screw circle", circle, 0.1 * aperture, 2.0 * aperture, unit="mm")
        object.__setattr__(self, "circle_mm", circle)
        require_range("screw pitch", self.pitch_mm, 0.05, 5.0, unit="mm")
        require_range("first screw", self.first_deg, -360.0, 360.0, unit="deg")

    def angles_deg(self) -> tuple[float, float, float]:
        """Return where the screws stand."""
        return self.first_deg, self.first_deg + 120.0, self.first_deg + 240.0

    @property
    def turn_arcmin(self) -> float:
        """By how much one whole turn of one screw tilts the axis."""
        # The side of an equilateral triangle moves; its opposite edge, 3/4 of the circle's
        # diameter away, is the hinge.
        assert self.circle_mm is not None
        return math.degrees(math.atan(self.pitch_mm / (0.75 * self.circle_mm))) * 60.0

    def tilt(self, turns: tuple[float, float, float]) -> complex:
        """Return how far the axis leans after turns of A, B and C.

        Parameters
        ----------
        turns
            Whole turns, positive forwards.

        Returns
        -------
        complex
            Arcminutes: to the right, and upwards as imaginary part.
        """
        return -sum(
            turn * self.turn_arcmin * _unit(angle)
            for turn, angle in zip(turns, self.angles_deg(), strict=True)
        )

    def turns_for(self, tilt: complex) -> tuple[float, float, float]:
        """Return turns of two screws, the third at rest, that lean the axis by `tilt`.

        Of the three ways to leave one screw alone, the one with the least turning.
        """
        even = [
            -2.0 / 3.0 * (tilt * _unit(angle).conjugate()).real / self.turn_arcmin
            for angle in self.angles_deg()
        ]
        # Equal turns of all three tilt nothing: the middle one is taken off all.
        middle = sorted(even)[1]
        a, b, c = (turn - middle for turn in even)
        return a, b, c

    def next_turn(self, tilt: complex) -> tuple[str, float] | None:
        """Return the screw to turn next and by how much, or None when it is good enough.

        The rule of the sheet, with the amount that brings the axis nearest: of the three screws,
        the one that sends the star most nearly away from where the dark middle leans.

        Parameters
        ----------
        tilt
            How far the mirror leans, arcmin; see `tilt`.

        Returns
        -------
        tuple or None
            A letter of `NAMES`, and whole turns, positive forwards.

        Checked by: tests/truth/test_collimation_loop.py
        """
        if abs(tilt) <= self.tolerance_arcmin:
            return None
        along = [(tilt * _unit(angle).conjugate()).real for angle in self.angles_deg()]
        best = max(range(3), key=lambda index: abs(along[index]))
        return NAMES[best], along[best] / self.turn_arcmin

    def fault(self, tilt: complex) -> Fault:
        """Return the miscollimation of a mirror that leans by `tilt` (arcmin), star centred."""
        off = axis_from_star(tilt)
        angle = math.degrees(cmath.phase(off)) if off else 0.0
        return Fault(name="miscollimation", amount=abs(off), unit="arcmin", angle_deg=angle)

    @property
    def tolerance_mm(self) -> float:
        """How far off the middle of the field the axis may stand for a quarter wave of coma."""
        return coma_tolerance_mm(self.scope)

    @property
    def tolerance_arcmin(self) -> float:
        """The same as an angle at the mirror."""
        return math.degrees(math.atan(self.tolerance_mm / self.scope.focal_length_mm)) * 60.0

    @property
    def tolerance_turns(self) -> float:
        """The same as turns of one screw."""
        return self.tolerance_arcmin / self.turn_arcmin

    def off_mm(self, tilt: complex) -> float:
        """Return how far off the middle of the field the axis meets the focal plane."""
        return axis_offset_mm(self.scope, abs(tilt))


def star_moves(turned: complex) -> complex:
    """Return how a star moves in the field while the mirror leans on by `turned`, arcmin.

    The field's middle goes twice as far as the mirror's axis, so the star moves the other way.

    Source: law of reflection. Checked by: tests/truth/test_collimation_loop.py (exact rays)
    """
    return -2.0 * turned


def axis_from_star(tilt: complex) -> complex:
    """Return where the axis of a mirror that leans by `tilt` lies against a centred star, arcmin.

    The star stands at twice the lean, the axis at once the lean: on the other side of the star.

    Source: law of reflection. Checked by: tests/truth/test_collimation_loop.py (exact rays)
    """
    return -tilt


def _unit(angle_deg: float) -> complex:
    return cmath.rect(1.0, math.radians(angle_deg))
