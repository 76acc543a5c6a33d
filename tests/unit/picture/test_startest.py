"""The star test's pictures and its sheet: scales, labels, symmetry, recipe."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import simview
from simview.errors import RangeError, SimviewError
from simview.picture import again
from simview.picture.startest.patterns import Sizes, StarTest, StarViews
from simview.picture.startest.star_contents import signed
from simview.picture.startest.star_layout import Layout
from simview.picture.startest.star_sheet import startest
from simview.picture.startest.tested import read, recipe
from simview.picture.views.single import life_size
from simview.telescope.faults import parse

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.25)
KIT = simview.Kit(name="Try", telescope=SCOPE)
SIZES = Sizes(panel=96, cut_width=300, cut_height=40, small=40, life_size=20.0)
SMALL = (960, 540)


def views(**more: object) -> StarViews:
    return StarViews(test=StarTest(kit=KIT, **more), sizes=SIZES)


def test_travel_is_even_and_told_in_millimetres() -> None:
    test = StarTest(kit=KIT, travel_waves=6.0)
    assert np.diff(test.travel()) == pytest.approx(2.0)
    # Born & Wolf, section 8.8: 8 F^2 wavelength a wave; f/5, 550 nm: 0.11 mm.
    assert test.travel_mm() == pytest.approx(0.11 * test.travel(), rel=1e-6)


def test_fitted_panels_hold_the_light_of_the_outermost_discs() -> None:
    for waves in (1.0, 6.0):
        assert views(travel_waves=waves).caught() > 0.85


def test_given_power_sets_life_size() -> None:
    at_200 = views(power=200.0)
    # Degrees at the eye across a panel, at the sheet's pixels per degree.
    assert at_200.pixel_arcsec * 96 * 200.0 / 3600.0 * 20.0 == pytest.approx(96.0)
    assert at_200.power == pytest.approx(200.0)
    # A disc of W waves is 8 W wavelength / aperture wide (geometry): here 36 arcsec of it.
    fitted = views()
    assert fitted.power == pytest.approx(3600.0 / (fitted.pixel_arcsec * 20.0))


def test_perfect_telescopes_panels_are_alike_on_both_sides() -> None:
    panels = views().panels()
    for k in range(3):
        # Row and column 0 have no partner; eight bits and a pattern of noise against steps.
        inside = panels[k][1:, 1:].astype(int)
        outside = panels[6 - k][1:, 1:][::-1, ::-1].astype(int)
        assert np.abs(inside - outside).max() <= 2


def test_panel_in_focus_is_enlarged_by_the_factor_told() -> None:
    sizes = replace(SIZES, panel=280)
    found = StarViews(test=StarTest(kit=KIT, colour="550"), sizes=sizes)
    assert found.factor > 2
    # A pixel takes light in proportion to its area: the brightest one has 1 / factor^2 of it.
    plain, enlarged = found._strip[3][..., 1].max(), found._focus[..., 1].max()
    assert plain / enlarged == pytest.approx(found.factor**2, rel=0.01)


def test_common_exposure_keeps_the_order_of_brightness() -> None:
    one_each = [p.max() for p in views().panels()]
    common = [p.max() for p in views(common=True).panels()]
    assert min(one_each) > 200
    assert common[3] > common[2] > common[1] > common[0]


def test_cut_is_the_perfect_telescopes_hourglass() -> None:
    cut = views().cut().astype(float).sum(axis=2)
    assert cut.shape == (40, 300)
    width = (cut > 0.35 * cut.max(axis=0)).sum(axis=0)
    assert width[150] < width[75] < width[5]
    assert np.abs(cut - cut[:, ::-1]).mean() < 0.02 * cut.max()


def test_cut_follows_a_fault_that_points_upwards() -> None:
    assert views(faults=(parse("coma=0.3@90"),)).along() == "y"
    assert views(faults=(parse("coma=0.3@10"),)).along() == "x"


def test_profile_starts_at_strehl_for_an_even_fault() -> None:
    faults = (parse("undercorrection=0.25"),)
    radius, own, best = views(faults=faults, colour="550").profiles()
    assert radius[0] == 0.0
    assert best[0] == 1.0
    # Balanced spherical of a quarter wave over an obstruction of 0.25: near the clear pupil's 0.80.
    assert own[0] == pytest.approx(0.83, abs=0.04)


@pytest.mark.parametrize("size", [(960, 540), (1920, 1080), (1280, 1024), (2400, 1000)])
@pytest.mark.parametrize("positions", [3, 7, 11])
def test_layout_keeps_everything_on_the_sheet(size: tuple[int, int], positions: int) -> None:
    layout = Layout.of(size, positions)
    assert layout.panel >= 40
    assert layout.centres[0] - layout.panel / 2 >= layout.area.left
    assert layout.centres[-1] + layout.panel / 2 <= layout.area.right
    assert layout.cut_top + layout.cut_height < layout.charts_top < layout.area.bottom


def test_labels_carry_their_sign() -> None:
    assert [signed(v) for v in (-6.0, 0.0, 2.0, -0.22)] == ["−6", "0", "+2", "−0.22"]


def test_sheet_and_recipe_make_the_same_picture_twice() -> None:
    test = StarTest(
        kit=KIT,
        faults=(parse("coma=0.3@40"), parse("zone=0.1,radius=0.5")),
        colour="green",
        common=True,
        travel_waves=3.0,
        positions=5,
        power=150.0,
    )
    first = startest(test, size=SMALL)
    second = again.redo(first.recipe)
    assert np.array_equal(np.asarray(first.image), np.asarray(second.image))
    assert first.figures == second.figures
    assert [row["faults"] for row in first.figures["rows"]] == [{"coma": 0.3, "zone": 0.1}, {}]
    larger = again.redo(first.recipe, size=(1280, 720))
    assert larger.image.size == (1280, 720)


def test_recipe_is_read_back_as_it_was_asked() -> None:
    test = StarTest(kit=KIT, faults=(parse("miscollimation=2mm@30"),), power=200.0)
    assert read(recipe(test, SMALL)) == (test, SMALL)


@pytest.mark.parametrize(
    "spoil",
    [
        {"kits": []},
        {"kits": ["nonsense ="]},
        {"faults": ["comma=2"]},
        {"faults": 3},
        {"positions": "seven"},
        {"travel_waves": None},
        {"power": "much"},
        {"colour": "puce"},
        {"size": [1, 2, 3]},
    ],
    ids=str,
)
def test_spoilt_recipe_is_refused(spoil: dict[str, object]) -> None:
    good = recipe(StarTest(kit=KIT), SMALL)
    with pytest.raises(SimviewError):
        again.redo(good | spoil)


@pytest.mark.parametrize(
    "wrong",
    [
        {"travel_waves": 0.0},
        {"travel_waves": float("nan")},
        {"positions": 4},
        {"positions": True},
        {"power": -5.0},
        {"colour": "mauve"},
    ],
    ids=str,
)
def test_values_out_of_range_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(SimviewError):
        StarTest(kit=KIT, **wrong)


def test_what_cannot_be_sampled_is_told_in_the_users_terms() -> None:
    test = StarTest(kit=KIT, faults=(parse("coma=29"),), travel_waves=40.0)
    with pytest.raises(RangeError, match=r"take --travel 15$"):
        startest(test, size=SMALL)


def test_kit_without_a_telescope_is_refused() -> None:
    with pytest.raises(SimviewError, match="a telescope"):
        StarTest(kit=simview.Kit(name="eye"))


def test_discs_too_large_for_the_power_are_remarked_on() -> None:
    made = startest(StarTest(kit=KIT, power=2000.0, colour="550", positions=3), size=SMALL)
    assert "lower --power" in made.remarks[0]
    assert startest(StarTest(kit=KIT, colour="550", positions=3), size=SMALL).remarks == ()


def test_kits_own_faults_stay_in() -> None:
    own = replace(SCOPE, wavefront=simview.Wavefront(spherical=0.3))
    test = StarTest(kit=replace(KIT, telescope=own))
    assert test.perfect.wavefront == simview.Wavefront()
    assert test.afflicted().scope.wavefront.spherical == pytest.approx(0.3)
    assert life_size(SMALL) > 0.0
