"""Promised, delivered, lowest and highest power; Barlow lenses and erecting prisms."""

from __future__ import annotations

from typing import Final

from simview.advice.delivered import (
    USEFUL_PER_MM,
    USUAL_ERECTING_FACTOR,
    WIDEST_PUPIL_MM,
    Delivered,
    lowest_useful_power,
)
from simview.advice.reading.conflicts import out_of_reach
from simview.advice.rules.rule import Case, Outcome, Rule, inches

# A promise this many times beyond the aperture's limit speaks against the whole offer. A choice.
ABSURD: Final = 2.0

# Makers round; a power within this part of the limit is not held against them. A choice.
ROUNDING: Final = 1.05

# A view narrower than these, degrees: one Moon and a little; two Moons. Choices.
KEYHOLE_DEG: Final = 0.6
NARROW_DEG: Final = 1.0

# Lowest power already this much per mm of aperture (exit pupil 1 mm): no bright view at all.
STEEP_PUPIL_MM: Final = 1.0


def _useful_sum(case: Case) -> str:
    low, high = case.useful or (0.0, 0.0)
    return (
        f"{case.aperture_mm:g} mm × {USEFUL_PER_MM[0]:g} to {USEFUL_PER_MM[1]:g} per mm"
        f" = {low:.0f} to {high:.0f} times"
    )


def _claimed(case: Case) -> Outcome | None:
    claim, useful, aperture = case.listing.claimed_power, case.useful, case.aperture_mm
    if claim is None or useful is None or aperture is None or claim <= useful[1] * ROUNDING:
        return None
    excess = claim / useful[1]
    return Outcome(
        grade="stop" if excess > ABSURD else "caution",
        says=f"It promises {claim:g} times. An aperture of {inches(aperture)} carries about"
        f" {useful[0]:.0f} to {useful[1]:.0f} times; beyond that the picture gets larger"
        " and dimmer but"
        f" shows nothing more. The promise is {excess:.1f} times that limit.",
        arithmetic=f"{_useful_sum(case)}; {claim:g} / {useful[1]:.0f} = {excess:.1f}",
    )


def _reach(case: Case) -> Outcome | None:
    sentence = out_of_reach(case.listing)
    claim, useful = case.listing.claimed_power, case.useful
    if not sentence or claim is None:
        return None
    beyond = useful is not None and claim > useful[1] * ROUNDING
    return Outcome(
        grade="caution" if beyond else "note",
        says=sentence,
        arithmetic="; ".join(_power_sum(case, one) for one in case.plain_powers),
    )


def _delivered(case: Case) -> Outcome | None:
    useful = case.useful
    if useful is None:
        return None
    over = [one for one in case.plain_powers if one.power > useful[1] * ROUNDING]
    if not over:
        return None
    worst = max(over, key=lambda one: one.power)
    return Outcome(
        grade="caution",
        says=f"The {worst.label} eyepiece alone gives {worst.power:.0f} times, more than this"
        " aperture"
        f" carries ({useful[0]:.0f} to {useful[1]:.0f}). The beam that reaches the eye is"
        f" {worst.exit_pupil_mm:.2g} mm wide: dim, and full of floating specks.",
        arithmetic=_power_sum(case, worst),
    )


def _power_sum(case: Case, one: Delivered) -> str:
    factors = "".join(f" × {piece.factor:g}" for piece in one.amplifiers)
    text = (
        f"{case.focal_length_mm:g} mm{factors} / {one.eyepiece.focal_length_mm:g} mm ="
        f" {one.power:.0f} times"
    )
    if case.aperture_mm is None:
        return text
    return (
        f"{text}; exit pupil {case.aperture_mm:g} mm / {one.power:.0f} = {one.exit_pupil_mm:.2g} mm"
    )


def _lowest(case: Case) -> Outcome | None:
    if not case.plain_powers or case.aperture_mm is None:
        return None
    lowest = case.plain_powers[0]
    field = max(one.true_field_arcmin for one in case.plain_powers) / 60.0
    pupil = lowest.exit_pupil_mm or 0.0
    if field >= NARROW_DEG and pupil >= STEEP_PUPIL_MM:
        return None
    steep = field < KEYHOLE_DEG or pupil < STEEP_PUPIL_MM
    floor = lowest_useful_power(case.aperture_mm)
    return Outcome(
        grade="caution" if steep else "note",
        says=f"The lowest power in the box is {lowest.power:.0f} times; it shows {field:.1f}"
        " degrees of"
        f" sky, {field / 0.52:.1f} times the Moon's width. Finding anything wants the"
        " lowest power and"
        f" the widest view that there is (this aperture could use as little as {floor:.0f} times).",
        arithmetic=f"{_power_sum(case, lowest)}; {lowest.apparent_field_deg:.0f} deg /"
        f" {lowest.power:.0f} = {lowest.true_field_arcmin / 60.0:.2f} deg;"
        f" {case.aperture_mm:g} mm /"
        f" {WIDEST_PUPIL_MM:g} mm = {floor:.0f} times",
    )


def _wasted(case: Case) -> Outcome | None:
    if not case.plain_powers:
        return None
    lowest = case.plain_powers[0]
    pupil = lowest.exit_pupil_mm or 0.0
    if pupil <= WIDEST_PUPIL_MM * ROUNDING:
        return None
    return Outcome(
        grade="note",
        says=f"At {lowest.power:.0f} times the beam is {pupil:.1f} mm wide, more than the eye's"
        " pupil"
        f" opens (about {WIDEST_PUPIL_MM:g} mm): part of the light misses the eye.",
        arithmetic=_power_sum(case, lowest),
    )


def _barlow(case: Case) -> Outcome | None:
    pieces = [piece for piece in case.listing.amplifiers if piece.kind == "barlow"]
    if not pieces:
        return None
    piece = max(pieces, key=lambda one: one.factor or 0.0)
    if piece.factor is None:
        return Outcome(
            grade="note",
            says="A Barlow lens is in the box, its strength is not said. It multiplies every"
            " power; 2"
            " times is usual, more is seldom of use.",
        )
    through = [one for one in case.powers if one.amplifiers == (piece,)]
    useful = case.useful
    useless = (
        bool(through)
        and useful is not None
        and all(o.power > useful[1] * ROUNDING for o in through)
    )
    if piece.factor < 3.0 and not useless:
        return None
    worst = max(through, key=lambda one: one.power, default=None)
    reach = (
        f" Together with the {worst.eyepiece.label} eyepiece it makes {worst.power:.0f} times."
        if worst
        else ""
    )
    return Outcome(
        grade="caution",
        says=f"A {piece.label} is bundled. It is there for the number on the box: a simple lens"
        f" of that strength multiplies every shake and fault along with the power.{reach}",
        arithmetic=_power_sum(case, worst) if worst else "",
    )


def _erecting(case: Case) -> Outcome | None:
    pieces = [piece for piece in case.listing.amplifiers if piece.kind == "erecting-prism"]
    if not pieces:
        return None
    factor = pieces[0].factor
    if factor is not None and factor <= ROUNDING:
        return None
    times = USUAL_ERECTING_FACTOR if factor is None else factor
    said = "" if factor is not None else " (not said; usual)"
    lowest = case.plain_powers[0].power if case.plain_powers else None
    raised = (
        f" The lowest power rises from {lowest:.0f} to {lowest * times:.0f} times."
        if lowest
        else ""
    )
    return Outcome(
        grade="note",
        says=f"The piece that sets the picture upright also magnifies {times:g} times{said},"
        " and costs"
        f" light and sharpness.{raised} Leave it out at night: for the sky, upside down"
        " does no harm.",
        arithmetic=f"{lowest:.0f} × {times:g} = {lowest * times:.0f} times" if lowest else "",
    )


_TRADE: Final = "no single source; 50 to 60 times per inch of aperture"

RULES: Final = (
    Rule(
        name="claimed power",
        label="common practice",
        cites=_TRADE,
        changes_mind="A larger aperture, or an honest figure on the box.",
        weigh=_claimed,
    ),
    Rule(
        name="power out of reach",
        label="formula",
        cites="power = focal length / eyepiece's focal length, times Barlow or prism",
        changes_mind="The piece that gives the promised power.",
        weigh=_reach,
    ),
    Rule(
        name="power of the eyepieces",
        label="formula",
        cites="power = focal length / eyepiece's focal length; exit pupil = aperture / power",
        changes_mind="A longer eyepiece in place of the shortest one.",
        weigh=_delivered,
    ),
    Rule(
        name="lowest power",
        label="formula",
        cites="true field = apparent field / power; lowest useful power = aperture / 7 mm",
        changes_mind="An eyepiece of longer focal length or wider field in the box.",
        weigh=_lowest,
    ),
    Rule(
        name="wasted light",
        label="formula",
        cites="exit pupil = aperture / power",
        changes_mind="A shorter eyepiece for the lowest power.",
        weigh=_wasted,
    ),
    Rule(
        name="Barlow",
        label="common practice",
        cites="no single source",
        changes_mind="A good 2× Barlow, with eyepieces that leave it something to do.",
        weigh=_barlow,
    ),
    Rule(
        name="erecting prism",
        label="common practice",
        cites="no single source; such pieces usually magnify 1.5 times",
        changes_mind="A plain star diagonal for the night.",
        weigh=_erecting,
    ),
)
