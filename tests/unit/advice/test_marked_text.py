"""The offer's own text, marked: in the page, safe against hostile words, language by language."""

from __future__ import annotations

import re

import pytest

from simview.advice.answer import answer
from simview.advice.marked import passages
from simview.advice.page import html
from simview.advice.reading.assemble import read_advert
from simview.advice.reading.passages import language_of, spoken
from simview.advice.speech import Tongue
from simview.advice.understood import marked
from simview.advice.verdict import vet


def page_of(text: str, language: str = "en") -> str:
    return html(answer(vet(read_advert(text)), tongue=Tongue(language=language)))


def test_page_shows_the_offers_words_with_what_was_read_from_each() -> None:
    page = page_of("Refractor 70/700, Plössl 25 mm, £40")
    assert '<details class="marked">' in page
    assert "<bdi>70/700</bdi></mark>" in page
    assert "Aperture: 70 mm (2.8 in), Focal length: 700 mm (28 in)" in page


def test_page_says_what_was_read_in_its_own_language() -> None:
    page = page_of("Refractor 70/700, Plössl 25 mm, £40", "de")
    assert "Öffnung: 70 mm (2,8 Zoll), Brennweite: 700 mm (28 Zoll)" in page


def test_what_is_doubtful_is_marked_apart() -> None:
    page = page_of("70mm 400mm travel set, eyepieces 10mm 25mm, $60")
    assert '<mark class="unsure">' in page


def test_hostile_words_stay_words() -> None:
    text = (
        "Refractor 70/700 <script>alert(1)</script> \u202e04 £ </blockquote></details>"
        "<img src=x onerror=alert(2)> & 'x' \"y\" 20 mm eyepiece"
    )
    page = page_of(text)
    inside = page.split('<details class="marked">')[1].split("</details>")[0]
    assert set(re.findall(r"</?([a-z]+)", inside)) <= {
        "summary", "p", "blockquote", "bdi", "mark", "span"
    }  # fmt: skip
    assert "\u202e" not in page
    assert "‹U+202E›" in inside


def test_a_page_source_is_shown_as_its_words() -> None:
    listing = read_advert(
        "<html><head><title>t</title><script>var a = 5;</script></head><body><h1>Kids' scope</h1>"
        "<p>Aperture <b>70</b>&nbsp;mm, focal length 700 mm</p></body></html>"
    )
    text = "".join(one.text for one in marked(listing, Tongue()))
    assert "<" not in text
    assert "var a" not in text
    assert "Kids' scope" in text


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("Verkaufe unser Teleskop, die Montierung ist stabil", "German"),
        ("Vends lunette avec oculaires et monture équatoriale", "French"),
        ("Vendo telescopio con oculares y montura ecuatorial", "Spanish"),
        ("Sprzedam teleskop, okulary i montaż paralaktyczny", "Polish"),
        ("Prodám hvězdářský dalekohled s okuláry", "Czech"),
        ("Te koop: sterrenkijker met oculairs en statief", "Dutch"),
        ("Säljer teleskop med okular och stativ", "Swedish"),
        ("The telescope comes with two eyepieces and a tripod", "English"),
        ("70/700 20 mm", ""),
    ],
)
def test_language_of_a_passage_is_told(text: str, language: str) -> None:
    assert language_of(text) == language


def test_each_passage_has_its_own_language() -> None:
    text = (
        "The telescope comes with two eyepieces and a tripod.\n70/700\n"
        "Das Teleskop ist mit zwei Okularen und einem Stativ.\n"
    )
    assert [one.language for one in spoken(text)] == ["English", "German"]
    listing = read_advert(text)
    assert listing.languages == ("English", "German")
    assert "".join(one.text for one in passages(listing)) == text
    assert [one.language for one in passages(listing) if one.language] == ["English", "German"]
    page = page_of(text, "fr")
    assert '<span class="tongue">anglais</span>' in page
    assert '<span class="tongue">allemand</span>' in page


def test_marks_that_turn_text_are_told_of() -> None:
    read = read_advert("Refractor 70/\u202e007\u202c, 20 mm eyepiece")
    assert any("hidden marks" in one and "U+202E" in one for one in read.remarks)


@pytest.mark.parametrize("letter", ["1", "a", "1l"])
def test_an_endless_word_keeps_nobody_waiting(letter: str) -> None:
    # Each of these took minutes while patterns went over the whole run from every letter of it.
    read = read_advert(f"Refractor 70/700, 20 mm eyepiece {letter * 120_000}")
    assert read.aperture_mm == 70.0
