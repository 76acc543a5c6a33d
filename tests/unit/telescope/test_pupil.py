"""Grey edges: every sample holds the open fraction of its area."""

from __future__ import annotations

import math

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.telescope.pupil import Shape, _along, _strips, axis, centres, disc, mask, pupil


def counted(samples, inside, sub=25):
    """Open fraction by counting points."""
    fine = ((np.arange(samples * sub) + 0.5) * 2.0 / (samples * sub)) - 1.0
    x, y = np.meshgrid(fine, -fine)
    return inside(x, y).reshape(samples, sub, samples, sub).mean(axis=(1, 3))


@pytest.mark.parametrize("samples", [16, 64, 256])
@pytest.mark.parametrize("obstruction", [0.0, 0.25, 0.6])
def test_open_area_is_that_of_the_ring(samples, obstruction):
    area = pupil(samples, obstruction=obstruction).mean() * 4.0
    assert area == pytest.approx(math.pi * (1.0 - obstruction**2), abs=1e-9)


def test_samples_inside_and_outside_are_exactly_1_and_0():
    mask = pupil(1024, obstruction=0.3)
    r = np.hypot(axis(1024)[None, :], axis(1024)[:, None])
    assert (mask[(r < 0.997) & (r > 0.303)] == 1.0).all()
    assert (mask[(r > 1.003) | (r < 0.297)] == 0.0).all()


def test_disc_agrees_with_counting_points():
    for radius, centre in ((1.0, (0.0, 0.0)), (0.3, (0.25, -0.4)), (0.02, (0.5, 0.5))):
        wanted = counted(
            32, lambda x, y, r=radius, c=centre: (x - c[0]) ** 2 + (y - c[1]) ** 2 <= r * r
        )
        # counting 25 x 25 points: an edge through a sample is uncertain by about 1/50
        np.testing.assert_allclose(disc(32, radius, centre), wanted, atol=0.02)


@pytest.mark.parametrize("vanes", [1, 2, 3, 4, 6])
@pytest.mark.parametrize("ratio", [0.004, 0.05])
def test_vanes_hide_their_own_area(vanes, ratio):
    with_vanes = pupil(256, obstruction=0.3, vanes=vanes, vane_ratio=ratio).mean() * 4.0
    without = pupil(256, obstruction=0.3).mean() * 4.0
    # a strip of width 2 ratio from the secondary to the rim, rounded at both ends
    strip = 2.0 * ratio * 0.7
    assert without - with_vanes == pytest.approx(vanes * strip, rel=0.01, abs=1e-6)


def test_first_vane_points_upwards():
    mask = pupil(64, obstruction=0.3, vanes=1, vane_ratio=0.1)
    assert mask[6, 31] < 0.1
    assert mask[57, 31] == 1.0
    assert mask[31, 6] == mask[31, 57] == 1.0


@pytest.mark.parametrize("angle_vanes", [3, 5])
def test_slanted_vanes_agree_with_counting_points(angle_vanes):
    ratio = 0.06

    def open_(x, y):
        free = (x * x + y * y <= 1.0) & (x * x + y * y >= 0.04)
        for k in range(angle_vanes):
            t = math.pi / 2.0 + 2.0 * math.pi * k / angle_vanes
            along, across = x * math.cos(t) + y * math.sin(t), y * math.cos(t) - x * math.sin(t)
            free &= (along < 0.0) | (np.abs(across) > ratio)
        return free

    got = pupil(64, obstruction=0.2, vanes=angle_vanes, vane_ratio=ratio)
    # where a vane meets the rim or the secondary, open fractions are multiplied: a few per cent
    np.testing.assert_allclose(got, counted(64, open_), atol=0.08)
    assert got.mean() == pytest.approx(counted(64, open_).mean(), abs=1e-4)


def test_centres_lie_in_the_open_part():
    x, y = centres(Shape(obstruction=0.3), 64)
    share = pupil(64, obstruction=0.3)
    open_ = share > 0.05
    r = np.hypot(x, y)[open_]
    assert r.max() <= 1.0
    assert r.min() >= 0.3
    whole = share == 1.0
    np.testing.assert_allclose(x[whole], np.broadcast_to(axis(64), (64, 64))[whole])
    # a grey sample's open part lies within the sample
    assert np.abs(x - axis(64)[None, :]).max() <= 1.0 / 64
    assert np.abs(y + axis(64)[:, None]).max() <= 1.0 / 64


def test_masks_are_kept_and_cannot_be_written():
    share = pupil(64, obstruction=0.2)
    assert pupil(64, obstruction=0.2) is share
    with pytest.raises(ValueError, match="read-only"):
        share[0, 0] = 1.0


@pytest.mark.parametrize(
    "shape",
    [
        Shape(obstruction=0.3, shadow_x=0.12, shadow_y=-0.07),
        Shape(obstruction=0.3, vanes=4, vane_ratio=0.02, shadow_x=0.1, shadow_y=0.05),
        Shape(clips=3, clip_width=0.06, clip_depth=0.04),
    ],
)
def test_shapes_agree_with_counting_points(shape):
    wanted = counted(64, lambda x, y: shape.inside(x[None], y[None])[0])
    np.testing.assert_allclose(mask(shape, 64), wanted, atol=0.08)
    assert mask(shape, 64).mean() == pytest.approx(wanted.mean(), abs=6e-4)


@pytest.mark.parametrize(
    "shape",
    [
        Shape(obstruction=0.3, vanes=4, vane_ratio=0.02, shadow_x=0.1, shadow_y=0.05),
        Shape(obstruction=0.2, clips=3, clip_width=0.06, clip_depth=0.04),
        Shape(obstruction=0.25, vanes=3, vane_ratio=0.01, lit_x=0.1, lit_y=-0.05, lit_radius=0.8),
    ],
)
def test_open_parts_of_grey_samples_are_where_their_points_are(shape):
    samples = 48
    x, y = np.meshgrid(axis(16 * samples), -axis(16 * samples))
    # Each point by itself, not as one of a block.
    alone = shape.inside(x.reshape(-1, 1, 1), y.reshape(-1, 1, 1)).reshape(x.shape)
    each = [
        (plane * alone).reshape(samples, 16, samples, 16).sum(axis=(1, 3)) for plane in (1.0, x, y)
    ]
    share = mask(shape, samples)
    grey = (share > 0.0) & (share < 1.0) & (each[0] > 0.0)
    assert grey.sum() > 150
    for found, total in zip(centres(shape, samples), each[1:], strict=True):
        np.testing.assert_allclose(
            found[grey], (total / np.maximum(each[0], 1.0))[grey], atol=1e-12
        )


@pytest.mark.parametrize(
    ("samples", "more"),
    [(65, {}), (8, {}), (64, {"obstruction": 1.0}), (64, {"vane_ratio": -0.1, "vanes": 1})],
)
def test_impossible_pupils_are_refused(samples, more):
    with pytest.raises(SimviewError):
        pupil(samples, **more)


def test_edge_that_cuts_off_a_samples_corner_leaves_the_corners_own_area():
    # An edge at 45 degrees that passes a square's middle at 0.6 of its side cuts off a right
    # isosceles triangle, 0.7071 - 0.6 high: its area is that squared.
    from simview.telescope.pupil import _below

    samples = 8
    middle = 1.0 / samples * np.sqrt(2.0)  # of the sample up and right of the origin, along the way
    place = samples, *(np.array([1.0 / samples]),) * 2, np.pi / 4.0
    cover = _below(*place, middle + 0.6 * 2.0 / samples)
    assert cover == pytest.approx(1.0 - (np.sqrt(0.5) - 0.6) ** 2)
    other = _below(*place, middle - 0.6 * 2.0 / samples)
    assert other == pytest.approx((np.sqrt(0.5) - 0.6) ** 2)


def test_strips_off_the_middle_cover_what_fine_points_in_each_sample_say():
    # 64 x 64 points a sample, which the program does not use: shares to a few thousandths.
    samples, width, begin, origin = 24, 0.11, 0.2, (0.07, -0.12)
    found = _strips(samples, 3, width, start=begin, origin=origin)
    fine = axis(64 * samples)
    x, y = fine[None, :] - origin[0], -fine[:, None] - origin[1]
    under = np.zeros((64 * samples,) * 2, bool)
    for angle in (np.pi / 2.0, np.pi * 7.0 / 6.0, np.pi * 11.0 / 6.0):
        along = x * np.cos(angle) + y * np.sin(angle)
        across = y * np.cos(angle) - x * np.sin(angle)
        under |= (along >= begin) & (np.abs(across) <= width / 2.0)
    shares = under.reshape(samples, 64, samples, 64).mean(axis=(1, 3))
    # Where a strip ends its share is the product of two: exact but at slanted corners.
    assert np.abs(found - shares).max() < 0.06
    assert np.abs(found - shares).mean() < 5e-4


@pytest.mark.parametrize("samples", [16, 62, 300])
@pytest.mark.parametrize(
    ("radius", "centre"),
    [
        (1.0, (0.0, 0.0)),
        (0.3, (0.0, 0.0)),
        (0.35, (0.2, -0.4)),
        (0.004, (0.013, 0.0)),
        (2.5, (1, 1)),
    ],
)
def test_samples_that_the_circle_may_not_cross_hold_what_their_points_do(
    samples: int, radius: float, centre: tuple[float, float]
) -> None:
    share = disc(samples, radius, centre)
    # Seven points along each side of a sample, corners among them: all inside, or none.
    edges = np.linspace(-1.0, 1.0, samples * 6 + 1)
    inside = np.hypot(edges[None, :] - centre[0], -edges[:, None] - centre[1]) < radius
    cells = np.lib.stride_tricks.sliding_window_view(inside, (7, 7))[::6, ::6]
    whole, none = cells.all(axis=(2, 3)), ~cells.any(axis=(2, 3))
    assert (share[whole] > 1.0 - 1e-8).all()
    # A tip between two points, or a disc within a sample, is all that the points may miss.
    assert (share[none] < 0.02).all() or radius < 1.0 / samples
    span = np.hypot(np.abs(centre[0]) + radius, np.abs(centre[1]) + radius)
    if span <= 1.0:
        assert share.sum() * (2.0 / samples) ** 2 == pytest.approx(math.pi * radius**2, rel=1e-6)


@pytest.mark.parametrize("angle", [0.0, 0.3, np.pi / 4.0, 1.2, np.pi / 2.0, 2.5, 4.0, 5.5])
@pytest.mark.parametrize("aside", [0.0, 0.13, -0.9, 1.6])
def test_samples_along_a_line_are_all_those_near_it_and_few_more(angle, aside):
    samples, reach = 48, 0.06
    ahead = tuple(0.0 if abs(v) < 1e-12 else v for v in (np.cos(angle), np.sin(angle)))
    row, column = _along(samples, ahead, aside, reach)
    x, y = axis(samples)[column], -axis(samples)[row]
    own = axis(samples)
    away = np.abs(-ahead[1] * own[None, :] - ahead[0] * own[:, None] - aside)
    assert len(set(zip(row, column, strict=True))) == len(row)
    assert set(zip(*np.nonzero(away <= reach), strict=True)) <= set(zip(row, column, strict=True))
    assert np.abs(-ahead[1] * x + ahead[0] * y - aside).max(initial=0.0) < reach + 2.0 / samples
