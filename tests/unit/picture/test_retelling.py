"""Titles and notes that come in English are told in the language spoken, every one of them."""

from __future__ import annotations

import pytest

from simview.picture.drawing import tongue
from simview.picture.retelling import named, retold, titled
from simview.scene.long_exposure_photo import note
from simview.scene.target_list import listed
from simview.scene.targets import target

NAMES = [record.name for record in listed(None)]


@pytest.mark.parametrize("language", [each for each in tongue.LANGUAGES if each != "en"])
def test_every_note_of_every_target_is_told(language: str) -> None:
    further = [
        target("moon", date="2027-03-14", latitude_deg=48.0, longitude_deg=11.0),
        target("mars", date="2027-03-14"),
        target("orion-nebula", date="2027-03-14", latitude_deg=48.0, longitude_deg=11.0),
        target(double=[2.3, 45.0, 5.2, 6.1]),
        target(ra_deg=83.8, dec_deg=-5.4),
    ]
    shown = [target(name) for name in NAMES] + further
    notes = {words for each in shown for words in (*each.notes, note(each))}
    notes |= {each.level.says for each in shown if each.level is not None}
    with tongue.speaking(language):
        same = [words for words in notes if retold(words) == words]
    assert same == []


def test_what_stands_in_a_notes_places_is_told_too() -> None:
    with tongue.speaking("de"):
        told = retold(
            "Double star: figures published, epoch 2025 (STF 1110 AB; orbit Docobo & Ling 1985,"
            " ORB6)."
        )
        assert told == (
            "Doppelstern: Werte veröffentlicht, Epoche 2025 (STF 1110 AB; Bahn Docobo & Ling 1985,"
            " ORB6)."
        )
        mars = retold(
            "Mars: size and magnitude published (Archinal et al. 2018); dark areas at their"
            " published places, simplified; caps after the season."
        )
        assert "published" not in mars
        assert "dunkle Gebiete" in mars
        assert retold("A note of somebody's own.") == "A note of somebody's own."
    assert retold("The scene is invented.") == "The scene is invented."


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("saturn", "Saturn, Ringe 44,1″, 20° offen"),
        ("castor", "Castor A-B, 5,6″"),
        ("plato", "Plato auf dem Mond, 54″"),
        ("daytime", "Haus bei Tag, in 400 m Entfernung"),
        ("m13", "Herkuleshaufen (M 13)"),
        ("veil", "Cirrusnebel, Ostbogen (NGC 6992)"),
    ],
)
def test_titles_are_told_with_all_that_follows_the_name(english: str, german: str) -> None:
    shown = target(english)
    assert titled(shown) == shown.title
    with tongue.speaking("de"):
        assert titled(shown) == german


def test_names_of_a_persons_own_stay_as_they_are() -> None:
    with tongue.speaking("fr"):
        assert named("Tante Erna's star") == "Tante Erna's star"
        assert named("Moon") == "Lune"
