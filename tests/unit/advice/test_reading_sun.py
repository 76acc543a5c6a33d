"""Whatever puts the Sun and the telescope together; the doubtful is read as the dangerous."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet


def solar(text: str) -> tuple[str, ...]:
    return read_advert(f"Refractor 60/700. {text}").solar


@pytest.mark.parametrize(
    "text",
    [
        "with sun filter for the eyepiece",
        "Sun filter (0.965)",
        "moon and sun filters",
        "sun & moon filter",
        'solar filter 1.25"',
        "screw-in solar filter",
        "eyepiece sun filter",
        "moon filter and sun filter",
        "Mit Sonnenfilter für das Okular",
    ],
)
def test_filter_for_the_eyepiece_is_told(text: str) -> None:
    assert solar(text) == ("eyepiece filter",)


@pytest.mark.parametrize(
    "text",
    [
        "full aperture solar filter",
        "a solar filter that fits over the front",
        "white-light solar filter, front mounted",
        "solar filter film for the front of the tube",
    ],
)
def test_filter_for_the_front_is_told(text: str) -> None:
    assert solar(text) == ("front filter",)


@pytest.mark.parametrize(
    "text",
    [
        "sun filter",
        "SUN-FILTER included",
        "60 mm objective, sun filter, tripod",
        "filtre solaire",
        "Sonnenfilter inklusive",
        "filtro solar",
        "filter for the sun",
    ],
)
def test_filter_without_a_place_is_not_taken_for_a_safe_one(text: str) -> None:
    assert solar(text) == ("filter",)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("solar projection screen", "screen"),
        ("sun screen for projecting sunspots", "screen"),
        ("look at the moon, the sun and the planets", "look"),
        ("watch the eclipse", "look"),
        ("see sunspots", "look"),
        ("good for Moon, Sun and planets", "look"),
        ("the Sun only with a suitable filter, sold elsewhere", "use"),
        ("Never look at the sun through it", "warning"),
        ("Warning: do not point at the sun", "warning"),
    ],
)
def test_other_mentions_of_the_sun_are_told_apart(text: str, kind: str) -> None:
    assert kind in solar(text)


@pytest.mark.parametrize(
    "text",
    [
        "explore the solar system",
        "the Solar System and beyond",
        "open Mon-Sun 9 to 5",
        "Sat/Sun pick-up only",
        "sold on Sunday at sunset",
        "solar-powered torch, solar panel",
        "kept in a sunny room, with sun shade",
        "Abholung am Sonntag",
        "no mention at all",
    ],
)
def test_words_that_only_sound_like_the_sun_are_left_alone(text: str) -> None:
    assert solar(text) == ()


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("sun filter for the eyepiece", "stop"),
        ("sun filter", "stop"),
        ("full aperture solar filter", "caution"),
        ("watch sunspots on the screen", "caution"),
        ("never look at the sun", "note"),
    ],
)
def test_sun_comes_first_with_its_grade_and_the_usual_words(text: str, grade: str) -> None:
    verdict = vet(read_advert(f"Refractor 60/700, 525x. {text}"))
    assert verdict.findings[0].rule == "sun safety"
    assert verdict.findings[0].grade == grade
    words = " ".join(verdict.sun_caution)
    for must in (
        "Never look at the Sun",
        "fixed securely over the front",
        "screws into an eyepiece",
    ):
        assert must in words
    for must in ("Eclipse glasses", "finder", "Children only", "painless, immediate"):
        assert must in words
    assert "local astronomy society or a licensed professional" in words


def test_every_offer_gets_the_sun_caution() -> None:
    verdict = vet(read_advert("Refractor 90/900, Plössl 25 mm"))
    assert verdict.sun_caution
    assert "sun safety" not in [one.rule for one in verdict.findings]


def test_place_of_the_filter_is_sought_in_its_own_clause() -> None:
    text = "full aperture 60 mm, sun filter"
    assert solar(text) == ("filter",)
