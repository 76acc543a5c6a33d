"""Sums and figures of rules that no other test works by hand: each from both ends of its formula.

Limits are those of docs/models/rules.md; what a sum rests on stands beside its case.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from rule_cases import LENS, told

from simview.advice.limits import case_of
from simview.advice.listing import Listing, OfferedAmplifier, OfferedEyepiece, OfferedMount, Reading
from simview.advice.rules.book import RULES

MIRROR = replace(LENS, layout="newtonian", objective="mirror", aperture_mm=150.0)
GLASSES = Listing(instrument="binocular", aperture_mm=50.0, binocular_power=20.0)


def grade(rule: str, listing: Listing) -> str:
    (one,) = [one for one in RULES if one.name == rule]
    found = one.find(case_of(listing))
    return "" if found is None else found.grade


def box(*sizes: float) -> tuple[OfferedEyepiece, ...]:
    return tuple(OfferedEyepiece(focal_length_mm=s, design="plossl") for s in sizes)


def on(**given: Any) -> OfferedMount:
    return OfferedMount(kind="altazimuth", slow_motion=True, **given)


TRIPOD = OfferedMount(kind="tripod", small=True)


@pytest.mark.parametrize(
    ("rule", "listing", "words", "sums"),
    [
        # A touch of 120" at 90 times is 180', six Moons of 31'; a damped swing of 4 Hz and 0.03
        # falls to 1' after ln(180) / (2 pi x 4 x 0.03) = 5.193 / 0.754 = 6.9 s.
        (
            "mount",
            replace(LENS, mount=TRIPOD),
            ["At 90 times", "about 6 times the width of the Moon", "some 7 seconds"],
            "120″ × 90 / 60 = 180′; ln(180 / 1) / (2π × 4 Hz × 0.03) = 6.9 s",
        ),
        # At 36 times 72': 2.3 Moons; ln(72) / 0.754 = 5.7 s.
        (
            "mount",
            replace(LENS, mount=TRIPOD, eyepieces=box(25.0)),
            ["At 36 times", "about 2.3 times the width of the Moon", "some 6 seconds"],
            "120″ × 36 / 60 = 72′; ln(72 / 1) / (2π × 4 Hz × 0.03) = 5.7 s",
        ),
        # 60" x 90 / 60 = 90': 2.9 Moons; ln(90) / 0.754 = 6.0 s, ln(36) / 0.754 = 4.8 s.
        (
            "settling",
            replace(LENS, mount=on(tap_arcsec=60.0, frequency_hz=4.0, damping=0.03)),
            ["at 90 times", "by 2.9 times the width of the Moon", "needs 6 seconds"],
            "36×: 36′, 4.8 s; 90×: 90′, 6.0 s",
        ),
        # A hand's tremor, 8" wide: 8 x 20 / 60 = 2.7', of 1' that the eye forgives.
        (
            "held by hand",
            GLASSES,
            ["20 times cannot be held", "2.7 times more than"],
            "8″ × 20 / 60 = 2.7′ > 1′",
        ),
        # (60 / 7)^2 = 73; Dawes 1867: 116 / 60 = 1.9".
        (
            "aperture",
            replace(LENS, aperture_mm=60.0),
            ["60 mm", "less than about 70 mm"],
            "(60 / 7 mm)² = 73×; 116 / 60 = 1.9″",
        ),
        (
            "small equatorial",
            replace(MIRROR, aperture_mm=114.0, mount=OfferedMount(kind="equatorial", grade=1)),
            ["An EQ1", "about 90 mm", "tube has 114 mm"],
            "114 mm > 90 mm",
        ),
        # 600 / 32 = 18.75; 150 / 18.75 = 8.
        (
            "wasted light",
            replace(MIRROR, focal_length_mm=600.0, eyepieces=box(10.0, 32.0)),
            ["beam is 8 mm wide", "about 7 mm"],
            "600 mm / 32 mm = 19×; 150 mm / 19 = 8 mm",
        ),
        # 900 / 10 = 90 times; a Ploessl's 50 degrees / 90 = 0.56, 1.07 Moons of 31.1'.
        (
            "lowest power",
            replace(LENS, eyepieces=box(10.0, 6.0)),
            ["is 90 times", "0.6° of sky", "about the Moon's width"],
            "900 mm / 10 mm = 90×; 90 mm / 90 = 1 mm; 50° / 90 = 0.56°",
        ),
        # 900 x 3 / 10 = 270; 90 / 270 = 0.33.
        (
            "Barlow",
            replace(LENS, amplifiers=(OfferedAmplifier(factor=3.0),)),
            ["with the 10 mm eyepiece it makes 270 times"],
            "900 mm × 3 / 10 mm = 270×; 90 mm / 270 = 0.33 mm",
        ),
        # 900 / 90 = 10; 90 mm are 3.54 in: 10 / 3.54 = 2.82.
        ("colour", LENS, ["90 mm", "f/10", "a violet rim"],
         "10 / 3.54 = 2.82 < 5 (Conrady), 3 (Sidgwick)"),
        # 0.3 / 0.25 = 1.2; 0.8 / 0.25 = 3.2, which people say as 3.
        ("spherical mirror", replace(MIRROR, spherical_waves=-0.3), ["wrong by 1.2 times"],
         "0.30 λ > 0.25 λ"),
        ("spherical mirror", replace(MIRROR, spherical_waves=0.8), ["wrong by 3 times"],
         "0.80 λ > 0.25 λ"),
        # 1.5 m at 384 400 km: 0.000805"; Dawes: 116 / 0.000805 = 144 000 mm.
        ("flag promised", replace(LENS, promises=("flag",)), ["140 metres wide"],
         "1.5 m / 384 400 km = 0.0008″; 116 / 0.0008 = 144 m"),
    ],
)  # fmt: skip
def test_words_and_sum_are_those_of_the_formula(
    rule: str, listing: Listing, words: list[str], sums: str
) -> None:
    says, arithmetic = told(rule, listing)
    assert [word for word in words if word not in says] == []
    assert arithmetic == sums


@pytest.mark.parametrize(
    ("power", "claimed", "expected"),
    # Saturn's ring asks for about 25 times (common practice, no source).
    [(None, (), ""), (0.0, (), ""), (0.5, (), "note"), (24.9, (), "note"), (25.0, (), ""),
     (None, (8.0,), "note"), (10.0, (30.0,), ""), (10.0, (8.0, 24.0), "note")],
)  # fmt: skip
def test_binoculars_below_the_rings_power_are_told_what_they_show(
    power: float | None, claimed: tuple[float, ...], expected: str
) -> None:
    given = replace(GLASSES, binocular_power=power, claimed_powers=claimed)
    assert grade("binoculars", given) == expected
    assert grade("binoculars", replace(given, instrument="telescope")) == ""


def test_spotting_scope_on_a_table_tripod_is_judged_at_the_most_it_says() -> None:
    # 12 times are held by hand, 12.5 are not; a zoom's upper end counts: 120" x 60 / 60 = 120'.
    scope = replace(GLASSES, mount=TRIPOD)
    assert grade("mount", replace(scope, binocular_power=12.0)) == ""
    assert grade("mount", replace(scope, binocular_power=12.5)) == "caution"
    zoom = replace(scope, binocular_power=20.0, claimed_powers=(20.0, 60.0))
    assert told("mount", zoom)[1].startswith("120″ × 60 / 60 = 120′")


def test_guess_and_swap_tell_the_lengths_that_were_read() -> None:
    read = [
        Reading(key=key, value=value, words="70700", guess=True, note="from the model number")
        for key, value in (("aperture_mm", 70.0), ("focal_length_mm", 700.0))
    ]
    says, _ = told("guessed figures", replace(LENS, readings=tuple(read)))
    assert "model number 70700" in says
    assert "aperture 70 mm" in says
    assert "focal length 700 mm" in says
    sure = tuple(replace(one, guess=False) for one in read)
    assert grade("guessed figures", replace(LENS, readings=sure)) == ""
    swapped = (replace(read[0], note="swapped with it"),)
    says, _ = told("swapped figures", replace(LENS, readings=swapped))
    assert "900 mm" in says.split("cannot be")[0]
    assert "We read 90 mm" in says
    for lacking in ("aperture_mm", "focal_length_mm"):
        listing = replace(LENS, readings=swapped, **{lacking: None})
        assert grade("swapped figures", listing) == ""


def test_clash_is_told_once_and_not_where_it_is_a_power_out_of_reach() -> None:
    from simview.advice.reading.conflicts import out_of_reach

    listing = replace(LENS, claimed_powers=(450.0,))
    reach = out_of_reach(listing)
    assert reach
    assert grade("own figures", replace(listing, contradictions=(reach,))) == ""
    both = replace(listing, contradictions=(reach, "f/5 is f/10."))
    assert told("own figures", both)[0] == "f/5 is f/10."


@pytest.mark.parametrize(
    ("claim", "sizes", "expected"),
    # 900 / 25 = 36: who boasts of 30 means something else. 2.4 x 90 and 5 %: 226.8.
    [(30.0, (25.0, 10.0), ""), (226.0, (25.0, 10.0), "note"), (228.0, (25.0, 10.0), "caution")],
)
def test_promise_out_of_reach_is_graded_by_what_the_aperture_carries(
    claim: float, sizes: tuple[float, ...], expected: str
) -> None:
    listing = replace(LENS, claimed_powers=(claim,), eyepieces=box(*sizes))
    assert grade("power out of reach", listing) == expected
