"""The catalogues are complete: every text of an answer in every language, its places the same."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path
from string import Formatter

import pytest
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

import simview.advice
from simview.advice.answer import answer
from simview.advice.listingfile import load_listing
from simview.advice.page import html
from simview.advice.paper import pdf
from simview.advice.request import Evening, Wishes, prepare
from simview.advice.speech import LANGUAGES, Tongue, length, money, say
from simview.advice.stock import load_shelf
from simview.advice.tonight import first_objects
from simview.advice.verdict import vet
from simview.demo import asset

HOME = Path(simview.advice.__file__).parent
KEYWORDS = {"say": None, "N_": None, "say_many": (1, 2)}
FOREIGN = [language for language in LANGUAGES if language != "en"]


@lru_cache(maxsize=1)
def texts() -> frozenset[str | tuple[str, ...]]:
    """Every text that an answer may hold, by Babel's own extractor and from words.toml."""
    # The reading has a method `say` of its own, which says nothing to people.
    found = extract_from_dir(HOME, method_map=[("**.py", "python")], keywords=KEYWORDS)
    words = tomllib.loads((HOME / "templates/words.toml").read_text(encoding="utf-8"))
    titles = {row["title"] for row in first_objects()}
    return frozenset({text for _, _, text, _, _ in found} | set(words.values()) | titles)


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


def test_four_languages_are_there() -> None:
    assert set(LANGUAGES) >= {"en", "de", "fr", "es"}
    assert len(texts()) > 400


@pytest.mark.parametrize("language", FOREIGN)
def test_catalogue_is_complete_and_holds_nothing_else(language: str) -> None:
    with (HOME / "tongues" / f"{language}.po").open("rb") as file:
        catalogue = read_po(file, locale=language)
    entries = {entry.id: entry for entry in catalogue if entry.id}
    assert texts() - set(entries) == set()
    assert set(entries) - texts() == set()
    for key, entry in entries.items():
        keys = key if isinstance(key, tuple) else (key,)
        said = entry.string if isinstance(entry.string, tuple) else (entry.string,)
        assert not entry.fuzzy, key
        assert all(said), key
        for text in said:
            assert places(text) == places(keys[0]), key


@pytest.mark.parametrize("language", FOREIGN)
def test_sun_is_said_in_the_answers_language(language: str) -> None:
    tongue = Tongue(language=language)
    verdict = vet(load_listing(asset("adverts/present-450x.txt")))
    page = html(answer(verdict, tongue=tongue))
    assert verdict.sun_caution
    for line in verdict.sun_caution:
        assert line not in page
        assert tongue.say(line).replace("'", "&#39;") in page


@pytest.mark.parametrize("language", FOREIGN)
def test_whole_answer_and_rescue_are_said_in_the_language(language: str) -> None:
    listing = load_listing(asset("adverts/present-450x.txt"))
    tongue = Tongue(language=language)
    buyer = Wishes(shelf=load_shelf(asset("shelf.toml")), pictures=False, tongue=tongue)
    owner = Wishes(
        pictures=False, rescue=Evening(year=2026, month=11, latitude_deg=52.0), tongue=tongue
    )
    for wishes in (buyer, owner):
        verdict, made = prepare(listing, wishes)
        page = html(made)
        assert f'lang="{language}"' in page
        assert pdf(made).startswith(b"%PDF-")
        english = {text for text in texts() if isinstance(text, str) and len(text) > 25}
        assert [text for text in english if text in page and not places(text)] == []
        assert [one.says for one in verdict.findings if str(one.says) in page] == []


@pytest.mark.parametrize(
    ("language", "marks"), [("en", "“”"), ("de", "„“"), ("fr", "«»"), ("es", "«»")]
)
def test_the_offers_words_stand_between_the_languages_marks(language: str, marks: str) -> None:
    # Duden, Imprimerie nationale, Real Academia: from memory.
    verdict = vet(load_listing(asset("adverts/present-450x.txt")))
    page = html(answer(verdict, tongue=Tongue(language=language))).replace("\xa0", "")
    assert f"{marks[0]}<bdi>A REAL TELESCOPE" in page
    assert "&lt;bdi" not in page
    assert page.count(f"{marks[0]}<bdi>") > 3
    assert page.count(f"{marks[0]}<bdi>") == page.count(f"</bdi>{marks[1]}")


def test_figures_follow_the_language() -> None:
    # Decimal comma and money after the number: CLDR for de, fr, es.
    german = Tongue(language="de")
    assert german.say(length(60.0)) == "60 mm (2,4 Zoll)"
    assert german.say(money(59.9, "EUR")).replace("\xa0", " ") == "59,90 €"
    assert german.say(say("{deg}° north", deg=47.5)) == "47,5° Nord"
