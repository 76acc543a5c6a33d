"""Rules where two pieces, two sentences or two figures could stand for one another.

Limits are those of docs/models/rules.md; sums stand beside the cases.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from rule_cases import LENS, told

from simview.advice.delivered import powers_of
from simview.advice.limits import case_of
from simview.advice.listing import Listing, OfferedAmplifier, OfferedEyepiece, OfferedMount
from simview.advice.rules.book import RULES
from simview.advice.rules.eyepiece_rules import as_wide_as

MIRROR = replace(LENS, layout="newtonian", objective="mirror", aperture_mm=150.0)


def grade(rule: str, listing: Listing, **case: Any) -> str:
    (one,) = [one for one in RULES if one.name == rule]
    found = one.find(replace(case_of(listing), **case))
    return "" if found is None else found.grade


def box(*sizes: float, field: float | None = None) -> tuple[OfferedEyepiece, ...]:
    return tuple(
        OfferedEyepiece(focal_length_mm=s, design="plossl", apparent_field_deg=field) for s in sizes
    )


def barlow(factor: float | None) -> OfferedAmplifier:
    return OfferedAmplifier(factor=factor)


def prism(factor: float | None) -> OfferedAmplifier:
    return OfferedAmplifier(kind="erecting-prism", factor=factor)


def test_every_way_through_two_lenses_is_a_power() -> None:
    # 900 / 10 = 90, then x 2, x 1.5 and x 3; the unknown one multiplies nothing.
    listing = replace(LENS, eyepieces=box(10.0), amplifiers=(barlow(2.0), prism(1.5), barlow(None)))
    assert [one.power for one in powers_of(listing)] == pytest.approx([90.0, 135.0, 180.0, 270.0])
    # A ring of 45 mm: 45 / 90 = 0.5 mm.
    assert powers_of(replace(listing, stop_mm=45.0))[0].exit_pupil_mm == pytest.approx(0.5)


def test_zoom_has_a_power_at_either_end() -> None:
    zoom = OfferedEyepiece(focal_length_mm=24.0, shortest_mm=8.0)
    assert [one.power for one in powers_of(replace(LENS, eyepieces=(zoom,)))] == pytest.approx(
        [37.5, 112.5]
    )


@pytest.mark.parametrize(
    ("size", "expected"),
    # 2.4 x 90 and 5 % for rounding: 226.8. 900 / 3.98 = 226.1, / 3.95 = 227.8.
    [(3.98, "note"), (3.95, "caution")],
)
def test_strong_eyepiece_is_graded_by_the_trades_rule(size: float, expected: str) -> None:
    assert grade("power of the eyepieces", replace(LENS, eyepieces=box(25.0, size))) == expected


def test_strongest_of_several_too_strong_eyepieces_is_named_and_one_at_the_limit_is_not() -> None:
    case = case_of(replace(LENS, eyepieces=box(5.0, 25.0, 4.0, 3.0)))
    says, sums = told("power of the eyepieces", case.listing)
    assert "300 times" in says
    assert "0.3 mm wide" in says  # 90 / 300
    assert sums == "900 mm / 3 mm = 300×; 90 mm / 300 = 0.3 mm"
    assert case.marks is not None
    alone = replace(LENS, eyepieces=box(25.0, 5.0))
    for limit, expected in ((180.0, ""), (179.0, "note")):
        marks = replace(case.marks, empty_above=limit)
        assert grade("power of the eyepieces", alone, marks=marks) == expected


def test_two_barlows_are_judged_by_the_stronger() -> None:
    for order in (
        (barlow(3.0), barlow(2.0)),
        (barlow(2.0), barlow(3.0)),
        (barlow(None), barlow(3.0)),
    ):
        assert "270 times" in told("Barlow", replace(LENS, amplifiers=order))[0]
    assert grade("Barlow", replace(LENS, amplifiers=(barlow(None), barlow(2.0)))) == ""


@pytest.mark.parametrize(
    ("sizes", "expected"),
    # Twice 900 / 7.95 is 226.4, twice 900 / 7.9 227.8, of 226.8; one eyepiece of use is enough.
    [((7.95,), ""), ((7.9,), "caution"), ((25.0, 7.9), ""), ((7.9, 6.0), "caution")],
)
def test_weak_barlow_is_minded_where_no_eyepiece_has_use_for_it(
    sizes: tuple[float, ...], expected: str
) -> None:
    listing = replace(LENS, eyepieces=box(*sizes), amplifiers=(barlow(2.0),))
    assert grade("Barlow", listing) == expected


@pytest.mark.parametrize(("factor", "expected"), [(1.05, ""), (1.06, "note")])
def test_prism_that_hardly_magnifies_is_none(factor: float, expected: str) -> None:
    assert grade("erecting prism", replace(LENS, amplifiers=(prism(factor),))) == expected


def test_prism_raises_the_lowest_power() -> None:
    says, sums = told("erecting prism", replace(LENS, amplifiers=(prism(2.0),)))
    assert "also magnifies 2 times" in says
    assert "36 to 72 times" in says
    assert sums == "36 × 2 = 72×"
    bare, nothing = told("erecting prism", replace(LENS, eyepieces=(), amplifiers=(prism(2.0),)))
    assert "rises" not in bare
    assert nothing == ""


def test_cassegrain_is_held_to_a_lens_limit_in_a_mirrors_words() -> None:
    small = replace(MIRROR, layout="cassegrain", aperture_mm=69.0)
    assert "mirror of less than about 70 mm" in told("aperture", small)[0]
    assert grade("aperture", replace(small, aperture_mm=70.0)) == ""
    assert grade("aperture", replace(small, instrument="binocular")) == ""


def test_ring_leaves_the_share_of_its_area() -> None:
    says, sums = told("internal stop", replace(LENS, stop_mm=45.0))
    assert "25 % of the light" in says  # (45 / 90)^2
    assert sums == "(45 / 90)² = 0.25"
    small = replace(LENS, aperture_mm=60.0)
    assert [
        grade("internal stop", replace(small, objective=o)) for o in (None, "singlet", "achromat")
    ] == ["note", "note", ""]


@pytest.mark.parametrize(
    ("ratio", "words", "use"),
    # Of 2 inches: the index is half the ratio. Bearable from 3 on, clear below 2.
    [(6.01, "a faint violet rim", "forget"), (5.98, "a violet rim", "forget"),
     (4.01, "a violet rim", "forget"), (3.98, "clear violet fringes", "low power")],
)  # fmt: skip
def test_fringe_grows_as_the_index_falls(ratio: float, words: str, use: str) -> None:
    listing = replace(LENS, aperture_mm=50.8, focal_length_mm=50.8 * ratio)
    says, _ = told("colour", listing)
    assert f"shows {words} around" in says
    assert use in says


def test_colour_is_that_of_the_part_that_works() -> None:
    # f/5 of 90 mm is 1.41, a caution; 45 mm of it are f/10 of 1.77 inches: 5.6, nothing.
    fast = replace(LENS, focal_length_mm=450.0)
    assert grade("colour", fast) == "caution"
    assert grade("colour", replace(fast, stop_mm=45.0)) == ""


@pytest.mark.parametrize(("said", "told_ratio"), [(4.8, "f/4.8"), (5.2, "f/5.2"), (5.3, "f/5 ")])
def test_ratio_is_told_as_the_offer_says_it_where_that_agrees(said: float, told_ratio: str) -> None:
    # 750 / 150 = 5; makers round by up to a twentieth.
    mirror = replace(MIRROR, focal_length_mm=750.0, focal_ratio=said, mirror="spherical")
    says, sums = told("spherical mirror", mirror)
    assert told_ratio in says
    # D / (2048 F^3 lambda): 150 / (2048 x 125 x 0.00055) = 1.07 waves, 4 quarters.
    assert "= 1.07 λ" in sums
    assert "by 4 times" in says


def test_sphere_that_is_not_named_is_asked_about() -> None:
    mirror = replace(MIRROR, focal_length_mm=750.0)
    assert grade("spherical mirror", mirror) == "note"
    assert "Ask whether it is parabolic" in told("spherical mirror", mirror)[0]
    assert grade("spherical mirror", replace(mirror, mirror="spherical")) == "stop"
    assert grade("spherical mirror", replace(mirror, layout="cassegrain")) == ""
    assert grade("spherical mirror", replace(mirror, layout=None)) == "note"


def test_short_tube_is_told_in_its_lengths() -> None:
    mirror = replace(MIRROR, focal_length_mm=1000.0, tube_length_mm=500.0)
    says, sums = told("built-in corrector", mirror)
    assert "50 cm" in says
    assert "100 cm" in says
    assert sums == "500 / 1000 = 0.50"
    named = replace(mirror, tube_length_mm=None, corrector=True)
    assert told("built-in corrector", named)[1] == ""
    asked, _ = told(
        "built-in corrector", replace(MIRROR, aperture_mm=114.0, focal_length_mm=1000.0)
    )
    assert "Reflectors of 114 mm and 1000 mm" in asked
    assert "about 100 cm" in asked


def test_play_is_held_against_the_view_of_the_piece_that_is_used() -> None:
    # 900 / 20 = 45 times in 40 degrees, a quarter is 10: 13.3' move 9.98 degrees, 13.4' 10.05.
    lens = replace(LENS, eyepieces=box(20.0, field=40.0))
    for play, expected in ((13.3, ""), (13.4, "caution"), (53.3, "caution"), (53.4, "stop")):
        mount = OfferedMount(kind="altazimuth", slow_motion=True, free_play_arcmin=play)
        assert grade("free play", replace(lens, mount=mount)) == expected
    mount = OfferedMount(kind="altazimuth", free_play_arcmin=20.0)
    says, sums = told("free play", replace(lens, mount=mount))
    assert "by 15 degrees" in says  # 20' x 45 / 60
    assert "40 degrees wide" in says
    assert sums == "45×: 20′ × 45 / 60 = 15.0°"


def test_sky_crosses_the_view_by_its_turning() -> None:
    # 50 degrees / 90 = 0.556 degrees = 2000"; at 15.04" a second 133 s, said as 135.
    hard = OfferedMount(kind="altazimuth", slow_motion=False)
    says, sums = told("slow motion", replace(LENS, mount=hard))
    assert "135 seconds" in says
    assert sums == "50° / 90 = 0.56°; 15.04″/s: 133 s"
    for easy in ({"driven": True}, {"kind": "rocker"}, {"kind": "hand"}, {"slow_motion": None}):
        assert grade("slow motion", replace(LENS, mount=replace(hard, **easy))) == ""


def test_mount_of_a_tiny_aperture_is_judged_at_what_that_carries() -> None:
    # 2.4 x 20 mm = 48, less than the ordinary 50: 60" x 48 / 60 = 48'.
    shaky = OfferedMount(kind="altazimuth", tap_arcsec=60.0, frequency_hz=4.0, damping=0.03)
    tiny = replace(LENS, aperture_mm=20.0, eyepieces=(), mount=shaky)
    assert told("settling", tiny)[1].startswith("48×: 48′")
    # 2.4 x 90 = 216: a piece that makes 215.9 is used, one that makes 216.5 is not; 36 is left.
    for power, said in ((215.9, "at 215 times"), (216.5, "at 36 times")):
        just = replace(LENS, eyepieces=box(25.0, 900.0 / power), mount=shaky)
        assert said in told("settling", just)[0]


@pytest.mark.parametrize(("grade_of_it", "expected"), [(1, "caution"), (2, "caution"), (3, "")])
def test_larger_equatorial_mounts_are_not_minded(grade_of_it: int, expected: str) -> None:
    mount = OfferedMount(kind="equatorial", grade=grade_of_it)
    assert grade("small equatorial", replace(MIRROR, mount=mount)) == expected


def test_only_eyepieces_that_are_too_simple_for_the_ratio_are_named() -> None:
    # f/8: a Huygens wants f/10, a Kellner f/6.
    pieces = (
        OfferedEyepiece(focal_length_mm=25.0, design="kellner"),
        OfferedEyepiece(focal_length_mm=12.0, design="huygens"),
    )
    lens = replace(LENS, focal_length_mm=720.0, eyepieces=pieces)
    says, sums = told("simple eyepieces", lens)
    assert "Huygens" in says
    assert "Kellner" not in says
    assert sums == "f/8 < f/10"
    # f/5 is too fast for both, and the worse one decides.
    both = replace(lens, focal_length_mm=450.0)
    assert grade("simple eyepieces", both) == "caution"
    assert told("simple eyepieces", both)[1] == "f/5 < f/6; f/5 < f/10"


@pytest.mark.parametrize(
    ("smaller_mm", "larger_mm", "names"),
    [(8.0, 23.0, ("a pea", "a coin")), (23.0, 75.0, ("a coin", "a drinking glass")),
     (75.0, 150.0, ("a drinking glass", "a saucer")),
     (150.0, 270.0, ("a saucer", "a dinner plate")),
     (270.0, 380.0, ("a dinner plate", "a car's steering wheel")),
     (380.0, 560.0, ("a car's steering wheel", "a small café table"))],
)  # fmt: skip
def test_thing_nearest_by_ratio_stands_for_an_angle(
    smaller_mm: float, larger_mm: float, names: tuple[str, str]
) -> None:
    # Between two things the geometric mean parts; at an arm of 600 mm it fills 2 atan(w / 1200).
    for factor, name in ((0.99, names[0]), (1.01, names[1])):
        wide = factor * math.sqrt(smaller_mm * larger_mm)
        assert str(as_wide_as(2.0 * math.degrees(math.atan(wide / 1200.0)))) == name


def test_missing_finder_is_minded_on_telescopes_only() -> None:
    bare = replace(LENS, finder="none")
    assert grade("finder", bare) == "caution"
    assert grade("finder", replace(bare, instrument="binocular")) == ""
    assert grade("finder", replace(bare, finder="small optical")) == "note"


def test_offer_without_a_mount_has_no_play() -> None:
    assert grade("free play", replace(LENS, mount=None)) == ""
    assert grade("free play", replace(LENS, mount=OfferedMount(kind="altazimuth"))) == ""


def test_single_lens_is_told_its_two_lengths() -> None:
    # 900 / 64.17 = 14.0 mm between red and blue; 2 x 0.00055 mm x 10^2 = 0.11 mm of depth.
    says, sums = told("single lens", replace(LENS, objective="singlet"))
    assert "14 mm apart" in says
    assert "allows 0.1 mm" in says
    assert sums == "900 mm / 64 = 14.0 mm; 2 × 0.00055 × 10² = 0.11 mm"


def test_view_counts_as_told_by_any_named_design_or_by_its_angle() -> None:
    # A Huygens is narrow by design; a piece of no known design may be anything.
    pieces = (OfferedEyepiece(focal_length_mm=20.0, design="huygens", apparent_field_deg=35.0),)
    assert grade("narrow view", replace(LENS, eyepieces=pieces)) == "note"
    for design in ("huygens", "ramsden", "unknown"):
        bare = (OfferedEyepiece(focal_length_mm=20.0, design=design),)  # type: ignore[arg-type]
        both = replace(LENS, eyepieces=(*pieces, *bare))
        usual = max(one.apparent_field_deg for one in case_of(both).plain_powers)
        assert grade("narrow view", both) == ("note" if design != "unknown" and usual < 40 else "")
