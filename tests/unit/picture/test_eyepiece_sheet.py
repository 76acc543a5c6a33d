"""The sheet of an eyepiece: colours, spots, drawing, figures, and the sheet made again."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.eye.colour import WAVELENGTHS_NM, response
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.eyepiece.lensfile import lens
from simview.kit import Kit, Telescope
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import GROUND
from simview.picture.drawing.sheet import Area
from simview.picture.eyepieces.eyepiece_contents import numbers, spot_width_arcmin
from simview.picture.eyepieces.eyepiece_sheet import again, eyepiece
from simview.picture.eyepieces.lens_drawing import CROWN, FLINT, draw_lens, traced_paths
from simview.picture.eyepieces.views import colour_weights, field_view, pattern, printed, spot_view

SIZE = (960, 540)
KIT = Kit(telescope=Telescope(aperture_mm=100.0, focal_length_mm=800.0), name="Invented 100/800")


@pytest.fixture(scope="module")
def ramsden() -> EyepieceFigures:
    return eyepiece_figures("ramsden", 20.0, 8.0, 800.0)


def middle(view: np.ndarray, channel: int) -> np.ndarray:
    """Return the middle of a colour's light over the ground, (x, y) from the centre."""
    light = view[..., channel].astype(float) - GROUND[channel]
    y, x = np.indices(light.shape) - light.shape[0] // 2
    return np.array([(light * x).sum(), (light * y).sum()]) / light.sum()


def test_white_light_is_printed_grey():
    shades = printed(np.full((3, 4, 4), 0.4))
    assert np.ptp(shades.astype(int), axis=-1).max() <= 1
    # sRGB of linear 0.4 is 0.665 (IEC 61966-2-1).
    assert shades.mean() == pytest.approx(0.665 * 255.0, abs=1.5)


def test_weights_of_the_wavelengths_sum_to_the_tables_over_the_band():
    weights = colour_weights()
    band = (WAVELENGTHS_NM >= 420.0) & (WAVELENGTHS_NM < 690.0)
    np.testing.assert_allclose(weights.sum(axis=1), response()[:3, band].sum(axis=1), rtol=1e-12)
    # CIE 1931: X peaks at 600 nm, Y at 555 nm, Z between 445 and 450 nm with a long tail upwards.
    assert weights.argmax(axis=1).tolist() == [6, 4, 1]


def test_colours_that_no_display_shows_keep_their_luminance():
    planes = np.zeros((3, 1, 1))
    planes[2] = 0.3
    planes[1] = 0.02
    shade = printed(planes)[0, 0] / 255.0
    linear = np.where(shade <= 0.04045, shade / 12.92, ((shade + 0.055) / 1.055) ** 2.4)
    assert linear @ [0.2126, 0.7152, 0.0722] == pytest.approx(0.02, abs=2e-3)
    assert shade[2] == shade.max()


def test_spot_at_the_edge_shows_blue_outside_red(ramsden):
    view = spot_view(ramsden, 16.0, 141, 20.0, refocus=False)
    blue, red = middle(view, 2), middle(view, 0)
    assert abs(blue[0] - red[0]) < 1.0
    # The edge is upwards: row numbers fall outwards.
    assert (red[1] - blue[1]) / 141.0 * 20.0 > 1.5


def test_refocused_spot_is_smaller_where_the_field_is_curved():
    kellner = eyepiece_figures("kellner", 20.0, 8.0, 800.0)
    width = spot_width_arcmin(kellner)
    before, after = (spot_view(kellner, 22.0, 101, width, refocus=r) for r in (False, True))
    lit = [(view.max(axis=-1) > 40).sum() for view in (before, after)]
    assert lit[1] < 0.4 * lit[0]


def test_pattern_has_its_lines_and_stars_where_they_are_said_to_be():
    scale, field = 10.0, 40.0
    light = pattern(420, scale, field)
    assert light[210, 210] == light.max()
    assert light[210, 260] > 1.3 * light[205, 255]  # the line at 5 degrees against bare sky
    assert light[233, 283] == pytest.approx(light[227, 277], rel=1e-3)


def test_field_is_seen_round_and_bounded(ramsden):
    scale = 6.0
    side = 2 * math.ceil(ramsden.apparent_field_deg * scale / 2.0) + 20
    view = field_view(ramsden, side, scale)
    y, x = np.indices((side, side)) - side // 2
    away = np.hypot(x, y) / scale
    assert (view[away > 17.0] == GROUND).all()
    assert view[away < 15.0].min() > 30


def test_rays_that_are_drawn_meet_the_focus_and_the_eye(ramsden):
    place = ramsden.place
    paths = traced_paths(ramsden, 0.0, place.focus_mm - 5.0, place.eye_mm + 5.0)
    assert len(paths) == 5
    for path in paths:
        (z0, y0), (z1, y1) = path[0], path[1]
        at_focus = y0 + (y1 - y0) * (place.focus_mm - z0) / (z1 - z0)
        assert at_focus == pytest.approx(0.0, abs=1e-9)
        assert path[-1][1] == pytest.approx(path[-2][1], abs=0.02), "the middle leaves parallel"
    assert paths[0][-1][1] == pytest.approx(ramsden.exit_pupil_mm / 2.0, rel=0.02)


def test_glass_is_drawn_in_the_shade_of_its_kind():
    for design, flint in (("ramsden", False), ("kellner", True)):
        canvas = Canvas(SIZE)
        figures = eyepiece_figures(design, 20.0, 8.0, 800.0)
        draw_lens(canvas, Area(left=20.0, top=20.0, right=520.0, bottom=320.0), figures)
        shades = np.asarray(canvas.image).reshape(-1, 3)
        assert (shades == CROWN).all(axis=1).sum() > 500
        assert ((shades == FLINT).all(axis=1).sum() > 200) == flint


@pytest.mark.parametrize("design", ["huygens", "erfle"])
def test_sheet_is_made_again_from_its_recipe(design):
    made = eyepiece(KIT, lens(design, 25.0), size=SIZE)
    recipe = json.loads(json.dumps(made.recipe))
    twin = again(recipe)
    assert twin.image.size == SIZE
    assert twin.image.tobytes() == made.image.tobytes()
    assert twin.figures == made.figures
    assert again(recipe, size=(1280, 720)).image.size == (1280, 720)


def test_broken_recipe_is_refused():
    recipe = eyepiece(KIT, lens("ramsden", 25.0), size=SIZE).recipe
    for key in ("lens", "kits", "name", "size", "apparent_field_deg"):
        with pytest.raises(SimviewError, match="recipe"):
            again({name: value for name, value in recipe.items() if name != key})


def test_figures_are_plain_numbers_and_agree_with_first_order(ramsden):
    told = numbers(ramsden, 40.0)
    json.dumps(told)
    assert told["exit_pupil_mm"] == pytest.approx(20.0 / 8.0)
    true = math.radians(told["true_field_arcmin"] / 60.0)
    # Field stop over focal length, as in the first-order room.
    assert 2.0 * math.tan(true / 2.0) * 800.0 == pytest.approx(told["field_stop_mm"], rel=1e-9)
    assert [row["angle_deg"] for row in told["field"]] == pytest.approx([0, 4, 8, 12, 16])


def test_kit_without_a_telescope_is_refused():
    with pytest.raises(SimviewError, match="a telescope"):
        eyepiece(Kit(name="naked eye"), lens("ramsden", 25.0), size=SIZE)
