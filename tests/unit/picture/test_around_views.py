"""What stands around a view: an article, the air's prism, the pupil that brightness goes by."""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview.picture import around_views, captions
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
        assert around_views.through(simview.find_kit("60/700").kit) == "Refraktor 60/700"
        assert around_views.through(own) == "Aunt Ada's tube"


@pytest.mark.parametrize(("word", "turned"), [("60/700", "mirrored"), ("150/1200", "turned")])
@pytest.mark.parametrize(("angle", "way"), [(0.0, "north"), (90.0, "east")])
def test_north_and_east_lie_where_the_sheet_of_a_pair_says(
    word: str, turned: str, angle: float, way: str
) -> None:
    # Position angles run from north through east (conventions of double stars): the fainter star of
    # a pair at 90 degrees stands in the east of the brighter one, wherever the view has the east.
    target = simview.target("double", double=[60.0, angle, 2.0, 7.0])
    view = simview.look(simview.find_kit(word).kit, target, power=60)
    said = captions.stands(view)
    assert said.startswith(turned)
    told = said.split(f"{way} ")[1].split(",")[0]
    light = np.asarray(view.image(pixels_per_degree=20).convert("L"), float)
    rows, columns = np.nonzero(light > 0.9 * light.max())
    y, x = rows.mean(), columns.mean()
    down, right = (at - x0 for at, x0 in zip(np.indices(light.shape), (y, x), strict=True))
    near = light * ((np.hypot(down, right) > 8.0) & (np.hypot(down, right) < 40.0))
    row, column = np.unravel_index(near.argmax(), near.shape)
    found = {"up": y - row, "down": row - y, "right": column - x, "left": x - column}
    assert max(found, key=lambda name: found[name]) == told


def test_seeing_is_told_at_the_zenith_and_where_the_object_stands() -> None:
    # Seeing grows with the air mass to the power 0.6 (Fried 1966; Roddier 1981).
    for height in (20.0, 50.0, 90.0):
        there = 2.0 * math.sin(math.radians(height)) ** -0.6
        said = captions.air(simview.Sky(seeing_arcsec=2.0, altitude_deg=height))
        assert f"seeing 2.0″ at the zenith, {there:.1f}″ at the object, {height:.0f}° high" in said


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
    # What the beam lights of that pupil, less the glass, is the brightness told.
    share, passed = view.numbers["relative_brightness"] or 0.0, view.beam.transmission
    assert float(said.split("pupil ")[1].split()[0]) == pytest.approx(
        view.beam.used_pupil_mm * math.sqrt(passed / share), rel=0.01
    )
    large = simview.look(simview.find_kit("200/1200").kit, simview.target("moon"), eyepiece=0)
    assert around_views.brightness_note(large) == said
    star = simview.look(simview.find_kit("60/700").kit, simview.target("castor"), eyepiece=0)
    assert not around_views.brightness_note(star)
