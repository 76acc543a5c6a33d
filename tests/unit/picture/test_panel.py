"""One view: the field stop is a true circle, scale bars are round and right."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.picture.drawing import panel
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.palette import GROUND, RING, WARN


def white(side):
    return np.full((side, side, 3), 255, np.uint8)


@pytest.mark.parametrize("diameter", [40.0, 101.3, 250.0])
def test_field_has_the_area_of_its_circle(diameter):
    side = panel.even_px(diameter) + 20
    cut = panel.stopped(white(side), diameter)[..., 1].astype(float)
    around = panel.ring_px(diameter)
    # Share of white in each pixel, the ring's own light taken off; 0.5 % for 8 bits and the ring.
    y, x = np.mgrid[:side, :side] - side // 2
    near = np.hypot(x, y) < diameter / 2.0 + around / 2.0
    share = np.clip((cut - RING[1]) / (255.0 - RING[1]), 0.0, 1.0)[near].sum()
    assert share == pytest.approx(math.pi / 4.0 * diameter**2, rel=0.005)


def test_field_is_centred_on_its_middle_pixel():
    cut = panel.stopped(white(120), 100.0)[..., 0].astype(float)
    weight = np.clip(cut - RING[0], 0.0, None)
    rows, columns = np.mgrid[:120, :120]
    assert (weight * rows).sum() / weight.sum() == pytest.approx(60.0, abs=0.01)
    assert (weight * columns).sum() / weight.sum() == pytest.approx(60.0, abs=0.01)


def test_inside_is_untouched_and_outside_is_ground():
    rng = np.random.default_rng(1)
    view = rng.integers(0, 255, (120, 120, 3), dtype=np.uint8)
    cut = panel.stopped(view, 90.0)
    y, x = np.mgrid[:120, :120] - 60
    far = np.hypot(x, y)
    assert np.array_equal(cut[far < 44.0], view[far < 44.0])
    assert np.all(cut[far > 45.0 + panel.ring_px(90.0) + 1.5] == GROUND)


def test_edge_is_smooth():
    cut = panel.stopped(white(220), 200.3)[..., 1]
    # A hard edge has no values between; a smooth one has some in every octant.
    between = (cut > RING[1] + 10) & (cut < 245)
    assert between.sum() > 200


def test_field_smaller_than_its_picture_is_asked_for():
    side = panel.seen_px(50.0, 7.3)
    assert side % 2 == 0
    assert side >= 50.0 * 7.3 + 3


@pytest.mark.parametrize(
    ("pixels_per_arcsec", "room", "label"),
    [
        (3.3, 170, "30″"),
        (3.3, 90, "20″"),
        (0.002, 170, "20°"),
        (0.01, 170, "2°"),
        (0.1, 170, "20′"),
        (100.0, 170, "1″"),
        (2000.0, 170, "0.05″"),
    ],
)
def test_scale_bar_is_the_longest_round_one_that_fits(pixels_per_arcsec, room, label):
    bar = panel.scale_bar(pixels_per_arcsec, room)
    assert bar.label == label
    assert bar.length_px == pytest.approx(bar.arcsec * pixels_per_arcsec)
    assert bar.length_px <= room


def test_drawn_bar_is_as_long_as_it_says():
    canvas = Canvas((1920, 1080))
    bar = panel.scale_bar(3.3, 170)
    panel.draw_bar(canvas, bar, (200, 300), 22)
    row = np.asarray(canvas.image)[300 - round(0.36 * 22), :, 1]
    lit = np.flatnonzero(row[: 200 + round(bar.length_px) + 3] > 128)
    assert lit[0] == 200
    assert lit[-1] - lit[0] + 1 == pytest.approx(bar.length_px, abs=1.0)


def test_right_aligned_bar_ends_at_its_place():
    canvas = Canvas((1920, 1080))
    used = panel.draw_bar(canvas, panel.scale_bar(3.3, 170), (900, 300), 22, align="right")
    lit = np.flatnonzero((np.asarray(canvas.image)[280:310, :, 1] > 60).any(axis=0))
    assert lit[0] == pytest.approx(900 - used, abs=2)
    assert lit[-1] <= 900


def test_dashes_begin_and_end_with_a_dash_and_leave_gaps():
    canvas = Canvas((960, 540))
    panel.draw_dashes(canvas, (100, 50, 300, 53), WARN)
    row = (np.asarray(canvas.image)[51, 100:300] == WARN).all(axis=1)
    assert row[0]
    assert row[-1]
    assert 0.5 < row.mean() < 0.8
    assert np.count_nonzero(np.diff(row.astype(int)) == -1) >= 5


def test_marks_differ_in_shape_not_only_in_colour():
    def mask(mark):
        canvas = Canvas((960, 540))
        mark(canvas, 100, 100, 20)
        drawn = np.asarray(canvas.image)[60:140, 60:140].astype(int)
        return np.abs(drawn - np.array(GROUND)).max(axis=2) > 60

    masks = [mask(m) for m in (panel.draw_empty_mark, panel.draw_enough_mark, panel.draw_more_mark)]
    for i, first in enumerate(masks):
        for second in masks[i + 1 :]:
            # Pixels that only one of the two covers, against all that either covers.
            assert (first ^ second).sum() > 0.15 * (first | second).sum()
