"""What stands around a view: an article, the air's prism, the pupil that brightness goes by."""

from __future__ import annotations

import math

import pytest

import simview
from simview.picture import around_views
from simview.picture.drawing import tongue


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("60/700", "a 60/700 refractor"),
        ("80/400", "an 80/400 refractor"),
        ("150/1200", "a 150/1200 Newtonian"),
        ("demo:tabletop-150", "a 150/750 tabletop reflector"),
    ],
)
def test_instrument_has_its_article_in_english(word: str, said: str) -> None:
    assert around_views.through(simview.find_kit(word).kit) == said


def test_proper_names_and_other_languages_get_no_article() -> None:
    own = simview.Kit(
        name="Aunt Ada's tube",
        telescope=simview.Telescope(aperture_mm=70.0, focal_length_mm=700.0),
        eyepieces=(simview.Eyepiece(focal_length_mm=10.0),),
    )
    assert around_views.through(own) == "Aunt Ada's tube"
    with tongue.speaking("de"):
        assert not around_views.through(simview.find_kit("60/700").kit).startswith("a ")


def ciddor(nm: float) -> float:
    """Refractivity of dry air at 15 deg C, 101325 Pa: Ciddor 1996, Applied Optics 35, 1566, eq. 1.

    Its constants from memory; at 633 nm it gives 2.7653e-4, as published.
    """
    square = (1000.0 / nm) ** 2
    return (5792105.0 / (238.0185 - square) + 167917.0 / (57.362 - square)) * 1e-8


@pytest.mark.parametrize(
    ("name", "word", "told"),
    [
        ("alnitak", "60/700", False),
        ("alnitak", "100/900", False),
        ("alnitak", "150/1200", True),
        ("alnitak", "200/1200", True),
        ("izar", "150/1200", False),
        ("izar", "200/1200", True),
        ("moon", "200/1200", False),
    ],
)
def test_prism_of_the_air_is_told_where_it_draws_stars_out(
    name: str, word: str, told: bool
) -> None:
    kit, sky = simview.find_kit(word).kit, simview.Sky()
    if name == "alnitak":
        sky = simview.Sky(altitude_deg=43.0)
    view = simview.look(kit, simview.target(name), eyepiece=0, sky=sky)
    said = around_views.prism_note(view)
    assert bool(said) == told
    if told:
        flat = math.degrees(ciddor(510.0) - ciddor(610.0)) * 3600.0
        length = flat / math.tan(math.radians(sky.altitude_deg))
        # Cooler air is denser by 2 % and two figures are written: 4 %.
        written = float(said[0].split("out by ")[1].split("″")[0])
        assert written == pytest.approx(length, rel=0.04)


def test_brightness_of_the_moon_names_the_pupil_that_it_goes_by() -> None:
    view = simview.look(simview.find_kit("60/700").kit, simview.target("moon"), eyepiece=0)
    said = around_views.brightness_note(view)
    assert float(said.split(", ")[-1].split()[0]) == pytest.approx(view.beam.eye_pupil_mm, rel=0.05)
    star = simview.look(simview.find_kit("60/700").kit, simview.target("castor"), eyepiece=0)
    assert "pupil" not in around_views.brightness_note(star)
