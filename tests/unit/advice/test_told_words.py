"""Sentences of an answer that a reader took for the opposite, or asked back about."""

from __future__ import annotations

import pytest

from simview.advice.answer import answer
from simview.advice.plaintext import plain_text
from simview.advice.reading.assemble import read_advert
from simview.advice.speech import Tongue, length, money
from simview.advice.verdict import vet


def told(text: str, language: str = "en") -> str:
    """Return an offer's answer as one line, hard spaces as plain ones."""
    made = answer(vet(read_advert(text)), tongue=Tongue(language=language))
    return " ".join(plain_text(made).split())


def test_distant_galaxies_are_not_called_near() -> None:
    text = told("70/700 refractor, 20 mm, EQ1, shows distant galaxies")
    assert "Promised view: galaxies" in text
    assert "close by" not in text


def test_promise_is_held_against_jupiter_and_the_trades_own_figure_stands_beside_it() -> None:
    # 2 x 70 mm = 140 (common practice, no source: twice the aperture in mm).
    text = told("Refractor 70/700, 20 mm and 4 mm, 525x, EQ1")
    assert "times on Jupiter; makers of boxes who keep to the trade's own rule count 140." in text


@pytest.mark.parametrize(
    "words", ["sun filter not included", "never look at the Sun through it", "no solar filter"]
)
def test_offer_without_a_filter_is_told_so_and_not_praised(words: str) -> None:
    text = told(f"Refractor 70/700, 20 mm, EQ1, {words}")
    assert "No Sun filter for the front comes with it: never point it at the Sun" in text
    assert "rightly so" not in text


def test_stand_in_the_offer_is_used() -> None:
    with_one = told("Binoculars 20x80 with tripod, 90 euro")
    assert "Set it on the stand that comes with it" in with_one
    assert "It needs a firm stand" not in with_one
    assert "It needs a firm stand" in told("Binoculars 20x80, 90 euro")


def test_zoom_is_told_as_a_range() -> None:
    assert "Power: 20–60×" in told("Spotting scope 20-60x80, tripod, 120 euro")


def test_what_is_good_to_know_is_no_complaint() -> None:
    text = told("Maksutov 127/1500, eyepieces 25 mm and 10 mm, EQ3, red dot finder")
    assert "No serious fault found. Good to know: note:" in text
    assert "Kind: Maksutov" in text
    assert "Eyepieces: 25 mm, 10 mm" in text
    assert "Eyepiece: 25 mm" in told("Maksutov 127/1500, eyepiece 25 mm, EQ3, red dot finder")


def test_mirror_is_called_as_the_offer_calls_it() -> None:
    # 6 in are 152.4 mm and 750 / 152.4 = 4.9: the offer says 6" f/5, and so do we.
    text = told('Newtonian 6" f/5, focal length 750 mm, 25 mm, dobson base')
    assert "Ask whether it is parabolic: a spherical mirror of 152 mm (6 in) at f/5 " in text


def test_bicycle_is_not_blamed_for_being_no_telescope() -> None:
    assert "What it does not say" not in told("Bicycle, 28 inch, blue, 90 euro")


def test_smallest_views_are_not_called_nothing() -> None:
    # 40 degrees / 1200 = 0.03 degrees.
    assert "< 0.1°" in told("Refractor 70/1200, eyepiece 3 mm, 3x Barlow lens, EQ1")


@pytest.mark.parametrize(
    ("code", "said"), [("PLN", "PLN 220"), ("CHF", "CHF 220"), ("EUR", "€220")]
)
def test_codes_of_money_stand_apart_from_figures(code: str, said: str) -> None:
    # CLDR: a space between a sign that ends in a letter and the figure.
    assert Tongue(territory="GB").say(money(220.0, code)).replace("\xa0", " ") == said


def test_french_sums_part_their_semicolons() -> None:
    # Lexique des regles typographiques en usage a l'Imprimerie nationale (from memory).
    verdict = vet(read_advert("Lunette 70/700, oculaires 20 mm et 4 mm, 525x"))
    made = answer(verdict)
    french = answer(verdict, tongue=Tongue(language="fr"))
    assert any("; " in one.arithmetic for one in made.weighty)
    for one in (*french.weighty, *french.notes):
        assert one.arithmetic.count("; ") == one.arithmetic.count("\xa0; ")


@pytest.mark.parametrize(("mm", "said"), [(76.2, "76.2 mm (3 in)"), (152.4, "152 mm (6 in)")])
def test_wide_mirrors_have_no_tenths(mm: float, said: str) -> None:
    assert Tongue().say(length(mm)) == said


@pytest.mark.parametrize(
    ("text", "language", "head"),
    [
        (
            "hi, verkaufst du noch das Teleskop?\nja ist noch da\nwas für eins?\n"
            "Newton 150/750, Dobson, 25 mm Okular\npreis?\n80 euro",
            "de",
            "Newton 150/750",
        ),
        (
            "is the telescope still there?\nyes\n70/700 refractor on a tripod",
            "en",
            "refractor 70/700",
        ),
        ("still have the binoculars?\nyes, 10x50\n30 euro", "fr", "jumelles 10×50"),
        # A first line that names the thing stays as the seller wrote it.
        (
            "Reflector 114/900 for sale, any questions?\n25 mm, EQ2",
            "en",
            "Reflector 114/900 for sale",
        ),
    ],
)
def test_conversation_is_headed_by_what_is_for_sale(text: str, language: str, head: str) -> None:
    name = answer(vet(read_advert(text)), tongue=Tongue(language=language)).name
    assert name.startswith(head)
    assert "telescope still" not in name


def test_binoculars_are_told_what_they_show_and_what_they_do_not() -> None:
    # Common practice, no source: the four moons at ten times held still, the ring from about 25.
    assert "Jupiter's four moons as points" in told("Binoculars 10x50, 30 euro")
    assert "Saturn's ring asks" not in told("Spotting scope 20-60x80, tripod, 120 euro")
