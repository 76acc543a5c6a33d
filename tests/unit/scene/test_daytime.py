"""The scene by day: geometry, haze, area means."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.scene.daytime import _STROKES, LINES, WHITE_CD_M2
from simview.scene.targets import target


def test_letters_of_the_sign_are_all_known() -> None:
    for words, _, _ in LINES:
        assert set(words) - {" "} <= set(_STROKES)


def test_sign_is_as_wide_as_its_distance_makes_it() -> None:
    # 1.24 m with its frame at 400 m: 639 arcsec.
    scene = target("daytime", distance_m=400.0).scene(pixel_arcsec=2.0, pixels=700)
    row = scene.planes[1][350 + round(0.19 * 515.66 / 2.0)]
    frame = row < 0.6 * np.percentile(row, 80)
    on = np.flatnonzero(frame[100:600]) + 100
    assert (on[-1] - on[0] + 1) * 2.0 == pytest.approx(1.24 * 206264.8 / 400.0, rel=0.02)


def test_haze_leaves_the_contrast_that_koschmieder_gives() -> None:
    # exp(-3.912 x 2 km / 10 km) = 0.457 of the contrast at the object.
    near = target("daytime", distance_m=2000.0, visibility_km=300.0)
    far = target("daytime", distance_m=2000.0, visibility_km=10.0)
    clear, hazy = (
        t.scene(pixel_arcsec=0.5, pixels=256).planes[1].astype(float) for t in (near, far)
    )
    span = (hazy.max() - hazy.min()) / (clear.max() - clear.min())
    expected = math.exp(-3.912 * 2 / 10) / math.exp(-3.912 * 2 / 300)
    assert span == pytest.approx(expected, rel=0.01)


def test_day_scene_keeps_its_light_whatever_the_sampling() -> None:
    shown = target("daytime")
    fine = shown.scene(pixel_arcsec=2.0, pixels=1200).planes[1].astype(float)
    coarse = shown.scene(pixel_arcsec=8.0, pixels=300).planes[1].astype(float)
    averaged = fine.reshape(300, 4, 300, 4).mean(axis=(1, 3))
    # The coarse pixels lie 1.5 fine ones aside, and twigs are drawn at least a point wide.
    assert coarse.mean() == pytest.approx(averaged.mean(), rel=0.02)
    assert coarse.max() < WHITE_CD_M2


def test_daytime_is_by_day_and_refuses_absurd_distances() -> None:
    assert target("daytime").by_day
    for bad in (0.0, -5.0, float("nan"), 1e9):
        with pytest.raises(SimviewError, match="distance_m"):
            target("daytime", distance_m=bad)
