"""The evening hour by hour: moonlight, twilight, each thing at its best time, and pictures."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from PIL import Image

from simview.advice.firstlist import first_list
from simview.advice.firstviews import first_views
from simview.advice.hours import apart_deg, hours, moon_words
from simview.advice.reading.assemble import read_advert
from simview.advice.rescue import Rescue, rescue
from simview.advice.tonight import Sight, evening
from simview.demo import asset
from simview.kit import Observer, Sky
from simview.kitfile import load_kit

DARK, EYE = Sky(sky_mag_arcsec2=21.3), Observer()
FAINT = ("nebula", "galaxy", "globular")


def listed(day: int, month: int = 11) -> list[str]:
    """The faint things on the list of one evening at 48 degrees north, 11 east."""
    kit = load_kit(asset("kits/tabletop-114.toml"))
    when = evening(2026, month, 48.0, 11.0, day=day)
    found = first_list(kit, when, DARK, EYE, through=hours(when))
    return [one.sight.name for one in found if one.sight.kind in FAINT]


def test_full_moon_takes_faint_things_off_the_list_and_new_moon_leaves_them() -> None:
    # Full Moon 24 November 2026, new Moon 9 November 2026: astronomical almanacs.
    assert len(listed(24)) < len(listed(9))


def test_moon_is_said_to_hide_faint_things_when_it_does() -> None:
    full, new = (evening(2026, 11, 48.0, 11.0, day=day) for day in (24, 9))
    assert "faint nebulae and galaxies pale" in moon_words(hours(full))
    assert "leaves the sky dark" in moon_words(hours(new))
    assert moon_words(hours(evening(2026, 11, 48.0, 11.0))) == ""


def test_hours_run_from_the_end_of_civil_twilight_to_bedtime_on_the_half_hour() -> None:
    found = hours(evening(2026, 11, 52.0, 13.0, day=27))
    clocks = [one.evening.local for one in found]
    assert clocks[0] == "17:30"
    assert clocks[-1] == "22:30"
    assert all(clock.endswith((":00", ":30")) for clock in clocks)
    summer = hours(evening(2026, 6, 52.0, 13.0, day=20))
    # The Sun stands 6 degrees below the horizon of Berlin at about 22:20 then.
    assert summer[0].sun_altitude_deg < -6.0
    assert summer[0].evening.local == "22:30"


def test_each_thing_stands_at_its_own_time_and_no_lower_than_it_must() -> None:
    kit = load_kit(asset("kits/tabletop-114.toml"))
    when = evening(2026, 11, 48.0, 11.0, day=9)
    found = first_list(kit, when, DARK, EYE, through=hours(when))
    times = [one.moment for one in found if one.moment is not None]
    assert len(times) == len(found)
    assert times == sorted(times)
    assert len({one.sight.when for one in found}) > 1
    assert all(one.sight.altitude_deg >= 15.0 for one in found if one.sight.kind != "moon")


def test_angle_between_two_sights_is_that_on_the_sphere() -> None:
    def sight(altitude: float, azimuth: float) -> Sight:
        return Sight(
            name="x", title="x", kind="double", altitude_deg=altitude, azimuth_deg=azimuth,
            magnitude=5.0,
        )  # fmt: skip

    assert apart_deg(sight(0.0, 0.0), sight(0.0, 90.0)) == pytest.approx(90.0)
    assert apart_deg(sight(60.0, 0.0), sight(60.0, 180.0)) == pytest.approx(60.0)


@pytest.mark.parametrize(
    ("lit", "words"), [(0.99, "no shadows"), (0.5, "Craters"), (0.08, "thin crescent")]
)
def test_moon_is_described_by_its_phase(lit: float, words: str) -> None:
    kit = load_kit(asset("kits/tabletop-114.toml"))
    when = evening(2026, 11, 48.0, 11.0)
    moon = next(one for one in when.sights if one.kind == "moon")
    alone = replace(when, sights=(replace(moon, lit=lit),))
    (found,) = first_list(kit, alone, DARK, EYE)
    assert words in found.view


@pytest.fixture(scope="module")
def owner() -> Rescue:
    text = "Refractor 70/700, achromat, EQ1, eyepieces 20 mm and 4 mm, 3x Barlow, red dot finder"
    found = rescue(read_advert(text), year=2026, month=11, day=27, latitude_deg=52.0)
    assert found is not None
    return found


def test_nothing_that_stays_in_the_box_is_used_on_the_list(owner: Rescue) -> None:
    left = {str(one.name) for one in owner.pieces if not one.keep}
    assert left
    assert not any(name in str(one.piece) for one in owner.objects for name in left)


def test_each_thing_has_its_picture_and_they_differ(owner: Rescue) -> None:
    few = replace(owner, objects=owner.objects[:3])
    made = first_views(few, EYE)
    assert set(made) == {one.sight.name for one in few.objects}
    for picture in made.values():
        image = Image.open(io.BytesIO(picture))
        assert image.size == (240, 240)
        low, high = image.convert("L").getextrema()
        assert high - low > 20  # something is to be seen
    assert len(set(made.values())) == len(made)
