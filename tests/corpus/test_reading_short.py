"""Shortened words, numbers after "of", prices in words of money, and figures read as letters."""

from __future__ import annotations

import measure
import pytest

from simview.advice.reading.assemble import read_advert


def values(text: str) -> dict[str, object]:
    return measure.values(read_advert(text))


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("Fernrohr 70/700, Oku 20+9, 40 Euro", "ep", [20.0, 9.0]),
        ("Télescope 114/900, ocs 25 et 10 mm", "ep", [25.0, 10.0]),
        ("Telescopio 70/700, ocul 25mm, 40 euro", "ep", [25.0]),
        ("Télescope 150/750, cherch. 9x50, 200 €", "find", "optical"),
        ("Newton 150/750, busc 8x50, 200 €", "find", "optical"),
        ("Telescoop 90/660, zoeker: LED", "find", "red dot"),
        ("Reiserefr. 80/400, 45 Euro", "lay", "refractor"),
        ("SC 203/2032 f10 telescope", "lay", "cassegrain"),
        ("N 200/1000 EQ5 telescope", "lay", "newtonian"),
        ("Dalekohled 70/700 AZ, okuláry 20 a 10 mm", "mnt", "altazimuth"),
        ("Teleskop 70/700 AZ-Montierung, 20 mm Okular", "mnt", "altazimuth"),
        ("Teleskop o średnicy siedemdziesięciu milimetrów i ogniskowej 700 mm", "D", 70.0),
        ("Telescope for thirty nine pounds, 60/700", "price", 39.0),
        ("Telescope 60/700, kosten 39 euro 95.", "price", 39.95),
        ("Teleskop 60/700 *** MIT STATIV *** 39,95 ***", "price", 39.95),
        ("Telescope 60/700, list: $79.99, with deal: $55.24", "price", 55.24),
        ("Telescopio 60/700, prezzo 30 euri", "price", 30.0),
        ("Telescópio 60/700, R$ 399,90 ou 10x de R$ 39,99", "price", 399.9),
        ("Telescope 60/700, ninty pounds", "price", 90.0),
        ("Diámetro: ll4 mm, D. focal: 9OO mm, telescopio", "D", 114.0),
        ("Telescope 70/700, eyepieces l2.5mm, 2O mm", "ep", [20.0, 12.5]),
        ("Fernrohr siebzig auf neunhundert, Okulare zwanzig, zwölf komma fünf", "ep", [20.0, 12.5]),
        ("70/700 telescope 20mm", "ep", [20.0]),
        ("Teleskop 70/700, ein Sechser und ein Zwanziger Okular", "ep", [20.0, 6.0]),
        ("Waterproof scope 15-45x60", "D", 60.0),
        ("Binoculars, 15 x 70, BaK-4 prisms", "bin", 15.0),
        ("TELESCOPE, 2 in. objective lens", "D", 50.8),
        ("Newton on an equatorial two mount, 114/900", "ep", []),
    ],
)  # fmt: skip
def test_what_people_write_is_read(text: str, key: str, value: object) -> None:
    got = values(text)[key]
    assert got == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Tel. 030 1234, 70/700 telescope", "bin"),
        ("Neupreis war 349 €, jetzt 180 VHB, Dobson 8 Zoll", "pow"),
        ("70/700, 20-6 mm lens cap of something", "bin"),
    ],
)
def test_what_is_no_such_thing_is_not(text: str, key: str) -> None:
    assert values(text)[key] in (None, [])
