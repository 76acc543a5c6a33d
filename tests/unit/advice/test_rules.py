"""Each rule by itself: when it speaks, how loudly, and when it is silent."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from simview.advice.limits import case_of
from simview.advice.listing import (
    Listing,
    OfferedAmplifier,
    OfferedEyepiece,
    OfferedMount,
    Reading,
)
from simview.advice.reading.assemble import read_advert
from simview.advice.rules.book import RULES
from simview.advice.rules.eyepiece_rules import as_wide_as, at_arms_length_mm
from simview.advice.rules.rule import Case, Finding

# A plain, good lens telescope: nothing speaks against it.
GOOD = Listing(
    name="Lens telescope 90/900",
    layout="refractor",
    objective="achromat",
    aperture_mm=90.0,
    focal_length_mm=900.0,
    eyepieces=(
        OfferedEyepiece(focal_length_mm=25.0, design="plossl"),
        OfferedEyepiece(focal_length_mm=10.0, design="plossl"),
    ),
    barrel="1.25in",
    mount=OfferedMount(kind="altazimuth", slow_motion=True),
    finder="red dot",
    price=150.0,
    currency="EUR",
)
MIRROR = replace(
    GOOD, layout="newtonian", objective="mirror", aperture_mm=150.0, focal_length_mm=1200.0
)


def find(rule: str, listing: Listing) -> Finding | None:
    (one,) = [one for one in RULES if one.name == rule]
    return one.find(case_of(listing))


def grade(rule: str, listing: Listing) -> str:
    found = find(rule, listing)
    return "" if found is None else found.grade


def eyepieces(*sizes: float, design: str = "plossl") -> tuple[OfferedEyepiece, ...]:
    return tuple(OfferedEyepiece(focal_length_mm=s, design=design) for s in sizes)  # type: ignore[arg-type]


def test_every_rule_has_a_name_of_its_own_a_source_and_something_that_changes_its_mind() -> None:
    assert len({rule.name for rule in RULES}) == len(RULES)
    for rule in RULES:
        assert rule.changes_mind
        assert rule.label in ("formula", "published source", "common practice", "safety")
        assert rule.cites


@pytest.mark.parametrize(
    ("claim", "expected"), [(90, ""), (216, ""), (226, ""), (300, "caution"), (433, "stop")]
)
def test_claimed_power_is_held_against_the_aperture(claim: float, expected: str) -> None:
    assert grade("claimed power", replace(GOOD, claimed_powers=(50.0, claim))) == expected


def carried(says: str) -> float:
    """The power that an aperture is said to carry."""
    return float(re.search(r"carries about (\d+) times", says)[1])


def test_claimed_power_counts_the_ring_inside() -> None:
    listing = replace(GOOD, claimed_powers=(200.0,), stop_mm=40.0)
    found = find("claimed power", listing)
    assert found is not None
    # Common practice, no source: 50 to 60 times an inch; here 40 mm.
    assert 78.0 < carried(found.says) < 95.0
    assert found.grade == "stop"


def test_claimed_power_shows_its_sum() -> None:
    found = find("claimed power", replace(GOOD, aperture_mm=60.0, claimed_powers=(525.0,)))
    assert found is not None
    assert "60 mm (2.4 in)" in found.says
    # Common practice, as above.
    assert 118.0 < carried(found.says) < 142.0
    sums = re.fullmatch(
        r"60 mm × 2…2.4/mm = 120…144×; on Jupiter without air (\d+)×, about (\d+)×;"
        r" 525 / \2 = ([\d.]+)",
        found.arithmetic,
    )
    assert float(sums[1]) == pytest.approx(carried(found.says), abs=2.5)  # said in round figures
    assert float(sums[2]) == carried(found.says)
    assert float(sums[3]) == pytest.approx(525.0 / float(sums[2]), abs=0.06)


@pytest.mark.parametrize(("size", "expected"), [(10.0, ""), (4.0, "note"), (3.5, "caution")])
def test_eyepiece_that_is_too_strong_is_named(size: float, expected: str) -> None:
    listing = replace(GOOD, eyepieces=eyepieces(25.0, size))
    assert grade("power of the eyepieces", listing) == expected


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [((25.0,), ""), ((40.0, 10.0), ""), ((15.0,), "note"), ((6.0,), "caution")],
)
def test_lowest_power_must_show_some_sky(sizes: tuple[float, ...], expected: str) -> None:
    assert grade("lowest power", replace(GOOD, eyepieces=eyepieces(*sizes))) == expected


def test_too_wide_a_beam_is_noted() -> None:
    fast = replace(MIRROR, aperture_mm=150.0, focal_length_mm=600.0)
    assert grade("wasted light", replace(fast, eyepieces=eyepieces(32.0))) == "note"
    assert grade("wasted light", replace(fast, eyepieces=eyepieces(25.0))) == ""


@pytest.mark.parametrize(
    ("factor", "expected"),
    [(2.0, ""), (2.5, ""), (3.0, "caution"), (5.0, "caution"), (None, "note")],
)
def test_strong_barlow_is_a_caution(factor: float | None, expected: str) -> None:
    listing = replace(GOOD, amplifiers=(OfferedAmplifier(factor=factor),))
    assert grade("Barlow", listing) == expected


def test_barlow_that_only_gives_empty_power_is_a_caution() -> None:
    listing = replace(GOOD, eyepieces=eyepieces(6.0), amplifiers=(OfferedAmplifier(factor=2.0),))
    assert grade("Barlow", listing) == "caution"


@pytest.mark.parametrize(("factor", "expected"), [(1.0, ""), (1.5, "note"), (None, "note")])
def test_erecting_prism_that_magnifies_is_noted(factor: float | None, expected: str) -> None:
    piece = OfferedAmplifier(kind="erecting-prism", factor=factor)
    found = find("erecting prism", replace(GOOD, amplifiers=(piece,)))
    assert ("" if found is None else found.grade) == expected
    if factor == 1.5 and found is not None:
        assert "from 36 to 54 times" in found.says


@pytest.mark.parametrize(
    ("aperture", "layout", "expected"),
    [
        (70.0, "refractor", ""),
        (60.0, "refractor", "caution"),
        (40.0, "refractor", "stop"),
        (114.0, "newtonian", ""),
        (76.0, "newtonian", "caution"),
        (90.0, "cassegrain", ""),
    ],
)
def test_aperture_below_what_is_worth_buying(aperture: float, layout: str, expected: str) -> None:
    objective = "achromat" if layout == "refractor" else "mirror"
    listing = replace(GOOD, aperture_mm=aperture, layout=layout, objective=objective)  # type: ignore[arg-type]
    assert grade("aperture", listing) == expected


@pytest.mark.parametrize("barrel", ["1.25in", "2in", None])
def test_usual_barrels_are_no_finding(barrel: str | None) -> None:
    assert grade("barrel", replace(GOOD, barrel=barrel)) == ""  # type: ignore[arg-type]


def test_small_barrel_is_a_caution() -> None:
    assert grade("barrel", replace(GOOD, barrel="0.965in")) == "caution"


@pytest.mark.parametrize(
    ("design", "focal", "expected"),
    [
        ("huygens", 900.0, ""),
        ("huygens", 810.0, "caution"),
        ("ramsden", 810.0, ""),
        ("ramsden", 700.0, "caution"),
        ("kellner", 540.0, ""),
        ("kellner", 450.0, "note"),
        ("plossl", 360.0, ""),
        ("unknown", 360.0, ""),
    ],
)
def test_simple_eyepieces_want_slow_telescopes(design: str, focal: float, expected: str) -> None:
    listing = replace(GOOD, focal_length_mm=focal, eyepieces=eyepieces(20.0, design=design))
    assert grade("simple eyepieces", listing) == expected


def test_narrow_view_is_noted_only_when_the_designs_are_told() -> None:
    assert (
        grade("narrow view", replace(GOOD, eyepieces=eyepieces(20.0, design="huygens"))) == "note"
    )
    assert grade("narrow view", replace(GOOD, eyepieces=eyepieces(20.0, design="unknown"))) == ""
    mixed = (*eyepieces(20.0, design="huygens"), *eyepieces(10.0))
    assert grade("narrow view", replace(GOOD, eyepieces=mixed)) == ""


@pytest.mark.parametrize(
    ("aperture", "focal", "expected"),
    [(60.0, 900.0, ""), (70.0, 700.0, "note"), (90.0, 900.0, "note"), (102.0, 500.0, "caution")],
)
def test_colour_of_an_achromat_is_graded(aperture: float, focal: float, expected: str) -> None:
    listing = replace(GOOD, aperture_mm=aperture, focal_length_mm=focal)
    assert grade("colour", listing) == expected


def test_apochromat_and_mirror_have_no_colour() -> None:
    short = replace(GOOD, aperture_mm=102.0, focal_length_mm=500.0)
    assert grade("colour", replace(short, objective="apochromat")) == ""
    assert grade("colour", replace(short, objective="mirror", layout="newtonian")) == ""


def test_single_lens_and_plastic_stop_an_offer() -> None:
    assert grade("single lens", replace(GOOD, objective="singlet")) == "stop"
    assert grade("plastic optics", replace(GOOD, plastic_optics=True)) == "stop"
    assert grade("single lens", GOOD) == grade("plastic optics", GOOD) == ""


@pytest.mark.parametrize(
    ("aperture", "focal", "mirror", "expected"),
    [
        (114.0, 900.0, "spherical", ""),
        (130.0, 910.0, "spherical", "caution"),
        (130.0, 650.0, "spherical", "stop"),
        (130.0, 650.0, "parabolic", ""),
        (130.0, 650.0, None, "note"),
        (76.0, 700.0, None, ""),
    ],
)
def test_spherical_mirror_is_computed(
    aperture: float, focal: float, mirror: str | None, expected: str
) -> None:
    listing = replace(MIRROR, aperture_mm=aperture, focal_length_mm=focal, mirror=mirror)  # type: ignore[arg-type]
    assert grade("spherical mirror", listing) == expected


@pytest.mark.parametrize(("waves", "expected"), [(0.1, ""), (-0.3, "caution"), (0.6, "stop")])
def test_measured_aberration_goes_before_the_guess(waves: float, expected: str) -> None:
    listing = replace(MIRROR, focal_length_mm=600.0, spherical_waves=waves)
    assert grade("spherical mirror", listing) == expected


def test_sphere_that_is_wrong_by_no_more_than_is_allowed_is_no_finding() -> None:
    # D / (2048 F^3 lambda) at f/8: 150 mm 0.260 waves, a quarter within rounding; 203 mm 0.35.
    slow = replace(MIRROR, aperture_mm=150.0, focal_length_mm=1200.0)
    assert grade("spherical mirror", slow) == ""
    assert grade("spherical mirror", replace(slow, mirror="spherical")) == ""
    assert grade("spherical mirror", replace(slow, aperture_mm=203.0, focal_length_mm=1624.0))


def test_short_tube_betrays_its_corrector() -> None:
    short = replace(MIRROR, aperture_mm=114.0, focal_length_mm=1000.0)
    assert grade("built-in corrector", replace(short, tube_length_mm=480.0)) == "caution"
    assert grade("built-in corrector", replace(short, tube_length_mm=950.0)) == ""
    assert grade("built-in corrector", replace(short, corrector=True)) == "caution"
    assert grade("built-in corrector", short) == "note"
    assert grade("built-in corrector", MIRROR) == ""
    said = str(find("built-in corrector", short).says)  # type: ignore[union-attr]
    # Common practice, no source: a plain tube is about as long as its focal length.
    for number in ("114 mm", "1000 mm", "100 cm"):
        assert number in said


def test_promise_that_no_piece_gives_is_told_louder_where_no_aperture_carries_it() -> None:
    # By hand: 900 / 10 is 90 times; 90 mm carry about 180 (common practice: twice the millimetres).
    name = "power out of reach"
    assert grade(name, replace(GOOD, claimed_powers=(90.0,))) == ""
    assert grade(name, replace(GOOD, claimed_powers=(150.0,))) == "note"
    assert grade(name, replace(GOOD, claimed_powers=(450.0,))) == "caution"
    assert grade(name, GOOD) == ""
    found = find(name, replace(GOOD, claimed_powers=(450.0,)))
    assert found is not None
    assert "90" in str(found.says)
    assert "900 mm / 10 mm = 90" in str(found.arithmetic)


def test_ring_inside_is_measured_or_suspected() -> None:
    assert grade("internal stop", replace(GOOD, stop_mm=60.0)) == "caution"
    assert grade("internal stop", replace(GOOD, stop_mm=89.0)) == ""
    assert grade("internal stop", replace(GOOD, objective=None, aperture_mm=60.0)) == "note"
    assert grade("internal stop", GOOD) == ""


@pytest.mark.parametrize(
    ("mount", "expected"),
    [
        (OfferedMount(kind="tripod", small=True), "caution"),
        (OfferedMount(kind="tripod"), "note"),
        (OfferedMount(kind="altazimuth"), ""),
        (OfferedMount(kind="rocker"), ""),
        (None, ""),
    ],
)
def test_mount_kind_is_graded(mount: OfferedMount | None, expected: str) -> None:
    assert grade("mount", replace(GOOD, mount=mount)) == expected


@pytest.mark.parametrize(
    ("tap", "hertz", "damping", "expected"),
    [(40.0, 6.0, 0.1, ""), (60.0, 4.0, 0.04, "caution"), (180.0, 2.0, 0.02, "stop")],
)
def test_measured_settling_is_graded(
    tap: float, hertz: float, damping: float, expected: str
) -> None:
    mount = OfferedMount(kind="altazimuth", tap_arcsec=tap, frequency_hz=hertz, damping=damping)
    assert grade("settling", replace(GOOD, mount=mount)) == expected


@pytest.mark.parametrize(("play", "expected"), [(2.0, ""), (20.0, "caution"), (60.0, "stop")])
def test_free_play_is_turned_into_motion_at_the_eye(play: float, expected: str) -> None:
    mount = OfferedMount(kind="equatorial", free_play_arcmin=play)
    assert grade("free play", replace(GOOD, mount=mount)) == expected


def test_missing_slow_motion_is_a_caution_unless_it_is_not_needed() -> None:
    for kind, expected in (("altazimuth", "caution"), ("equatorial", "caution"), ("rocker", "")):
        mount = OfferedMount(kind=kind, slow_motion=False)  # type: ignore[arg-type]
        assert grade("slow motion", replace(GOOD, mount=mount)) == expected
    driven = OfferedMount(kind="equatorial", slow_motion=False, driven=True)
    assert grade("slow motion", replace(GOOD, mount=driven)) == ""
    unsaid = OfferedMount(kind="altazimuth", slow_motion=None)
    assert grade("slow motion", replace(GOOD, mount=unsaid)) == ""


@pytest.mark.parametrize(
    ("aperture", "number", "expected"),
    [(76.0, 1, ""), (114.0, 1, "caution"), (130.0, 2, ""), (150.0, 2, "caution"), (150.0, 4, "")],
)
def test_small_equatorial_mount_is_held_against_the_tube(
    aperture: float, number: int, expected: str
) -> None:
    mount = OfferedMount(kind="equatorial", grade=number)
    listing = replace(MIRROR, aperture_mm=aperture, mount=mount)
    assert grade("small equatorial", listing) == expected


@pytest.mark.parametrize(("power", "expected"), [(10, ""), (12, ""), (20, "caution"), (40, "stop")])
def test_hands_hold_only_so_much(power: float, expected: str) -> None:
    listing = Listing(instrument="binocular", aperture_mm=50.0, binocular_power=float(power))
    assert grade("held by hand", listing) == expected


@pytest.mark.parametrize(
    ("finder", "expected"),
    [("none", "caution"), ("small optical", "note"), ("red dot", ""), (None, "")],
)
def test_finder_is_graded(finder: str | None, expected: str) -> None:
    assert grade("finder", replace(GOOD, finder=finder)) == expected  # type: ignore[arg-type]


def test_wide_view_needs_no_finder() -> None:
    wide = replace(MIRROR, focal_length_mm=456.0, eyepieces=eyepieces(25.0), finder="none")
    assert grade("finder", wide) == ""


def test_promised_photographs_are_noted() -> None:
    assert grade("photographs", replace(GOOD, phone_holder=True)) == "note"
    assert grade("photographs", GOOD) == ""


def test_contradictions_are_a_caution() -> None:
    assert grade("own figures", replace(GOOD, contradictions=("f/5 is f/10.",))) == "caution"


def test_silence_is_graded_by_how_much_is_missing() -> None:
    assert grade("too little said", replace(GOOD, aperture_mm=None)) == "caution"
    assert grade("too little said", replace(GOOD, missing=("eyepieces", "mount"))) == "caution"
    assert grade("too little said", replace(GOOD, missing=("lens or mirror", "price"))) == "note"
    # A careful adviser calls nothing sound without knowing what it stands on and what one looks
    # through (common practice).
    assert grade("too little said", replace(GOOD, missing=("mount",))) == "caution"
    assert grade("too little said", replace(GOOD, missing=("eyepieces",))) == "caution"
    assert grade("too little said", replace(GOOD, missing=("price",))) == ""


def test_of_an_empty_listing_only_one_rule_speaks_and_says_that_it_is_empty() -> None:
    spoken = [found for rule in RULES if (found := rule.find(Case(listing=Listing())))]
    assert [(found.rule, found.grade) for found in spoken] == [("too little said", "caution")]


def test_swapped_figures_are_a_caution_though_they_are_read_right() -> None:
    swapped = Reading(key="aperture_mm", value=90.0, words="70", guess=True, note="swapped in it")
    assert grade("swapped figures", replace(GOOD, readings=(swapped,))) == "caution"
    assert grade("swapped figures", GOOD) == ""


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("distant galaxies in full colour", {"colour"}),
        ("Nebel und Galaxien in prächtigen Farben", {"colour"}),
        ("des galaxies en couleurs", {"colour"}),
        ("galaxias y nebulosas a todo color", {"colour"}),
        ("see the flag on the Moon", {"flag"}),
        ("sogar die Flagge auf dem Mond", {"flag"}),
        ("red and white colours, 70/700, shows the Moon", set()),
        ("black, colour of the tube: blue", set()),
    ],
)
def test_promises_to_the_eye_are_found_in_several_languages(text: str, kinds: set[str]) -> None:
    assert set(read_advert(text).promises) & {"colour", "flag"} == kinds


def test_narrow_view_is_compared_with_things_that_everyone_has_held() -> None:
    # A plate 27 cm wide at 60 cm: 2 atan(13.5 / 60) = 25.4 degrees, by hand.
    assert at_arms_length_mm(25.4) == pytest.approx(270.0, abs=1.0)
    assert as_wide_as(25.4) == "a dinner plate"
    assert as_wide_as(2.2) == "a coin"


@pytest.mark.parametrize(
    ("kinds", "expected"),
    [
        (("eyepiece filter",), "stop"),
        (("filter",), "stop"),
        (("front filter", "eyepiece filter"), "stop"),
        (("front filter",), "caution"),
        (("screen",), "caution"),
        (("use", "front filter"), "caution"),
        (("warning",), "note"),
    ],
)
def test_sun_is_graded_by_the_most_dangerous_thing(kinds: tuple[str, ...], expected: str) -> None:
    assert grade("sun safety", replace(GOOD, solar=kinds)) == expected  # type: ignore[arg-type]


def test_table_tripod_under_a_spotting_scope_is_judged_at_its_highest_power() -> None:
    scope = read_advert("Spotting scope 20-60x80, table-top tripod, 130 EUR")
    found = find("mount", scope)
    assert found is not None
    assert found.grade == "caution"
    assert "At 60 times" in found.says
    assert grade("mount", read_advert("Binoculars 10x50, table-top tripod, 40 EUR")) == ""
