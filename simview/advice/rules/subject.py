"""An offer of something else than a telescope: nothing is judged, and that is said."""

from __future__ import annotations

from typing import Final

from simview.advice.rules.rule import Case, Outcome, Rule
from simview.advice.speech import say


def _something_else(case: Case) -> Outcome | None:
    if case.listing.about_telescope:
        return None
    return Outcome(
        grade="caution",
        says=say(
            "Nothing in this text speaks of a telescope or of binoculars, so there is nothing to"
            " judge. Is it the right text?"
        ),
    )


RULES: Final = (
    Rule(
        name="not a telescope",
        title=say("Not about a telescope"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say(
            "Words of a telescope: its aperture, its focal length, what comes with it."
        ),
        weigh=_something_else,
    ),
)
