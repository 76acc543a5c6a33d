"""Eyepieces: barrels, simple designs at this f-ratio, narrow views."""

from __future__ import annotations

import math
from typing import Final

from simview.advice.listing import OfferedEyepiece
from simview.advice.rules.rule import Case, Outcome, Rule
from simview.advice.speech import Said, joined, listed, number, say
from simview.kit import Design

# The f-ratio at which a design begins to do well. Common practice, no source; agrees with the
# classic texts (Sidgwick, Amateur Astronomer's Handbook; Rutten & van Venrooij; from memory).
COMFORTABLE_RATIO: Final[dict[Design, float]] = {"huygens": 10.0, "ramsden": 9.0, "kellner": 6.0}

_NAMES: Final[dict[Design, Said]] = {
    "huygens": say("Huygens, two single lenses"),
    "ramsden": say("Ramsden, two single lenses"),
    "kellner": say("Kellner, three lenses"),
}

# Below this a view counts as narrow, and what simple eyepieces of today show, degrees: choices.
NARROW_DEG: Final = 40.0
USUAL_DEG: Final = 50.0

# An adult's outstretched arm from eye to hand, mm: from memory, good to a tenth.
ARM_MM: Final = 600.0

# Round things that everyone has held, and how wide they are, mm: common sizes, from memory.
_ROUND: Final = (
    (8.0, say("a pea")),
    (23.0, say("a coin")),
    (75.0, say("a drinking glass")),
    (150.0, say("a saucer")),
    (270.0, say("a dinner plate")),
    (380.0, say("a car's steering wheel")),
    (560.0, say("a small café table")),
)


def at_arms_length_mm(deg: float) -> float:
    """Return how wide a disc at arm's length looks as wide as an angle, mm.

    Source: trigonometry, 2 × 600 mm × tan(angle / 2).
    Checked by: tests/unit/advice/test_rules.py
    """
    return 2.0 * ARM_MM * math.tan(math.radians(deg / 2.0))


def as_wide_as(deg: float) -> Said:
    """Return the round thing that at arm's length comes nearest to an angle."""
    wide = at_arms_length_mm(deg)
    return min(_ROUND, key=lambda one: abs(math.log(one[0] / wide)))[1]


def _barrel(case: Case) -> Outcome | None:
    barrels = {piece.barrel for piece in case.listing.eyepieces} | {case.listing.barrel}
    if "0.965in" not in barrels:
        return None
    return Outcome(
        grade="caution",
        says=say(
            "The eyepieces have the old thin barrel (0.965 inch, 24.5 mm). Hardly any good eyepiece"
            " is made for it, so what is in the box cannot simply be replaced by something better."
        ),
        arithmetic="24.5 mm < 31.75 mm (1.25 in)",
    )


def _simple(case: Case) -> Outcome | None:
    ratio = case.ratio
    simple = [piece for piece in case.listing.eyepieces if piece.design in COMFORTABLE_RATIO]
    if ratio is None or not simple:
        return None
    below = [piece for piece in simple if ratio < COMFORTABLE_RATIO[piece.design]]
    if not below:
        return None
    single = any(one.design in ("huygens", "ramsden") for one in below)
    designs = list(dict.fromkeys(one.design for one in below))
    return Outcome(
        grade="caution" if single else "note",
        says=say(
            "{which}: fine in slow telescopes, but in one of f/{ratio} the picture is soft and"
            " coloured away from the middle.",
            which=joined((_group(below, design) for design in designs), "; "),
            ratio=float(f"{ratio:.2g}"),
        ),
        arithmetic="; ".join(f"f/{ratio:.3g} < f/{COMFORTABLE_RATIO[one]:g}" for one in designs),
    )


def _group(pieces: list[OfferedEyepiece], design: Design) -> Said:
    """Return the pieces of one design in a phrase."""
    names = [piece.label for piece in pieces if piece.design == design]
    return say("{names} ({design})", names=listed(names), design=_NAMES[design])


def _narrow(case: Case) -> Outcome | None:
    told = [piece for piece in case.listing.eyepieces if _is_told(piece)]
    if not told or len(told) < len(case.listing.eyepieces):
        return None
    fields = {one.eyepiece.label: one.apparent_field_deg for one in case.plain_powers}
    if not fields or max(fields.values()) >= NARROW_DEG:
        return None
    widest = max(fields.values())
    return Outcome(
        grade="note",
        says=say(
            "Every eyepiece shows a narrow circle: about {field} degrees, as wide as {thing} at"
            " arm's length. Common simple eyepieces of today show {usual} degrees, {wide}.",
            field=number(widest),
            thing=as_wide_as(widest),
            usual=number(USUAL_DEG),
            wide=as_wide_as(USUAL_DEG),
        ),
        arithmetic="; ".join(f"{label}: {field:.0f}°" for label, field in fields.items())
        + f"; 2 × 60 cm × tan({widest:.0f}° / 2) = {at_arms_length_mm(widest) / 10.0:.0f} cm",
    )


def _is_told(piece: OfferedEyepiece) -> bool:
    return piece.design != "unknown" or piece.apparent_field_deg is not None


RULES: Final = (
    Rule(
        name="barrel",
        title=say("Old eyepiece size"),
        label="common practice",
        cites=say("no single source; barrels of 0.965, 1.25 and 2 in"),
        changes_mind=say("A focuser that takes 1.25 inch (31.75 mm) eyepieces."),
        weigh=_barrel,
    ),
    Rule(
        name="simple eyepieces",
        title=say("Simple eyepieces"),
        label="common practice",
        cites=say(
            "Sidgwick, Amateur Astronomer's Handbook; Rutten & van Venrooij 1988, Telescope Optics"
            " (from memory)"
        ),
        changes_mind=say("Plössl or better eyepieces, or a telescope of a slower f-ratio."),
        weigh=_simple,
    ),
    Rule(
        name="narrow view",
        title=say("A narrow view"),
        label="common practice",
        cites=say("no single source; apparent fields usual for each design"),
        changes_mind=say("An eyepiece with an apparent field of 50 degrees or more."),
        weigh=_narrow,
    ),
)
