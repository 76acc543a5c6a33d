"""The edge of the field: where it is, its colour, its softness, and light lost before it."""

from dataclasses import replace

import numpy as np
import pytest

from simview.eyepiece.field_edge import edge_angles_deg, edge_profile, field_mask, radius_deg
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.eyepiece.lensfile import lens

EVEN = np.ones((1, 9))
BLUE_RED = np.zeros((2, 9))
BLUE_RED[0, 1] = BLUE_RED[1, 7] = 1.0


def figures(design: str, offset: float = 0.0, ratio: float = 12.0) -> EyepieceFigures:
    layout = replace(lens(design, 20.0), stop_offset_mm=offset)
    return eyepiece_figures(layout, None, ratio, 700.0)


def width_arcmin(view: EyepieceFigures, weights: np.ndarray = EVEN) -> float:
    """Return the distance in which the light falls from 90 to 10 %."""
    angle, kept = edge_profile(view, weights)
    ends = [angle[np.argmax(kept[0] < part * kept[0, 0])] for part in (0.9, 0.1)]
    return float(ends[1] - ends[0]) * 60.0


@pytest.mark.parametrize("design", ["ramsden", "kellner", "plossl", "huygens"])
def test_ring_is_seen_at_the_apparent_field(design):
    view = figures(design)
    middle = edge_angles_deg(view)[5]  # 585 nm, the wavelength nearest to d light
    assert middle == pytest.approx(view.apparent_field_deg / 2.0, abs=0.01)


def test_edge_of_a_huygens_is_coloured_though_its_image_is_not():
    view = figures("huygens")
    edges = edge_angles_deg(view)
    ring = (edges[1] - edges[7]) * 60.0
    # The ring stands between the lenses: its eye lens alone colours it; blue outside.
    assert ring > 4.0
    assert abs(view.lateral_colour_arcmin[-1]) < 1.0
    assert (np.diff(edges) < 0.0).all()


def test_edge_before_the_lenses_has_the_colour_of_the_image():
    view = figures("ramsden")
    edges = edge_angles_deg(view)
    spots = view.spots.tangential[:, -1, 0]
    np.testing.assert_allclose(edges - edges[4], np.degrees(spots - spots[4]), atol=2e-3)


@pytest.mark.parametrize("offset", [-2.0, -4.0, 4.0])
def test_stop_off_the_focal_plane_makes_the_edge_soft(offset):
    view = figures("plossl", offset=offset, ratio=6.0)
    # The cone of f/6 is |dz| / 6 wide at the ring; the edge of the image is seen at dangle/dh.
    slope = np.diff(view.angle_deg)[-1] / np.diff(view.height_mm)[-1] * 60.0
    cone = offset / 6.0 * slope
    # The eyepiece's own blur at the edge, from rim to rim of the pupil, works with or against it.
    rim = view.spots.rays(np.zeros(2), np.array([1.0, -1.0]), view.centre_accommodation_d)[0]
    own = np.degrees(rim[5, -1, 0] - rim[5, -1, 1]) * 60.0
    assert own < -10.0
    # From 90 to 10 % of a disc's area lie 0.69 of its width.
    assert width_arcmin(view) == pytest.approx(0.69 * abs(cone + own), rel=0.12)


def test_mask_is_one_inside_zero_outside_and_half_at_the_edge():
    view = figures("kellner")
    scale = 12.0
    mask = field_mask((560, 600), scale, view, weights=BLUE_RED)
    away = radius_deg((560, 600), scale)
    half = view.apparent_field_deg / 2.0
    assert mask.shape == (2, 560, 600)
    assert mask.min() >= 0.0
    assert mask.max() <= 1.0 + 1e-6
    np.testing.assert_allclose(mask[:, away < half - 1.0], 1.0, atol=1e-6)
    np.testing.assert_allclose(mask[:, away > half + 1.0], 0.0, atol=1e-6)
    # Each colour keeps the area of its own circle.
    for plane, edge in zip(mask, edge_angles_deg(view)[[1, 7]], strict=True):
        area = plane.sum() / scale**2
        assert area == pytest.approx(np.pi * edge**2, rel=5e-3)


def test_rims_that_cut_beams_darken_the_edge():
    narrow = lens("plossl", 25.0)
    surfaces = tuple(replace(s, clear_mm=16.0) for s in narrow.surfaces)
    view = eyepiece_figures(replace(narrow, surfaces=surfaces), None, 5.0, 1000.0)
    angle, kept = edge_profile(view, EVEN)
    middle = kept[0, np.searchsorted(angle, 5.0)]
    near_edge = kept[0, np.searchsorted(angle, 23.0)]
    assert middle == pytest.approx(1.0)
    assert near_edge == pytest.approx(view.at("vignetting", 23.0), abs=0.02)
    assert near_edge < 0.8
