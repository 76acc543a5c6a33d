"""Shadows of an eye in a wrong place, and bent lines."""

import numpy as np
import pytest

from simview.errors import RangeError
from simview.eyepiece.distortion import distort, source_angle_deg
from simview.eyepiece.eye_place import (
    beam_offset_mm,
    best_distance_mm,
    common_area,
    eye_shadow,
)
from simview.eyepiece.field_edge import radius_deg
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures

SHAPE, SCALE = (201, 201), 3.5


@pytest.fixture(scope="module")
def erfle() -> EyepieceFigures:
    return eyepiece_figures("erfle", 32.0, 6.0, 1200.0)


@pytest.fixture(scope="module")
def plossl() -> EyepieceFigures:
    return eyepiece_figures("plossl", 32.0, 8.0, 1200.0)


def test_area_of_two_discs_agrees_with_counting_points():
    rng = np.random.default_rng(1)
    points = rng.uniform(-3.0, 3.0, (2, 200_000))
    for apart, first, second in (
        (0.0, 1.0, 2.0),
        (1.7, 1.0, 2.0),
        (2.5, 1.5, 2.0),
        (4.0, 1.0, 2.0),
    ):
        inside = np.hypot(*points) < first
        inside &= np.hypot(points[0] - apart, points[1]) < second
        counted = 36.0 * inside.mean()
        got = float(common_area(np.array(apart), first, second))
        # Four standard deviations of the count.
        assert got == pytest.approx(counted, abs=4.0 * 36.0 * np.sqrt(0.09 / 200_000) + 1e-12)


def test_eye_in_the_right_place_sees_the_whole_field(plossl):
    shadow = eye_shadow(SHAPE, SCALE, plossl, eye_pupil_mm=6.0)
    away, half = radius_deg(SHAPE, SCALE), plossl.apparent_field_deg / 2.0
    assert shadow[away < 0.9 * half].min() > 0.99
    # The beams of the very edge cross 5 mm nearer the lens; a tenth of them is lost.
    assert shadow[away < half].min() > 0.85
    assert shadow.max() <= 1.0 + 1e-6


def test_eye_too_near_loses_the_edge_all_around(plossl):
    shadow = eye_shadow(SHAPE, SCALE, plossl, eye_pupil_mm=4.0, eye_distance_mm=5.0)
    away = radius_deg(SHAPE, SCALE)
    assert shadow[100, 100] == pytest.approx(1.0)
    edge = np.abs(away - 24.0) < 0.5
    assert shadow[edge].max() < 0.05
    # Beams pass the eye on the side on which they are seen.
    assert (beam_offset_mm(plossl, np.array([10.0, 20.0]), 5.0) > 0.0).all()
    assert (beam_offset_mm(plossl, np.array([10.0, 20.0]), 60.0) < 0.0).all()


def test_eye_beside_the_axis_draws_a_kidney_on_one_side(erfle):
    # The zone whose beams cross the axis farthest from the eye goes dark first, on one side.
    near = best_distance_mm(erfle)
    shadow = eye_shadow(
        SHAPE,
        SCALE,
        erfle,
        eye_pupil_mm=5.4,
        eye_distance_mm=near + 6.0,
        eye_offset_mm=(1.6, 0.0),
    )
    field = radius_deg(SHAPE, SCALE) < erfle.apparent_field_deg / 2.0
    dark = (shadow < 0.5) & field
    assert dark.any()
    x = (np.arange(SHAPE[1]) - SHAPE[1] // 2)[None, :] * np.ones(SHAPE)
    # An eye to the right, behind the crossing, loses beams that pass on the left: those of the
    # right side of the view.
    assert x[dark].mean() > 0.0
    mirrored = eye_shadow(
        SHAPE,
        SCALE,
        erfle,
        eye_pupil_mm=5.4,
        eye_distance_mm=near + 6.0,
        eye_offset_mm=(-1.6, 0.0),
    )
    np.testing.assert_allclose(shadow, mirrored[:, ::-1], atol=1e-6)


def test_eye_far_from_anything_sensible_is_refused(plossl):
    for wrong in ({"eye_pupil_mm": 0.0}, {"eye_pupil_mm": 5.0, "eye_distance_mm": -3.0}):
        with pytest.raises(RangeError):
            eye_shadow(SHAPE, SCALE, plossl, **wrong)


def test_pattern_is_drawn_where_the_traced_rays_go(erfle):
    n, scale = 801, 12.0
    plane = np.zeros((n, n), np.float32)
    # A point at an image height is seen at its apparent angle.
    k = 12
    source = np.degrees(erfle.height_mm[k] / erfle.focal_length_mm) * scale
    plane[n // 2, n // 2 + round(source) - 1 : n // 2 + round(source) + 2] = 1.0
    drawn = distort(plane[None], scale, erfle)[0]
    x = (drawn * np.arange(n)).sum() / drawn.sum() - n // 2
    wanted = erfle.angle_deg[k] * scale
    assert x == pytest.approx(wanted + (round(source) - source) * 1.15, abs=0.5)
    assert source_angle_deg(erfle, erfle.angle_deg)[k] * scale == pytest.approx(source)


def test_light_spread_larger_grows_dimmer_by_its_area(erfle):
    n, scale = 601, 9.0
    rng = np.random.default_rng(4)
    y, x = np.indices((n, n)) - n // 2
    blobs = np.zeros((n, n), np.float32)
    for _ in range(30):
        radius, turn = 200.0 * np.sqrt(rng.random()), 2.0 * np.pi * rng.random()
        away = np.hypot(x - radius * np.cos(turn), y - radius * np.sin(turn))
        blobs += np.exp(-0.5 * (away / 4.0) ** 2).astype(np.float32)
    drawn = distort(blobs[None], scale, erfle)[0]
    assert drawn.sum() == pytest.approx(blobs.sum(), rel=5e-3)
    flat = distort(np.ones((1, n, n), np.float32), scale, erfle, dim=False)[0]
    np.testing.assert_allclose(flat, 1.0, rtol=1e-6)
