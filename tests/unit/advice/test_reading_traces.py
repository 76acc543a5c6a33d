"""Nothing is called unsaid that an offer speaks of; what it leaves out is no silence either."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet


def unread(text: str) -> dict[str, str]:
    return {one.what: one.words for one in read_advert(text).unread if not one.left_out}


@pytest.mark.parametrize(
    ("text", "what", "words"),
    [
        ("Telescope 70/700 on a rather solid mounting, 20 mm, 40 EUR", "mount", "mounting"),
        ("Fernrohr 70/700, Montierungskopf aus Holz, 40 Euro", "mount", "Montierungskopf"),
        ("Télescope 114/900, monturée solidement, 40 €", "mount", "monturée"),
        ("Newton 114/900, occulairement bien pourvu, 40 €", "eyepieces", "occulairement"),
        ("Teleskop 70/700, dwa okularki, 40 zł", "eyepieces", "okularki"),
        ("Telescope 70/700, tripod, some sighting gadget, 40 EUR", "finder", "sighting"),
        ("Dalekohled 70/700, hledáčkový systém, 40 Kč", "finder", "hledáčkový"),
        ("Telescope 70/700, tripod, 20 mm, yours for 40 smackers", "price", ""),
        ("Telescope 70/700, tripod, 20 mm, asking four tenners", "price", "asking"),
        ("Telescope, 20 mm eyepiece, lens the size of 7 fingers, aperture about 7 fingers",
         "aperture", "aperture about 7"),
        ("Telescope, aperture 70 mm, focal distance ninety-ish", "focal length", "focal"),
    ],
)  # fmt: skip
def test_what_is_spoken_of_is_quoted(text: str, what: str, words: str) -> None:
    listing = read_advert(text)
    assert what not in listing.missing
    if words:
        assert words in unread(text)[what]


@pytest.mark.parametrize(
    "text",
    [
        "Newton 200/800, tube only, 300 EUR",
        "Newton 200/800, ohne Montierung, 300 Euro",
        "Newton 200/800, sans monture, 300 €",
        "Newton 200/800, sin montura, 300 €",
        "Newton 200/800, senza montatura, 300 €",
        "Newton 200/800, zonder montering, 300 €",
        "Newton 200/800, bez montażu, 300 zł",
        "Newton 200/800, bez montáže, 300 Kč",
        "Newton 200/800, sem montagem, 300 €",
        "Newton 200/800, utan montering, 300 kr",
    ],
)
def test_what_is_left_out_is_said_to_be(text: str) -> None:
    listing = read_advert(text)
    assert "mount" not in listing.missing
    assert {one.what for one in listing.unread if one.left_out} >= {"mount"}
    says = " ".join(str(one.says) for one in vet(listing).findings)
    assert "comes without a mount" in says
    assert "does not say what it stands on" not in says


def test_silence_stays_silence() -> None:
    listing = read_advert("Refractor 70/700, 20 mm and 10 mm eyepieces.")
    assert set(listing.missing) >= {"mount", "finder", "price"}
    assert not {"mount", "finder", "price", "eyepieces"} & set(unread(listing.text))


def test_kind_and_eyepiece_without_a_mount_are_not_sound() -> None:
    # A careful adviser calls nothing sound without knowing what it stands on (common practice).
    listing = read_advert(
        "Achromatic refractor 70/900, 25 mm Plossl eyepiece, red dot finder, 60 EUR"
    )
    verdict = vet(listing)
    assert verdict.verdict == "with care"
    told = next(one for one in verdict.findings if one.rule == "too little said")
    assert "what it stands on" in told.says
    with_mount = read_advert(f"{listing.text}, equatorial mount")
    assert vet(with_mount).verdict == "sound"


def test_a_filters_eyepiece_is_no_eyepiece() -> None:
    assert "eyepieces" not in unread("Telescope 70/700, Sun filter for the eyepiece, 40 EUR")


def test_answers_say_what_was_not_read() -> None:
    figures = vet(read_advert("Telescope 70/700 with wooden mounting, 20 mm, 40 EUR")).figures()
    assert {key: figures["unread"][0][key] for key in ("what", "left_out")} == {
        "what": "mount",
        "left_out": False,
    }
    assert "mounting" in figures["unread"][0]["text"]
    assert "mount" not in figures["missing"]
