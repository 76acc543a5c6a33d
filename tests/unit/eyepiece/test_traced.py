"""A kit's eyepiece as glass, laid over a view."""

import numpy as np
import pytest

from simview.eyepiece.distortion import distort, distort_smooth, source_angle_deg
from simview.eyepiece.field_edge import radius_deg
from simview.eyepiece.traced import through_glass, traced
from simview.kit import Eyepiece, Telescope

SCOPE = Telescope(aperture_mm=60.0, focal_length_mm=700.0)


@pytest.mark.parametrize(
    "design", ["huygens", "ramsden", "kellner", "orthoscopic", "plossl", "erfle"]
)
def test_piece_with_a_layout_is_traced_behind_its_telescope(design):
    figures = traced(SCOPE, Eyepiece(focal_length_mm=20.0, design=design))
    assert figures is not None
    assert figures.focal_ratio == pytest.approx(700.0 / 60.0)
    assert figures.exit_pupil_mm == pytest.approx(20.0 * 60.0 / 700.0)


@pytest.mark.parametrize("design", ["wide", "unknown"])
def test_piece_without_a_layout_is_not_traced(design):
    assert traced(SCOPE, Eyepiece(focal_length_mm=20.0, design=design)) is None


def test_amplifier_lengthens_the_cone():
    piece = Eyepiece(focal_length_mm=20.0, design="kellner")
    alone, doubled = traced(SCOPE, piece), traced(SCOPE, piece, factor=2.0)
    assert doubled.focal_ratio == pytest.approx(2.0 * alone.focal_ratio)
    np.testing.assert_allclose(
        alone.astigmatic_blur_arcmin, 2.0 * doubled.astigmatic_blur_arcmin, rtol=0.1, atol=0.01
    )


@pytest.mark.parametrize(
    ("design", "field"),
    [("plossl", 66.0), ("plossl", 115.0), ("kellner", 60.0), ("ramsden", 50.0), ("erfle", 80.0)],
)
def test_field_that_no_such_glass_passes_is_not_traced(design, field):
    # Usual fields (common practice): Ploessl 50 to 52, Kellner 40 to 45, Ramsden 30 to 35, Erfle 60
    # to 68 deg. A wider one by that name would end in a dark ring within its own field.
    piece = Eyepiece(focal_length_mm=20.0, design=design, apparent_field_deg=field)
    assert traced(SCOPE, piece) is None


@pytest.mark.parametrize(
    ("design", "field"), [("plossl", 52.0), ("kellner", 45.0), ("ramsden", 35.0), ("erfle", 65.0)]
)
def test_field_within_the_usual_ones_is_lit_to_its_rim(design, field):
    piece = Eyepiece(focal_length_mm=20.0, design=design, apparent_field_deg=field)
    figures, scale = traced(SCOPE, piece), 4.0
    n = 2 * int(field * scale / 2.0) + 20
    seen = through_glass(np.ones((1, n, n), np.float32), scale, figures, weights=np.ones((1, 9)))
    rim = np.abs(radius_deg((n, n), scale) - 0.44 * field) < 0.5
    assert seen[0, rim].min() > 0.4


def test_narrower_field_than_its_designs_is_kept():
    narrow = Eyepiece(focal_length_mm=20.0, design="plossl", apparent_field_deg=38.0)
    assert traced(SCOPE, narrow).apparent_field_deg == 38.0


def test_view_through_glass_is_whole_in_the_middle_and_dark_outside():
    figures = traced(SCOPE, Eyepiece(focal_length_mm=20.0, design="ramsden"))
    scale = 8.0
    planes = np.full((4, 300, 300), 5.0, np.float32)
    seen = through_glass(planes, scale, figures, weights=np.ones((4, 9)), used_pupil=0.9)
    away = radius_deg((300, 300), scale)
    np.testing.assert_allclose(seen[:, away < 15.0], 5.0, rtol=1e-4)
    np.testing.assert_allclose(seen[:, away > 17.0], 0.0, atol=1e-6)


def test_light_drawn_larger_is_dimmed_where_the_whole_beam_enters_the_eye():
    figures = traced(SCOPE, Eyepiece(focal_length_mm=20.0, design="erfle"))
    scale, n = 5.0, 340
    seen = through_glass(np.ones((1, n, n), np.float32), scale, figures, weights=np.ones((1, 9)))
    # An image ring dh wide at h is seen dA wide at A: light thins out by (h dh) / (A dA).
    height = np.degrees(figures.height_mm / 20.0)
    angle = figures.angle_deg
    k = 14
    thinned = height[k] * np.gradient(height, angle)[k] / angle[k]
    assert thinned < 0.8
    ring = np.abs(radius_deg((n, n), scale) - angle[k]) < 0.3
    assert seen[0, ring].mean() == pytest.approx(thinned, rel=0.02)
    assert seen[0, n // 2, n // 2] == pytest.approx(1.0, rel=1e-3)


@pytest.mark.parametrize("lit", [1.0, 0.03], ids=["all lit", "a few stars"])
@pytest.mark.parametrize("shape", [(61, 90), (40, 41), (1, 30)])
def test_distorted_picture_is_fetched_by_straight_lines_from_where_the_glass_sends_it(shape, lit):
    from scipy import ndimage

    figures = traced(SCOPE, Eyepiece(focal_length_mm=20.0, design="erfle"))
    scale = 1.5
    rng = np.random.default_rng(8)
    planes = rng.random((2, *shape)).astype(np.float32)
    planes *= rng.random((2, *shape)) < lit
    up, right = (np.arange(n) - n // 2 for n in shape)
    away = np.hypot(up[:, None], right[None, :]) / scale
    factor = np.divide(source_angle_deg(figures, away), away, out=np.ones(shape), where=away > 0.0)
    places = [up[:, None] * factor + shape[0] // 2, right[None, :] * factor + shape[1] // 2]
    got = distort(planes, scale, figures, dim=False)
    for plane, drawn in zip(planes, got, strict=True):
        expected = ndimage.map_coordinates(plane, places, order=1, mode="nearest")
        np.testing.assert_allclose(drawn, expected, atol=1e-6)


@pytest.mark.parametrize("shape", [(400, 400), (301, 350)])
@pytest.mark.parametrize("scale", [3.0, 9.0, 21.0])
def test_smooth_light_is_bent_as_any_other(shape: tuple[int, int], scale: float) -> None:
    figures = traced(SCOPE, Eyepiece(focal_length_mm=20.0, design="erfle"))
    y, x = (np.arange(n) - n // 2 for n in shape)
    # Gaussians as narrow as light of unseen stars, 1.66 deg (FWHM), here and there.
    sigma = 1.66 / 2.355 * scale
    rng = np.random.default_rng(4)
    patches = [
        np.exp(-0.5 * ((y[:, None] - down) ** 2 + (x - right) ** 2) / sigma**2)
        for down, right in rng.uniform(-0.45, 0.45, (24, 2)) * shape
    ]
    planes = np.array([sum(patches[:12]), sum(patches[12:])], np.float32)
    whole = distort(planes, scale, figures)
    few = distort_smooth(planes, scale, figures)
    # What is held at the edge begins within a place's distance of it.
    np.testing.assert_allclose(few, whole, atol=1e-2 * whole.max())
    rim = int(0.26 * scale) + 1
    inside = (slice(None), slice(rim, -rim), slice(rim, -rim))
    np.testing.assert_allclose(few[inside], whole[inside], atol=2e-3 * whole.max())
    assert np.abs(few - whole).mean() < 1e-4 * whole.max()
