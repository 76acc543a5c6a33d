"""Each limit of the rules from both sides, as the page on the rules tells it.

Source: docs/models/rules.md, where each limit stands with its ground; sums stand beside the cases.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
import rule_cases
from rule_cases import told

from simview.advice.limits import case_of
from simview.advice.listing import (
    Listing,
    OfferedAmplifier,
    OfferedEyepiece,
    OfferedMount,
    Reading,
    Unread,
)
from simview.advice.rules.book import RULES

LENS = replace(rule_cases.LENS, finder="red dot")
MIRROR = replace(LENS, layout="newtonian", objective="mirror", aperture_mm=150.0)


def grade(rule: str, listing: Listing) -> str:
    (one,) = [one for one in RULES if one.name == rule]
    found = one.find(case_of(listing))
    return "" if found is None else found.grade


def box(*sizes: float, design: str = "plossl") -> tuple[OfferedEyepiece, ...]:
    return tuple(OfferedEyepiece(focal_length_mm=s, design=design) for s in sizes)  # type: ignore[arg-type]


def mount(**told: Any) -> dict[str, Any]:
    return {"mount": OfferedMount(kind="altazimuth", slow_motion=True, **told)}


@pytest.mark.parametrize(
    ("rule", "listing", "kept", "broken", "expected"),
    [
        ("aperture", LENS, {"aperture_mm": 70.0}, {"aperture_mm": 69.5}, "caution"),
        ("aperture", LENS, {"aperture_mm": 50.0}, {"aperture_mm": 49.5}, "caution stop"),
        ("aperture", MIRROR, {"aperture_mm": 100.0}, {"aperture_mm": 99.5}, "caution"),
        # A mirror that is named without a layout is held to a mirror's limit too.
        (
            "aperture",
            replace(MIRROR, layout=None),
            {"aperture_mm": 100.0},
            {"aperture_mm": 99.5},
            "caution",
        ),
        # A ring that takes three hundredths of the width is a maker's tolerance.
        ("internal stop", LENS, {"stop_mm": 87.5}, {"stop_mm": 87.0}, "caution"),
        (
            "internal stop",
            replace(LENS, objective=None),
            {"aperture_mm": 60.5},
            {"aperture_mm": 60.0},
            "note",
        ),
        # Focal ratio over inches: 2 inches at f/10 are 5, at f/4 2.
        (
            "colour",
            replace(LENS, aperture_mm=50.8),
            {"focal_length_mm": 508.5},
            {"focal_length_mm": 507.0},
            "note",
        ),
        (
            "colour",
            replace(LENS, aperture_mm=50.8),
            {"focal_length_mm": 203.5},
            {"focal_length_mm": 202.5},
            "note caution",
        ),
        # D / (2048 F^3 lambda): at f/6, 150 mm has 0.617 waves and 121 mm 0.497.
        (
            "spherical mirror",
            replace(MIRROR, mirror="spherical"),
            {"aperture_mm": 121.0, "focal_length_mm": 726.0},
            {"aperture_mm": 123.0, "focal_length_mm": 738.0},
            "caution stop",
        ),
        (
            "spherical mirror",
            MIRROR,
            {"spherical_waves": 0.25},
            {"spherical_waves": 0.26},
            "caution",
        ),
        (
            "spherical mirror",
            MIRROR,
            {"spherical_waves": 0.5},
            {"spherical_waves": 0.51},
            "caution stop",
        ),
        (
            "built-in corrector",
            replace(MIRROR, focal_length_mm=1000.0),
            {"tube_length_mm": 750.0},
            {"tube_length_mm": 749.0},
            "caution",
        ),
        (
            "simple eyepieces",
            LENS,
            {"eyepieces": box(20.0, design="huygens")},
            {"eyepieces": box(20.0, design="huygens"), "focal_length_mm": 895.0},
            "caution",
        ),
        (
            "simple eyepieces",
            replace(LENS, focal_length_mm=810.0),
            {"eyepieces": box(20.0, design="ramsden")},
            {"eyepieces": box(20.0, design="ramsden"), "focal_length_mm": 805.0},
            "caution",
        ),
        (
            "simple eyepieces",
            replace(LENS, focal_length_mm=540.0),
            {"eyepieces": box(20.0, design="kellner")},
            {"eyepieces": box(20.0, design="kellner"), "focal_length_mm": 535.0},
            "note",
        ),
        # 50 degrees / 48.6 = 1.03, / 51.4 = 0.97 degrees; / 81.8 = 0.61, / 85.7 = 0.58.
        ("lowest power", LENS, {"eyepieces": box(18.5)}, {"eyepieces": box(17.5)}, "note"),
        ("lowest power", LENS, {"eyepieces": box(11.0)}, {"eyepieces": box(10.5)}, "note caution"),
        # 900 / 15 = 60: 60 mm / 60 = 1 mm; 900 / 14.5 = 62: 0.97 mm.
        (
            "lowest power",
            replace(LENS, aperture_mm=60.0),
            {"eyepieces": box(15.0)},
            {"eyepieces": box(14.5)},
            "note caution",
        ),
        # 2.4 times 90 mm is 216, 5 % more 226.8.
        (
            "claimed power",
            LENS,
            {"claimed_powers": (226.0,)},
            {"claimed_powers": (228.0,)},
            "caution",
        ),
        (
            "claimed power",
            LENS,
            {"claimed_powers": (431.0,)},
            {"claimed_powers": (433.0,)},
            "caution stop",
        ),
        # 7 mm and 5 % for rounding: 7.35. At f/4, 29 mm make 7.25 and 30 mm 7.5.
        (
            "wasted light",
            replace(MIRROR, focal_length_mm=600.0),
            {"eyepieces": box(29.0)},
            {"eyepieces": box(30.0)},
            "note",
        ),
        (
            "Barlow",
            LENS,
            {"amplifiers": (OfferedAmplifier(factor=2.9),)},
            {"amplifiers": (OfferedAmplifier(factor=3.0),)},
            "caution",
        ),
        # A view of 50 degrees, at 90 times: play of 8.3' moves 12.45 degrees, 8.4' 12.6.
        ("free play", LENS, mount(free_play_arcmin=8.3), mount(free_play_arcmin=8.4), "caution"),
        (
            "free play",
            LENS,
            mount(free_play_arcmin=33.3),
            mount(free_play_arcmin=33.4),
            "caution stop",
        ),
        (
            "slow motion",
            replace(LENS, mount=OfferedMount(kind="altazimuth", slow_motion=False)),
            {"eyepieces": box(18.5)},
            {"eyepieces": box(18.0)},
            "caution",
        ),
        # t = ln(A) / (2 pi f zeta), at 90 times: 60" swing 90', ln 90 = 4.50; 5 Hz and 0.0478 make
        # 3.0 s, 0.0143 makes 10.0 s.
        (
            "settling",
            LENS,
            mount(tap_arcsec=60.0, frequency_hz=5.0, damping=0.0480),
            mount(tap_arcsec=60.0, frequency_hz=5.0, damping=0.0475),
            "caution",
        ),
        (
            "settling",
            LENS,
            mount(tap_arcsec=60.0, frequency_hz=5.0, damping=0.0144),
            mount(tap_arcsec=60.0, frequency_hz=5.0, damping=0.0142),
            "caution stop",
        ),
        # A millimetre of a maker's rounding is left.
        (
            "small equatorial",
            replace(MIRROR, mount=OfferedMount(kind="equatorial", grade=1)),
            {"aperture_mm": 90.5},
            {"aperture_mm": 91.0},
            "caution",
        ),
        (
            "small equatorial",
            replace(MIRROR, mount=OfferedMount(kind="equatorial", grade=2)),
            {"aperture_mm": 130.5},
            {"aperture_mm": 131.0},
            "caution",
        ),
        # 50 degrees / 25 = 2 degrees.
        (
            "finder",
            replace(LENS, finder="none", focal_length_mm=500.0),
            {"eyepieces": box(20.5)},
            {"eyepieces": box(19.5)},
            "caution",
        ),
    ],
)
def test_limit_is_the_pages(
    rule: str, listing: Listing, kept: dict[str, Any], broken: dict[str, Any], expected: str
) -> None:
    before, _, after = expected.rpartition(" ")
    assert grade(rule, replace(listing, **kept)) == before
    assert grade(rule, replace(listing, **broken)) == after


BINOCULARS = Listing(instrument="binocular", aperture_mm=50.0, binocular_power=10.0)


@pytest.mark.parametrize(
    ("power", "stand", "expected"),
    [
        (12.0, None, ""),
        (12.5, None, "caution"),
        (29.5, None, "caution"),
        (30.0, None, "stop"),
        (20.0, "tripod", "note"),
        (30.0, "tripod", "caution"),
        (30.0, "hand", "stop"),
    ],
)
def test_hands_hold_twelve_times_and_a_stand_takes_a_grade_off(
    power: float, stand: Any, expected: str
) -> None:
    held = None if stand is None else OfferedMount(kind=stand)
    listing = replace(BINOCULARS, binocular_power=power, mount=held)
    assert grade("held by hand", listing) == expected


@pytest.mark.parametrize(("power", "expected"), [(24.0, "note"), (25.0, ""), (10.0, "note")])
def test_what_binoculars_show_is_told_below_25_times(power: float, expected: str) -> None:
    assert grade("binoculars", replace(BINOCULARS, binocular_power=power)) == expected


@pytest.mark.parametrize(("power", "expected"), [(12.0, ""), (13.0, "caution")])
def test_table_tripod_under_binoculars_is_minded_above_12_times(
    power: float, expected: str
) -> None:
    table = OfferedMount(kind="tripod", small=True)
    assert grade("mount", replace(BINOCULARS, binocular_power=power, mount=table)) == expected


def test_unknown_lengths_leave_rules_that_need_them_silent() -> None:
    lone = replace(LENS, objective="singlet", aperture_mm=None)
    assert grade("single lens", lone) == ""
    assert grade("single lens", replace(lone, aperture_mm=90.0, focal_length_mm=None)) == ""
    assert grade("colour", replace(LENS, aperture_mm=None)) == ""
    assert grade("spherical mirror", replace(MIRROR, aperture_mm=None)) == ""
    assert grade("small equatorial", replace(LENS, aperture_mm=None)) == ""


@pytest.mark.parametrize(
    ("rule", "listing", "words", "sums"),
    [
        # 120" x 90 / 60 = 180'; / 31' = 5.8; ln 180 / (2 pi 4 0.03) = 5.193 / 0.754 = 6.9 s
        (
            "mount",
            replace(LENS, mount=OfferedMount(kind="tripod", small=True)),
            ["90 times", "about 6 times", "some 7 seconds"],
            ["120″ × 90 / 60 = 180′", "= 6.9 s"],
        ),
        # 60 x 36 / 60 = 36', ln 36 / (2 pi 4 0.03) = 4.8 s; at 90 times 90', 6.0 s; / 31 = 2.9
        (
            "settling",
            replace(LENS, **mount(tap_arcsec=60.0, frequency_hz=4.0, damping=0.03)),
            ["90 times", "2.9 times", "6 seconds", "3 are bearable"],
            ["36×: 36′, 4.8 s", "90×: 90′, 6.0 s"],
        ),
        # Nobody measured frequency and damping: 5 Hz, 0.03 (mount.md): ln 90 / 0.942 = 4.8 s
        (
            "settling",
            replace(LENS, **mount(tap_arcsec=60.0)),
            ["5 seconds"],
            ["90×: 90′, 4.8 s"],
        ),
        # 8" x 20 / 60 = 2.7'
        (
            "held by hand",
            replace(BINOCULARS, binocular_power=20.0),
            ["20 times", "2.7 times"],
            ["8″ × 20 / 60 = 2.7′"],
        ),
        # (40 / 7)^2 = 32.7; 116 / 40 = 2.9
        ("aperture", replace(LENS, aperture_mm=40.0), ["40 mm", "70 mm"], ["33×", "2.9″"]),
        ("aperture", replace(MIRROR, aperture_mm=76.0), ["76 mm", "100 mm"], ["118×", "1.5″"]),
        # 10 / (90 / 25.4) = 2.82
        ("colour", LENS, ["90 mm", "f/10", "a violet rim"], ["10 / 3.54 = 2.82"]),
        # f/3.94 of 2 inches: 1.97
        (
            "colour",
            replace(LENS, aperture_mm=50.8, focal_length_mm=200.0),
            ["f/3.9", "clear violet fringes", "low power"],
            ["3.94 / 2.00 = 1.97"],
        ),
        # f/7 of 2 inches: 3.5, above Sidgwick's 3
        (
            "colour",
            replace(LENS, aperture_mm=50.8, focal_length_mm=355.6),
            ["f/7", "a faint violet rim", "soon forget"],
            ["7 / 2.00 = 3.50"],
        ),
        # 1.5 m / 384 400 km = 0.805 mas; 116 / 0.000805 = 144 100 mm
        ("flag promised", replace(LENS, promises=("flag",)), ["140"], ["0.0008″", "144 m"]),
        # 0.6 waves are 2.4 quarters, 0.9 waves 4 (3.6) of them
        (
            "spherical mirror",
            replace(MIRROR, spherical_waves=0.6),
            ["2.4 times"],
            ["0.60 λ > 0.25 λ"],
        ),
        ("spherical mirror", replace(MIRROR, spherical_waves=-0.9), ["4 times"], ["0.90 λ"]),
        # 36 x 1.5 = 54
        (
            "erecting prism",
            replace(LENS, amplifiers=(OfferedAmplifier(kind="erecting-prism"),)),
            ["1.5 times", "36 to 54 times"],
            ["36 × 1.5 = 54×"],
        ),
        # 900 x 3 / 10 = 270; 90 / 270 = 0.33
        (
            "Barlow",
            replace(LENS, amplifiers=(OfferedAmplifier(factor=3.0),)),
            ["270 times"],
            ["900 mm × 3 / 10 mm = 270×", "0.33 mm"],
        ),
    ],
)
def test_more_words_and_sums_hold_the_numbers_worked_by_hand(
    rule: str, listing: Listing, words: list[str], sums: list[str]
) -> None:
    says, arithmetic = told(rule, listing)
    assert [word for word in words if word not in says] == []
    assert [word for word in sums if word not in arithmetic] == []


def test_measured_mount_without_eyepieces_is_judged_at_an_ordinary_power() -> None:
    # Any beginner's box gives 50 times: 60" x 50 / 60 = 50'; ln 50 / (2 pi 4 0.03) = 5.2 s.
    bare = replace(LENS, eyepieces=(), **mount(tap_arcsec=60.0, frequency_hz=4.0, damping=0.03))
    says, sums = told("settling", bare)
    assert "50 times" in says
    assert sums == "50×: 50′, 5.2 s"
    loose = replace(LENS, eyepieces=(), **mount(free_play_arcmin=40.0))
    says, sums = told("free play", loose)
    assert "33 degrees" in says
    assert sums == "50×: 40′ × 50 / 60 = 33.3°"


def test_round_things_stand_for_the_angle_that_they_fill_at_arms_length() -> None:
    # 2 x 60 cm x tan(angle / 2): 5 deg 5.2 cm, 7.2 deg 7.5 cm, 15 deg 15.8 cm, 30 deg 32 cm.
    from simview.advice.rules.eyepiece_rules import as_wide_as, at_arms_length_mm

    assert [round(at_arms_length_mm(d) / 10.0, 1) for d in (5.0, 15.0, 50.0)] == [5.2, 15.8, 56.0]
    assert [str(as_wide_as(d)) for d in (0.8, 7.2, 15.0, 35.0, 50.0)] == [
        "a pea",
        "a drinking glass",
        "a saucer",
        "a car's steering wheel",
        "a small café table",
    ]


def test_words_that_could_not_be_read_count_as_unsaid_and_what_is_left_out_does_not() -> None:
    rule = "too little said"
    unread = Unread(what="mount", words="on a bracket")
    assert grade(rule, replace(LENS, unread=(unread,))) == "caution"
    assert "on a bracket" in told(rule, replace(LENS, unread=(unread,)))[0]
    without = Unread(what="mount", words="without mount", left_out=True)
    assert grade(rule, replace(LENS, unread=(without,))) == "note"
    assert "add what that costs" in told(rule, replace(LENS, unread=(without,)))[0]


def test_model_number_that_had_to_stand_in_is_a_caution() -> None:
    guess = Reading(key="aperture_mm", value=90.0, words="90900", guess=True, note="model number")
    says, _ = told("guessed figures", replace(LENS, readings=(guess,)))
    assert "aperture 90 mm" in says
    assert "90900" in says
    sure = replace(guess, guess=False)
    assert grade("guessed figures", replace(LENS, readings=(sure,))) == ""


def test_mount_is_judged_at_the_highest_power_in_the_box_that_the_aperture_carries() -> None:
    # 900 / 6 = 150, within 2.4 times 90 mm; 900 / 3 = 300 is past it, and 90 is the next.
    bare = replace(LENS, mount=OfferedMount(kind="altazimuth", slow_motion=False))
    assert "150 times" in told("slow motion", replace(bare, eyepieces=box(25.0, 6.0)))[0]
    assert "90 times" in told("slow motion", replace(bare, eyepieces=box(10.0, 3.0)))[0]
    # A swing of 2 x 45.2 = 90.5' is 2.9 Moons: from 90' on it is said in whole ones.
    small = replace(LENS, mount=OfferedMount(kind="tripod", small=True))
    assert "about 3 times" in told("mount", replace(small, eyepieces=box(19.9)))[0]
    assert "about 2.8 times" in told("mount", replace(small, eyepieces=box(20.5)))[0]
