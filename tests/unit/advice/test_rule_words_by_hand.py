"""Sums and figures of rules that no other test works by hand: each from both ends of its formula.

Limits are those of docs/models/rules.md; what a sum rests on stands beside its case.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from rule_cases import LENS, told

from simview.advice.limits import case_of
from simview.advice.listing import Listing, OfferedEyepiece, OfferedMount, Reading, Unread
from simview.advice.rules.book import RULES

MIRROR = replace(LENS, layout="newtonian", objective="mirror", aperture_mm=150.0)
GLASSES = Listing(instrument="binocular", aperture_mm=50.0, binocular_power=20.0)


def grade(rule: str, listing: Listing) -> str:
    (one,) = [one for one in RULES if one.name == rule]
    found = one.find(case_of(listing))
    return "" if found is None else found.grade


def box(*sizes: float) -> tuple[OfferedEyepiece, ...]:
    return tuple(OfferedEyepiece(focal_length_mm=s, design="plossl") for s in sizes)


TRIPOD = OfferedMount(kind="tripod", small=True)


@pytest.mark.parametrize(
    ("rule", "listing", "words", "sums"),
    [
        # A touch of 120" at 36 times is 72', 2.3 Moons of 31'; a damped swing of 4 Hz and 0.03
        # falls to 1' after ln(72) / (2 pi x 4 x 0.03) = 4.277 / 0.754 = 5.7 s.
        (
            "mount",
            replace(LENS, mount=TRIPOD, eyepieces=box(25.0)),
            ["At 36 times", "about 2.3 times the width of the Moon", "some 6 seconds"],
            "120″ × 36 / 60 = 72′; ln(72 / 1) / (2π × 4 Hz × 0.03) = 5.7 s",
        ),
        # 900 / 25.5 = 35.29 times: 70.6', not 70; ln(70.6) / 0.754 = 5.6 s.
        (
            "mount",
            replace(LENS, mount=TRIPOD, eyepieces=box(25.5)),
            ["At 35 times"],
            "120″ × 35 / 60 = 71′; ln(71 / 1) / (2π × 4 Hz × 0.03) = 5.6 s",
        ),
        # Dawes 1867: 116 / 30 = 3.87, 116 / 10 = 11.6"; (30 / 7)^2 = 18.4, (10 / 7)^2 = 2.04.
        (
            "aperture",
            replace(LENS, aperture_mm=30.0),
            ["30 mm"],
            "(30 / 7 mm)² = 18×; 116 / 30 = 3.9″",
        ),
        (
            "aperture",
            replace(LENS, aperture_mm=10.0),
            ["10 mm"],
            "(10 / 7 mm)² = 2×; 116 / 10 = 11.6″",
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


@pytest.mark.parametrize(
    ("listing", "asks"),
    [
        (replace(LENS, aperture_mm=None), "does not say the aperture."),
        (replace(LENS, focal_length_mm=None), "does not say the focal length."),
        (
            replace(LENS, aperture_mm=None, focal_length_mm=None),
            "does not say the aperture or the focal length.",
        ),
        (replace(GLASSES, binocular_power=None), "does not say the power."),
        (
            replace(GLASSES, binocular_power=None, aperture_mm=None),
            "does not say the aperture or the power.",
        ),
    ],
)
def test_sizes_that_are_not_said_are_named_and_no_others(listing: Listing, asks: str) -> None:
    assert asks in told("too little said", listing)[0]
    assert grade("too little said", listing) == "caution"
    assert grade("too little said", replace(GLASSES, focal_length_mm=None)) == ""
    # An f-ratio with the aperture tells the focal length: no more is asked.
    told_by_ratio = replace(LENS, focal_length_mm=None, focal_ratio=10.0)
    assert grade("too little said", told_by_ratio) == ""


def test_size_in_words_that_were_not_read_is_quoted_and_not_called_unsaid() -> None:
    unread = (Unread(what="aperture", words="a hand wide"),)
    says, _ = told("too little said", replace(LENS, aperture_mm=None, unread=unread))
    assert "On the aperture the offer says something that we could not read" in says
    assert "a hand wide" in says
    assert "does not say" not in says
    both = replace(LENS, aperture_mm=None, focal_length_mm=None, unread=unread)
    assert "does not say the focal length." in told("too little said", both)[0]


KINDS = ("lens or mirror", "eyepieces", "mount")


@pytest.mark.parametrize("lacking", [some for n in (1, 2, 3) for some in combinations(KINDS, n)])
def test_offer_is_sound_without_its_lens_and_not_without_mount_or_eyepieces(lacking) -> None:
    # Common practice: a telescope shows what its mount and its eyepieces let it show.
    says, _ = told("too little said", replace(LENS, missing=lacking))
    grave = lacking != ("lens or mirror",)
    assert grade("too little said", replace(LENS, missing=lacking)) == (
        "caution" if grave else "note"
    )
    assert ("nobody can call it sound" in says) is grave
    words = {
        "lens or mirror": "with a lens or a mirror",
        "eyepieces": "which eyepieces",
        "mount": "what it stands on",
    }
    assert [kind for kind, word in words.items() if word in says] == list(lacking)


@pytest.mark.parametrize(
    ("rule", "listing", "kept", "broken", "expected"),
    # Just inside and just outside of a limit, so that a sixtieth more or less shows.
    [
        # 50 degrees / (500 / 20) = 2 degrees.
        ("finder", replace(LENS, finder="none", focal_length_mm=500.0), 20.1, 19.9, "caution"),
        # 50 degrees / (900 / 18) = 1 degree, / (900 / 10.8) = 0.6.
        ("lowest power", LENS, 18.1, 17.9, "note"),
        ("lowest power", LENS, 10.85, 10.75, "note caution"),
        # 900 / 18 = 50 times, from which fine controls are missed.
        (
            "slow motion",
            replace(LENS, mount=OfferedMount(kind="altazimuth", slow_motion=False)),
            18.1,
            18.0,
            "caution",
        ),
    ],
)
def test_field_is_held_to_its_limit_within_a_sixtieth(
    rule: str, listing: Listing, kept: float, broken: float, expected: str
) -> None:
    before, _, after = expected.rpartition(" ")
    assert grade(rule, replace(listing, eyepieces=box(kept))) == before
    assert grade(rule, replace(listing, eyepieces=box(broken))) == after


def test_mount_of_an_unknown_aperture_is_judged_at_a_hundred_times_at_most() -> None:
    shaky = OfferedMount(kind="altazimuth", tap_arcsec=60.0, frequency_hz=4.0, damping=0.03)
    bare = replace(LENS, aperture_mm=None, mount=shaky)
    # 900 / 9 = 100, 900 / 8.95 = 100.6; the next is 36.
    assert "at 100 times" in told("settling", replace(bare, eyepieces=box(25.0, 9.0)))[0]
    assert "at 36 times" in told("settling", replace(bare, eyepieces=box(25.0, 8.95)))[0]


def test_play_without_an_eyepiece_is_held_against_an_ordinary_view() -> None:
    # 50 degrees, at 50 times: 15' are 12.5 degrees, a quarter; 60' are all of it.
    for play, expected in ((15.0, ""), (15.1, "caution"), (60.0, "caution"), (60.1, "stop")):
        mount = OfferedMount(kind="altazimuth", slow_motion=True, free_play_arcmin=play)
        assert grade("free play", replace(LENS, eyepieces=(), mount=mount)) == expected
    assert (
        "in a view 50 degrees wide"
        in told("free play", replace(LENS, eyepieces=(), mount=mount))[0]
    )


def test_simple_eyepieces_are_named_with_their_own_design_each_once() -> None:
    # f/5 is too fast for all three kinds (common practice: f/10, f/9, f/6 on).
    given = [(25.0, "kellner"), (12.0, "huygens"), (9.0, "ramsden"), (6.0, "huygens")]
    pieces = [OfferedEyepiece(focal_length_mm=f, design=d) for f, d in given]  # type: ignore[arg-type]
    fast = replace(LENS, focal_length_mm=450.0, eyepieces=(*pieces, *box(20.0)))
    says, sums = told("simple eyepieces", fast)
    assert says.startswith(
        "25 mm (Kellner, three lenses); 12 mm and 6 mm (Huygens, two single lenses);"
        " 9 mm (Ramsden, two single lenses): "
    )
    assert "one of f/5 " in says
    assert sums == "f/5 < f/6; f/5 < f/10; f/5 < f/9"


@pytest.mark.parametrize(
    ("rule", "listing", "expected"),
    # At a limit itself, where figures come out whole; docs/models/rules.md says "below" or "from".
    [
        ("lowest power", replace(LENS, eyepieces=box(18.0)), ""),  # 50 / 50 = 1 degree
        ("finder", replace(LENS, finder="none", focal_length_mm=500.0, eyepieces=box(20.0)), ""),
        ("internal stop", replace(LENS, aperture_mm=100.0, stop_mm=97.0), ""),
        # 2 inches at f/10 are 5, at f/4 2.
        ("colour", replace(LENS, aperture_mm=50.8, focal_length_mm=508.0), ""),
        ("colour", replace(LENS, aperture_mm=50.8, focal_length_mm=203.2), "note"),
    ],
)
def test_limit_itself_is_within(rule: str, listing: Listing, expected: str) -> None:
    assert grade(rule, listing) == expected


def test_rim_is_faint_from_the_second_criterion_itself_on() -> None:
    # 2 inches at f/6 are 3 (Sidgwick).
    lens = replace(LENS, aperture_mm=50.8, focal_length_mm=304.8)
    assert "shows a faint violet rim" in told("colour", lens)[0]
