"""Rescue: what an owner can do with the telescope that is already there."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from simview.advice.delivered import powers_of
from simview.advice.firstlist import STRONG_BARLOW, Suggestion, first_list
from simview.advice.hours import hours, moon_words
from simview.advice.limits import limits_of
from simview.advice.listing import Listing, OfferedAmplifier
from simview.advice.offerkit import offer_kit
from simview.advice.rules.optics_rules import QUARTER_WAVE, SIDGWICK, WAVELENGTH_MM, colour_index
from simview.advice.rules.sun_rules import SUN_CAUTION
from simview.advice.sights import PLANET, looks
from simview.advice.speech import N_, Said, about, length, number, power, say, say_many
from simview.advice.tonight import Evening, evening
from simview.eyepiece.barrels import LARGEST_STOP_MM
from simview.kit import FOLDED, Kit, Observer, Sky, Telescope
from simview.units import MM_PER_INCH

# A mask must make the finest detail this much finer to be worth cutting: a choice.
WORTH_CUTTING: Final = 0.93

# Masks that are tried, as parts of the aperture.
MASKS: Final = (0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.55, 0.5, 0.45, 0.4)

# Powers per mm of aperture at which a mask is judged.
TRIED_PER_MM: Final = (0.2, 0.3, 0.45, 0.7, 1.0, 1.4, 2.0)

# The star test wants about this power per mm of aperture: common practice, 1 to 2.
STAR_TEST_PER_MM: Final = (0.8, 2.0)

# No mask leaves the secondary's shadow wider than this part of the aperture.
WIDEST_SHADOW: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of the box, and what to do with it."""

    name: str
    keep: bool
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Mask:
    """A ring of cardboard over the front.

    Parameters
    ----------
    diameter_mm
        Of the hole.
    why
        What it gains, with the figures.
    sum
        The arithmetic.
    """

    diameter_mm: float
    why: str
    sum: str


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
        return "eyes" if key == "finder" and self.kit.kind != "telescope" else key


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
        replace=tuple(_replacements(listing)),
        steady=tuple(_steady(made.kit, table_top=_on_a_table(listing))),
        finder=_FINDER if listing.instrument == "telescope" else _BINOCULARS,
        star_test=tuple(_star_test(listing, made.kit, most)),
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


def best_mask(kit: Kit, sky: Sky, observer: Observer) -> Mask | None:
    """Return the hole through which most detail on a planet shows, where a mask gains anything.

    The whole light path is computed for each hole: colour, spherical aberration, diffraction,
    air and eye. Where detail gains nothing but an achromat's colour is strong, the hole that
    brings it to Sidgwick's criterion is returned.
    """
    scope = kit.telescope
    if scope is None:
        return None
    full = _finest(kit, sky, observer)
    tried = [
        (finest, hole)
        for hole in _holes(scope)
        if (finest := _finest(_masked(kit, hole), sky, observer))
    ]
    best = min(tried, key=lambda one: one[0], default=None)
    if best is not None and best[0] < WORTH_CUTTING * (full or math.inf):
        return Mask(
            diameter_mm=round(best[1]),
            why=say(_MASK_FINE, hole=length(round(best[1])), gain=_gain(full, best[0])),
            sum=f"{'—' if full is None else f'{full:.1f}″'} → {best[0]:.1f}″",
        )
    return _colour_mask(scope)


def _holes(scope: Telescope) -> list[float]:
    secondary = scope.obstruction * scope.aperture_mm
    holes = [share * scope.working_aperture_mm for share in MASKS]
    return [hole for hole in holes if hole >= 25.0 and secondary <= WIDEST_SHADOW * hole]


def _masked(kit: Kit, hole_mm: float) -> Kit:
    """Return the kit behind a mask: third-order spherical aberration falls as hole^4."""
    scope = kit.telescope
    if scope is None:
        return kit
    share = hole_mm / scope.aperture_mm
    wavefront = replace(scope.wavefront, spherical=scope.wavefront.spherical * share**4)
    masked = replace(
        scope,
        aperture_mm=hole_mm,
        stop_mm=None,
        obstruction=min(scope.obstruction / share, 0.8),
        wavefront=wavefront,
    )
    return replace(kit, telescope=masked)


def _finest(kit: Kit, sky: Sky, observer: Observer) -> float | None:
    """Return the finest detail on a planet at the kit's powers that the full aperture carries."""
    from simview.power.finest import detail_curve
    from simview.scene.targets import target

    aperture = 50.0 if kit.telescope is None else kit.telescope.working_aperture_mm
    powers = [aperture * per_mm for per_mm in TRIED_PER_MM]
    curve = detail_curve(kit, target(PLANET), powers=powers, sky=sky, observer=observer)
    return None if curve.best_period_arcsec is None else curve.best_period_arcsec / 2.0


def _colour_mask(scope: Telescope) -> Mask | None:
    if scope.objective != "achromat":
        return None
    index = colour_index(scope.aperture_mm, scope.focal_ratio)
    if index >= SIDGWICK:
        return None
    hole = math.sqrt(scope.focal_length_mm * MM_PER_INCH / SIDGWICK)
    return Mask(
        diameter_mm=round(hole),
        why=say(
            "A cardboard ring with a hole of {hole} over the front tames the violet fringes on the"
            " Moon and Venus. Take it off for everything faint.",
            hole=length(round(hole)),
        ),
        sum=f"√({scope.focal_length_mm:g} mm × {MM_PER_INCH:g} / {SIDGWICK:g})"
        f" = {hole:.0f} mm (Sidgwick)",
    )


_MASK_FINE: Final = N_(
    "A cardboard ring with a hole of {hole} over the front: planets show {gain}, at the price of"
    " light. Take it off for everything faint."
)


def _gain(full: float | None, masked: float) -> Said:
    """Return how much finer detail gets behind a mask, as people say it."""
    if full is None:
        return say("detail where there was none")
    ratio = full / masked
    if ratio >= 1.8:
        return say("detail about twice as fine")
    return say("clearly finer detail") if ratio >= 1.25 else say("slightly finer detail")


def sphere_mask_mm(focal_length_mm: float) -> float:
    """Return the hole behind which a spherical mirror is good to a quarter wave.

    Source: PV = D / (2048 F^3 lambda) = D^4 / (2048 f^3 lambda), solved for D.
    Checked by: tests/truth/test_trade_rules.py
    """
    return float((QUARTER_WAVE * 2048.0 * focal_length_mm**3 * WAVELENGTH_MM) ** 0.25)


def _replacements(listing: Listing) -> Iterator[str]:
    plain = [one for one in powers_of(listing) if not one.amplifiers]
    small = listing.barrel == "0.965in"
    if small:
        yield say(
            "An adapter from 0.965 to 1.25 inch lets a modern eyepiece in; a hybrid star diagonal"
            " (0.965 inch below, 1.25 inch above) does the same and sits more comfortably. Check"
            " that the focuser still reaches focus."
        )
    simple = all(one.eyepiece.design in ("huygens", "ramsden", "unknown") for one in plain)
    focal = plain[0].power * plain[0].eyepiece.focal_length_mm if plain else None
    aperture = listing.stop_mm or listing.aperture_mm
    if focal is not None and aperture is not None and (small or simple):
        size = min(32.0, 5.0 * focal / aperture)
        stop = min(size * math.radians(50.0), LARGEST_STOP_MM["0.965in" if small else "1.25in"])
        yield say(
            "One good eyepiece changes most: a 1.25 inch Plössl of about {size} mm gives {power}"
            " times and {field}° of sky.",
            size=number(size),
            power=power(focal / size),
            field=number(math.degrees(stop / focal), 1),
        )
    if any(piece.kind == "erecting-prism" for piece in listing.amplifiers):
        yield say("Use the star diagonal, or none, in place of the erecting prism at night.")


def _on_a_table(listing: Listing) -> bool:
    """Return whether what holds it stands on a table."""
    mount = listing.mount
    return mount is not None and (mount.small or mount.kind == "rocker")


def _steady(kit: Kit, *, table_top: bool) -> Iterator[str]:
    from simview.telescope.mount import settle_seconds_at

    kind = kit.mount.kind
    if kind == "hand":
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
_BINOCULARS: Final = (
    say("Set the distance of the two barrels so that you see one round circle."),
    say(
        "Focus the left eye with the middle wheel, right eye shut; then the right eye with the ring"
        " at its eyepiece. Note the ring's mark: it stays so for your eyes."
    ),
    say("Look at the object first, then bring the binoculars up without moving your eyes."),
)


def _star_test(listing: Listing, kit: Kit, most: float) -> Iterator[str]:
    scope = kit.telescope
    if scope is None:
        yield say(
            "A bright star should focus to a point with both eyes open, without a second image"
            " beside it."
        )
        return
    low, high = (factor * scope.working_aperture_mm for factor in STAR_TEST_PER_MM)
    fitting = [one for one in powers_of(listing) if low <= one.power <= high]
    way = min(fitting, key=lambda one: (len(one.amplifiers), one.power), default=None)
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
