"""What rules say at their very limits, in which of their sentences, and by which sum."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from rule_cases import LENS, told

from simview.advice.limits import case_of
from simview.advice.listing import Listing, OfferedEyepiece, OfferedMount
from simview.advice.rules.book import RULES
from simview.advice.rules.mount_rules import motion_at
from simview.advice.rules.rule import Case, Finding


def found(rule: str, case: Case) -> Finding | None:
    (one,) = [one for one in RULES if one.name == rule]
    return one.find(case)


def narrow(*fields: float) -> Listing:
    pieces = [OfferedEyepiece(focal_length_mm=20.0, apparent_field_deg=f) for f in fields]
    return replace(LENS, eyepieces=tuple(pieces))


@pytest.mark.parametrize(("field", "speaks"), [(40.0, False), (39.5, True)])
def test_view_is_narrow_below_forty_degrees_and_not_at_them(field: float, speaks: bool) -> None:
    assert (found("narrow view", case_of(narrow(field))) is not None) is speaks


@pytest.mark.parametrize("field", [30.0, 34.0, 38.0])
def test_narrow_view_is_a_circle_at_arms_length(field: float) -> None:
    # An arm of 60 cm: 2 x 60 cm x tan(half the field).
    wanted = 120.0 * math.tan(math.radians(field / 2.0))
    assert f"tan({field:.0f}° / 2) = {wanted:.0f} cm" in told("narrow view", narrow(field))[1]


def test_mount_swings_and_has_play_by_power_over_sixty() -> None:
    mount = OfferedMount(kind="altazimuth", tap_arcsec=90.0, free_play_arcmin=20.0)
    for power in (30.0, 120.0):
        at = motion_at(mount, power)
        assert at["swing_arcmin"] == pytest.approx(90.0 * power / 60.0)
        assert at["play_deg"] == pytest.approx(20.0 * power / 60.0)
    assert motion_at(None, 50.0) == {}
    assert set(motion_at(OfferedMount(kind="altazimuth"), 50.0)) == set()


@pytest.mark.parametrize(
    ("aperture", "focal", "speaks"),
    # The three that are sold so (common practice), and others beside them.
    [
        (114.0, 1000.0, True), (127.0, 1000.0, True), (150.0, 1400.0, True),
        (150.0, 1000.0, False), (151.0, 1400.0, False), (150.0, 1401.0, False),
        (114.0, 1001.0, False), (127.0, 1001.0, False), (128.0, 1000.0, False),
    ],
)  # fmt: skip
def test_short_reflectors_with_a_lens_inside_are_known_by_their_numbers(
    aperture: float, focal: float, speaks: bool
) -> None:
    mirror = replace(
        LENS, layout="newtonian", objective="mirror", aperture_mm=aperture, focal_length_mm=focal
    )
    assert (found("built-in corrector", case_of(mirror)) is not None) is speaks


def test_parabolic_mirror_is_one_however_the_word_came() -> None:
    read = "".join(("para", "bolic"))  # as from a file: equal, and not the same
    fast = replace(
        LENS, layout="newtonian", objective="mirror", aperture_mm=150.0, focal_length_mm=600.0
    )
    assert found("spherical mirror", case_of(fast)) is not None
    assert found("spherical mirror", case_of(replace(fast, mirror=read))) is None
    assert found("spherical mirror", case_of(replace(fast, mirror="spherical"))) is not None


@pytest.mark.parametrize(("carries", "own_rule"), [(110.0, True), (130.0, False), (150.0, False)])
def test_promise_names_the_trades_rule_only_where_less_is_carried(
    carries: float, own_rule: bool
) -> None:
    # The trade's own rule: twice the millimetres, 120 times with 60 mm. Who hears of less asks why.
    case = case_of(replace(LENS, aperture_mm=60.0, focal_length_mm=700.0, claimed_powers=(525.0,)))
    assert case.marks is not None
    one = found("claimed power", replace(case, marks=replace(case.marks, empty_above=carries)))
    assert one is not None
    assert ("makers of boxes" in str(one.says)) is own_rule
    assert ("at the very best" in str(one.says)) is not own_rule
    assert ("count 120." in str(one.says)) is own_rule


def test_simple_eyepieces_are_not_judged_where_the_ratio_is_unknown() -> None:
    pieces = (OfferedEyepiece(focal_length_mm=20.0, design="huygens"),)
    bare = replace(LENS, eyepieces=pieces)
    assert found("simple eyepieces", case_of(replace(bare, focal_length_mm=450.0))) is not None
    assert found("simple eyepieces", case_of(replace(bare, focal_length_mm=None))) is None
    assert found("simple eyepieces", case_of(replace(bare, aperture_mm=None))) is None
