"""A small corpus of invented adverts in ten languages: values, the Sun, and retyping."""

from __future__ import annotations

import textwrap
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import pytest

from simview.advice.listing import Listing
from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet

ADVERTS: Final[list[dict[str, Any]]] = tomllib.loads(
    (Path(__file__).parent / "adverts.toml").read_text(encoding="utf-8")
)["adverts"]

RETYPED: Final[dict[str, Callable[[str], str]]] = {
    "two spaces": lambda text: text.replace(" ", "  "),
    "hard spaces": lambda text: text.replace(" ", "\u00a0"),
    "line ends of another system": lambda text: f"\r\n{text}\r\n",
    "wrapped lines": lambda text: "\n".join(textwrap.wrap(text, 60, break_on_hyphens=False)),
}


def values(listing: Listing) -> dict[str, object]:
    """What the corpus asks of a listing, under its own keys."""
    barlows = [one.factor for one in listing.amplifiers]
    return {
        "aperture_mm": listing.aperture_mm,
        "focal_length_mm": listing.focal_length_mm,
        "binocular_power": listing.binocular_power,
        "price": listing.price,
        "claimed_power": None if listing.binocular_power else listing.claimed_power,
        "layout": listing.layout,
        "eyepieces_mm": [one.focal_length_mm for one in listing.eyepieces],
        "barlow": barlows[0] if barlows else None,
        "mount": listing.mount.kind if listing.mount else None,
    }


@pytest.mark.parametrize("advert", ADVERTS, ids=range(len(ADVERTS)))
def test_no_value_is_read_wrongly_and_few_are_missed(advert: dict[str, Any]) -> None:
    read = values(read_advert(advert["text"]))
    wanted = {key: value for key, value in advert.items() if key in read}
    found = {key: value for key, value in read.items() if value and key in wanted}
    wrong = {key for key in found if found[key] != pytest.approx(wanted[key])}
    assert wrong == set()
    for key in ("claimed_power", "barlow"):
        assert bool(read[key]) == (key in advert)


@pytest.mark.parametrize("advert", ADVERTS, ids=range(len(ADVERTS)))
def test_sun_has_its_grade(advert: dict[str, Any]) -> None:
    verdict = vet(read_advert(advert["text"]))
    if verdict.listing.solar or advert["sun"]:
        assert verdict.findings[0].rule == "sun safety"
        assert verdict.findings[0].grade == advert["sun"]


@pytest.mark.parametrize("how", RETYPED)
@pytest.mark.parametrize("advert", ADVERTS, ids=range(len(ADVERTS)))
def test_retyping_changes_no_value(advert: dict[str, Any], how: str) -> None:
    as_written = read_advert(advert["text"])
    retyped = read_advert(RETYPED[how](advert["text"]))
    assert values(retyped) == values(as_written)
    assert retyped.solar == as_written.solar
