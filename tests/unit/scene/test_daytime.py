"""The scene by day: geometry, haze, area means, options."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.scene.daytime import SHIMMER, WHITE_CD_M2, cn2_of
from simview.scene.landscape import HORIZON
from simview.scene.lettering import _INK, LINES, STROKES
from simview.scene.scene import LevelPath, Scene
from simview.scene.targets import target

# Middle of the sign's frame on its left and right side, and its lower foot, m.
FRAME_M = 1.22


def green(scene: Scene) -> np.ndarray:
    return scene.planes[1].astype(float) / WHITE_CD_M2


def path_of(**options: object) -> LevelPath:
    found = target("daytime", **options).level
    assert found is not None
    return found


def test_letters_of_the_sign_are_all_known() -> None:
    for words, _, _ in LINES:
        assert set(words) - {" "} <= set(STROKES)


@pytest.mark.parametrize("distance", [50.0, 400.0, 1500.0])
def test_sign_is_as_wide_as_its_distance_makes_it(distance: float) -> None:
    # The dark frame is 0.02 m wide on either side of a board of 1.20 m: from middle to middle of
    # it are 1.22 m, an angle of 2 atan(0.61 / d). The edges are found between pixels by their
    # light, so a pixel of 1/600 of the sign does not limit.
    pixel = 1.30 / 600.0 / distance * 206264.806
    row = green(target("daytime", distance_m=distance).scene(pixel_arcsec=pixel, pixels=700))[350]
    dark = np.clip(0.4 - row, 0.0, None)
    halves = dark[350 - 290 : 350 - 270], dark[350 + 270 : 350 + 290]
    places = [np.average(np.arange(20), weights=half) for half in halves]
    wide = (560.0 + places[1] - places[0]) * pixel
    assert wide == pytest.approx(2.0 * math.atan(0.61 / distance) * 206264.806, rel=0.005)


def test_size_halves_as_distance_doubles() -> None:
    sizes = [target("daytime", distance_m=d).size_arcsec for d in (200.0, 400.0, 800.0)]
    assert sizes[0] / sizes[1] == pytest.approx(2.0, rel=0.001)
    assert sizes[1] / sizes[2] == pytest.approx(2.0, rel=0.001)
    # 6 m at 400 m: 0.015 rad.
    assert sizes[1] == pytest.approx(0.015 * 206264.8, rel=0.005)


def test_haze_leaves_the_contrast_that_koschmieder_gives() -> None:
    # On the sign: exp(-3.912 x 2 km / 10 km) = 0.4573 of the contrast at the object; the green
    # primary's wave is 0.9 nm off 550 nm, worth 0.2 %.
    near = target("daytime", distance_m=2000.0, visibility_km=10.0)
    assert near.level is not None
    hazy = green(near.scene(pixel_arcsec=0.25, pixels=400))
    clear = green(near.level.clear(0.25, 400))
    assert np.ptp(hazy) / np.ptp(clear) == pytest.approx(0.4573, rel=0.005)


def test_far_away_all_goes_pale_to_the_horizon_sky() -> None:
    # Eight visibilities away nothing is left: a house cannot be told from the sky behind it.
    scene = target("daytime", distance_m=4000.0, visibility_km=0.5).scene(
        pixel_arcsec=1.0, pixels=64
    )
    for plane, sky in zip(scene.planes, HORIZON, strict=True):
        assert plane / WHITE_CD_M2 == pytest.approx(float(sky), rel=1e-3)


def test_hills_behind_are_paler_than_in_clearer_air() -> None:
    # 2.2 m to the left of the house and a little above the horizon stand hills, kilometres away.
    def contrast(visibility_km: float) -> float:
        shown = target("daytime", distance_m=400.0, visibility_km=visibility_km)
        scene = green(shown.scene(pixel_arcsec=20.0, pixels=900))
        hills = scene[450 + 28, 20:60].mean()
        return abs(1.0 - hills / float(HORIZON[1]))

    assert contrast(100.0) > 2.0 * contrast(15.0) > 0.0


def test_day_scene_keeps_its_light_whatever_the_sampling() -> None:
    shown = target("daytime")
    fine = green(shown.scene(pixel_arcsec=2.0, pixels=1200))
    coarse = green(shown.scene(pixel_arcsec=8.0, pixels=300))
    averaged = fine.reshape(300, 4, 300, 4).mean(axis=(1, 3))
    # The coarse pixels lie 1.5 fine ones aside.
    assert coarse.mean() == pytest.approx(averaged.mean(), rel=0.01)
    assert coarse.max() < 1.0


def test_lines_too_small_for_letters_have_the_letters_grey() -> None:
    # The ink's share, measured where letters are drawn large.
    words, height, foot = LINES[0]
    unit = height / 6.0
    arcsec = 206264.8 / 400.0
    pixel = 0.002 * arcsec
    scene = green(target("daytime").level.clear(pixel, 700))  # type: ignore[union-attr]
    half = 0.5 * len(words) * 5.6 * unit
    rows = slice(350 - round((foot - 0.175 + height) / 0.002), 350 - round((foot - 0.175) / 0.002))
    columns = slice(350 - round(half / 0.002), 350 + round((half - 1.6 * unit) / 0.002))
    box = scene[rows, columns]
    share = (box.max() - box.mean()) / (box.max() - box.min())
    assert share == pytest.approx(_INK, abs=0.03)


def test_shimmer_is_a_word_or_a_number() -> None:
    assert path_of(shimmer="strong").cn2 == SHIMMER["strong"] == 1e-13
    assert path_of(shimmer=3e-15).cn2 == 3e-15
    assert path_of(shimmer=0).cn2 == 0.0
    assert sorted(SHIMMER.values()) == list(SHIMMER.values())


@pytest.mark.parametrize("bad", ["wild", 1.0, -1e-14, 1e-20, float("nan"), True])
def test_absurd_shimmer_is_refused(bad: str | float) -> None:
    with pytest.raises(SimviewError, match="shimmer"):
        cn2_of(bad)


def test_near_word_for_shimmer_is_offered() -> None:
    with pytest.raises(SimviewError, match="did you mean 'strong'"):
        cn2_of("stronk")


@pytest.mark.parametrize("option", ["distance_m", "visibility_km"])
@pytest.mark.parametrize("bad", [0.0, -5.0, float("nan"), 1e9])
def test_absurd_distances_are_refused(option: str, bad: float) -> None:
    with pytest.raises(SimviewError, match=option):
        target("daytime", **{option: bad})


def test_daytime_says_what_it_is() -> None:
    shown = target("daytime", visibility_km=5.0, shimmer="moderate")
    assert shown.by_day
    assert shown.level is not None
    told = " ".join((*shown.notes, shown.level.says))
    # exp(-3.912 x 0.4 / 5) = 0.731.
    for word in ("invented", "73 %", "moderate"):
        assert word in told
    again = target(**shown.recipe)
    assert again.level is not None
    assert again.level.cn2 == 1e-14
    assert again.recipe == shown.recipe
