"""Finder charts: real stars, as one stands, from a bright star to the goal."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from simview.advice.finder_charts import OTHER_NAMES, _naked_eye_stars, _way, chart
from simview.advice.speech import Tongue
from simview.advice.tonight import Evening, Sight, evening
from simview.scene.tables import records


@lru_cache(maxsize=1)
def heavens() -> tuple[Any, Any]:
    skyfield = pytest.importorskip("skyfield.api")
    data = pytest.importorskip("skyfield_data")
    loader = skyfield.Loader(str(Path(data.__file__).parent / "data"), verbose=False)
    return loader("de421.bsp"), loader.timescale(builtin=True)


@pytest.fixture(scope="module")
def winter() -> Evening:
    return evening(2026, 1, 52.0, 13.0)


def sight(when: Evening, name: str) -> Sight:
    return next(one for one in when.sights if one.name == name)


def test_way_from_rigel_to_the_orion_nebula_is_that_of_skyfield(winter: Evening) -> None:
    skyfield = pytest.importorskip("skyfield.api")
    planets, timescale = heavens()
    place = planets["earth"] + skyfield.wgs84.latlon(52.0, 13.0)
    moment = timescale.from_datetime(winter.moment)

    def horizontal(ra_deg: float, dec_deg: float) -> tuple[float, float]:
        star = skyfield.Star(ra_hours=ra_deg / 15.0, dec_degrees=dec_deg)
        altitude, azimuth, _ = place.at(moment).observe(star).apparent().altaz()
        return altitude.radians, azimuth.radians

    # Rigel and the nebula, J2000 (SIMBAD; from memory), as skyfield turns them to the horizon.
    (low, there), (high, here) = horizontal(78.634, -8.202), horizontal(83.819, -5.390)
    east = math.sin(here - there) * math.cos(high)
    north = math.cos(low) * math.sin(high) - math.sin(low) * math.cos(high) * math.cos(here - there)
    drawn = chart(sight(winter, "m42"), winter)
    assert drawn is not None
    assert "Rigel" in drawn.says
    right, up = drawn.goal[0] - drawn.start[0], drawn.goal[1] - drawn.start[1]
    # 3 degrees: the chart is a plane and its middle lies between the two.
    turned = math.degrees(math.atan2(up, right) - math.atan2(north, east))
    assert abs((turned + 180.0) % 360.0 - 180.0) < 3.0


def test_chart_lies_within_its_frame_and_holds_its_start_as_a_star(winter: Evening) -> None:
    high = [
        one
        for one in winter.sights
        if one.kind not in ("moon", "planet") and one.altitude_deg >= 25.0
    ]
    charts = [drawn for one in high if (drawn := chart(one, winter)) is not None]
    # A bright star stands within a hand's width of most things.
    assert len(charts) > len(high) / 2 > 5
    for drawn in charts:
        assert all(abs(x) < 1.0 and abs(y) < 1.0 for x, y, _ in drawn.stars)
        assert max(map(abs, (*drawn.start, *drawn.goal))) < 1.0
        near = min((x - drawn.start[0]) ** 2 + (y - drawn.start[1]) ** 2 for x, y, _ in drawn.stars)
        assert near < 1e-6


def test_every_name_belongs_to_a_star_of_the_survey() -> None:
    # The names' places are from memory; Tycho-2's own stars stand where they should be.
    _, v, names = _naked_eye_stars()
    for row in records("star_names.csv"):
        at = names.index(str(row["name"]))
        assert v[at] == pytest.approx(float(row["magnitude"]), abs=0.35), row["name"]


def test_stars_have_the_names_that_a_language_gives_them() -> None:
    assert set(OTHER_NAMES) <= set(_naked_eye_stars()[2])
    told = _way("Vega", 20.0, (0.0, 0.0), (1.0, 0.0))
    assert str(told).startswith("From Vega")
    assert told.into(Tongue(language="de")).startswith("Von Wega aus 2 Fäuste")
    assert told.into(Tongue(language="fr")).startswith("Depuis Véga")


def test_star_to_begin_with_is_named_beside_its_ring_within_the_frame(winter: Evening) -> None:
    drawn = chart(sight(winter, "m42"), winter)
    assert drawn is not None
    assert drawn.name in str(drawn.says)
    right, up = drawn.name_at
    # Beyond the ring (0.09), on the side away from the goal, and inside.
    assert 0.1 < abs(up - drawn.start[1]) < 0.3
    assert (up - drawn.start[1]) * (drawn.goal[1] - drawn.start[1]) <= 0.0
    assert max(abs(right), abs(up)) < 1.0
