"""Eyepieces by their markings, barrels, Barlow lenses and erecting prisms out of free text."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert


def pieces(text: str) -> list[tuple[float, str]]:
    return [(one.focal_length_mm, one.design) for one in read_advert(text).eyepieces]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("eyepieces H20, H12.5 and SR4", [(20, "huygens"), (12.5, "huygens"), (4, "ramsden")]),
        ("Eyepieces: H20mm / H6mm", [(20, "huygens"), (6, "huygens")]),
        ("2 eyepieces (H 20 mm, SR 4 mm)", [(20, "huygens"), (4, "ramsden")]),
        ("HM12.5mm HM6mm eyepieces", [(12.5, "huygens"), (6, "huygens")]),
        ("AH 40 mm and AH 25 mm eyepiece", [(40, "huygens"), (25, "huygens")]),
        ("K25mm & K9 mm eyepieces", [(25, "kellner"), (9, "kellner")]),
        ("eyepieces: MA25, MA10", [(25, "kellner"), (10, "kellner")]),
        ("PL25 and PL 6.5 mm", [(25, "plossl"), (6.5, "plossl")]),
        ("Or 9 mm eyepiece, Or-6 eyepiece", [(9, "unknown"), (6, "orthoscopic")]),
        ("eyepiece Or6", [(6, "orthoscopic")]),
        ("R 12 mm eyepiece", [(12, "ramsden")]),
        ("25mm Plössl eyepiece", [(25, "plossl")]),
        ("25 mm and 10 mm Plossl eyepieces", [(25, "plossl"), (10, "plossl")]),
        ("25mm Kellner and 10mm Plossl eyepieces", [(25, "kellner"), (10, "plossl")]),
        ("two Kellner eyepieces (25 mm, 9 mm)", [(25, "kellner"), (9, "kellner")]),
        ("eyepieces: Plössl 32 mm, Plössl 10 mm", [(32, "plossl"), (10, "plossl")]),
        ("20mm (H) eyepiece, 12.5mm (H) eyepiece", [(20, "huygens"), (12.5, "huygens")]),
        ("6 mm orthoscopic eyepiece", [(6, "orthoscopic")]),
        ("30mm wide angle eyepiece", [(30, "wide")]),
        ("20 mm and 6 mm eyepieces", [(20, "unknown"), (6, "unknown")]),
        ("eyepieces: 25, 12.5 and 4 mm", [(25, "unknown"), (12.5, "unknown"), (4, "unknown")]),
        ("4mm/12.5mm/20mm eyepieces", [(20, "unknown"), (12.5, "unknown"), (4, "unknown")]),
        ("Eyepieces (25mm & 10mm)", [(25, "unknown"), (10, "unknown")]),
        ("20mm or 6mm eyepieces", [(20, "unknown"), (6, "unknown")]),
        ("60mm objective, 20mm eyepiece, 700mm focal length", [(20, "unknown")]),
        ("60 mm refractor with 2 eyepieces (20mm and 8mm)", [(20, "unknown"), (8, "unknown")]),
        ("aperture 50mm, 20mm eyepiece", [(20, "unknown")]),
        ("Okulare 20 mm und 8 mm", [(20, "unknown"), (8, "unknown")]),
        ("oculaires 20 mm et 4 mm", [(20, "unknown"), (4, "unknown")]),
        ('10mm 1.25" eyepiece', [(10, "unknown")]),
        ("Eyepieces: <li>H20</li><li>H6</li>", [(20, "huygens"), (6, "huygens")]),
    ],
)
def test_eyepieces_are_read(text: str, found: list[tuple[float, str]]) -> None:
    assert pieces(text) == found


@pytest.mark.parametrize(
    "text",
    [
        "K9 glass lenses of the best kind",
        "BK7 optics, BAK4 prisms",
        "for ages 8 and up, 3 years guarantee",
        "R2 unit, H2O proof bag",
        "20 mm thick tripod legs",
        "no words on pieces at all",
    ],
)
def test_look_alikes_are_no_eyepieces(text: str) -> None:
    assert pieces(f"Telescope, aperture 60 mm. {text}") == []


def test_eyepiece_named_twice_is_one() -> None:
    text = "Telescope with H20 eyepiece\nIn the box: 1 x H20mm eyepiece, 1 x 6mm eyepiece"
    assert pieces(text) == [(20, "huygens"), (6, "unknown")]


def test_zoom_eyepiece_has_two_ends() -> None:
    (piece,) = read_advert("Telescope 80/400 with 8-24mm zoom eyepiece").eyepieces
    assert (piece.focal_length_mm, piece.shortest_mm) == (24.0, 8.0)


def test_apparent_field_is_read() -> None:
    (piece,) = read_advert("15 mm eyepiece with 66° apparent field").eyepieces
    assert piece.apparent_field_deg == 66.0


@pytest.mark.parametrize(
    ("text", "barrel"),
    [
        ('0.965" eyepieces', "0.965in"),
        ("barrel .965 inch", "0.965in"),
        ("24.5 mm eyepieces", "0.965in"),
        ("24,5mm Okulare", "0.965in"),
        ('1.25" focuser', "1.25in"),
        ("1,25 inch eyepieces", "1.25in"),
        ("1 1/4 in. barrel", "1.25in"),
        ("1¼ inch diagonal", "1.25in"),
        ("31.75mm eyepieces", "1.25in"),
        ("31.7 mm", "1.25in"),
        ('2" Crayford focuser', "2in"),
        ("50.8mm barrel", "2in"),
    ],
)
def test_barrel_is_read(text: str, barrel: str) -> None:
    assert read_advert(f"Refractor 60/700. {text}").barrel == barrel


def test_two_inch_telescope_has_no_two_inch_barrel() -> None:
    assert read_advert('2" lens telescope').barrel is None


def test_several_barrels_are_said() -> None:
    listing = read_advert('Refractor 60/700, 1.25" focuser, eyepieces 0.965"')
    assert listing.barrel == "0.965in"
    assert any("Several barrel sizes" in remark for remark in listing.remarks)


@pytest.mark.parametrize(
    ("text", "kind", "factor"),
    [
        ("3x Barlow", "barlow", 3.0),
        ("Barlow lens 2x", "barlow", 2.0),
        ("Barlow x3", "barlow", 3.0),
        ("x2 achromatic Barlow lens", "barlow", 2.0),
        ("2 times Barlow", "barlow", 2.0),
        ("Barlow lens (2.5X)", "barlow", 2.5),
        ("a Barlow lens", "barlow", None),
        ("2 eyepieces and Barlow lens", "barlow", None),
        ("1.5x erecting eyepiece", "erecting-prism", 1.5),
        ("erecting lens 1,5x", "erecting-prism", 1.5),
        ("1.5x image erecting prism", "erecting-prism", 1.5),
        ("terrestrial eyepiece 1.5x", "erecting-prism", 1.5),
        ("erecting eyepiece", "erecting-prism", None),
    ],
)
def test_amplifiers_are_read(text: str, kind: str, factor: float | None) -> None:
    listing = read_advert(f"Refractor 60/700 with {text}")
    assert [(one.kind, one.factor) for one in listing.amplifiers] == [(kind, factor)]


@pytest.mark.parametrize("text", ["45° erecting prism", "Amici prism", "correct-image diagonal"])
def test_plain_erecting_prism_is_a_diagonal(text: str) -> None:
    listing = read_advert(f"Refractor 80/400 with {text}")
    assert listing.diagonal == "erecting"
    assert listing.amplifiers == ()


def test_piece_that_is_denied_is_not_there() -> None:
    assert read_advert("Refractor 60/700, no Barlow lens").amplifiers == ()


def test_amplifier_of_unknown_strength_is_missing_its_strength() -> None:
    assert "strength of the Barlow" in read_advert("Refractor 60/700 with a Barlow").missing
