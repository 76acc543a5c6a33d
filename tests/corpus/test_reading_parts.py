"""Parts with a measure of their own change nothing that is read of the telescope."""

from __future__ import annotations

from typing import Final

import measure
import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.reading.fittings import Part, parts
from simview.advice.reading.trade_words import languages

# One plain offer in each language; every part that its words know is put into it.
OFFERS: Final = {
    "en": "Reflector telescope 114/900, {}, eyepieces 25 mm and 10 mm, equatorial mount, £60",
    "de": "Spiegelteleskop 114/900, {}, Okulare 25 mm und 10 mm, parallaktische Montierung, 60 €",
    "fr": "Télescope à miroir 114/900, {}, oculaires 25 mm et 10 mm, monture équatoriale, 60 €",
    "nl": "Spiegeltelescoop 114/900, {}, oculairs 25 mm en 10 mm, equatoriale montering, 60 €",
    "es": "Telescopio reflector 114/900, {}, oculares 25 mm y 10 mm, montura ecuatorial, 60 €",
    "it": "Telescopio a specchio 114/900, {}, oculari 25 mm e 10 mm, montatura equatoriale, 60 €",
    "pl": "Teleskop zwierciadlany 114/900, {}, okulary 25 mm i 10 mm, montaż paralaktyczny, 60 zł",
    "cs": "Zrcadlový dalekohled 114/900, {}, okuláry 25 mm a 10 mm, paralaktická montáž, 60 Kč",
    "pt": "Telescópio refletor 114/900, {}, oculares 25 mm e 10 mm, montagem equatorial, 60 €",
    "sv": "Spegelteleskop 114/900, {}, okular 25 mm och 10 mm, ekvatoriell montering, 60 kr",
}


def names(code: str, part: Part) -> list[str]:
    """Every way in which a language's file spells a part; English has the readers' word besides."""
    if code == "en":
        return [part.word]
    spelled = [words for words, meaning in languages()[code].words.items() if meaning == part.word]
    return [" ".join(words) for words in spelled]


def inserted(name: str, part: Part) -> list[str]:
    """Ways in which offers say what such a part measures, from its smallest to its largest."""
    low, high = part.low_mm, min(part.high_mm, 500.0)
    sizes = (low, (low * high) ** 0.5, high)
    small, middle, large = (f"{size:.1f}".removesuffix(".0") for size in sizes)
    return [f"{name} {middle} mm", f"{large} mm {name}", f"{name}: {small} mm"]


def values(text: str) -> dict[str, object]:
    read = measure.values(read_advert(text))
    # A tripod's foot beside the mount is none of the numbers that are at stake here.
    return {key: value for key, value in read.items() if key not in ("mnt", "find", "mir")}


@pytest.mark.parametrize("code", OFFERS)
def test_a_parts_measure_is_taken_for_nothing_else(code: str) -> None:
    offer = OFFERS[code]
    plain = values(offer.replace(" {},", ""))
    assert (plain["D"], plain["F"], plain["ep"]) == (114.0, 900.0, [25.0, 10.0])
    changed = {}
    for at, part in enumerate(one for one in parts() if one.high_mm):
        for name in names(code, part):
            for told in inserted(name, part)[at % 3 : at % 3 + 2]:
                read = values(offer.format(told))
                if read != plain:
                    changed[told] = {k: read[k] for k in read if read[k] != plain[k]}
    assert changed == {}


@pytest.mark.parametrize("part", [one for one in parts() if one.counted], ids=lambda one: one.word)
def test_what_is_counted_is_no_eyepiece(part: Part) -> None:
    plural = {"battery": "batteries"}.get(part.word, f"{part.word.removesuffix('s')}s")
    for count in ("four", "4", "6"):
        text = OFFERS["en"].format(f"{count} {plural}")
        assert values(text) == values(OFFERS["en"].replace(" {},", "")), text


@pytest.mark.parametrize(
    ("text", "aperture", "eyepieces"),
    [
        ("Reflector with dovetail 150 mm aperture, 750 mm focal length, 25 mm eyepiece", 150, [25]),
        ("Telescope 70/700, 1.25 inch focuser 25 mm and 10 mm eyepieces", 70, [25, 10]),
        ("Telescope 70/700 with tripod 25 mm eyepiece and 10 mm eyepiece", 70, [25, 10]),
        ("Newtonian, aperture 200 mm secondary mirror 50 mm, f/6, eyepiece 32 mm", 200, [32]),
        ("Refractor 80 mm lens cap missing, 400 mm focal length, 20 mm eyepiece", 80, [20]),
    ],
)
def test_a_part_takes_nothing_from_the_telescope(
    text: str, aperture: float, eyepieces: list[float]
) -> None:
    read = values(text)
    assert read["D"] == aperture
    assert read["ep"] == eyepieces


def test_the_secondary_mirror_is_kept_as_a_share_of_the_aperture() -> None:
    listing = read_advert("6 inch f/8 Newtonian, secondary 44 mm, four vanes, 25 mm eyepiece")
    assert listing.obstruction == pytest.approx(44.0 / 152.4, abs=0.001)
    assert [one.focal_length_mm for one in listing.eyepieces] == [25.0]
