"""Three screws behind a mirror: what a turn of each does to its axis.

They stand behind a Newtonian's or a Maksutov's primary, or before a Cassegrain's secondary.

Seen from behind the mirror, along the tube towards the sky, which is also how the sky is drawn: the
first screw stands at its angle, the others a third of a circle on, anticlockwise. A screw that is
turned forwards pushes its side of the mirror towards the sky; the mirror's axis then leans to the
opposite side. Three equal turns move the mirror along the tube and tilt nothing.

A mirror that leans by t against its tube sends the light of a star that stands 2 t off the tube's
axis to the middle of the field (law of reflection). The telescope is pointed so that the star is
there: its own axis, at t, then lies t off the star *on the other side*, at -t. That is what the
star's pattern shows, and what `axis_from_star` says. In a folded telescope exact rays tell where
that star stands; a secondary leans its axis to the same side of it.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from typing import Final

from simview.errors import FitError, RangeError, require_range
from simview.kit import FOLDED, Telescope
from simview.telescope.coma import (
    axis_offset_mm,
    coma_tolerance_mm,
    paraboloid_coma_waves,
    shadow_against_coma,
)
from simview.telescope.faults import Fault
from simview.telescope.traced_faults import Collimated, collimated

NAMES: Final = ("A", "B", "C")

# Thread that moves the mirror in one turn, mm: M6 coarse. Source: ISO 261.
USUAL_PITCH_MM: Final = 1.0

# The same for the small screws of a secondary: M4 coarse. Source: ISO 261.
FINE_PITCH_MM: Final = 0.7

# Coma that nobody misses: a quarter wave, peak to valley.
COMA_ALLOWED: Final = 0.25

# Circle on which a secondary's screws stand, against the secondary's shadow; and that shadow where
# a kit states none. Common practice, no source.
USUAL_SECONDARY_CIRCLE: Final = 0.4
_SECONDARY: Final = 0.33

# The smallest such circle, against that shadow. A choice.
LEAST_SECONDARY_CIRCLE: Final = 0.05

# Circle on which the screws stand, against the aperture. Common practice, no source.
USUAL_CIRCLE: Final = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Screws:
    """The three screws of one telescope.

    Parameters
    ----------
    scope
        With mirrors.
    circle_mm
        Diameter of the circle on which they stand, no wider than the glass that they hold; None
        for what is usual.
    pitch_mm
        By which one turn moves the mirror's side; None for what is usual.
    first_deg
        Where screw A stands, anticlockwise from the right as seen from behind.

    Raises
    ------
    SimviewError
        For a telescope that is no mirror, or lengths out of range.

    layout
        As in a kit; None is a Newtonian.

    Notes
    -----
    Checked by: tests/unit/telescope/test_screws.py, tests/truth/test_collimation_loop.py,
    tests/truth/test_folded_loop.py
    """

    scope: Telescope
    circle_mm: float | None = None
    pitch_mm: float | None = None
    first_deg: float = 90.0
    layout: str | None = None

    def __post_init__(self) -> None:
        if self.scope.objective != "mirror":
            raise FitError(
                "collimation",
                got=f"objective {self.scope.objective!r}",
                allowed="a telescope with mirrors",
                remedy="for a lens see startest with decentred-lens",
            )
        if self.layout not in (None, "newtonian", *FOLDED):
            allowed = f"a Newtonian, or layout {', '.join(FOLDED)}"
            raise FitError("collimation", got=f"layout {self.layout!r}", allowed=allowed)
        aperture = self.scope.aperture_mm
        glass, usual, least = aperture, aperture * USUAL_CIRCLE, 0.1
        if self.before_secondary:
            glass = aperture * (self.scope.obstruction or _SECONDARY)
            usual, least = USUAL_SECONDARY_CIRCLE * glass, LEAST_SECONDARY_CIRCLE
        circle = usual if self.circle_mm is None else self.circle_mm
        name = "secondary" if self.before_secondary else "primary mirror"
        require_circle(circle, least * glass, glass, name)
        object.__setattr__(self, "circle_mm", circle)
        if self.pitch_mm is None:
            thread = FINE_PITCH_MM if self.before_secondary else USUAL_PITCH_MM
            object.__setattr__(self, "pitch_mm", thread)
        assert self.pitch_mm is not None
        require_range("screw pitch", self.pitch_mm, 0.05, 5.0, unit="mm")
        require_range("first screw", self.first_deg, -360.0, 360.0, unit="deg")

    @property
    def before_secondary(self) -> bool:
        """True where the screws are reached from the tube's front, before the second mirror."""
        return self.layout in ("cassegrain", "schmidt-cassegrain")

    @property
    def traced(self) -> Collimated | None:
        """What exact rays say of a folded telescope; None for a Newtonian."""
        if self.layout in (None, "newtonian"):
            return None
        assert self.layout is not None
        return collimated(self.scope.aperture_mm, self.scope.focal_length_mm, self.layout)

    def angles_deg(self) -> tuple[float, float, float]:
        """Return where the screws stand."""
        return self.first_deg, self.first_deg + 120.0, self.first_deg + 240.0

    @property
    def turn_arcmin(self) -> float:
        """By how much one whole turn of one screw tilts the axis."""
        # The side of an equilateral triangle moves; its opposite edge, 3/4 of the circle's
        # diameter away, is the hinge.
        assert self.circle_mm is not None
        assert self.pitch_mm is not None
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

        Notes
        -----
        Checked by: tests/truth/test_collimation_loop.py
        """
        if abs(tilt) <= self.tolerance_arcmin:
            return None
        along = [(tilt * _unit(angle).conjugate()).real for angle in self.angles_deg()]
        best = max(range(3), key=lambda index: abs(along[index]))
        return NAMES[best], along[best] / self.turn_arcmin

    def fault(self, tilt: complex) -> Fault:
        """Return the miscollimation of a mirror that leans by `tilt` (arcmin), star centred."""
        off = self.axis_from_star(tilt)
        angle = math.degrees(cmath.phase(off)) if off else 0.0
        return Fault(name="miscollimation", amount=abs(off), unit="arcmin", angle_deg=angle)

    def coma_waves(self, tilt: complex) -> float:
        """Return the coma of a mirror that leans by `tilt`, waves peak to valley at 550 nm."""
        found = self.traced
        if found is None:
            return paraboloid_coma_waves(self.scope, abs(tilt))
        return found.coma_waves * abs(tilt)

    def shadow_against_coma(self, defocus_waves: float) -> float:
        """Return how far the moved shadow leans out of focus, against the lean that coma gives.

        In a folded telescope as in a Newtonian (simview.telescope.coma): coma of a r^3 cos t, a =
        3/2 of it peak to valley, leans the dark middle by 2 a (1 - obstruction^2); a shadow moved
        by s radii is drawn 2 W s off.
        """
        found = self.traced
        if found is None:
            return shadow_against_coma(self.scope, defocus_waves)
        lean = 1.5 * found.coma_waves * (1.0 - self.scope.obstruction**2)
        return defocus_waves * found.shadow / lean

    def band_ratio(self, tilt: complex, defocus_waves: float) -> float:
        """Return how much wider the light around the dark middle is on one side than on the other.

        Along the lean, a r^3 cos t moves light from radius r by 3 a r^2, and defocus by 2 W r: the
        rim and the shadow's edge stand 3 a (1 - obstruction^2) nearer on one side, farther on the
        other; the shadow's own place adds 2 W s. `shadow_against_coma` compares that with 2 a.

        Returns
        -------
        float
            At least 1; infinite where the light is on one side only.

        Notes
        -----
        Source: geometry of rays. Checked by: tests/truth/test_band_of_light.py
        """
        hidden = self.scope.obstruction
        coma = 1.5 * self.coma_waves(tilt)
        lean = coma * (1.0 - hidden**2) / abs(defocus_waves)
        lean *= abs(1.5 + self.shadow_against_coma(defocus_waves))
        return band_ratio(hidden, lean)

    @property
    def tolerance_mm(self) -> float:
        """How far off the middle of the field the axis may stand for a quarter wave of coma."""
        found = self.traced
        if found is None:
            return coma_tolerance_mm(self.scope)
        return found.lever_mm * math.tan(math.radians(self.tolerance_arcmin / 60.0))

    @property
    def tolerance_arcmin(self) -> float:
        """The same as an angle at the mirror."""
        found = self.traced
        if found is not None:
            return COMA_ALLOWED / found.coma_waves
        return math.degrees(math.atan(self.tolerance_mm / self.scope.focal_length_mm)) * 60.0

    @property
    def tolerance_turns(self) -> float:
        """The same as turns of one screw."""
        return self.tolerance_arcmin / self.turn_arcmin

    def off_mm(self, tilt: complex) -> float:
        """Return how far off the middle of the field the axis meets the focal plane."""
        found = self.traced
        if found is None:
            return axis_offset_mm(self.scope, abs(tilt))
        return found.lever_mm * math.tan(math.radians(abs(tilt) / 60.0))

    def star_moves(self, turned: complex) -> complex:
        """Return how a star moves in the field while the mirror leans on by `turned`, arcmin.

        A Newtonian's field goes twice as far as the mirror's axis, so the star moves the other way.

        Source: law of reflection; exact rays for folded telescopes.
        """
        found = self.traced
        return -(2.0 if found is None else found.star) * turned

    def axis_from_star(self, tilt: complex) -> complex:
        """Return to which side of a centred star the axis of a leaning mirror lies, arcmin.

        A primary's star stands at twice the lean, the axis at once the lean: on the other side. A
        secondary's stands away from the lean: on the same side. As long as the lean.

        Source: law of reflection; exact rays for folded telescopes.
        """
        found = self.traced
        return tilt if found is not None and found.star < 1.0 else -tilt


def band_ratio(hidden: float, lean: float) -> float:
    """Return how much wider a ring of light is on one side, its middle off by `lean`, in radii."""
    narrow = 1.0 - hidden - lean
    return math.inf if narrow <= 0.0 else (1.0 - hidden + lean) / narrow


def require_circle(circle_mm: float, least_mm: float, glass_mm: float, name: str) -> None:
    """Refuse a circle of screws wider than the glass that they hold, or too small to tilt it.

    Raises
    ------
    RangeError
        Names the glass and how wide it is.
    """
    if math.isfinite(circle_mm) and not least_mm <= circle_mm <= glass_mm:
        raise RangeError(
            "screw circle",
            got=f"{circle_mm:g} mm",
            allowed=f"{least_mm:.3g} to {glass_mm:.4g} mm, no wider than the {name} that they hold",
            remedy="give the diameter of the circle through all three screws",
        )
    require_range("screw circle", circle_mm, least_mm, glass_mm, unit="mm")


def _unit(angle_deg: float) -> complex:
    return cmath.rect(1.0, math.radians(angle_deg))
