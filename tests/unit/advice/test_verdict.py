"""vet(): the verdict, its order, its fixed names; a sound offer comes out sound."""

from __future__ import annotations

import json

import pytest

from simview.advice.listingfile import load_listing
from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet
from simview.demo import asset

SOUND = """Lens telescope 60/900, achromatic, f/15
Aperture 60 mm, focal length 900 mm. Two 1.25" Plössl eyepieces, 25 mm and 10 mm (36x and 90x).
Red dot finder, altazimuth mount with slow motion, steel tripod 130 cm. 80 EUR"""


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("adverts/present-450x.txt", "leave it"),
        ("adverts/short-tube-114.txt", "leave it"),
        ("adverts/fernrohr-70.txt", "leave it"),
        ("adverts/loan-reflector.toml", "leave it"),
        ("adverts/lens-90-900.txt", "sound"),
        ("adverts/second-hand-114.txt", "sound"),
        ("adverts/binoculars-market.txt", "sound"),
        ("kits/rocker-200.toml", "sound"),
        ("kits/tabletop-150.toml", "sound"),
        ("kits/toy-refractor-50.toml", "leave it"),
    ],
)
def test_demo_offers_get_their_verdicts(name: str, word: str) -> None:
    assert vet(load_listing(asset(name))).verdict == word


@pytest.mark.parametrize(
    "text",
    [
        "Achromatic refractor, aperture 70 mm, focal length 1000 mm, f/14.3. Plössl eyepieces"
        ' 25 mm and 10 mm, 1.25". Red dot finder, altazimuth mount with slow motion. 90 EUR',
        "150/1200 Newtonian with parabolic mirror on a rocker box. Plössl eyepieces 25 mm and"
        ' 10 mm, 1.25". Red dot finder. 249 EUR',
        "Binoculars 8x42, field 7.5 degrees, 99 EUR",
    ],
)
def test_sound_offer_is_sound_and_nothing_is_invented(text: str) -> None:
    verdict = vet(read_advert(text))
    assert verdict.verdict == "sound"
    # Of binoculars it is only said what such ones show.
    expected = ["binoculars"] if text.startswith("Binoculars") else []
    assert [one.rule for one in verdict.findings] == expected


def test_one_caution_makes_it_with_care() -> None:
    verdict = vet(read_advert(SOUND))
    assert [one.rule for one in verdict.findings if one.grade == "caution"] == ["aperture"]
    assert verdict.verdict == "with care"


def test_findings_stand_in_order_of_weight_after_the_sun() -> None:
    text = "Refractor 60/700, H20, SR4 eyepieces 0.965 in, 3x Barlow, 525x, never at the sun"
    grades = [one.grade for one in vet(read_advert(text)).findings]
    assert grades[0] == "note"  # the Sun's, first all the same
    weight = {"stop": 0, "caution": 1, "note": 2}
    assert [weight[g] for g in grades[1:]] == sorted(weight[g] for g in grades[1:])


def test_figures_have_the_fixed_names_and_are_plain_json() -> None:
    figures = vet(load_listing(asset("adverts/present-450x.txt"))).figures()
    assert list(figures) == [
        "verdict",
        "findings",
        "understood",
        "missing",
        "numbers",
        "read",
        "unread",
    ]
    assert set(figures["findings"][0]) == {"rule", "grade", "says", "source"}
    assert {one["grade"] for one in figures["findings"]} <= {"stop", "caution", "note"}
    assert isinstance(figures["missing"], list)
    assert json.loads(json.dumps(figures)) == figures


def test_what_was_understood_is_told_and_only_that() -> None:
    understood = vet(read_advert("Refractor 60/700, H20 eyepiece, £49")).understood
    assert understood["aperture_mm"] == 60.0
    assert understood["focal_length_mm"] == 700.0
    assert understood["eyepieces"] == [
        {"focal_length_mm": 20.0, "design": "huygens", "marking": "H20"}
    ]
    assert (understood["price"], understood["currency"]) == (49.0, "GBP")
    assert "mount" not in understood
    assert "claimed_power" not in understood


def test_guesses_are_listed_among_what_was_understood() -> None:
    verdict = vet(read_advert("Telescope 60700 on a tripod, H20 eyepiece"))
    assert verdict.understood["guesses"] == ["aperture_mm", "focal_length_mm"]
    assert "guessed figures" in [one.rule for one in verdict.findings]
    assert verdict.verdict != "sound"


def test_explanation_gives_words_sums_and_what_would_change_a_mind() -> None:
    explained = vet(load_listing(asset("adverts/present-450x.txt"))).explained()
    aperture = next(one for one in explained["readings"] if one["key"] == "aperture_mm")
    assert aperture["words"] == "50 mm objective"
    text = asset("adverts/present-450x.txt").read_text(encoding="utf-8")
    assert text[aperture["start"] : aperture["end"]] == "50 mm objective"
    assert all(one["changes_mind"] for one in explained["rules"])
    assert json.dumps(explained)


def test_measured_mount_is_turned_into_motion_at_every_power() -> None:
    numbers = vet(load_listing(asset("adverts/loan-reflector.toml"))).numbers
    first = numbers["powers"][0]
    # 650 mm / 20 mm = 32.5 times; 180 arcsec and 6 arcmin, magnified.
    assert first["swing_arcmin"] == pytest.approx(180.0 * 32.5 / 60.0)
    assert first["play_deg"] == pytest.approx(6.0 * 32.5 / 60.0)
    assert all(one["settle_seconds"] > 0.0 for one in numbers["powers"])
    bare = vet(load_listing(asset("adverts/lens-90-900.txt"))).numbers
    assert "swing_arcmin" not in bare["powers"][0]
