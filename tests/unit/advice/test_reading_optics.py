"""Aperture, focal length, f-ratio and tube length out of free text."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.reading.clean import shown


@pytest.mark.parametrize(
    ("text", "aperture", "focal"),
    [
        ("60mm aperture 700mm focal length", 60.0, 700.0),
        ("aperture 60mm focal length 700mm", 60.0, 700.0),
        ("Aperture: 60 mm\nFocal length: 700 mm", 60.0, 700.0),
        ("Focal length: 700mm; objective lens diameter: 60mm", 60.0, 700.0),
        ("objective 60 mm, focal length 700 mm", 60.0, 700.0),
        ("Aperture\n70mm\nFocal Length\n400mm", 70.0, 400.0),
        ("| Aperture | 70 mm |\n| Focal length | 400 mm |", 70.0, 400.0),
        ("70mm refractor with a focal length of 700mm", 70.0, 700.0),
        ("A 114 mm reflector telescope, 900 mm focal length", 114.0, 900.0),
        ("reflector telescope, focal length 900mm, aperture 114mm", 114.0, 900.0),
        ("aperture 7 cm, focal length 70 cm", 70.0, 700.0),
        ("aperture 60 mm, focal length 1,000 mm", 60.0, 1000.0),
        ("aperture of 3 inches, focal length 0.9 m", 76.2, 900.0),
        ('4.5" reflector, focal length 900mm', 114.3, 900.0),
        ('4 1/2 inch reflector, focal length 35.4"', 114.3, 899.16),
        ("4½ inch newtonian, 900 mm focal length", 114.3, 900.0),
        ("aperture 70 mm (2.8 in), focal length 700 mm (27.6 in)", 70.0, 700.0),
        ("D=60mm F=700mm", 60.0, 700.0),
        ("D60mm F700mm refractor", 60.0, 700.0),
        ("Ø 76 mm, f = 700 mm", 76.0, 700.0),
        ("FL 1200mm, 8 inch mirror", 203.2, 1200.0),
        ("Telescope 70/700", 70.0, 700.0),
        ("Newtonian 130/650 on a table", 130.0, 650.0),
        ("60/700mm refractor", 60.0, 700.0),
        ("60mm/700mm refractor", 60.0, 700.0),
        ("Reflector 700x76 mm", 76.0, 700.0),
        ("reflector 900/114", 114.0, 900.0),
        ("Öffnung 70 mm, Brennweite 400 mm", 70.0, 400.0),
        ("Ouverture 60 mm, distance focale 700 mm", 60.0, 700.0),
        ("Apertura 70 mm, distancia focal 700 mm", 70.0, 700.0),
        ("aperture <b>70</b> mm and focal length&nbsp;<i>400</i>&nbsp;mm", 70.0, 400.0),
        (
            "The big mirror has a diameter of 200 mm and the focal\nlength is 1200 mm.",
            200.0,
            1200.0,
        ),
    ],
)
def test_two_lengths_are_read_in_any_order(text: str, aperture: float, focal: float) -> None:
    listing = read_advert(text)
    assert listing.aperture_mm == pytest.approx(aperture)
    assert listing.focal_length_mm == pytest.approx(focal)
    assert not any(one.guess for one in listing.readings)


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("200 mm f/6 reflector", 6.0),
        ("refractor 60 mm, F11.7", 11.7),
        ("reflector, focal ratio f/8", 8.0),
        ("reflector, focal ratio: 1:5", 5.0),
        ("a refractor of f 1:10", 10.0),
        ("f / 7,5 refractor", 7.5),
    ],
)
def test_focal_ratio_is_read(text: str, ratio: float) -> None:
    assert read_advert(text).focal_ratio == pytest.approx(ratio)


def test_focal_length_follows_from_aperture_and_ratio() -> None:
    listing = read_advert("Dobsonian, 200 mm f/6, eyepiece 25 mm Plössl")
    assert listing.focal_length_mm is None
    assert "focal length" not in listing.missing
    assert listing.ratio == 6.0


@pytest.mark.parametrize(
    "text",
    [
        "Refractor, tripod height 125 cm, aperture 60 mm, focal length 700 mm, box 80 cm long",
        "Refractor aperture 60mm (focal length 700mm). Package size: 90 x 25 x 20 cm. Finder 5x24.",
        "Refractor 60 mm. Tripod extends from 40 cm to 110 cm. Focal length 700 mm.",
        "Suits phones up to 80mm wide. Refractor: 60mm aperture; 700mm focal length.",
    ],
)
def test_measures_of_other_things_are_not_taken(text: str) -> None:
    listing = read_advert(text)
    assert (listing.aperture_mm, listing.focal_length_mm) == (60.0, 700.0)


def test_swapped_measures_are_put_right_and_said() -> None:
    listing = read_advert("aperture 700 mm, focal length 60 mm")
    assert (listing.aperture_mm, listing.focal_length_mm) == (60.0, 700.0)
    assert listing.swapped
    assert any("swapped" in remark for remark in listing.remarks)
    assert all(one.guess for one in listing.readings if one.key.endswith("_mm"))


def test_swapped_pair_is_said_too() -> None:
    listing = read_advert("refractor 900/70")
    assert (listing.aperture_mm, listing.focal_length_mm) == (70.0, 900.0)
    assert listing.swapped
    assert not read_advert("refractor 70/900").swapped


def test_lone_absurd_aperture_is_not_taken() -> None:
    listing = read_advert("Telescope with an aperture of 900 mm!")
    assert listing.aperture_mm is None
    assert "aperture" in listing.unknown
    assert any("may be the focal length" in remark for remark in listing.remarks)


def test_impossible_aperture_is_not_taken() -> None:
    listing = read_advert("aperture 2900 mm, focal length 700 mm refractor")
    assert listing.focal_length_mm == 700.0
    assert listing.aperture_mm is None
    (remark,) = listing.remarks
    assert "aperture 2900 mm" in remark
    assert "no telescope has such a one" in remark


def test_two_values_of_one_measure_are_a_contradiction() -> None:
    listing = read_advert("70 mm refractor\nAperture: 60 mm\nFocal length: 700 mm")
    assert listing.aperture_mm == 60.0  # the word aperture says more than the word refractor
    assert any("Two values of the aperture" in sentence for sentence in listing.contradictions)


def test_wrong_translation_into_inches_is_said() -> None:
    listing = read_advert("aperture 70 mm (3.5 inch), focal length 700 mm")
    assert listing.aperture_mm == 70.0
    assert any("2.8 inches, not 3.5 inch" in remark for remark in listing.remarks)


def test_tube_length_is_read() -> None:
    listing = read_advert("reflector 114/1000, compact tube of only 48 cm length")
    assert listing.tube_length_mm == pytest.approx(480.0)


def test_unexplained_measures_are_listed_and_not_used() -> None:
    listing = read_advert("A fine telescope. 38 cm! 12 cm!")
    assert listing.aperture_mm is None
    assert any("38 cm, 12 cm" in remark for remark in listing.remarks)


@pytest.mark.parametrize(
    ("text", "aperture", "focal"),
    [
        ("Telescope 60700", 60.0, 700.0),
        ("Model F70060 for beginners", 60.0, 700.0),
        ("Astronomical telescope F36050", 50.0, 360.0),
        ("D-76700 reflector", 76.0, 700.0),
        ("EQ 114900 kit", 114.0, 900.0),
        ("star finder 1400150", 150.0, 1400.0),
    ],
)
def test_model_number_is_a_guess_and_marked_as_one(
    text: str, aperture: float, focal: float
) -> None:
    listing = read_advert(text)
    assert (listing.aperture_mm, listing.focal_length_mm) == (aperture, focal)
    assert all(one.guess for one in listing.readings if one.key.endswith("_mm"))
    assert any("Guessed from the model number" in remark for remark in listing.remarks)


@pytest.mark.parametrize(
    "text",
    [
        "Telescope, 60700 EUR",
        "Call 60700123456 for this telescope",
        "Telescope no. 99999",
        "Telescope 607000",
        "ISBN 3-60700-123-4, a book on telescopes",
    ],
)
def test_other_numbers_are_no_model_numbers(text: str) -> None:
    listing = read_advert(text)
    assert listing.aperture_mm is None
    assert listing.focal_length_mm is None


def test_model_number_that_disagrees_with_the_text_is_left_alone() -> None:
    listing = read_advert("Model 60700: aperture 70 mm")
    assert listing.aperture_mm == 70.0
    assert listing.focal_length_mm is None


def test_model_number_fills_only_what_the_text_does_not_say() -> None:
    listing = read_advert("Model 60700, aperture 60 mm")
    guesses = {one.key for one in listing.readings if one.guess}
    assert listing.focal_length_mm == 700.0
    assert guesses == {"focal_length_mm"}


def test_spans_point_at_the_words() -> None:
    text = "  <p>Refractor, aperture 60 mm,\n focal length\t700 mm. 3x Barlow. “H20” eyepiece</p>"
    listing = read_advert(text)
    assert listing.readings
    for one in listing.readings:
        assert shown(text[one.start : one.end]) == one.words
