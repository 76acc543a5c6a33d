"""Rescue: what an owner can do with the telescope that is already there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from simview.advice.delivered import Delivered, powers_of
from simview.advice.firstlist import STRONG_BARLOW, Suggestion, first_list
from simview.advice.hours import hours, moon_words
from simview.advice.limits import limits_of
from simview.advice.listing import Listing, OfferedAmplifier
from simview.advice.masks import Mask, best_mask, sphere_mask_mm
from simview.advice.offerkit import offer_kit
from simview.advice.rules.mount_rules import HAND_POWER
from simview.advice.rules.sun_rules import SUN_CAUTION
from simview.advice.sights import looks
from simview.advice.speech import N_, about, number, power, say, say_many
from simview.advice.tonight import Evening, evening
from simview.eyepiece.barrels import LARGEST_STOP_MM
from simview.kit import FOLDED, Kit, Observer, Sky

# The star test wants about this power per mm of aperture: common practice, 1 to 2.
STAR_TEST_PER_MM: Final = (0.8, 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of the box, and what to do with it."""

    name: str
    keep: bool
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescue:
    """What to do, in the order of doing it.

    Parameters
    ----------
    safety
        Sentences on the Sun, for the top: the finder is aligned by day.
    pieces
        Every piece of the box; the first one to keep is where to begin.
    mask
        None where the optics gain nothing from one.
    replace, steady, finder, star_test
        Sentences.
    objects
        The first list.
    evening
        Where and when that list holds.
    moon
        What the Moon does to faint things that evening; empty for a month at large.
    kit
        Only the pieces that stay in use.
    assumed
        What the offer does not say and had to be assumed.
    """

    safety: tuple[str, ...]
    pieces: tuple[Piece, ...]
    mask: Mask | None
    replace: tuple[str, ...]
    steady: tuple[str, ...]
    finder: tuple[str, ...]
    star_test: tuple[str, ...]
    objects: tuple[Suggestion, ...]
    evening: Evening
    moon: str
    kit: Kit
    assumed: tuple[str, ...]

    def heading(self, key: str) -> str:
        """Return which of the answer's words stands over a list: binoculars have no finder."""
        if key != "finder" or self.kit.kind == "telescope":
            return key
        return "eyes" if self.finder == _BINOCULARS else "aiming"


def rescue(  # noqa: PLR0913 - where and when, under which sky
    listing: Listing,
    *,
    year: int,
    month: int,
    latitude_deg: float,
    longitude_deg: float = 0.0,
    day: int | None = None,
    zone: str = "",
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> Rescue | None:
    """Return what an owner can do, or None where too little is known of the telescope.

    Parameters
    ----------
    year, month, day, latitude_deg, longitude_deg, zone
        For the first list; without a day, that of the month at large.

    Notes
    -----
    Checked by: tests/unit/advice/test_rescue.py, tests/truth/test_evening_sky.py
    """
    made = offer_kit(listing)
    if made is None:
        return None
    sky, observer = sky or Sky(), observer or Observer()
    when = evening(year, month, latitude_deg, longitude_deg, day=day, zone=zone)
    through = hours(when)
    most = _most(made.kit, sky, observer)
    used = _used(made.kit, most)
    return Rescue(
        safety=SUN_CAUTION,
        pieces=tuple(_pieces(listing, most)),
        mask=best_mask(made.kit, sky, observer),
        replace=(*_replacements(listing), *_planet_piece(used, most)),
        steady=tuple(_steady(made.kit, table_top=_on_a_table(listing))),
        finder=_AIMING[listing.instrument],
        star_test=tuple(_star_test(listing, made.kit, used, most)),
        objects=first_list(used, when, sky, observer, through=through, most=most),
        evening=when,
        moon=moon_words(through),
        kit=used,
        assumed=made.assumed,
    )


def _most(kit: Kit, sky: Sky, observer: Observer) -> float:
    """Return the power above which the telescope shows nothing more on any night."""
    ever = limits_of(kit, sky=sky, observer=observer).empty_above
    return math.inf if ever is None else ever


def _pieces(listing: Listing, limit: float) -> Iterator[Piece]:
    plain = [one for one in powers_of(listing) if not one.amplifiers]
    for place, one in enumerate(plain):
        keep = place == 0 or one.power <= limit
        form = _BEGIN if place == 0 else _LATER if keep else _TOO_MUCH
        yield Piece(
            name=one.eyepiece.label,
            keep=keep,
            why=say(
                form,
                power=power(one.power),
                field=number(one.true_field_arcmin / 60.0, 1),
                limit=about(limit),
            ),
        )
    for piece in listing.amplifiers:
        kept = [one.power for n, one in enumerate(plain) if n == 0 or one.power <= limit]
        good = _serves(piece, kept, limit)
        yield Piece(name=piece.label, keep=good, why=_BARLOW if good else _TRINKET)
    if {"eyepiece filter", "filter"} & set(listing.solar):
        yield Piece(name=say("Sun filter for the eyepiece"), keep=False, why=_BREAK)


def _serves(piece: OfferedAmplifier, powers: list[float], limit: float) -> bool:
    """Return whether a piece helps: a Barlow lens, no strong one, that leaves room."""
    if piece.kind != "barlow" or not powers or not 1.0 < (piece.factor or 9.0) < STRONG_BARLOW:
        return False
    return min(powers) * (piece.factor or 1.0) <= limit


def _used(kit: Kit, limit: float) -> Kit:
    """Return the kit with only those pieces that stay in use."""
    if kit.telescope is None or not kit.eyepieces:
        return kit
    focal = kit.telescope.focal_length_mm
    powers = sorted(focal / piece.focal_length_mm for piece in kit.eyepieces)
    eyepieces = tuple(
        piece for piece in kit.eyepieces if focal / piece.focal_length_mm <= max(limit, powers[0])
    )
    powers = [power for power in powers if power <= max(limit, powers[0])]
    amplifiers = tuple(
        piece
        for piece in kit.amplifiers
        if _serves(OfferedAmplifier(kind=piece.kind, factor=piece.factor), powers, limit)
    )
    return replace(kit, eyepieces=eyepieces, amplifiers=amplifiers)


_BEGIN: Final = N_("Begin with it, always: {power} times, {field}° of sky.")
_LATER: Final = N_("When the object stands in the middle: {power} times, {field}° of sky.")
_TOO_MUCH: Final = N_("{power} times is more than this telescope carries (about {limit}).")
_BARLOW: Final = say("For the Moon and planets, with the longer eyepieces.")
_TRINKET: Final = say("It multiplies every power, every shake and every fault.")
_BREAK: Final = say("Break it and throw it away: it can crack in the Sun's heat and blind.")


def _replacements(listing: Listing) -> Iterator[str]:
    plain = [one for one in powers_of(listing) if not one.amplifiers]
    small = listing.barrel == "0.965in"
    if small:
        yield say(
            "An adapter from 0.965 to 1.25 inch lets a modern eyepiece in; a hybrid star diagonal"
            " (0.965 inch below, 1.25 inch above) does the same and sits more comfortably. Check"
            " that the focuser still reaches focus."
        )
    widest = max((one.true_field_arcmin / 60.0 for one in plain), default=0.0)
    simple = all(one.eyepiece.design in ("huygens", "ramsden", "unknown") for one in plain)
    focal = plain[0].power * plain[0].eyepiece.focal_length_mm if plain else None
    aperture = listing.stop_mm or listing.aperture_mm
    if focal is not None and aperture is not None and (small or simple):
        size = min(32.0, 5.0 * focal / aperture)
        stop = min(size * math.radians(50.0), LARGEST_STOP_MM["0.965in" if small else "1.25in"])
        field = math.degrees(stop / focal)
        # A field hardly wider is no reason to buy one, unless those in the box are known as poor.
        if small or field > WORTH_WIDENING * widest or _known_as_simple(plain):
            yield say(
                "One good eyepiece changes most: a 1.25 inch Plössl of about {size} mm gives"
                " {power} times and {field}° of sky.",
                size=number(size),
                power=power(focal / size),
                field=number(field, 1),
            )
    if any(piece.kind == "erecting-prism" for piece in listing.amplifiers):
        yield say("Use the star diagonal, or none, in place of the erecting prism at night.")


# A view this much wider is worth an eyepiece: a choice.
WORTH_WIDENING: Final = 1.2


def _known_as_simple(plain: Sequence[Delivered]) -> bool:
    return all(one.eyepiece.design in ("huygens", "ramsden") for one in plain)


# A planet wants about this power per mm of aperture, and a kit lacks one where its strongest
# piece stays below this; the sizes that shops have. Common practice, no source.
PLANET_PER_MM: Final = 1.3
LACKING_PER_MM: Final = 0.7
SIZES_MM: Final = (6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 15.0)


def _planet_piece(used: Kit, most: float) -> Iterator[str]:
    """Name an eyepiece for planets where the strongest piece in use is too weak for them."""
    scope = used.telescope
    if scope is None or not used.eyepieces:
        return
    aperture, focal = scope.working_aperture_mm, scope.focal_length_mm
    stretch = max((piece.factor for piece in used.amplifiers), default=1.0)
    have = stretch * focal / min(piece.focal_length_mm for piece in used.eyepieces)
    wanted = min(PLANET_PER_MM * aperture, 0.9 * most)
    size = next((size for size in SIZES_MM if size >= focal / wanted), None)
    if size is None or have >= LACKING_PER_MM * aperture or focal / size < 1.4 * have:
        return
    yield say(
        "For the Moon and planets you lack a shorter one: about {size} mm gives {power} times.",
        size=number(size),
        power=power(focal / size),
    )


def _stays(way: Delivered, used: Kit) -> bool:
    """Return whether every piece of a power stays in use."""
    sizes = {piece.focal_length_mm for piece in used.eyepieces}
    factors = {(piece.kind, piece.factor) for piece in used.amplifiers}
    return way.eyepiece.focal_length_mm in sizes and all(
        (piece.kind, piece.factor) in factors for piece in way.amplifiers
    )


def _on_a_table(listing: Listing) -> bool:
    """Return whether what holds it stands on a table."""
    mount = listing.mount
    return mount is not None and (mount.small or mount.kind == "rocker")


def _steady(kit: Kit, *, table_top: bool) -> Iterator[str]:
    from simview.telescope.mount import settle_seconds_at

    kind = kit.mount.kind
    if kind == "hand":
        held = kit.binocular.power if kit.binocular else 1.0
        if held > HAND_POWER:
            yield say(
                "No hands hold {power} times still: screw it to a tripod, with the small adapter"
                " that shops sell for it.",
                power=power(held),
            )
            return
        yield say(
            "Lean your elbows on a fence, lie in a deck chair, or rest the binoculars on a"
            " broomstick: they show much more."
        )
        return
    if table_top:
        yield say(
            "Set it on something firm and low: a crate filled with earth is better than a garden"
            " table, and a table that wobbles spoils everything."
        )
        yield (
            say("Set the friction of the bearings so that the tube stays where it is let go.")
            if kind == "rocker"
            else say("Tighten the screws of its little legs; sit, and do not lean on the table.")
        )
    else:
        yield say(
            "Pull the legs out as little as possible and work sitting down; spread them on grass,"
            " not on planks."
        )
        yield say(
            "Hang a bag with 2 to 3 kg (5 lb) of stones under the tripod, just clear of the ground."
        )
        if kind == "equatorial":
            yield say(
                "Point the mount's long axis at the pole of the sky and balance the tube before you"
                " tighten anything; then one knob follows the stars."
            )
        yield say("Tighten every screw of legs and mount until it just still turns.")
    low = _lowest_power(kit)
    wait = max(round(settle_seconds_at(kit.mount, low)), 1)
    yield say_many(
        "Focus, take your hand off and wait about {count} second until the picture is still. Place"
        " the object ahead of the sky's motion and let it drift in.",
        "Focus, take your hand off and wait about {count} seconds until the picture is still. Place"
        " the object ahead of the sky's motion and let it drift in.",
        wait,
    )


def _lowest_power(kit: Kit) -> float:
    from simview.eyepiece.train import beam

    if kit.kind != "telescope":
        return beam(kit, eye_pupil_mm=7.0).power
    return min(
        beam(kit, eyepiece=way.eyepiece, amplifiers=way.amplifiers, eye_pupil_mm=7.0).power
        for way in looks(kit)
    )


_FINDER: Final = (
    say(
        "By day, with the Sun behind a building and well away from where you point: choose a"
        " chimney or mast at least 500 m off."
    ),
    say(
        "Bring it into the middle of the lowest-power view, then turn the finder's screws until it"
        " stands on the cross or under the dot."
    ),
    say("Check it at night on a bright star before every session. Never on the Sun."),
)
_ONE_BARREL: Final = (
    say("Begin at the lowest power: there the view is widest and brightest. Zoom in afterwards."),
    say(
        "Look along the tube at the object first, then into the eyepiece; a straight one is easier."
    ),
    say("Focus anew after each change of the power."),
)
_BINOCULARS: Final = (
    say("Set the distance of the two barrels so that you see one round circle."),
    say(
        "Focus the left eye with the middle wheel, right eye shut; then the right eye with the ring"
        " at its eyepiece. Note the ring's mark: it stays so for your eyes."
    ),
    say("Look at the object first, then bring the binoculars up without moving your eyes."),
)


_AIMING: Final = {"telescope": _FINDER, "binocular": _BINOCULARS, "monocular": _ONE_BARREL}


def _star_test(listing: Listing, kit: Kit, used: Kit, most: float) -> Iterator[str]:
    scope = kit.telescope
    if scope is None:
        yield (
            say(
                "A bright star should focus to a point with both eyes open, without a second image"
                " beside it."
            )
            if listing.instrument == "binocular"
            else say(
                "A bright star in the middle should focus to a small round point. Rays to one side,"
                " or a coloured side, show prisms out of place."
            )
        )
        return
    low, high = (factor * scope.working_aperture_mm for factor in STAR_TEST_PER_MM)
    fitting = [one for one in powers_of(listing) if low <= one.power <= high]
    way = min(
        fitting,
        key=lambda one: (not _stays(one, used), len(one.amplifiers), one.power),
        default=None,
    )
    yield (
        say(
            "On a steady night take a bright star high up to the middle of the view, at {low} to"
            " {high} times.",
            low=power(low),
            high=power(high),
        )
        if way is None
        else say(
            "On a steady night take a bright star high up to the middle of the view ({piece},"
            " {power} times).",
            piece=way.label,
            power=power(way.power),
        )
    )
    if way is not None and way.power > most:
        yield say("For this test alone that much power is right.")
    elif way is not None and not _stays(way, used):
        yield say("What was left in the box may come out for this test.")
    yield say(
        "Turn the focus a little to either side. A good telescope shows the same round set of rings"
        " on both sides, with the shadow of the secondary mirror (if there is one) in the middle."
    )
    yield say(
        "Rings off centre: the mirrors or the lens want adjusting. An oval that turns by a right"
        " angle through focus: astigmatism, or a pinched lens. Sharp rings on one side, a blur on"
        " the other: spherical aberration; try a mask."
    )
    if scope.objective == "mirror" and kit.layout not in FOLDED:
        hole = sphere_mask_mm(scope.focal_length_mm)
        if hole < 0.95 * scope.working_aperture_mm:
            yield say(
                "Were the mirror a plain sphere, a mask with a {hole} mm hole would make it a good"
                " one.",
                hole=number(hole),
            )
