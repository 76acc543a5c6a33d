"""Fields said in the word "degrees", eyepieces listed before a filter, parts with their measure."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("Te koop verrekijker 10x50, gezichtsveld 6,5 graden, tas", 6.5),
        ("Fernglas 10x50, Sehfeld 6 Grad, 30 Euro", 6.0),
        ("Jumelles 10x50 champ 6,5 degrés", 6.5),
        ("Prismaticos 10x50 campo 6,5 grados", 6.5),
        ("binocolo 10x50 campo 6,5 gradi", 6.5),
        ("Lornetka 10x50, pole widzenia 6,5 stopnia", 6.5),
        ("10x50 binoculars, field of view 6.5 degrees, case, 30 pounds", 6.5),
        ("Dalekohled triedr 10x50, zorné pole 6,5 stupně", 6.5),
        ("Binóculos 8x42, campo 7 graus", 7.0),
        ("Kikare 8x40, synfält 8,2 grader", 8.2),
    ],
)
def test_field_in_words_is_a_binoculars_field(text: str, degrees: float) -> None:
    listing = read_advert(text)
    assert (listing.instrument, listing.true_field_deg) == ("binocular", degrees)
    assert listing.eyepieces == ()
    assert listing.finder is None


def sizes(text: str) -> tuple[float, ...]:
    return tuple(one.focal_length_mm for one in read_advert(text).eyepieces)


@pytest.mark.parametrize(
    "text",
    [
        "150/750 Dobson, 25 and 10 mm, moon filter",
        "150/750 Dobson, 25mm, 10mm, sun filter",
        "150/750 Dobson, 25 and 10 mm, filter set",
        "150/750 Dobson, 25 mm und 10 mm, Sonnenfilter vorne",
        "150/750 Dobson, 25 mm et 10 mm, filtre lunaire",
        "150/750 Dobson, 25 mm e 10 mm, filtro lunare",
        "150/750 Dobson, 25 mm en 10 mm, maanfilter",
        "150/750 Dobson, 25 mm and 10 mm and a moon filter",
    ],
)
def test_last_eyepiece_before_a_filter_is_kept(text: str) -> None:
    assert sizes(text) == (25.0, 10.0)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("150/750 Newton, Fangspiegel (kleine Achse) 47 mm, Okular 30 mm 2 Zoll", (30.0,)),
        ("150/750 Newton, secondary mirror (minor axis) 47 mm, 25 mm eyepiece", (25.0,)),
        ("60/910 refractor, eyepieces 20 and 12.5, 50 bucks obo", (20.0, 12.5)),
        ("60/910 Refraktor, Okulare 20 und 12,5, fünfzig Mäuse", (20.0, 12.5)),
    ],
)
def test_other_measures_are_no_eyepieces(text: str, mm: tuple[float, ...]) -> None:
    assert sizes(text) == mm


@pytest.mark.parametrize(
    "text",
    [
        "Lunette 70/700, oculaire 20 mm, chercheur absent",
        "Refraktor 70/700, Okular 20 mm, Sucher fehlt",
        "Refractor 70/700, ocular 20 mm, falta el buscador. Buscador: falta",
        "Rifrattore 70/700, oculare 20 mm, cercatore manca",
    ],
)
def test_finder_that_is_absent_is_none(text: str) -> None:
    assert read_advert(text).finder == "none"


def test_dense_film_on_the_dew_shield_sits_at_the_front() -> None:
    text = '6" Newt, ND5 film in a cell that goes on the dew shield, 25mm'
    assert read_advert(text).solar == ("front filter",)
