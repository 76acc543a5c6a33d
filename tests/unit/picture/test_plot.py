"""Axes, dashes and curves of plotted sheets."""

import itertools
import math

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.picture.drawing.canvas import Canvas
from simview.picture.drawing.plot import Axis, clipped, dashes, draw_curve, fill_under

AXIS = Axis(low=10.0, high=1000.0, start_px=100.0, end_px=500.0)


def test_logarithmic_axis_puts_equal_ratios_at_equal_distances():
    assert AXIS.at(10.0) == 100.0
    assert AXIS.at(100.0) == pytest.approx(300.0)
    assert AXIS.at(1000.0) == 500.0


def test_values_past_the_ends_are_held_there():
    assert (AXIS.at(1.0), AXIS.at(1e6)) == (100.0, 500.0)


def test_axis_may_run_upwards():
    up = Axis(low=0.0, high=10.0, start_px=500.0, end_px=100.0, scale="linear")
    assert up.at(2.5) == pytest.approx(400.0)


@pytest.mark.parametrize("gap", [20.0, 60.0, 120.0, 190.0])
def test_labels_are_round_and_keep_their_distance(gap):
    values = AXIS.labelled(gap)
    places = [AXIS.at(value) for value in values]
    assert min(np.diff(places)) >= gap
    assert {10.0, 100.0} <= set(values)


def test_linear_labels_are_even():
    values = Axis(low=4.4, high=14.3, start_px=0.0, end_px=400.0, scale="linear").labelled(30.0)
    assert values == [5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0]


@pytest.mark.parametrize("ends", [(0.0, 1.0), (2.0, 1.0), (1.0, math.inf), (math.nan, 1.0)])
def test_axis_without_two_rising_ends_is_refused(ends):
    with pytest.raises(SimviewError, match="axis"):
        Axis(low=ends[0], high=ends[1], start_px=0.0, end_px=1.0)


def test_dashes_follow_the_line_at_even_lengths():
    line = [(0.0, 0.0), (30.0, 0.0), (30.0, 70.0)]
    pieces = dashes(line, 10.0, 5.0)
    lengths = [sum(math.dist(a, b) for a, b in itertools.pairwise(p)) for p in pieces]
    assert lengths[:-1] == pytest.approx([10.0] * (len(pieces) - 1))
    assert len(pieces) == math.ceil(100.0 / 15.0)


def test_part_of_a_curve_between_two_powers_has_exact_ends():
    part = clipped([(1.0, 0.0), (2.0, 10.0), (3.0, 20.0)], 1.5, 2.5)
    assert part == [(1.5, 5.0), (2.0, 10.0), (2.5, 15.0)]


def test_curve_and_fill_leave_their_colour_where_they_should():
    canvas = Canvas((960, 540))
    fill_under(canvas, [(100.0, 100.0), (300.0, 100.0)], 200.0, (10, 200, 30))
    draw_curve(canvas, [(100.0, 100.0), (300.0, 100.0)], 5, (250, 0, 0))
    picture = np.asarray(canvas.image)
    assert tuple(picture[150, 200]) == (10, 200, 30)
    assert tuple(picture[100, 200]) == (250, 0, 0)
    assert picture[90, 200].max() < 20
