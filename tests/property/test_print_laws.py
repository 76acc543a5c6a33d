"""What must hold for every print: more light never prints darker, and the like."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simview.eye.retina import Retina
from simview.picture.drawing import panel, text
from simview.picture.prints import hue, response, tone
from simview.picture.prints.adapting import adapt
from simview.picture.prints.response import Levels

# From the darkest sky through a small exit pupil to a sunlit landscape.
troland = st.floats(-6.0, 5.0).map(lambda x: 10.0**x)


@st.composite
def views(draw):
    background = draw(troland)
    return Levels(
        extent_deg=draw(st.floats(1.0, 100.0)),
        white_td=background * 10.0 ** draw(st.floats(0.0, 6.0)),
        background_td=background,
        background_scotopic_td=background * draw(st.floats(0.3, 3.0)),
    )


adaptations = st.builds(
    lambda sheet, peaks: adapt(sheet, star_peaks_td=peaks),
    st.lists(views(), min_size=1, max_size=8),
    st.lists(troland, max_size=6),
)


@given(adapted=adaptations)
def test_more_light_never_prints_darker(adapted):
    light = np.geomspace(1e-7, 1e7, 400)
    for curve in (
        response.cone_print,
        response.rod_print,
        response.surface_print,
        response.star_print,
    ):
        assert np.all(np.diff(curve(light, adapted)) >= 0.0)
    assert np.all(np.diff(hue.colourfulness(light)) >= 0.0)


@given(adapted=adaptations, light=troland, more=st.floats(1.0, 1e4))
def test_a_brighter_view_never_prints_darker(adapted, light, more):
    # The brightest surface of a view, and a surface of a tenth of its light in the same view.
    for part in (1.0, 0.1):
        dim, bright = (
            response.surface_print(part * top, adapted.for_view(top))
            for top in (light, more * light)
        )
        assert bright >= dim * (1.0 - 1e-12)


@given(adapted=adaptations, light=troland)
def test_a_view_prints_no_darker_than_under_the_sheets_white(adapted, light):
    own = adapted.for_view(light)
    assert own.white_td <= adapted.white_td
    assert response.surface_print(light, own) >= response.surface_print(light, adapted)
    # Never as bright as the sheet's own white, unless it is.
    assert own.white_td >= min(light, adapted.white_td) * (1.0 - 1e-12)


@given(adapted=adaptations)
def test_bright_surfaces_rise_all_the_way_to_the_sheets_white(adapted):
    light = adapted.white_td * np.geomspace(0.01, 1.0, 60)
    rise = np.diff(np.log(response.cone_print(light, adapted))) / np.diff(np.log(light))
    # A logarithmic slope of 3/4 at the least, HEADROOM / (1 + HEADROOM).
    assert np.all(rise > 0.749)


@given(adapted=adaptations, peaks=st.lists(troland, min_size=1, max_size=20))
def test_star_factors_only_take_light_away(adapted, peaks):
    factors = tone.star_factors(np.array(peaks), adapted)
    assert np.all(factors > 0.0)
    assert np.all(factors <= 1.0)


@given(adapted=adaptations, peak=troland)
def test_a_brighter_star_prints_brighter_after_its_factor(adapted, peak):
    pair = np.array([peak, 1.5 * peak])
    printed = pair * tone.star_factors(pair, adapted)
    assert printed[1] > printed[0]


@given(sheet=st.lists(views(), min_size=2, max_size=6))
def test_adaptation_knows_no_order(sheet):
    assert adapt(sheet) == adapt(sheet[::-1])


@given(sheet=st.lists(views(), min_size=1, max_size=6))
def test_a_view_shown_twice_changes_nothing(sheet):
    assert adapt(sheet) == adapt([*sheet, sheet[-1]])


@given(adapted=adaptations, light=troland, more=st.floats(1.0, 100.0))
def test_more_light_never_gets_a_lower_code(adapted, light, more):
    codes = []
    for level in (light, light * more):
        planes = (np.array([0.95, 1.0, 1.09, 2.0])[:, None, None] * level).astype(np.float32)
        planes = np.broadcast_to(planes, (4, 16, 16))
        retina = Retina(
            extended=planes,
            points=np.zeros_like(planes),
            pixels_per_degree=4.0,
            eye_pupil_mm=6.0,
        )
        codes.append(tone.develop(retina, adapted)[..., 1].astype(int))
    # The same dither on both: no pixel may fall.
    assert np.all(codes[1] >= codes[0])


@given(value=st.floats(1e-6, 1e6))
def test_a_figure_is_right_to_half_its_last_place(value):
    shown = float(text.figure(value))
    assert shown == pytest.approx(value, rel=0.05 + 1e-9)


@given(value=st.floats(1e-3, 3e5))
def test_an_angle_means_what_it_says(value):
    words = text.angle(value)
    unit = {"″": 1.0, "′": 60.0, "°": 3600.0}[words[-1]]
    assert float(words[:-1]) * unit == pytest.approx(value, rel=0.0501)


@given(scale=st.floats(1e-3, 1e3), room=st.floats(20.0, 2000.0))
def test_a_scale_bar_is_never_longer_than_its_room(scale, room):
    bar = panel.scale_bar(scale, room)
    shortest = 0.01 * scale
    assert bar.length_px <= max(room, shortest)
    # Nor needlessly short: the next round length would not have fitted, and none is more than
    # 3 times the last (20° and the sizes beyond the list apart).
    if shortest < room < 30.0 * 3600.0 * scale:
        assert bar.length_px > room / 3.0
    assert math.isfinite(bar.length_px)
