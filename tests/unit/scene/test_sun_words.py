"""Whoever asks for the Sun is told how it blinds, and never offered something else."""

from __future__ import annotations

import pytest

import simview
from simview.errors import SunError
from simview.scene.sun_words import language_of, speaks_of_sun
from simview.scene.targets import entries


@pytest.mark.parametrize(
    "word",
    [
        "sun", "Sun", "the sun", "solar", "solar eclipse", "sunspots", "Sonne", "die Sonne",
        "Sonnenflecken", "soleil", "le soleil", "sol", "el sol", "sole", "zon", "słońce", "slunce",
        "aurinko", "güneş", "солнце", "Солнце", "ήλιος", "شمس", "太陽", "太阳",
    ],
)  # fmt: skip
def test_the_sun_in_any_words_is_answered_with_the_cautions(word: str) -> None:
    with pytest.raises(SunError) as told:
        simview.target(word)
    message = str(told.value)
    for part in ("blinds", "front", "eyepiece", "finder", "children", "ask a local"):
        assert part in message
    assert "saturn" not in message


def test_no_target_of_the_list_is_taken_for_the_sun() -> None:
    for entry in entries():
        for word in (entry.name, entry.title, *entry.aliases):
            assert not speaks_of_sun(word), word


@pytest.mark.parametrize(
    ("word", "language"),
    [("Sonne", "de"), ("soleil", "fr"), ("sol", "es"), ("sun", None), ("太陽", None)],
)
def test_language_of_a_word_for_the_sun_is_known(word: str, language: str | None) -> None:
    assert language_of(word) == language
