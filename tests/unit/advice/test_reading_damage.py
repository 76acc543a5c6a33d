"""What an offer says of damage: quoted in a caution, in ten languages; not where it is denied."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet


@pytest.mark.parametrize(
    ("text", "quoted"),
    [
        (
            "90/900 refractor EQ3, 25 and 10 mm, mount is broken and there is fungus on the lens",
            "fungus",
        ),
        ("150/750 Dobson, Okular 25 mm, Hauptspiegel hat einen Riss, Bastler", "Riss"),
        ("130/650 EQ2, oculaires 25 et 10, miroir cassé, pour pièces", "cassé"),
        ("130/650 EQ2, Okulare 25 und 10, Spiegel muss neu verspiegelt werden", "verspiegelt"),
        ("70/700 on a wobbly tripod, 20 and 6 mm", "wobbly"),
        ("Telescopio 130/650 EQ2, oculares 25 y 10, el espejo está rajado", "rajado"),
        ("Telescopio 70/700, oculari 20 e 6, treppiede rotto", "rotto"),
        ("Telescoop 130/650, oculairs 25 en 10, montering kapot", "kapot"),
        ("Teleskop 130/650, okulary 25 i 10, lustro pęknięte", "pęknięte"),
        ("Dalekohled 130/650, okuláry 25 a 10, montáž je poškozená", "poškozená"),
        ("Telescópio 130/650, oculares 25 e 10, tripé quebrado", "quebrado"),
        ("Teleskop 130/650, okular 25 och 10, stativet är trasigt", "trasigt"),
        ("TELESKOP 130/650, OKULARE 25 UND 10, MONTIERUNG DEFEKT", "DEFEKT"),
    ],
)
def test_damage_is_quoted_in_a_caution(text: str, quoted: str) -> None:
    found = [one for one in vet(read_advert(text)).findings if one.rule == "damage"]
    assert [one.grade for one in found] == ["caution"]
    assert quoted in found[0].says


@pytest.mark.parametrize(
    "text",
    [
        "90/900 refractor EQ3, 25 and 10 mm, no fungus, no scratches, never broken",
        "130/650 EQ2, Okulare 25 und 10, ohne Kratzer, nichts kaputt",
        "130/650 EQ2, oculaires 25 et 10, sans rayures, rien de cassé",
        "Telescopio 130/650, oculares 25 y 10, sin hongos, nada roto",
        "127/1500 Maksutov-Cassegrain, 25 mm",
        "The Sun can damage your eyes. 70/700, 20 and 6 mm",
    ],
)
def test_damage_that_is_denied_is_none(text: str) -> None:
    assert read_advert(text).damage == ()
