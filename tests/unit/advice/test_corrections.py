"""An offer whose reading was put right by hand."""

from __future__ import annotations

from typing import Any

import pytest

from simview.advice.corrections import corrected
from simview.advice.reading.assemble import read_advert
from simview.errors import SimviewError

TEXT = "Telescope 50/600, 450x! Eyepieces H20mm, SR4mm, 3x Barlow lens, tripod. 39 EUR"


def test_number_replaces_what_was_read() -> None:
    better = corrected(read_advert(TEXT), {"aperture_mm": 60.0})
    assert better.aperture_mm == 60.0
    assert better.focal_length_mm == 600.0
    by_hand = [one for one in better.readings if one.key == "aperture_mm"]
    assert [one.words for one in by_hand] == ["put right by hand"]


def test_eyepiece_that_was_read_keeps_its_design() -> None:
    read = read_advert(TEXT)
    better = corrected(read, {"eyepieces": (20.0, 9.0)})
    assert [one.focal_length_mm for one in better.eyepieces] == [20.0, 9.0]
    assert better.eyepieces[0] == read.eyepieces[0]
    assert better.eyepieces[1].design == "unknown"


def test_what_is_missing_follows_from_what_was_put_right() -> None:
    read = read_advert("Telescope with 70 mm lens, tripod, 20 mm eyepiece, 49 EUR")
    assert read.focal_length_mm is None
    better = corrected(read, {"focal_length_mm": 700.0})
    assert len(better.missing) < len(read.missing)


def test_nothing_given_leaves_the_offer_alone() -> None:
    read = read_advert(TEXT)
    assert corrected(read, {}) is read


@pytest.mark.parametrize(
    "given",
    [
        {"aperture_mm": -3.0},
        {"eyepieces": ()},
        {"eyepieces": (0.0,)},
        {"layout": "sieve"},
        {"mount": "string"},
        {"text": "other"},
    ],
)
def test_impossible_value_is_refused(given: dict[str, Any]) -> None:
    with pytest.raises(SimviewError):
        corrected(read_advert(TEXT), given)
