"""Promised, delivered, lowest and highest power; Barlow lenses and erecting prisms."""

from __future__ import annotations

from typing import Any, Final

from simview.advice.delivered import USUAL_ERECTING_FACTOR, Delivered
from simview.advice.reading.conflicts import out_of_reach
from simview.advice.rules.rule import Case, Outcome, Rule
from simview.advice.speech import Said, about, joined, length, number, power, rounded, say
from simview.power.rules import ROUNDING, USEFUL_PER_MM, WIDEST_PUPIL_MM

# A promise this many times beyond the aperture's limit speaks against the whole offer. A choice.
ABSURD: Final = 2.0

# A view narrower than these, degrees: one Moon and a little; two Moons. Choices.
KEYHOLE_DEG: Final = 0.6
NARROW_DEG: Final = 1.0

# Lowest power already this much per mm of aperture (exit pupil 1 mm): no bright view at all.
STEEP_PUPIL_MM: Final = 1.0


def _useful_sum(case: Case) -> str:
    low, high = case.useful or (0.0, 0.0)
    return (
        f"{case.aperture_mm:g} mm × {USEFUL_PER_MM[0]:g}…{USEFUL_PER_MM[1]:g}/mm"
        f" = {low:.0f}…{high:.0f}×"
    )


def _claimed(case: Case) -> Outcome | None:
    claim, useful, aperture = case.listing.claimed_power, case.useful, case.aperture_mm
    if claim is None or useful is None or aperture is None or claim <= useful[1] * ROUNDING:
        return None
    most = case.most or useful[1]
    spoken = rounded(most)
    told: dict[str, Any] = {
        "claim": claim,
        "aperture": length(aperture),
        "useful": about(most),
        "excess": number(claim / spoken, 1),
    }
    share = f"{claim:g} / {spoken:g} = {claim / spoken:.1f}"
    if case.marks is None or most >= useful[0]:
        sentence = say(
            "It promises {claim} times. An aperture of {aperture} carries about {useful} times at"
            " the very best; beyond that the picture gets larger and dimmer and shows nothing more."
            " The promise is {excess} times that.",
            **told,
        )
    else:
        # A reader who knows the trade's rule, or reads it in the sum, asks why it is not taken.
        sentence = say(
            "It promises {claim} times. An aperture of {aperture} carries about {useful} times on"
            " Jupiter; makers of boxes who keep to the trade's own rule count {rule}. Beyond that"
            " the picture gets larger and dimmer and shows nothing more. The promise is {excess}"
            " times what the aperture carries.",
            rule=number(useful[0]),
            **told,
        )
    return Outcome(
        grade="stop" if claim / useful[1] > ABSURD else "caution",
        says=sentence,
        arithmetic=say(
            "{rule}; on Jupiter without air {most}×, about {spoken}×; {sum}",
            rule=_useful_sum(case),
            most=number(most),
            spoken=about(most),
            sum=share,
        ),
    )


def _reach(case: Case) -> Outcome | None:
    sentence = out_of_reach(case.listing)
    claim, useful = case.listing.claimed_power, case.useful
    if not sentence or claim is None:
        return None
    if case.plain_powers and claim < case.plain_powers[0].power:
        return None  # nobody boasts of less than the box gives: the number means something else
    beyond = useful is not None and claim > useful[1] * ROUNDING
    return Outcome(
        grade="caution" if beyond else "note",
        says=sentence,
        arithmetic="; ".join(_power_sum(case, one) for one in case.plain_powers),
    )


def _delivered(case: Case) -> Outcome | None:
    most, useful = case.most, case.useful
    if most is None or useful is None:
        return None
    over = [one for one in case.plain_powers if one.power > most]
    if not over:
        return None
    worst = max(over, key=lambda one: one.power)
    return Outcome(
        # Makers go by the trade's rule, which is a little more generous.
        grade="caution" if worst.power > useful[1] * ROUNDING else "note",
        says=say(
            "The {piece} eyepiece alone gives {power} times, more than this aperture carries (about"
            " {useful}). The beam that reaches the eye is only {pupil} mm wide: dim, and full of"
            " floating specks.",
            piece=worst.label,
            power=power(worst.power),
            useful=about(most),
            pupil=number(worst.exit_pupil_mm or 0.0, 1),
        ),
        arithmetic=_power_sum(case, worst),
    )


def _power_sum(case: Case, one: Delivered) -> str:
    factors = "".join(f" × {piece.factor:g}" for piece in one.amplifiers)
    text = (
        f"{case.focal_length_mm:g} mm{factors} / {one.eyepiece.focal_length_mm:g} mm ="
        f" {one.power:.0f}×"
    )
    if case.aperture_mm is None:
        return text
    return f"{text}; {case.aperture_mm:g} mm / {one.power:.0f} = {one.exit_pupil_mm:.2g} mm"


def _lowest(case: Case) -> Outcome | None:
    if not case.plain_powers or case.aperture_mm is None:
        return None
    lowest = case.plain_powers[0]
    field = max(one.true_field_arcmin for one in case.plain_powers) / 60.0
    pupil = lowest.exit_pupil_mm or 0.0
    if field >= NARROW_DEG and pupil >= STEEP_PUPIL_MM:
        return None
    steep = field < KEYHOLE_DEG or pupil < STEEP_PUPIL_MM
    return Outcome(
        grade="caution" if steep else "note",
        says=say(
            "The lowest power in the box is {power} times; it shows {field}° of sky, {moons}."
            " To find anything you want the lowest power and the widest view"
            " there is.",
            power=power(lowest.power),
            field=number(field, 1),
            moons=_moons(field / MOON_DEG),
        ),
        arithmetic=f"{_power_sum(case, lowest)}; {lowest.apparent_field_deg:.0f}° /"
        f" {lowest.power:.0f} = {lowest.true_field_arcmin / 60.0:.2f}°",
    )


# Mean width of the Moon, degrees.
MOON_DEG: Final = 0.52


def _moons(times: float) -> Said:
    """Return how many Moons fit side by side, as people say it."""
    for least, words in _SHARES:
        if times < least:
            return words
    return say("about {times} times the Moon's width", times=number(times, 1))


_SHARES: Final = (
    (0.3, say("about a quarter of the Moon's width")),
    (0.42, say("about a third of the Moon's width")),
    (0.62, say("about half of the Moon's width")),
    (0.88, say("about three quarters of the Moon's width")),
    (1.2, say("about the Moon's width")),
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
        says=say(
            "At {power} times the beam is {pupil} mm wide, and the eye's own pupil opens to about"
            " {widest} mm: part of the light misses the eye.",
            power=power(lowest.power),
            pupil=number(pupil),
            widest=number(WIDEST_PUPIL_MM),
        ),
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
            says=say(
                "A Barlow lens is in the box, its strength is not said. It multiplies every power;"
                " 2 times is usual, more is seldom of use."
            ),
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
    bundled = say(
        "A {piece} is in the box, and it is there for the number on the box: a simple lens of that"
        " strength multiplies every shake and fault along with the power.",
        piece=piece.label,
    )
    return Outcome(
        grade="caution",
        says=bundled if worst is None else joined((bundled, _together(worst))),
        arithmetic=_power_sum(case, worst) if worst else "",
    )


def _together(worst: Delivered) -> Said:
    return say(
        "Together with the {piece} eyepiece it makes {power} times.",
        piece=worst.eyepiece.label,
        power=power(worst.power),
    )


def _erecting(case: Case) -> Outcome | None:
    pieces = [piece for piece in case.listing.amplifiers if piece.kind == "erecting-prism"]
    if not pieces:
        return None
    factor = pieces[0].factor
    if factor is not None and factor <= ROUNDING:
        return None
    times = USUAL_ERECTING_FACTOR if factor is None else factor
    magnifies = (
        say("The piece that sets the picture upright usually magnifies {times} times.", times=times)
        if factor is None
        else say(
            "The piece that sets the picture upright also magnifies {times} times.", times=times
        )
    )
    out = say(
        "It costs light and sharpness. Leave it out at night: for the sky, upside down does no"
        " harm."
    )
    lowest = case.plain_powers[0].power if case.plain_powers else None
    if lowest is None:
        return Outcome(grade="note", says=joined((magnifies, out)))
    raised = say(
        "The lowest power rises from {low} to {high} times.",
        low=power(lowest),
        high=power(lowest * times),
    )
    return Outcome(
        grade="note",
        says=joined((magnifies, raised, out)),
        arithmetic=f"{lowest:.0f} × {times:g} = {lowest * times:.0f}×",
    )


_TRADE: Final = say("no single source; 50 to 60 times per inch of aperture")

RULES: Final = (
    Rule(
        name="claimed power",
        title=say("The promised power"),
        label="common practice",
        cites=_TRADE,
        changes_mind=say("A larger aperture, or an honest figure on the box."),
        weigh=_claimed,
    ),
    Rule(
        name="power out of reach",
        title=say("Power out of reach"),
        label="formula",
        cites=say("power = focal length / eyepiece's focal length, times Barlow or prism"),
        changes_mind=say("The piece that gives the promised power."),
        weigh=_reach,
    ),
    Rule(
        name="power of the eyepieces",
        title=say("Too strong an eyepiece"),
        label="formula",
        cites=say("power = focal length / eyepiece's focal length; exit pupil = aperture / power"),
        changes_mind=say("A longer eyepiece in place of the shortest one."),
        weigh=_delivered,
    ),
    Rule(
        name="lowest power",
        title=say("The lowest power"),
        label="formula",
        cites=say("true field = apparent field / power; lowest useful power = aperture / 7 mm"),
        changes_mind=say("An eyepiece of longer focal length or wider field in the box."),
        weigh=_lowest,
    ),
    Rule(
        name="wasted light",
        title=say("Wasted light"),
        label="formula",
        cites=say("exit pupil = aperture / power"),
        changes_mind=say("A shorter eyepiece for the lowest power."),
        weigh=_wasted,
    ),
    Rule(
        name="Barlow",
        title=say("The Barlow lens"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("A good 2× Barlow, with eyepieces that leave it something to do."),
        weigh=_barlow,
    ),
    Rule(
        name="erecting prism",
        title=say("The upright piece"),
        label="common practice",
        cites=say("no single source; such pieces usually magnify 1.5 times"),
        changes_mind=say("A plain star diagonal for the night."),
        weigh=_erecting,
    ),
)
