"""Finder, price; figures that clash, are swapped, only guessed, or not there."""

from __future__ import annotations

from typing import Final

from simview.advice.listing import Listing, Unread
from simview.advice.reading.conflicts import out_of_reach
from simview.advice.rules.rule import Case, Outcome, Rule
from simview.advice.speech import N_, Said, joined, length, listed, money, say

# A view this wide needs no finder, degrees: a choice.
OWN_FINDER_DEG: Final = 2.0

# What an offer for a telescope should say beside its two lengths. A choice.
_WORTH_ASKING: Final = {
    "lens or mirror": say("whether it is built with a lens or a mirror"),
    "eyepieces": say("which eyepieces come with it"),
    "mount": say("what it stands on"),
}

# A telescope shows only what its mount and its eyepieces let it show: with one of them unsaid
# nobody can call it sound. Common practice, no source.
DECISIVE: Final = frozenset(("mount", "eyepieces"))

# The same things where the offer does speak of them, in words that could not be read.
_SPOKEN_OF: Final = {
    "aperture": say("the aperture"),
    "focal length": say("the focal length"),
    "power": say("the power"),
    "lens or mirror": say("whether it has a lens or a mirror"),
    "eyepieces": say("its eyepieces"),
    "mount": say("its mount"),
}
_LEFT_OUT: Final = {"mount": say("a mount"), "eyepieces": say("eyepieces")}

_LENGTHS: Final = {
    "aperture_mm": N_("aperture {length}"),
    "focal_length_mm": N_("focal length {length}"),
}


def _finder(case: Case) -> Outcome | None:
    finder = case.listing.finder
    widest = max((one.true_field_arcmin / 60.0 for one in case.plain_powers), default=0.0)
    if finder == "none" and case.is_telescope and widest < OWN_FINDER_DEG:
        return Outcome(
            grade="caution",
            says=say(
                "There is no finder. Without one even the Moon is hard to find; a red-dot finder"
                " costs little."
            ),
        )
    if finder != "small optical":
        return None
    return Outcome(
        grade="note",
        says=say(
            "The finder is of the 5×24 kind: a plastic tube with a single lens, usually with a ring"
            " inside that leaves about 10 mm working. It shows hardly more stars than the naked"
            " eye. A red-dot finder is better and cheap."
        ),
    )


def _clash(case: Case) -> Outcome | None:
    reach = out_of_reach(case.listing)
    clashes = [sentence for sentence in case.listing.contradictions if sentence != reach]
    return Outcome(grade="caution", says=joined(clashes)) if clashes else None


def _swapped(case: Case) -> Outcome | None:
    listing = case.listing
    swapped = any(one.note.startswith("swapped") for one in listing.readings)
    if not swapped or listing.aperture_mm is None or listing.focal_length_mm is None:
        return None
    return Outcome(
        grade="caution",
        says=say(
            "The offer has aperture and focal length the wrong way round: {focal} of aperture"
            " cannot be. We read {aperture} of aperture. A seller who swaps the two most important"
            " figures has not looked at the thing; check everything else twice.",
            focal=length(listing.focal_length_mm),
            aperture=length(listing.aperture_mm),
        ),
    )


def _guess(case: Case) -> Outcome | None:
    guessed = [
        one
        for one in case.listing.readings
        if one.guess and one.key in _LENGTHS and "model" in one.note
    ]
    if not guessed:
        return None
    return Outcome(
        grade="caution",
        says=say(
            "The offer does not say it outright; guessed from the model number {number}: {what}."
            " Everything that follows from it is a guess too.",
            what=listed(
                say(_LENGTHS[one.key], length=length(one.value))
                for one in guessed
                if isinstance(one.value, float)
            ),
            number=guessed[0].words,
        ),
    )


def _silent(case: Case) -> Outcome | None:
    listing = case.listing
    lacking: list[str] = []
    if case.aperture_mm is None:
        lacking.append("aperture")
    if case.is_telescope and case.focal_length_mm is None:
        lacking.append("focal length")
    if not case.is_telescope and listing.binocular_power is None:
        lacking.append("power")
    if lacking:
        return _without_sizes(listing, lacking)
    return _worth_asking(listing)


def _without_sizes(listing: Listing, lacking: list[str]) -> Outcome:
    """Say which of its sizes an offer does not tell, or tells in words that were not read."""
    spoken = [one for one in listing.unread if one.what in lacking]
    silent = [what for what in lacking if what not in {one.what for one in spoken}]
    told: list[Said] = [_unread(one) for one in spoken]
    if silent:
        told.append(
            say(
                "The offer does not say {what}. Without it nobody can tell what it shows; sellers"
                " of good telescopes always say.",
                what=listed((_SPOKEN_OF[what] for what in silent), "or"),
            )
        )
    return Outcome(grade="caution", says=joined(told))


def _worth_asking(listing: Listing) -> Outcome | None:
    """Say what else to ask for before an offer can be called sound."""
    silent = [what for what in _WORTH_ASKING if what in listing.missing]
    spoken = [one for one in listing.unread if one.what in _WORTH_ASKING and not one.left_out]
    left_out = [one.what for one in listing.unread if one.left_out]
    told: list[Said] = [_unread(one) for one in spoken]
    if silent:
        asks = listed(_WORTH_ASKING[what] for what in silent)
        told.append(say("Ask before you buy: the offer does not say {what}.", what=asks))
    unknown = {*silent, *(one.what for one in spoken)}
    grave = bool(DECISIVE & unknown)
    if grave:
        told.append(
            say(
                "A telescope shows only what its mount and its eyepieces let it show: nobody can"
                " call it sound before they are known."
            )
        )
    if left_out:
        told.append(
            say(
                "It comes without {what}: add what that costs before you compare.",
                what=listed(_LEFT_OUT[what] for what in left_out),
            )
        )
    if not told:
        return None
    return Outcome(grade="caution" if grave else "note", says=joined(told))


def _unread(one: Unread) -> Said:
    return say(
        "On {what} the offer says something that we could not read: “{words}”. Look at its words"
        " yourself, or ask.",
        what=_SPOKEN_OF[one.what],
        words=one.words,
    )


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
        says=say(
            "For {price} you would also get {item} ({cost}), which shows more: {why}.",
            price=money(listing.price, listing.currency),
            item=better.item.name,
            cost=money(better.item.price or 0.0, better.item.currency),
            why=better.why,
        ),
        arithmetic=better.sums,
    )


RULES: Final = (
    Rule(
        name="too little said",
        title=say("Too little said"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("The figures, from the seller or measured."),
        weigh=_silent,
    ),
    Rule(
        name="guessed figures",
        title=say("Guessed figures"),
        label="common practice",
        cites=say("no single source; model numbers often run aperture and focal length together"),
        changes_mind=say("The figures, from the seller or from the tube itself."),
        weigh=_guess,
    ),
    Rule(
        name="own figures",
        title=say("Figures that clash"),
        label="formula",
        cites=say(
            "f-ratio = focal length / aperture; power = focal length / eyepiece's focal length"
        ),
        changes_mind=say("Figures that agree with each other."),
        weigh=_clash,
    ),
    Rule(
        name="swapped figures",
        title=say("Swapped figures"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("Figures that agree with each other."),
        weigh=_swapped,
    ),
    Rule(
        name="finder",
        title=say("The finder"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("A red-dot finder, or an optical one of 30 mm or more."),
        weigh=_finder,
    ),
    Rule(
        name="price",
        title=say("The price"),
        label="formula",
        cites=say(
            "compared with the shelf by limiting magnitude, finest detail, widest field and rest"
        ),
        changes_mind=say("A lower price, or a shelf that holds nothing better for it."),
        weigh=_price,
    ),
)
