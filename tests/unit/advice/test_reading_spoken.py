"""Numbers said in words, phrases misspelt, and other ways of writing that once hid a value."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.reading.spoken import spoken

# How grammars of each language say the number: any primer of the language, from memory.
SAID = {
    "en": {"one hundred and fourteen": "114", "twelve and a half": "12.5", "six fifty": "650"},
    "de": {"siebenundsiebzig": "77", "hundertvierzehn": "114", "zwölfeinhalb": "12.5"},
    "fr": {"quatre vingt dix": "90", "septante": "70", "cent quatorze": "114"},
    "nl": {"zevenenzeventig": "77", "zevenhonderd": "700"},
    "es": {"setenta y siete": "77", "novecientos": "900"},
    "it": {"settantasette": "77", "centoquattordici": "114"},
    "pl": {"siedemdziesiąt siedem": "77", "dziewięćset": "900"},
    "cs": {"sedmdesát sedm": "77", "devět set": "900"},
    "pt": {"setenta e sete": "77", "novecentos": "900"},
    "sv": {"sjuttiosju": "77", "niohundra": "900"},
}


@pytest.mark.parametrize("code", SAID)
def test_numbers_are_said_as_people_of_that_language_say_them(code: str) -> None:
    known = {words: digits for digits, words in spoken(code)}
    assert {words: known.get(words) for words in SAID[code]} == SAID[code]


@pytest.mark.parametrize(
    "sentence",
    [
        "somebody offers me a seventy seven hundred with a four millimetre eyepiece",
        "jemand bietet mir ein siebzig siebenhundert mit vier Millimeter Okular an",
        "on me propose une soixante-dix sept cents avec un oculaire de quatre millimètres",
        "me ofrecen un setenta setecientos con un ocular de cuatro milímetros",
    ],
)
def test_a_sentence_from_the_telephone_is_read(sentence: str) -> None:
    read = read_advert(sentence)
    assert (read.aperture_mm, read.focal_length_mm) == (70.0, 700.0)
    assert [one.focal_length_mm for one in read.eyepieces] == [4.0]


@pytest.mark.parametrize(
    ("text", "focal_mm"),
    [
        ("Maksutov 102, Brennweite 1.300 mm, Okular 25 mm", 1300.0),
        ("Maksutov 102 mm, focale 1 300 mm, oculaire 25 mm", 1300.0),
        ("Refraktor EQ2 900 mm Brennweite, 90 mm Öffnung", 900.0),
        ("Foccal lentgh 900 mm, apertrue 90 mm", 900.0),
        ("REFRACTOR 50MM 360MM WITH TRIPOD", 360.0),
    ],
)
def test_a_focal_length_is_read_however_it_is_grouped_or_misspelt(
    text: str, focal_mm: float
) -> None:
    assert read_advert(text).focal_length_mm == focal_mm


def test_a_power_before_the_aperture_is_a_promise_and_no_focal_length() -> None:
    read = read_advert("REFLEKTOR 525x76, 700 mm Brennweite, H20, SR4")
    assert (read.claimed_power, read.aperture_mm, read.focal_length_mm) == (525.0, 76.0, 700.0)


def test_the_price_after_a_struck_out_one_is_the_price() -> None:
    read = read_advert("<p>Lunette 60/700</p><p>Prix conseillé <del>60 €</del> <b>45 €</b></p>")
    assert (read.price, read.currency) == (45.0, "EUR")


def test_old_german_markings_and_a_sun_glass_for_them_are_read() -> None:
    read = read_advert("Fernrohr 60/910, Okulare 25-H, 16-O, 10-O, Sonnenglas zum Aufstecken")
    assert [one.focal_length_mm for one in read.eyepieces] == [25.0, 16.0, 10.0]
    assert [one.design for one in read.eyepieces] == ["huygens", "orthoscopic", "orthoscopic"]
    assert read.solar


def test_what_is_not_included_is_not_in_the_box() -> None:
    for text in ("trípode no incluido", "Stativ nicht enthalten", "trépied non inclus"):
        assert read_advert(f"15x70, {text}").mount is None


@pytest.mark.parametrize(
    ("text", "aperture_mm"), [("lens 30MM", 30.0), ("3 inch mirror", 76.2), ("60 mm lens", 60.0)]
)
def test_a_lens_or_mirror_and_nothing_else_is_a_telescopes(text: str, aperture_mm: float) -> None:
    read = read_advert(text)
    assert read.about_telescope
    assert read.aperture_mm == pytest.approx(aperture_mm)


def test_a_mounts_grade_before_a_list_is_no_eyepiece() -> None:
    read = read_advert('Refractor 90/900, EQ2, 25mm and 10mm Plössl eyepieces 1.25", 120 EUR')
    assert [one.focal_length_mm for one in read.eyepieces] == [25.0, 10.0]
