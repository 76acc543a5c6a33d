"""Finder, telephone, price; figures that clash, are only guessed, or are not there."""

from __future__ import annotations

from typing import Final

from simview.advice.reading.conflicts import out_of_reach
from simview.advice.rules.rule import Case, Outcome, Rule

# A view this wide needs no finder, degrees: a choice.
OWN_FINDER_DEG: Final = 2.0


# What an offer for a telescope should say beside its two lengths; with two of them unsaid the rest
# is no ground for a judgement. A choice.
_WORTH_ASKING: Final = {
    "lens or mirror": "whether it is built with a lens or a mirror",
    "eyepieces": "which eyepieces come with it",
    "mount": "what it stands on",
}
MUCH_UNSAID: Final = 2


def _finder(case: Case) -> Outcome | None:
    finder = case.listing.finder
    widest = max((one.true_field_arcmin / 60.0 for one in case.plain_powers), default=0.0)
    if finder == "none" and case.is_telescope and widest < OWN_FINDER_DEG:
        return Outcome(
            grade="caution",
            says="There is no finder. Without one even the Moon is hard to find; a red-dot"
            " finder costs"
            " little.",
        )
    if finder != "small optical":
        return None
    return Outcome(
        grade="note",
        says="The finder is of the 5×24 kind: a plastic tube with a single lens, usually with"
        " a ring inside"
        " that leaves about 10 mm working. It shows fewer stars than the naked eye. A"
        " red-dot finder is"
        " better and cheap.",
    )


def _phone(case: Case) -> Outcome | None:
    listing = case.listing
    if not (listing.phone_holder or listing.photography):
        return None
    return Outcome(
        grade="note",
        says="Photographs are promised. A telephone held to the eyepiece records the Moon, and"
        " planets as"
        " small discs; the colourful pictures on the box were taken with long exposures"
        " through other"
        " instruments, and the eye never sees their colours.",
    )


def _clash(case: Case) -> Outcome | None:
    reach = out_of_reach(case.listing)
    clashes = [sentence for sentence in case.listing.contradictions if sentence != reach]
    if not clashes:
        return None
    return Outcome(grade="caution", says=" ".join(clashes))


def _guess(case: Case) -> Outcome | None:
    guessed = [
        one
        for one in case.listing.readings
        if one.guess and one.key in ("aperture_mm", "focal_length_mm") and "model" in one.note
    ]
    if not guessed:
        return None
    what = " and ".join(
        f"{one.key.removesuffix('_mm').replace('_', ' ')} {one.value:g} mm"
        for one in guessed
        if isinstance(one.value, float)
    )
    return Outcome(
        grade="caution",
        says=f"The offer does not say the {what}; this is guessed from the model number"
        f" {guessed[0].words}."
        " Everything that follows from it is a guess too.",
    )


def _silent(case: Case) -> Outcome | None:
    listing = case.listing
    lacking = []
    if case.aperture_mm is None:
        lacking.append("the aperture")
    if case.is_telescope and case.focal_length_mm is None:
        lacking.append("the focal length")
    if not case.is_telescope and listing.binocular_power is None:
        lacking.append("the power")
    if lacking:
        return Outcome(
            grade="caution",
            says=f"The offer does not say {' or '.join(lacking)}. Without it nobody can tell"
            " what it"
            " shows; sellers of good telescopes always say.",
        )
    asks = [words for what, words in _WORTH_ASKING.items() if what in listing.missing]
    if not asks:
        return None
    return Outcome(
        grade="caution" if len(asks) >= MUCH_UNSAID else "note",
        says=f"Ask before you buy: the offer does not say {_and(asks)}.",
    )


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _price(case: Case) -> Outcome | None:
    listing, shelf = case.listing, case.shelf
    if shelf is None or listing.price is None or case.aperture_mm is None:
        return None
    from simview.advice.alternatives import better_for_the_money

    better = better_for_the_money(listing, shelf)
    if better is None:
        return None
    return Outcome(
        grade="caution",
        says=f"{listing.price:g} {listing.currency} also buys {better.item.name} on the shelf for"
        f" {better.item.price:g} {better.item.currency}, which shows more: {better.why}.",
        arithmetic=better.sums,
    )


RULES: Final = (
    Rule(
        name="too little said",
        label="common practice",
        cites="no single source",
        changes_mind="The figures, from the seller or measured.",
        weigh=_silent,
    ),
    Rule(
        name="guessed figures",
        label="common practice",
        cites="no single source; model numbers often run aperture and focal length together",
        changes_mind="The figures, from the seller or from the tube itself.",
        weigh=_guess,
    ),
    Rule(
        name="own figures",
        label="formula",
        cites="f-ratio = focal length / aperture; power = focal length / eyepiece's focal length",
        changes_mind="Figures that agree with each other.",
        weigh=_clash,
    ),
    Rule(
        name="finder",
        label="common practice",
        cites="no single source",
        changes_mind="A red-dot finder, or an optical one of 30 mm or more.",
        weigh=_finder,
    ),
    Rule(
        name="photographs",
        label="common practice",
        cites="no single source",
        changes_mind="A mount with a drive, and a camera meant for it.",
        weigh=_phone,
    ),
    Rule(
        name="price",
        label="formula",
        cites="compared with the shelf by limiting magnitude, finest detail, widest field and rest",
        changes_mind="A lower price, or a shelf that holds nothing better for it.",
        weigh=_price,
    ),
)
