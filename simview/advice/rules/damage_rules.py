"""Broken, cracked, mouldy, loose: what the offer itself says of damage."""

from __future__ import annotations

from typing import Final

from simview.advice.rules.rule import Case, Outcome, Rule
from simview.advice.speech import joined, say


def _damage(case: Case) -> Outcome | None:
    if not case.listing.damage:
        return None
    return Outcome(
        grade="caution",
        says=say(
            "The offer speaks of damage (“{words}”). Look at it in daylight before you pay.",
            words=joined(case.listing.damage, "; "),
        ),
    )


RULES: Final = (
    Rule(
        name="damage",
        title=say("Damage"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say(
            "A look at the thing itself by day: marks on the tube do no harm; a cracked or mouldy"
            " lens or mirror does, and so does a loose mount."
        ),
        weigh=_damage,
    ),
)
