"""Eyepieces: barrels, simple designs at this f-ratio, narrow views."""

from __future__ import annotations

from typing import Final

from simview.advice.listing import OfferedEyepiece
from simview.advice.rules.rule import Case, Outcome, Rule
from simview.kit import Design

# The f-ratio at which a design begins to do well. Common practice, no source; agrees with the
# classic texts (Sidgwick, Amateur Astronomer's Handbook; Rutten & van Venrooij; from memory).
COMFORTABLE_RATIO: Final[dict[Design, float]] = {"huygens": 10.0, "ramsden": 9.0, "kellner": 6.0}

_NAMES: Final[dict[Design, str]] = {
    "huygens": "Huygens (two single lenses)",
    "ramsden": "Ramsden (two single lenses)",
    "kellner": "Kellner (three lenses)",
}

# Below this the view looks like one through a drinking straw, degrees: a choice.
STRAW_DEG: Final = 40.0


def _barrel(case: Case) -> Outcome | None:
    barrels = {piece.barrel for piece in case.listing.eyepieces} | {case.listing.barrel}
    if "0.965in" not in barrels:
        return None
    return Outcome(
        grade="caution",
        says="The eyepieces have the old 0.965 inch (24.5 mm) barrel. Hardly any good eyepiece"
        " is made"
        " for it: what is in the box cannot simply be replaced by something better.",
        arithmetic="24.5 mm against the usual 31.75 mm (1.25 in)",
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
    return Outcome(
        grade="caution" if single else "note",
        says=f"{'; '.join(_groups(below))}. In a telescope of f/{ratio:.3g} the picture is soft and"
        " coloured away from the middle.",
        arithmetic="; ".join(
            f"f/{ratio:.3g} is faster than f/{COMFORTABLE_RATIO[design]:g}"
            for design in dict.fromkeys(one.design for one in below)
        ),
    )


def _groups(pieces: list[OfferedEyepiece]) -> list[str]:
    """Return one phrase for each design among the pieces."""
    phrases = []
    for design in dict.fromkeys(piece.design for piece in pieces):
        names = ", ".join(piece.label for piece in pieces if piece.design == design)
        phrases.append(
            f"{names}: {_NAMES[design]}, made for f/{COMFORTABLE_RATIO[design]:g} or slower"
        )
    return phrases


def _straw(case: Case) -> Outcome | None:
    told = [piece for piece in case.listing.eyepieces if _is_told(piece)]
    if not told or len(told) < len(case.listing.eyepieces):
        return None
    fields = {one.eyepiece.label: one.apparent_field_deg for one in case.plain_powers}
    if not fields or max(fields.values()) >= STRAW_DEG:
        return None
    widest = max(fields.values())
    return Outcome(
        grade="note",
        says=f"Every eyepiece shows a narrow circle, about {widest:.0f} degrees wide, like looking"
        " through a drinking straw. Common simple eyepieces of today show 50.",
        arithmetic="; ".join(f"{label}: {field:.0f} deg" for label, field in fields.items()),
    )


def _is_told(piece: OfferedEyepiece) -> bool:
    return piece.design != "unknown" or piece.apparent_field_deg is not None


RULES: Final = (
    Rule(
        name="barrel",
        label="common practice",
        cites="no single source; barrels of 0.965, 1.25 and 2 in",
        changes_mind="A focuser that takes 1.25 inch (31.75 mm) eyepieces.",
        weigh=_barrel,
    ),
    Rule(
        name="simple eyepieces",
        label="common practice",
        cites="Sidgwick, Amateur Astronomer's Handbook; Rutten & van Venrooij 1988, Telescope"
        " Optics"
        " (from memory)",
        changes_mind="Plössl or better eyepieces, or a telescope of a slower f-ratio.",
        weigh=_simple,
    ),
    Rule(
        name="narrow view",
        label="common practice",
        cites="no single source; apparent fields usual for each design",
        changes_mind="An eyepiece with an apparent field of 50 degrees or more.",
        weigh=_straw,
    ),
)
