"""Whatever puts the Sun and the telescope together; the doubtful is read as the dangerous."""

from __future__ import annotations

from unicodedata import combining, normalize

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


# A filter that is there stays dangerous, whatever is said of its use: with the usual accents first.
@pytest.mark.parametrize(
    "text",
    [
        "oculares 25 y 10, filtro solar de ocular (no lo he usado nunca)",
        "Okulare 25 und 10, Okularsonnenfilter nie benutzt",
        "Okulare 25 und 10, Sonnenfilter fürs Okular noch nie benutzt",
        "Okulare 25 und 10, der Sonnenfilter fürs Okular wurde nie verwendet",
        "oculari 25 e 10, filtro solare per oculare mai usato",
        "oculairs 25 en 10, zonnefilter voor oculair nooit gebruikt",
        "okulary 25 i 10, filtr słoneczny na okular, nigdy nie używany",
        "oculaires 25 et 10, filtre solaire à visser (jamais servi)",
        "eyepieces 25 and 10, sun filter for the eyepiece, we never dared to use it",
        "Do not use the sun filter that screws into the eyepiece, still in the bag, free with it",
        "Non guardare mai il sole senza il filtro da oculare in dotazione",
        "Nigdy nie patrz na słońce bez dołączonego filtra na okular",
        "okuláry 25 a 10, sluneční filtr na okulár, nikdy nepoužitý",
        "oculares 25 e 10, filtro solar para a ocular, nunca usei",
        "okular 25 och 10, solfilter till okularet, aldrig använt",
        "filtre solaire pour oculaire, ne pas utiliser",
        "Sonnenfilter zum Einschrauben ins Okular, bitte nicht benutzen",
        "filtro solar para rosca del ocular, mejor no usarlo nunca",
        "zonnefilter voor in het oculair, gebruik het niet",
        "Sun filter, never used",
        "Never look at the sun without the sun filter that comes with it",
        "Nunca mires al sol sin el filtro para ocular incluido",
        "Schauen Sie nie ohne den mitgelieferten Okularfilter in die Sonne",
        "Titta aldrig mot solen utan det medföljande okularfiltret",
    ],
)
@pytest.mark.parametrize("accents", [True, False])
def test_no_word_against_its_use_takes_a_filters_stop_away(text: str, accents: bool) -> None:
    said = f"130/650 EQ2, {text}"
    if not accents:
        said = "".join(c for c in normalize("NFD", said.replace("ł", "l")) if not combining(c))
    assert vet(read_advert(said)).findings[0].grade == "stop"


@pytest.mark.parametrize(
    "text",
    [
        "Never look at the sun without a filter",
        "Niemals ohne geeigneten Filter durch das Okular in die Sonne schauen",
        "Ne regardez jamais le soleil sans filtre",
        "Nunca mires al sol sin filtro",
        "130/650 EQ2, no sun filter",
    ],
)
def test_warning_that_offers_no_filter_does_not_stop(text: str) -> None:
    assert not set(solar(text)) & {"eyepiece filter", "filter", "look"}


@pytest.mark.parametrize(
    "text",
    [
        "Sonnenfilter? nein, keiner dabei",
        "Sonnenfilter: nein",
        "sun filter? - no",
        "zonnefilter zit er niet bij",
        "und sonnenfilter?\nnee hab ich keinen",
        "filtre solaire pour oculaire : non",
        "filtro solar: no",
        "filtro solare non incluso",
        "filtr słoneczny: brak",
        "solfilter saknas",
    ],
)
def test_filter_that_is_denied_does_not_stop(text: str) -> None:
    assert not set(solar(text)) & {"eyepiece filter", "filter", "look"}


@pytest.mark.parametrize(
    "text",
    [
        "filtro solar no usado",
        "Sonnenfilter, keine Kratzer",
        "Sonnenfilter? ja, nie benutzt",
        "sun filter? no idea how to use it but it is in the bag",
        "filtr słoneczny nie używany",
        "sun filter, case missing",
    ],
)
def test_filter_that_only_seems_denied_still_stops(text: str) -> None:
    assert set(solar(text)) & {"eyepiece filter", "filter"}
