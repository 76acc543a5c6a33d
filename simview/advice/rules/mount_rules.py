"""What holds it: kind of mount, free play, settling, slow motion, hands."""

from __future__ import annotations

from typing import Final

from simview.advice.listing import OfferedMount
from simview.advice.rules.rule import Case, Grade, Outcome, Rule
from simview.advice.speech import N_, length, number, say
from simview.advice.speech import power as times
from simview.kit import Mount

# What a light touch does to a small tripod where nobody has measured it: amplitude on the sky,
# frequency, damping. Common practice, no source; good to a factor of two.
USUAL_TRIPOD: Final = Mount(kind="tripod", tap_arcsec=120.0, frequency_hz=4.0, damping=0.03)

# Seconds until the view is still after a touch. Tap test, common practice, no source.
GOOD_SECONDS: Final = 3.0
USELESS_SECONDS: Final = 10.0

# Free play that moves the object by more than this part of the view is held against a mount.
PLAY_SHARE: Final = 0.25

# Largest aperture that the smallest equatorial mounts carry steadily, by their class: common
# practice, no source.
EQUATORIAL_MM: Final = {1: 90.0, 2: 130.0}

# Highest power that hands hold: common practice, no source.
HAND_POWER: Final = 12.0

# Power that mounts are judged at where the offer tells none: any beginner's box gives it. A choice.
UNKNOWN_POWER: Final = 50.0

# Power from which fine controls are missed: a choice.
FINE_POWER: Final = 50.0


def _kind(case: Case) -> Outcome | None:
    mount = case.listing.mount
    if (
        mount is None
        or mount.kind != "tripod"
        or mount.tap_arcsec is not None
        or (case.listing.binocular_power or HAND_POWER + 1.0) <= HAND_POWER
    ):
        return None
    if not mount.small and not case.is_telescope:
        return None
    if not mount.small:
        return Outcome(
            grade="note",
            says=say(
                "Only a tripod is named. What sits between tripod and tube decides: ask whether it"
                " moves smoothly in both directions and stays where it is let go."
            ),
        )
    from simview.telescope.mount import settle_seconds_at

    power = _working_power(case)
    shake = f"{USUAL_TRIPOD.tap_arcsec:g}″ × {power:.0f} / 60"
    motion = USUAL_TRIPOD.tap_arcsec * power / 60.0
    seconds = settle_seconds_at(USUAL_TRIPOD, power)
    return Outcome(
        grade="caution",
        says=say(
            "A small or table-top tripod holds it. At {power} times each touch swings the picture"
            " by about {moons} times the width of the Moon to the naked eye, and it takes some"
            " {seconds} seconds to come to rest.",
            power=times(power),
            moons=number(motion / 31.0, 0 if motion > 90.0 else 1),
            seconds=number(seconds),
        ),
        arithmetic=f"{shake} = {motion:.0f}′; ln({motion:.0f} / 1) / (2π ×"
        f" {USUAL_TRIPOD.frequency_hz:g} Hz × {USUAL_TRIPOD.damping:g}) = {seconds:.1f} s",
    )


def _working_power(case: Case) -> float:
    """Return the power one would use: the highest in the box that the aperture carries."""
    limit = (case.useful or (100.0, 100.0))[1]
    if case.listing.binocular_power is not None:
        return max(case.listing.binocular_power, *case.listing.claimed_powers, 1.0)
    fitting = [one.power for one in case.plain_powers if one.power <= limit]
    return max(fitting, default=min(limit, UNKNOWN_POWER))


def held(mount: OfferedMount, tap_arcsec: float) -> Mount:
    """Return the measured mount as a kit's; what was not measured is what kits take."""
    return Mount(
        kind=mount.kind or "altazimuth",
        tap_arcsec=tap_arcsec,
        frequency_hz=mount.frequency_hz or 5.0,
        damping=mount.damping or 0.03,
    )


def motion_at(mount: OfferedMount | None, power: float) -> dict[str, float]:
    """Return what a measured mount does at the eye at one power; empty where nothing is measured.

    Returns
    -------
    swing_arcmin and settle_seconds after a light touch, play_deg of free play.
    """
    from simview.telescope.mount import settle_seconds_at

    found: dict[str, float] = {}
    if mount is not None and mount.tap_arcsec is not None:
        found["swing_arcmin"] = mount.tap_arcsec * power / 60.0
        found["settle_seconds"] = settle_seconds_at(held(mount, mount.tap_arcsec), power)
    if mount is not None and mount.free_play_arcmin is not None:
        found["play_deg"] = mount.free_play_arcmin * power / 60.0
    return found


def _settling(case: Case) -> Outcome | None:
    mount = case.listing.mount
    if mount is None or mount.tap_arcsec is None:
        return None
    power = _working_power(case)
    at = motion_at(mount, power)
    seconds, swing = at["settle_seconds"], at["swing_arcmin"]
    if seconds <= GOOD_SECONDS:
        return None
    rows = [(p, motion_at(mount, p)) for p in [one.power for one in case.plain_powers] or [power]]
    return Outcome(
        grade="stop" if seconds > USELESS_SECONDS else "caution",
        says=say(
            "After a light touch at {power} times the picture swings by {moons} times the width of"
            " the Moon to the naked eye, and needs {seconds} seconds to come to rest. A good mount"
            " needs one, {bearable} are bearable.",
            power=times(power),
            moons=number(swing / 31.0, 1),
            seconds=number(seconds),
            bearable=number(GOOD_SECONDS),
        ),
        arithmetic="; ".join(
            f"{p:.0f}×: {row['swing_arcmin']:.0f}′, {row['settle_seconds']:.1f} s"
            for p, row in rows
        ),
    )


def _play(case: Case) -> Outcome | None:
    mount = case.listing.mount
    if mount is None or not mount.free_play_arcmin:
        return None
    power = _working_power(case)
    near = [one for one in case.plain_powers if abs(one.power - power) < 1e-6]
    view = near[0].apparent_field_deg if near else 50.0
    moved = mount.free_play_arcmin * power / 60.0
    if moved <= PLAY_SHARE * view:
        return None
    return Outcome(
        grade="stop" if moved > view else "caution",
        says=say(
            "The mount has play. At {power} times an object jumps by {moved} degrees when the tube"
            " is let go, in a view {view} degrees wide.",
            power=times(power),
            moved=number(moved),
            view=number(view),
        ),
        arithmetic="; ".join(
            f"{p:.0f}×: {mount.free_play_arcmin:g}′ × {p:.0f} / 60 ="
            f" {mount.free_play_arcmin * p / 60.0:.1f}°"
            for p in [one.power for one in case.plain_powers] or [power]
        ),
    )


def _slow(case: Case) -> Outcome | None:
    mount = case.listing.mount
    if (
        mount is None
        or mount.slow_motion is not False
        or mount.driven
        or mount.kind in ("rocker", "hand")
    ):
        return None
    power = _working_power(case)
    if power < FINE_POWER:
        return None
    from simview.eyepiece.drift import drift_seconds

    seconds = drift_seconds(50.0 / power * 60.0, 0.0)
    return Outcome(
        grade="caution",
        says=say(
            "There are no slow-motion controls. At {power} times the sky carries an object across"
            " the whole view in about {seconds} seconds; following it by pushing the tube is hard.",
            power=times(power),
            seconds=number(5.0 * round(seconds / 5.0)),
        ),
        arithmetic=f"50° / {power:.0f} = {50.0 / power:.2f}°; 15.04″/s: {seconds:.0f} s",
    )


def _small_equatorial(case: Case) -> Outcome | None:
    mount, aperture = case.listing.mount, case.listing.aperture_mm
    if mount is None or mount.kind != "equatorial" or mount.grade is None or aperture is None:
        return None
    limit = EQUATORIAL_MM.get(mount.grade)
    if limit is None or aperture < limit + 1.0:
        return None
    return Outcome(
        grade="caution",
        says=say(
            "An EQ{grade} is a very small equatorial mount; it carries about {limit}, and this tube"
            " has {aperture}. Expect it to shake at high power.",
            grade=mount.grade,
            limit=length(limit),
            aperture=length(aperture),
        ),
        arithmetic=f"{aperture:g} mm > {limit:g} mm",
    )


_NEEDS_A_STAND: Final = N_(
    "{power} times cannot be held by hand: the tremor blurs the picture {blur} times more than the"
    " eye forgives. It needs a firm stand."
)
_USE_THE_STAND: Final = N_(
    "Set it on the stand that comes with it: held by hand, {power} times blurs the picture {blur}"
    " times more than the eye forgives."
)


def _hand(case: Case) -> Outcome | None:
    power = case.listing.binocular_power
    if power is None or power <= HAND_POWER:
        return None
    from simview.telescope.mount import HAND_TREMOR_ARCSEC

    far = power >= 2.5 * HAND_POWER
    mounted = case.listing.mount is not None and case.listing.mount.kind not in (None, "hand")
    grade: Grade = "stop" if far else "caution"
    if mounted:
        grade = "caution" if far else "note"
    blur = HAND_TREMOR_ARCSEC * 2.3548 * power / 60.0
    form = _USE_THE_STAND if mounted else _NEEDS_A_STAND
    return Outcome(
        grade=grade,
        says=say(form, power=power, blur=number(blur, 1)),
        arithmetic=f"8″ × {power:g} / 60 = {blur:.1f}′ > 1′",
    )


_TAP: Final = say("no single source; tap test, damped oscillator t = ln(A / 1 arcmin) / (2π f ζ)")

RULES: Final = (
    Rule(
        name="mount",
        title=say("What it stands on"),
        label="common practice",
        cites=_TAP,
        changes_mind=say("A rocker base, or a sturdy mount that settles within three seconds."),
        weigh=_kind,
    ),
    Rule(
        name="settling",
        title=say("Shaking"),
        label="formula",
        cites=say("damped oscillator, t = ln(A / 1 arcmin) / (2π f ζ); limits: common practice"),
        changes_mind=say("A measured settling time below three seconds."),
        weigh=_settling,
    ),
    Rule(
        name="free play",
        title=say("Loose bearings"),
        label="formula",
        cites=say("motion at the eye = power × motion of the tube"),
        changes_mind=say("Bearings without play."),
        weigh=_play,
    ),
    Rule(
        name="slow motion",
        title=say("Slow motion"),
        label="formula",
        cites=say("the sky turns by 15.04 arcsec a second"),
        changes_mind=say("Slow-motion controls, a drive, or a smooth rocker base."),
        weigh=_slow,
    ),
    Rule(
        name="small equatorial",
        title=say("A small mount"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("A larger mount, or a rocker base."),
        weigh=_small_equatorial,
    ),
    Rule(
        name="held by hand",
        title=say("Held by hand"),
        label="common practice",
        cites=say("no single source; ten times held by hand shows what six times shows on a stand"),
        changes_mind=say("A firm stand in the offer."),
        weigh=_hand,
    ),
)
