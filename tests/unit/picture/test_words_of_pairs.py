"""What a sheet of a pair says: touching discs, and where a gap is too fine for the whole view."""

from __future__ import annotations

import pytest

import simview
from simview.picture import pair_words
from simview.picture.detail.detail_sheet import detail
from simview.picture.drawing import dress, text
from simview.picture.drawing.shapes import page_of
from simview.picture.views.compose import view


def a_kit(aperture_mm):
    scope = simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=8.0 * aperture_mm)
    return simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=10.0),))


def said(separation, magnitudes=(5.0, 5.0), *, aperture_mm=100.0, air="none"):
    double = [separation, 0.0, *magnitudes]
    target = simview.target("double", double=double)
    sky = simview.Sky(air=air, altitude_deg=80.0)
    looked = simview.look(a_kit(aperture_mm), target, power=2.0 * aperture_mm, sky=sky)
    return pair_words.rows(looked)[0][1]


@pytest.mark.parametrize("aperture_mm", [80.0, 150.0])
def test_discs_touch_at_rayleighs_limit_and_stand_apart_at_twice_that(aperture_mm):
    # A dip of a quarter at 138 / mm (Rayleigh 1879); at twice that a perfect telescope leaves a
    # fiftieth of the light between them.
    rayleigh = 138.0 / aperture_mm
    assert said(1.03 * rayleigh, aperture_mm=aperture_mm).startswith("touching")
    assert said(2.0 * rayleigh, aperture_mm=aperture_mm).startswith("split")
    assert said(0.7 * rayleigh, aperture_mm=aperture_mm).startswith("elongated")


def test_faint_companion_far_out_in_the_halo_does_not_touch():
    assert said(9.4, (0.1, 6.8), aperture_mm=60.0, air="best").startswith("split")


def test_whole_view_draws_finer_dots_for_a_pair_that_they_would_join():
    looked = simview.look(a_kit(100.0), simview.target("castor"), power=150.0)
    apart_px = 14.0 / 60.0 * 20.0  # 5.6 arcsec at 150 times, 20 pixels a degree
    dot, parted = pair_words.dots(looked, 20.0, 3.0)
    assert parted
    assert 1.6 < dot < 3.0
    assert apart_px > 1.5 * dot
    assert pair_words.dots(looked, 40.0, 3.0) == (3.0, True)
    # Too fine for the print: the dots stay, and words say where to look.
    assert pair_words.dots(looked, 8.0, 3.0) == (3.0, False)
    single = simview.look(a_kit(50.0), simview.target("izar"), power=25.0)
    assert pair_words.dots(single, 8.0, 3.0) == (3.0, True)


@pytest.mark.parametrize("name", ["castor", "rigel", "izar", "mizar", "porrima"])
def test_dots_of_a_whole_view_are_as_large_through_any_telescope(name):
    sizes = {
        pair_words.dots(simview.look(a_kit(mm), simview.target(name), power=power), 15.4, 3.0)[0]
        for mm, power in ((60.0, 117.0), (100.0, 150.0), (200.0, 200.0))
    }
    assert len(sizes) == 1


@pytest.mark.parametrize(("power", "told"), [(300.0, False), (100.0, True)])
def test_sheet_says_that_the_gap_shows_in_the_loupe_where_the_view_is_too_small(power, told):
    wearing = dress.Dress(vector=True)
    with dress.wearing(wearing):
        sheet = view(a_kit(150.0), simview.target("porrima"), power=power, size=(960, 540))
    words = " ".join(written.text for written in page_of(sheet.image).words)
    assert ("gap shows in the loupe" in words) == told


@pytest.mark.parametrize("size", [(1920, 1080), (1080, 1920)])
def test_curve_names_also_what_a_pair_is_in_a_narrow_range_of_powers(size):
    # Castor parts at 34 times in 150 mm: all that it is before is crowded into the curve's start.
    with dress.wearing(dress.Dress(vector=True)):
        sheet = detail(simview.find_kit("150/1200").kit, simview.target("castor"), size=size)
    written = {word.text: word for word in page_of(sheet.image).words}
    names = [written[name] for name in ("one star", "at the limit", "notched")]
    starts = [name.place[0] for name in names]
    assert starts == sorted(starts)
    for name, after in zip(names, starts[1:], strict=False):
        assert name.place[0] + text.width_px(name.text, name.size) < after


def test_faint_companion_far_from_its_star_is_called_faint_and_an_easy_one_split():
    # Rigel in 60 mm asks for patience, in 150 mm for none (common practice, no source); the two
    # stand a third of a degree apart at the eye: no gap is narrow there.
    small, large = (simview.find_kit(word).kit for word in ("60/700", "150/1200"))
    words = [
        pair_words.rows(
            simview.look(
                kit, simview.target("rigel"), power=power, sky=simview.Sky(altitude_deg=37.0)
            )
        )[0][1]
        for kit, power in ((small, 117.0), (large, 200.0))
    ]
    assert words[0].startswith("split, one faint")
    assert words[1].startswith("split")
