"""Spots as polynomials against rays traced one by one, and what the eye's focus does to them."""

import numpy as np
import pytest

from simview.eyepiece.bundle import height_for, setup, start
from simview.eyepiece.lensfile import NAMES, lens
from simview.eyepiece.spots import about_chief, fit_spots, pupil_points
from simview.eyepiece.trace import trace

ARCMIN = np.degrees(60.0)


def placed(design: str, ratio: float):
    layout = lens(design, 25.0)
    place = setup(
        layout, focal_ratio=ratio, objective_mm=1000.0, wavelengths_nm=[450.0, 550.0, 650.0]
    )
    edge = np.radians(layout.apparent_field_deg / 2.0)
    return place, height_for(place, edge * np.array([0.0, 0.5, 1.0]))


@pytest.mark.parametrize("design", NAMES)
def test_fitted_spot_agrees_with_rays_traced_one_by_one(design):
    place, heights = placed(design, 6.0)
    fit = fit_spots(place, heights)
    across, along = pupil_points(97)  # not the rays that were fitted
    rays = trace(place.optics, start(place, heights[:, None], across, along)).rays
    exact = about_chief(place, rays, heights)
    fitted = fit.rays(across, along)
    # 0.1 arcmin is a tenth of what a sharp eye resolves.
    assert np.abs(fitted[0] - exact[0]).max() * ARCMIN < 0.1
    assert np.abs(fitted[1] - exact[1]).max() * ARCMIN < 0.1


@pytest.mark.parametrize("design", NAMES)
def test_accommodation_moves_rays_by_their_place_in_the_pupil(design):
    place, heights = placed(design, 8.0)
    fit = fit_spots(place, heights)
    across, along = pupil_points(50)
    rays = trace(place.optics, start(place, heights[:, None], across, along)).rays
    _, _, out, side = about_chief(place, rays, heights)
    rest, set_near = fit.rays(across, along), fit.rays(across, along, 2.0)
    # One dioptre turns a ray 1 mm off the axis by a milliradian.
    np.testing.assert_allclose(rest[0] - set_near[0], 2e-3 * out, atol=1e-6)
    np.testing.assert_allclose(rest[1] - set_near[1], 2e-3 * side, atol=1e-6)


def test_places_in_the_pupil_fill_the_exit_pupil():
    place, heights = placed("plossl", 10.0)
    across, along = pupil_points(2000)
    rays = trace(place.optics, start(place, heights[:, None], across, along)).rays
    _, _, out, side = about_chief(place, rays, heights)
    radius = place.exit_pupil_diameter_mm / 2.0
    middle = np.hypot(out[1, 0], side[1, 0])
    assert middle.max() == pytest.approx(radius, rel=1e-2)
    # Off axis the pupil is squeezed along the field angle and drawn by its aberrations.
    assert np.abs(out[1, 2]).max() < radius


def test_pupil_points_cover_equal_areas_and_leave_the_secondary_out():
    across, along = pupil_points(4000, 0.3)
    radius = np.hypot(across, along)
    assert radius.min() >= 0.3
    assert radius.max() <= 1.0
    # Half of the area of a ring from 0.3 to 1 lies within sqrt((0.09 + 1) / 2).
    assert np.median(radius) == pytest.approx(np.sqrt(0.545), abs=1e-3)
    assert abs(across.mean()) < 1e-3
    assert abs(along.mean()) < 1e-3
