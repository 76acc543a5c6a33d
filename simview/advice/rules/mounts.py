"""What holds it: kind of mount, free play, settling, slow motion, hands."""

from __future__ import annotations

from typing import Final

from simview.advice.listing import OfferedMount
from simview.advice.rules.rule import Case, Grade, Outcome, Rule, inches
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

# Power from which fine controls are missed: a choice.
FINE_POWER: Final = 50.0


def _kind(case: Case) -> Outcome | None:
    mount = case.listing.mount
    if (
        mount is None
        or mount.kind != "tripod"
        or not case.is_telescope
        or mount.tap_arcsec is not None
    ):
        return None
    power = _working_power(case)
    shake = f"{USUAL_TRIPOD.tap_arcsec:g} arcsec × {power:.0f} / 60"
    motion = USUAL_TRIPOD.tap_arcsec * power / 60.0
    from simview.telescope.mount import settle_seconds_at

    seconds = settle_seconds_at(USUAL_TRIPOD, power)
    if not mount.small:
        return Outcome(
            grade="note",
            says="Only a tripod is named. What sits between tripod and tube decides: ask"
            " whether it moves"
            " smoothly in both directions, stays where it is let go, and has slow-motion controls.",
        )
    return Outcome(
        grade="caution",
        says=f"A small or table-top tripod holds it. At {power:.0f} times each touch swings the"
        " picture by"
        f" about {motion:.0f} arcminutes, {motion / 30.0:.1f} times the Moon as the naked"
        " eye sees it, and"
        f" it takes some {seconds:.0f} seconds to come to rest. It tries your patience.",
        arithmetic=f"{shake} = {motion:.0f} arcmin; ln({motion:.0f} / 1) / (2π ×"
        f" {USUAL_TRIPOD.frequency_hz:g}"
        f" Hz × {USUAL_TRIPOD.damping:g}) = {seconds:.1f} s (usual values for such"
        " tripods, assumed)",
    )


def _working_power(case: Case) -> float:
    """Return the power one would use: the highest in the box that the aperture carries."""
    limit = (case.useful or (100.0, 100.0))[1]
    fitting = [one.power for one in case.plain_powers if one.power <= limit]
    return max(fitting, default=min(limit, 100.0))


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
        says=f"After a light touch at {power:.0f} times the picture swings by {swing:.0f}"
        " arcminutes"
        f" and needs {seconds:.0f} seconds to come to rest. A good mount needs one,"
        f" {GOOD_SECONDS:g}"
        " are bearable.",
        arithmetic="; ".join(
            f"{p:.0f} times: {row['swing_arcmin']:.0f} arcmin, {row['settle_seconds']:.1f} s"
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
        says=f"The mount has {mount.free_play_arcmin:g} arcminutes of free play. At {power:.0f}"
        " times an"
        f" object jumps by {moved:.0f} degrees when the tube is let go, in a view"
        f" {view:.0f} degrees wide.",
        arithmetic="; ".join(
            f"{p:.0f} times: {mount.free_play_arcmin * p / 60.0:.1f} deg"
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
        says=f"There are no slow-motion controls. At {power:.0f} times the sky carries an"
        " object across the"
        f" whole view in {seconds:.0f} seconds; following it by pushing the tube is hard.",
        arithmetic=f"50 deg / {power:.0f} = {50.0 / power:.2f} deg of sky; 15.04 arcsec a second",
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
        says=f"An EQ{mount.grade} is a very small equatorial mount; it carries about"
        f" {inches(limit)}, this"
        f" tube has {inches(aperture)}. Expect it to shake at high power.",
        arithmetic=f"{aperture:g} mm against about {limit:g} mm",
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
    return Outcome(
        grade=grade,
        says=f"{power:g} times cannot be held by hand: the tremor that the eye cannot"
        f" follow blurs the picture by {blur:.1f} arcminutes, and the eye sees 1. It needs a firm"
        " stand.",
        arithmetic=f"8 arcsec × {power:g} / 60 = {blur:.1f} arcmin",
    )


_TAP: Final = "no single source; tap test, damped oscillator t = ln(A / 1 arcmin) / (2π f ζ)"

RULES: Final = (
    Rule(
        name="mount",
        label="common practice",
        cites=_TAP,
        changes_mind="A rocker base, or a sturdy mount that settles within three seconds.",
        weigh=_kind,
    ),
    Rule(
        name="settling",
        label="formula",
        cites="damped oscillator, t = ln(A / 1 arcmin) / (2π f ζ); limits: common practice",
        changes_mind="A measured settling time below three seconds.",
        weigh=_settling,
    ),
    Rule(
        name="free play",
        label="formula",
        cites="motion at the eye = power × motion of the tube",
        changes_mind="Bearings without play.",
        weigh=_play,
    ),
    Rule(
        name="slow motion",
        label="formula",
        cites="the sky turns by 15.04 arcsec a second",
        changes_mind="Slow-motion controls, a drive, or a smooth rocker base.",
        weigh=_slow,
    ),
    Rule(
        name="small equatorial",
        label="common practice",
        cites="no single source",
        changes_mind="A larger mount, or a rocker base.",
        weigh=_small_equatorial,
    ),
    Rule(
        name="held by hand",
        label="common practice",
        cites="no single source; ten times held by hand shows what six times shows on a stand",
        changes_mind="A firm stand in the offer.",
        weigh=_hand,
    ),
)
