"""What composed sheets say and show: doubles' verdicts, a photograph beside the eye, displays."""

import json

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.picture import captions
from simview.picture.again import redo
from simview.picture.prints.display import Display
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.picture.views import comparing, compose
from simview.picture.views.comparing import photo_panel

SIZE = (960, 540)
SKY = simview.Sky(seeing_arcsec=2.0)
KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3),
    eyepieces=(simview.Eyepiece(focal_length_mm=25.0), simview.Eyepiece(focal_length_mm=5.0)),
    name="A reflector",
)


def compared(name, choices, **more):
    panels = [(KIT, None, power) for power in choices]
    return comparing.compare(panels, simview.target(name), sky=SKY, size=SIZE, **more)


def test_every_sheet_says_whether_it_splits_a_double():
    castor = simview.target("castor")
    ladder = compose.ladder(KIT, castor, powers=[30.0, 150.0], sky=SKY, size=SIZE)
    single = compose.view(KIT, castor, power=150.0, sky=SKY, size=SIZE)
    both = compared("castor", [30.0, 150.0])
    told = [*ladder.figures["steps"], single.figures, *both.figures["panels"]]
    own = {"verdict", "grade", "elongation", "limit"}
    assert all(set(figures["splits"]) == own for figures in told)
    # 5.6 arcsec stand 14 arcmin apart at 150 times: split by everybody (common practice).
    assert [f["splits"]["verdict"] for f in told if f["power"] == 150.0] == ["split"] * 3


def test_double_that_is_not_split_says_why():
    close = simview.target("double", double=(0.8, 0.0, 4.0, 6.0))
    figures = compose.view(KIT, close, power=150.0, sky=SKY, size=SIZE).figures
    assert figures["splits"]["verdict"] in ("single", "elongated")
    assert figures["splits"]["limit"]


def test_rows_tell_the_verdict_and_the_separation_at_the_eye():
    view = simview.look(KIT, simview.target("castor"), power=150.0, sky=SKY)
    name, value = captions.short_rows(view)[-1]
    assert name == "the pair"
    # 5.62 arcsec times 150 over 60.
    assert value == "split, 14′ apart"


def test_planets_say_nothing_of_splitting():
    figures = compose.view(KIT, simview.target("saturn"), power=150.0, sky=SKY, size=SIZE).figures
    assert "splits" not in figures


def test_photograph_stands_beside_the_eye_on_the_same_field():
    both = compared("saturn", [30.0, 30.0], looks=["photo", "eye"])
    assert [panel["look"] for panel in both.figures["panels"]] == ["photo", "eye"]
    view = simview.look(KIT, simview.target("orion-nebula"), power=30.0, sky=SKY)
    photo = photo_panel(view, 3600.0 / (5.0 * 30.0), 250).astype(float)
    wanted = [Wanted(view=view, pixels_per_degree=5.0, pixels=250)]
    eye = develop_all(wanted).panels[0].astype(float)
    # The photograph: brighter by far, and red, which no eye sees at night.
    assert photo.mean() > 1.5 * eye.mean()
    red, _, blue = photo.mean(axis=(0, 1))
    assert red > 1.2 * blue
    red, _, blue = eye.mean(axis=(0, 1))
    assert red <= blue


def test_photograph_is_turned_as_the_view_is():
    view = simview.look(KIT, simview.target("orion-nebula"), power=30.0, sky=SKY)
    assert view.beam.orientation == "turned"
    from simview.scene.long_exposure_photo import photograph

    straight = photograph(view.target, pixel_arcsec=60.0, pixels=64)
    turned = photo_panel(view, 60.0, 64)
    # Turned by half a turn about pixel n // 2.
    np.testing.assert_array_equal(turned[1:, 1:], straight[:0:-1, :0:-1])


def test_comparison_with_a_photograph_is_made_again():
    both = compared("saturn", [30.0, 30.0], looks=["photo", "eye"])
    assert both.recipe["looks"] == ["photo", "eye"]
    again = redo(json.loads(json.dumps(both.recipe)))
    assert np.array_equal(np.asarray(both.image), np.asarray(again.image))


def test_recipe_from_before_photographs_still_works():
    both = compared("saturn", [150.0])
    old = {key: value for key, value in both.recipe.items() if key not in ("looks", "display")}
    assert np.array_equal(np.asarray(redo(old).image), np.asarray(both.image))


@pytest.mark.parametrize("looks", [["photo", "photo"], ["eye"], ["eye", "nose"]])
def test_looks_that_make_no_sheet_are_refused(looks):
    with pytest.raises(SimviewError, match="look"):
        compared("saturn", [30.0, 150.0], looks=looks)


def test_views_with_adaptations_of_their_own_do_not_show_dimming():
    jupiter = simview.target("jupiter")
    views = [simview.look(KIT, jupiter, power=p, sky=SKY) for p in (30.0, 1500.0)]
    # The same 60 arcsec of sky in both.
    wanted = [
        Wanted(view=view, pixels_per_degree=96.0 * 60.0 / view.beam.power, pixels=96)
        for view in views
    ]

    def disc(adapt):
        panels = develop_all(wanted, display=Display(adapt=adapt)).panels
        return [float(panel[40:56, 40:56].mean()) for panel in panels]

    common, own = disc("sheet"), disc("each")
    # At 1500 times the planet sends 1/2500 of the light: dark beside the other, bright alone.
    assert common[1] < 0.5 * common[0]
    assert own[1] > 1.5 * common[1]


def test_caption_tells_display_and_adaptation():
    views = [simview.look(KIT, simview.target("saturn"), power=p, sky=SKY) for p in (30.0, 60.0)]
    wanted = [Wanted(view=view, pixels_per_degree=5.0, pixels=128) for view in views]
    display = Display(white_cd_m2=250.0, distance_heights=4.0, adapt="each")
    told = captions.caption(views[0], develop_all(wanted, display=display))
    assert "white of 250 cd/m²" in told
    assert "4 sheet heights" in told
    assert "exposure of its own" in told


def test_display_of_a_sheet_is_kept_in_its_recipe():
    display = Display(white_cd_m2=30.0, distance_heights=6.0)
    sheet = compose.view(
        KIT, simview.target("saturn"), power=30.0, sky=SKY, size=SIZE, display=display
    )
    assert sheet.recipe["display"] == {
        "white_cd_m2": 30.0,
        "distance_heights": 6.0,
        "adapt": "sheet",
        "flare": 0.01,
    }
    again = redo(sheet.recipe)
    assert np.array_equal(np.asarray(sheet.image), np.asarray(again.image))


@pytest.mark.parametrize("display", [{"white": 3}, "bright", {"white_cd_m2": -1.0}])
def test_broken_display_in_a_recipe_is_refused(display):
    sheet = compared("saturn", [150.0])
    with pytest.raises(SimviewError):
        redo({**sheet.recipe, "display": display})


def test_bright_disc_is_no_flat_white_and_dark_sky_no_flat_black():
    # Mars, which has no moons: those are stars, and bright stars print white.
    sheet = compose.view(KIT, simview.target("mars"), power=150.0, sky=SKY, size=SIZE)
    picture = np.asarray(sheet.image)
    # No channel of the print touches the end (words aside: the right part of the sheet).
    views = picture[80:460, :500]
    assert views.max() < 255
    assert views.min() > 0


def test_glows_say_whether_they_are_seen():
    nebula = simview.target("orion-nebula")
    dark, town = (
        simview.look(KIT, nebula, power=30.0, sky=simview.Sky(sky_mag_arcsec2=mag))
        for mag in (21.5, 18.0)
    )
    over = [captions.verdicts(view)["above_threshold"] for view in (dark, town)]
    assert over[0] > 2.0 * over[1]
    # Everybody sees it in a dark sky (common practice).
    assert over[0] > 5.0
    assert captions.short_rows(dark)[-1][0] == "glow over limit"
