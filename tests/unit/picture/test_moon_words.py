"""Which dots beside a planet a caption names, and in which order."""

from __future__ import annotations

from typing import Any

import pytest

import simview
from simview.picture.moon_words import moons_note


def order(word: str, name: str, power: float, **more: Any) -> list[str]:
    """What is said, as a list; [] for nothing."""
    seen = simview.look(simview.find_kit(word).kit, simview.target(name, **more), power=power)
    return [
        name for words in moons_note(seen) for name in words.partition(": ")[2][:-1].split(", ")
    ]


@pytest.mark.parametrize("word", ["60/700", "150/1200"])
def test_moons_are_named_in_the_order_of_their_dots(word: str) -> None:
    # A star diagonal mirrors and a Newtonian turns: both show on the left what scenes, which have
    # west there, hold on the right.
    stars = simview.target("jupiter").scene(pixel_arcsec=2.0, pixels=8).stars
    told = order(word, "jupiter", 60.0)
    assert sorted(told) == ["Callisto", "Europa", "Ganymede", "Io", "Jupiter"]
    assert told.index("Jupiter") == sum(stars.x_arcsec > 0.0)
    # Callisto's orbit is the widest, Io's the narrowest (26.4 and 5.9 radii of the planet).
    assert told.index("Callisto") in (0, 4)
    assert abs(told.index("Io") - told.index("Jupiter")) == 1


def test_only_what_stands_in_the_field_and_is_plain_is_named() -> None:
    # A field of 15 arcmin does not hold Callisto, 8 arcmin from Jupiter.
    assert "Callisto" not in order("150/1200", "jupiter", 200.0)
    # Titan of magnitude 8.3 is an easy object of 60 mm, Rhea of 9.7 a hard one, and the nearer ones
    # of 10.3 stand in the rings' glare (common practice, no source).
    assert set(order("60/700", "saturn", 117.0)) == {"Saturn", "Titan"}
    assert {"Rhea", "Titan"} < set(order("150/1200", "saturn", 120.0))
    assert not {"Dione", "Tethys"} & set(order("150/1200", "saturn", 120.0))


def test_a_dot_that_is_not_named_is_no_named_one() -> None:
    # In 150 mm Dione and Tethys of 10.4 and 10.3 show beside the rings, between Rhea and Titan, and
    # Iapetus of 11 far out: who counts dots from the left must know that some are left out.
    seen = simview.look(simview.find_kit("150/1200").kit, simview.target("saturn"), power=120.0)
    assert moons_note(seen)[0].startswith("Brightest from left")
    seen = simview.look(simview.find_kit("60/700").kit, simview.target("jupiter"), power=60.0)
    assert moons_note(seen)[0].startswith("From left")


def test_invented_places_are_told_beside_the_names_and_a_dates_are_not_called_so() -> None:
    kit = simview.find_kit("60/700").kit
    seen = simview.look(kit, simview.target("jupiter"), power=60.0)
    assert "invented places" in moons_note(seen)[0]
    on = simview.target("jupiter", date="2027-03-14T21:30")
    seen = simview.look(kit, on, power=60.0)
    assert moons_note(seen)
    assert "invented" not in moons_note(seen)[0]


def test_nothing_is_said_where_no_moon_is_drawn() -> None:
    assert order("150/1200", "mars", 120.0) == []
