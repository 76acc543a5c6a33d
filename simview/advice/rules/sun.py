"""The Sun and optics: said before everything else.

The wording follows what observatories and eclipse bodies usually say (common to many leaflets;
e.g. Chou, in the handbooks of astronomical societies; from memory).
"""

from __future__ import annotations

from typing import Final

from simview.advice.rules.rule import Case, Outcome, Rule

# Shown at the top of a sheet whenever the Sun and the telescope come together.
SUN_CAUTION: Final = (
    "Never look at the Sun through a telescope, a finder or binoculars without a purpose-made solar"
    " filter fixed securely over the front.",
    "Never use a filter that screws into an eyepiece: it sits where the heat gathers and can crack"
    " without warning. Throw it away.",
    "Eclipse glasses are for the naked eye only, never at an eyepiece.",
    "Cap or remove the finder, and check the front filter for holes and scratches every time.",
    "Children only with an adult beside them.",
    "The damage is painless, immediate and for life.",
    "When unsure, ask a local astronomy society or a licensed professional before you try.",
)


def _weigh(case: Case) -> Outcome | None:
    kinds = case.listing.solar
    if not kinds:
        return None
    if "eyepiece filter" in kinds:
        return Outcome(
            grade="stop",
            says="A Sun filter for the eyepiece is in the box. It sits where the telescope"
            " gathers the"
            " Sun's heat and can crack without warning; the eye behind it then takes the full beam."
            " Break it and throw it away before anyone uses the telescope.",
        )
    if "filter" in kinds:
        return Outcome(
            grade="stop",
            says="A Sun filter is named, without saying where it goes. If it screws into the"
            " eyepiece"
            " it can crack and blind: destroy it. Only a purpose-made filter that covers the whole"
            " front of the tube is safe.",
        )
    if "front filter" in kinds:
        return Outcome(
            grade="caution",
            says="A Sun filter for the front of the tube is named. That is the right place;"
            " make sure"
            " that it is purpose-made for telescopes, undamaged, and cannot be knocked"
            " off, and cap the"
            " finder.",
        )
    if "screen" in kinds or "use" in kinds:
        return Outcome(
            grade="caution",
            says="The offer speaks of looking at the Sun or projecting it. Unfiltered sunlight in a"
            " telescope blinds, sets things alight and melts eyepieces and finders; a"
            " child may look in"
            " at any moment. Do not do it without a purpose-made filter over the front.",
        )
    return Outcome(
        grade="note",
        says="The offer itself warns of the Sun, rightly: never point the telescope at it without a"
        " purpose-made filter fixed over the front.",
    )


RULES: Final = (
    Rule(
        name="sun safety",
        label="safety",
        cites="usual wording of observatories and eclipse bodies; ISO 12312-2 covers no telescopes",
        changes_mind="Nothing, where the filter goes into the eyepiece. A purpose-made filter"
        " over the whole front, fixed so that it cannot fall off, makes the Sun safe to look at.",
        weigh=_weigh,
    ),
)
