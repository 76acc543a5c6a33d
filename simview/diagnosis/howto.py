"""How to photograph a star so that its telescope can be diagnosed, with the numbers of a kit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from simview.errors import FitError
from simview.kit import Kit
from simview.telescope.opening import stop_for
from simview.units import ARCSEC_PER_RADIAN, focus_shift_mm

# Waves of defocus that tell most: fewer show too few rings, more drown in the air.
# Source: measured with pictures of known telescopes, docs/models/diagnosis.md.
BEST_WAVES: Final = 6.0
RANGE_WAVES: Final = (4.0, 8.0)

# Travel of a focuser in one turn of its knob, mm: common practice, no source.
TURN_MM: Final = 20.0

# Apparent width of the disc that a phone behind the eyepiece shows well, deg of the eyepiece's
# field, and most power that is asked for, times per mm of aperture. Choices: 60 to 90 pixels on a
# phone whose picture is 65 deg and 2000 to 3000 pixels wide.
_WIDE_DEG: Final = 2.0
_MOST_POWER: Final = 1.2


@dataclass(frozen=True, slots=True, kw_only=True)
class HowTo:
    """The numbers of one kit for taking the pictures.

    Parameters
    ----------
    waves
        Of defocus to aim at, and the range that will do.
    travel_mm, range_mm
        The same as travel of the eyepiece, to either side.
    turns
        Of a usual focuser's knob.
    disc_arcsec
        Width of the star's disc then.
    power
        Magnification at which it is wide enough.
    pieces
        What of the kit comes nearest to it, in words; where it has no eyepiece, what would.
    newtonian
        Whether it has screws to be told.
    """

    waves: float
    travel_mm: float
    range_mm: tuple[float, float]
    turns: float
    disc_arcsec: float
    power: float
    pieces: str
    newtonian: bool

    def figures(self) -> dict[str, Any]:
        """Return the numbers for JSON."""
        return {
            "defocus_waves": self.waves,
            "travel_mm": self.travel_mm,
            "travel_range_mm": list(self.range_mm),
            "knob_turns": self.turns,
            "disc_arcsec": self.disc_arcsec,
            "power": self.power,
            "pieces": self.pieces,
            "steps": list(self.steps()),
        }

    def steps(self) -> tuple[str, ...]:
        """Return what to do, a sentence or two each."""
        low, high = self.range_mm
        return (
            "Put the telescope outdoors two hours before, caps off. Warm glass and warm air in the"
            " tube look like faults.",
            "Choose one bright star, high up, not a planet and not a double star: the brighter"
            " the better. At night only: never point a telescope near the Sun.",
            f"Take a power of about {self.power:.0f} times{self.pieces and f': {self.pieces}'}."
            " Bring the star to the middle of the field.",
            "Hold the phone behind the eyepiece with a clamp, level, with the tube's top at the"
            " top of the picture. Lock focus (at infinity) and exposure. No digital filters.",
            "Focus sharply. Then turn the focuser so that the eyepiece goes in, into the telescope,"
            f" by {self.travel_mm:.1f} mm ({low:.1f} to"
            f" {high:.1f} mm will do; about {_turn(self.turns)} of a usual knob). The star becomes"
            " a disc with rings. On a mirror its dark middle shows.",
            "Set the exposure so that no part of the disc is white: rather too dark.",
            "Film ten seconds, or take 30 pictures in a row. Do not zoom. Name them inside"
            " (inside.mp4, or a folder inside).",
            f"Turn back through focus and as far out on the other side ({self.travel_mm:.1f} mm)"
            " until the disc is as wide as before. Do the same. Name them outside.",
            *self._up(),
            "Then: simview diagnose inside.mp4 outside.mp4 --kit KIT",
        )

    def _up(self) -> tuple[str, ...]:
        if not self.newtonian:
            return ()
        return (
            "To be told which screw to turn: on the outside picture hold a hand before the tube's"
            " upper rim. A notch shows in the disc. Where it is at the top of the picture, all is"
            " well; else give its direction with --up, in degrees anticlockwise from the right"
            " (90 is the top). Then hold the hand before the rim that is right of the tube as you"
            " look along it to the sky, and give its notch with --right: it tells whether the"
            " picture is mirrored.",
        )


def _pieces(kit: Kit, focal_length_mm: float, power: float) -> str:
    """Return which eyepiece, with or without a magnifying lens, comes nearest to a power."""
    choices = {}
    for eyepiece in kit.eyepieces:
        alone = focal_length_mm / eyepiece.focal_length_mm
        name = f"your {eyepiece.focal_length_mm:g} mm eyepiece"
        choices[name] = alone
        for amplifier in kit.amplifiers:
            choices[f"{name} with the {amplifier.factor:g}x lens"] = alone * amplifier.factor
    if not choices:
        return f"an eyepiece of {focal_length_mm / power:.0f} mm gives that"
    best = min(choices, key=lambda name: abs(choices[name] / power - 1.0))
    return f"{best} gives {choices[best]:.0f}"


def _turn(turns: float) -> str:
    names = {1 / 16: "1/16 turn", 1 / 8: "1/8 turn", 1 / 4: "a quarter turn", 1 / 2: "half a turn"}
    names |= {1.0: "one turn", 2.0: "two turns", 4.0: "four turns"}
    return min(names.items(), key=lambda name: abs(name[0] / turns - 1.0))[1]


def how(kit: Kit) -> HowTo:
    """Return how to take the pictures with a kit.

    Raises
    ------
    FitError
        For a kit without a telescope.
    """
    scope = kit.telescope
    if scope is None:
        raise FitError("diagnose --how", got=f"a kit with {kit.kind}", allowed="a telescope")
    aperture = stop_for(scope).aperture_mm
    ratio = scope.focal_length_mm / aperture
    travel, low, high = (focus_shift_mm(w, ratio) for w in (BEST_WAVES, *RANGE_WAVES))
    disc = 8.0 * BEST_WAVES * 550e-6 / aperture * ARCSEC_PER_RADIAN
    return HowTo(
        waves=BEST_WAVES,
        travel_mm=abs(travel),
        range_mm=(abs(low), abs(high)),
        turns=abs(travel) / TURN_MM,
        disc_arcsec=disc,
        power=(power := min(_MOST_POWER * aperture, _WIDE_DEG * 3600.0 / disc)),
        pieces=_pieces(kit, scope.focal_length_mm, power),
        newtonian=scope.objective == "mirror" and kit.layout in (None, "newtonian"),
    )
