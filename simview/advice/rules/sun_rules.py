"""The Sun and optics: said before everything else.

The wording follows what observatories and eclipse bodies usually say: filters over the front, never
at the eyepiece; no eclipse glasses at a telescope; ISO 12312-2 (Chou, "Eye safety during solar
eclipses", and the safety pages of the American Astronomical Society and of NASA).
"""

from __future__ import annotations

from typing import Final

from simview.advice.rules.rule import Case, Grade, Outcome, Rule
from simview.advice.speech import say

# Stands at the top of every answer: whatever can be pointed at the sky can be pointed at the Sun.
SUN_CAUTION: Final = (
    say(
        "Never look at the Sun through a telescope, a finder or binoculars without a purpose-made"
        " solar filter fixed securely over the front. The damage is painless, immediate and for"
        " life."
    ),
    say(
        "Never use a filter that screws into an eyepiece: it sits where the heat gathers and can"
        " crack without warning. Throw it away."
    ),
    say("Eclipse glasses are for the naked eye only, never at an eyepiece."),
    say("Cap or remove the finder, and check the front filter for holes and scratches every time."),
    say("Children only with an adult beside them, and never alone with a telescope by day."),
    say("When unsure, ask a local astronomy society or a licensed professional before you try."),
)


_EYEPIECE: Final = say(
    "A Sun filter for the eyepiece is in the box. It sits where the telescope gathers the Sun's"
    " heat and can crack without warning; the eye behind it then takes the full beam. Break it and"
    " throw it away before anyone uses the telescope."
)
_GLASSES: Final = say(
    "The offer sends people to the telescope with eclipse glasses on. The telescope burns through"
    " them in a moment, and the eye behind them is lost. Never do it, and tell the seller."
)
_SOMEWHERE: Final = say(
    "A Sun filter is named, but not where it goes. If it screws into the eyepiece it can crack and"
    " blind: destroy it. Only a purpose-made filter that covers the whole front of the tube is"
    " safe."
)
_FRONT: Final = say(
    "A Sun filter for the front of the tube is named. That is the right place, but nobody here"
    " knows its make: use it only if it is purpose-made for telescopes, certified and without a"
    " scratch, and cannot be knocked or blown off. Cap the finder, and stay beside children."
)
_SCREEN: Final = say(
    "The offer speaks of projecting the Sun. The beam is unfiltered: it blinds whoever looks in,"
    " sets paper alight and melts eyepieces and finders. With children about, a head is in the beam"
    " faster than you can call. Do not do it; a purpose-made filter over the front shows more."
)
_USE: Final = say(
    "The offer speaks of looking at the Sun. Without a purpose-made filter over the front a"
    " telescope blinds at the first glance, and children look first and ask later. As it is"
    " offered, keep it away from the Sun."
)
# Whether the offer warns or only says that no filter comes with it, this is true of both.
_WARNED: Final = say(
    "No Sun filter for the front comes with it: never point it at the Sun, and leave no child alone"
    " with it by day."
)

# The most dangerous first: it is what the answer says.
_BY_DANGER: Final[tuple[tuple[str, Grade, str], ...]] = (
    ("eclipse glasses", "stop", _GLASSES),
    ("eyepiece filter", "stop", _EYEPIECE),
    ("filter", "stop", _SOMEWHERE),
    ("look", "stop", _USE),
    ("screen", "caution", _SCREEN),
    ("use", "caution", _USE),
    ("front filter", "caution", _FRONT),
    ("warning", "note", _WARNED),
)


def _weigh(case: Case) -> Outcome | None:
    kinds: set[str] = set(case.listing.solar)
    if "front filter" in kinds:
        kinds.discard("look")  # through that filter
    for kind, grade, says in _BY_DANGER:
        if kind in kinds:
            return Outcome(grade=grade, says=says)
    return None


RULES: Final = (
    Rule(
        name="sun safety",
        title=say("The Sun"),
        label="safety",
        cites=say(
            "usual wording of observatories and eclipse bodies; ISO 12312-2 covers no telescopes"
        ),
        changes_mind=say(
            "Nothing, where the filter goes into the eyepiece. A purpose-made filter over the"
            " whole front, fixed so that it cannot fall off, makes the Sun safe to look at."
        ),
        weigh=_weigh,
    ),
)
