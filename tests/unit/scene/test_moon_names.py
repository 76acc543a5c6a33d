"""Names on the Moon: the right ones at their places, none in the dark, none over another."""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview.errors import SimviewError


def test_names_stand_where_the_places_are() -> None:
    moon = simview.target("moon", phase_deg=10.0, labels=True)
    places = {label.words: label for label in moon.labels}
    # Selenographic (IAU Gazetteer): Mare Crisium 17.0 N 59.1 E, Mare Nubium 21.3 S 16.6 W; east of
    # the Moon is right for an observer who has north up, as the sky's west is.
    for name, latitude, longitude in (("Mare Crisium", 17.0, 59.1), ("Mare Nubium", -21.3, -16.6)):
        label = places[name]
        radius = moon.size_arcsec / 2.0
        x = radius * math.cos(math.radians(latitude)) * math.sin(math.radians(longitude))
        y = radius * math.sin(math.radians(latitude))
        assert label.x_arcsec == pytest.approx(x, abs=0.03 * radius)
        assert label.y_arcsec == pytest.approx(y, abs=0.03 * radius)


def test_dark_side_has_no_names_and_names_keep_apart() -> None:
    moon = simview.target("moon", phase_deg=120.0, waxing=True, labels=True)
    assert 3 <= len(moon.labels) <= 22
    assert min(label.x_arcsec for label in moon.labels) > 0.3 * moon.size_arcsec / 2.0
    x = np.array([label.x_arcsec for label in moon.labels])
    y = np.array([label.y_arcsec for label in moon.labels])
    near = (np.abs(x[:, None] - x) < 0.16 * moon.size_arcsec) & (
        np.abs(y[:, None] - y) < 0.044 * moon.size_arcsec
    )
    assert near.sum() == len(x)


def test_names_are_asked_for_and_travel_with_the_recipe() -> None:
    assert simview.target("moon").labels == ()
    asked = simview.target("copernicus", labels=True)
    assert asked.labels
    assert simview.target(**asked.recipe).labels == asked.labels


def test_what_has_no_named_places_refuses_names() -> None:
    with pytest.raises(SimviewError, match="labels"):
        simview.target("jupiter", labels=True)
