"""What in an offer does not agree with itself, and what it does not say at all."""

from __future__ import annotations

from typing import Final

from simview.advice.delivered import focal_length_mm, powers_of
from simview.advice.listing import Listing, Unread
from simview.advice.speech import listed, number, say

# Rounding on boxes: a stated f-ratio within this part of the computed one agrees. A choice.
RATIO_TOLERANCE: Final = 0.06

# A promised power within this part of one that the pieces give counts as delivered. A choice.
POWER_TOLERANCE: Final = 0.05


def contradictions(listing: Listing) -> tuple[str, ...]:
    """Return one sentence for each contradiction in the offer's own figures."""
    found = (_ratio(listing), out_of_reach(listing))
    return tuple(sentence for sentence in found if sentence)


def _ratio(listing: Listing) -> str:
    if None in (listing.aperture_mm, listing.focal_length_mm, listing.focal_ratio):
        return ""
    aperture = listing.aperture_mm or 0.0
    focal = listing.focal_length_mm or 0.0
    stated = listing.focal_ratio or 0.0
    real = focal / aperture
    if abs(stated / real - 1.0) <= RATIO_TOLERANCE:
        return ""
    return say(
        "The offer says f/{stated}, but {focal} mm of focal length divided by {aperture} mm of"
        " aperture is f/{real}.",
        stated=stated,
        focal=focal,
        aperture=aperture,
        real=number(real, 1),
    )


def out_of_reach(listing: Listing) -> str:
    """Return what is wrong where no pieces in the box give the promised power, or nothing."""
    claim, given = listing.claimed_power, powers_of(listing)
    if claim is None or not given or any(piece.factor is None for piece in listing.amplifiers):
        return ""
    if any(abs(one.power / claim - 1.0) <= POWER_TOLERANCE for one in given):
        return ""
    best = max(given, key=lambda one: one.power)
    if claim < best.power and any(piece.shortest_mm for piece in listing.eyepieces):
        return ""  # somewhere along the zoom
    if claim < best.power:
        return say(
            "No pieces in the box give the promised {claim} times; they give {list}.",
            claim=claim,
            list=listed(number(power) for power in sorted(one.power for one in given)),
        )
    return say(
        "The promised {claim} times cannot be reached with what is in the box: the most that it"
        " gives is {most} times ({pieces}).",
        claim=claim,
        most=number(best.power),
        pieces=best.label,
    )


def missing(listing: Listing) -> tuple[str, ...]:
    """Return what a judgement would need and the offer does not say, nor speak of."""
    spoken_of = {one.what for one in listing.unread}
    return tuple(what for what in lacking(listing) if what not in spoken_of)


def still_unread(listing: Listing) -> tuple[Unread, ...]:
    """Return what the offer speaks of and is still not known, after some of it was put right."""
    unknown = lacking(listing)
    return tuple(one for one in listing.unread if one.what in unknown)


def lacking(listing: Listing) -> tuple[str, ...]:
    """Return what a judgement would need and no value is known of."""
    wanted: list[tuple[str, bool]] = [("aperture", listing.aperture_mm is None)]
    if listing.instrument == "telescope":
        designs = {piece.design for piece in listing.eyepieces}
        wanted += [
            ("focal length", focal_length_mm(listing) is None),
            ("lens or mirror", listing.layout is None and listing.objective is None),
            ("eyepieces", not listing.eyepieces),
            ("design of the eyepieces", bool(designs) and "unknown" in designs),
            ("barrel size of the eyepieces", listing.barrel is None),
            ("mount", listing.mount is None or listing.mount.kind is None),
            ("finder", listing.finder is None),
        ]
        wanted += [
            (f"strength of the {piece.label}", piece.factor is None) for piece in listing.amplifiers
        ]
    else:
        wanted.append(("power", listing.binocular_power is None))
    wanted += [
        ("price", listing.price is None),
        ("currency", listing.price is not None and not listing.currency),
    ]
    return tuple(what for what, lacking in wanted if lacking)
