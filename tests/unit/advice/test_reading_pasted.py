"""Tables: units that stand in the label, heads above their values, numbered labels."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert

HEADS = "Aperture\tFocal length\tEyepieces\tPrice\n70 mm\t700 mm\t20 mm, 10 mm\t79 €\ntelescope"
CELLS = "".join(f"<th>{one}</th>" for one in ("Aperture", "Focal length", "Eyepieces", "Price"))
VALUES = "".join(f"<td>{one}</td>" for one in ("70 mm", "700 mm", "20 mm, 10 mm", "79 €"))


@pytest.mark.parametrize(
    "text",
    [
        "Aperture (mm)\t70\nFocal length (mm)\t700\nEyepieces (mm)\t20, 10\nPrice (EUR)\t79,00",
        "Aperture [mm]: 70\nFocal length [mm]: 700\nEyepieces [mm]: 20/10\nPrice [€]: 79",
        "Öffnung in mm: 70\nBrennweite in mm: 700\nOkulare in mm: 20 und 10\nPreis in EUR: 79",
        "Öffnung (mm)\t70\nBrennweite (mm)\t700\nOkular 1 (mm)\t20\nOkular 2 (mm)\t10\n"
        "Preis (€)\t79",
        HEADS,
        f"<table>\n <tr>\n  {CELLS}\n </tr>\n <tr>\n  {VALUES}\n </tr>\n</table>telescope",
    ],
)
def test_tables_are_read_by_their_labels(text: str) -> None:
    listing = read_advert(text)
    assert (listing.aperture_mm, listing.focal_length_mm) == (70.0, 700.0)
    assert [one.focal_length_mm for one in listing.eyepieces] == [20.0, 10.0]
    assert (listing.price, listing.currency) == (79.0, "EUR")


def test_ratio_in_a_label_goes_before_its_figure() -> None:
    listing = read_advert("Aperture (mm): 90\nFocal ratio (f/): 10\nEyepiece (mm): 25")
    assert listing.focal_ratio == 10.0


def test_weights_in_a_label_are_no_eyepieces() -> None:
    listing = read_advert(
        "Aperture (mm): 90\nFocal length (mm): 900\nWeight (kg): 4\nEyepiece (mm): 25"
    )
    assert [one.focal_length_mm for one in listing.eyepieces] == [25.0]


def test_places_still_point_into_the_pasted_text() -> None:
    listing = read_advert(HEADS)
    read = {one.key: HEADS[one.start : one.end] for one in listing.readings}
    assert "70 mm" in read["aperture_mm"]
    assert "700 mm" in read["focal_length_mm"]
    assert read["price"] == "79 €"
