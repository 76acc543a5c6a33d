"""Coma and shadow of a tilted paraboloid against rays traced here, no formula of ours in them.

Source: Schroeder, Astronomical Optics, section 5.3 (third-order coma of a paraboloid); the rays
are exact.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview.telescope.coma import (
    axis_offset_mm,
    axis_tilt_arcmin,
    coma_tolerance_mm,
    paraboloid_coma_waves,
    shadow_offset,
)
from simview.telescope.faults import apply_faults, parse
from simview.telescope.wavefront import zernike


def newtonian(aperture_mm=200.0, ratio=5.0, obstruction=0.25):
    return simview.Telescope(
        aperture_mm=aperture_mm, focal_length_mm=ratio * aperture_mm, obstruction=obstruction
    )


def traced_wavefront(aperture_mm, focal_mm, star_rad):
    """Advance of the light in waves at 550 nm, for a star `star_rad` to the right of the axis.

    The mirror is z = r^2 / 4f. Light from the star's plane wave goes to a mirror point and on to
    the image; a shorter path is an advance. Returned on points inside the pupil with x, y.
    """
    node = (np.arange(200) + 0.5) / 100 - 1.0
    x, y = np.meshgrid(node, -node)
    inside = x * x + y * y <= 1.0
    x, y = x[inside], y[inside]
    point = np.stack((x * aperture_mm / 2, y * aperture_mm / 2, np.zeros_like(x)))
    point[2] = (point[0] ** 2 + point[1] ** 2) / (4.0 * focal_mm)
    towards_star = np.array([math.sin(star_rad), 0.0, math.cos(star_rad)])
    image = np.array([-focal_mm * math.tan(star_rad), 0.0, focal_mm])
    length = -towards_star @ point + np.linalg.norm(point - image[:, None], axis=0)
    return x, y, -(length - length.mean()) / 550e-6


def coefficients(x, y, path, count=15):
    basis = np.stack([zernike(j, x, y) for j in range(1, count + 1)])
    return np.linalg.lstsq(basis.T, path, rcond=None)[0]


@pytest.mark.parametrize("ratio", [4.0, 5.0, 8.0])
@pytest.mark.parametrize("tilt_arcmin", [2.0, 10.0])
def test_coma_is_that_of_traced_rays(ratio, tilt_arcmin):
    scope = newtonian(ratio=ratio)
    star = math.radians(tilt_arcmin / 60.0)
    found = coefficients(*traced_wavefront(scope.aperture_mm, scope.focal_length_mm, star))
    # Noll 8 of the PV form: A (3 r^3 - 2 r) cos t / 2 = a8 Z8 with a8 = A / (2 sqrt 8)
    waves = found[7] * 2.0 * math.sqrt(8.0)
    # third order against exact rays: 1 / (16 F^2) and less
    assert paraboloid_coma_waves(scope, tilt_arcmin) == pytest.approx(abs(waves), rel=0.01)
    # all else but tilt, defocus, astigmatism is small
    assert np.abs(found[8:]).max() < 0.02 * abs(waves)


def test_flare_points_away_from_the_axis():
    # rays: star to the right of the axis; the wavefront's Noll 8 is positive, and coma of
    # positive strength at angle 0 throws its flare to the right, away from the axis
    found = coefficients(*traced_wavefront(200.0, 1000.0, math.radians(10.0 / 60.0)))
    assert found[7] > 0.0
    # our fault's angle is where the axis lies: to the left of the star, at 180 degrees
    faulty = apply_faults(newtonian(), [parse("miscollimation=10arcmin@180")])
    assert faulty.scope.wavefront.coma > 0.0
    assert faulty.scope.wavefront.coma_angle_deg == pytest.approx(0.0, abs=1e-9)


def test_shadow_moves_towards_the_axis_as_rays_do():
    """A ray from the star past the middle of the secondary, followed down to the primary."""
    scope, tilt = newtonian(), math.radians(8.0 / 60.0)
    # the tube's axis is z; the primary's normal leans left by `tilt`; the chief ray leaves along
    # z, so the star stands at twice the tilt, on the left too
    star = np.array([-math.sin(2.0 * tilt), 0.0, math.cos(2.0 * tilt)])
    height = scope.focal_length_mm * (1.0 - scope.obstruction)
    landing = -star[0] * height / star[2]  # x where the ray through (0, 0, height) meets z = 0
    assert landing > 0.0
    radii = landing / (scope.aperture_mm / 2.0)
    assert shadow_offset(scope, 8.0) == pytest.approx(radii, rel=1e-4)
    # seen from the star (left of the mirror's axis) the axis lies to the right: same side
    faulty = apply_faults(scope, [parse("miscollimation=8arcmin@0")])
    assert faulty.extras.shadow_x == pytest.approx(radii, rel=1e-4)
    assert faulty.scope.wavefront.coma_angle_deg == pytest.approx(180.0)


def test_offset_and_tilt_are_the_same_fault():
    scope = newtonian()
    assert axis_offset_mm(scope, axis_tilt_arcmin(scope, 0.8)) == pytest.approx(0.8)
    by_tilt = apply_faults(
        scope, [parse(f"miscollimation={axis_tilt_arcmin(scope, 0.8)}arcmin@30")]
    )
    by_offset = apply_faults(scope, [parse("miscollimation=0.8mm@30")])
    assert by_offset.scope.wavefront.coma == pytest.approx(by_tilt.scope.wavefront.coma)
    assert by_offset.extras.shadow_x == pytest.approx(by_tilt.extras.shadow_x)


@pytest.mark.parametrize(("ratio", "offset_mm"), [(4.0, 0.4224), (5.0, 0.825), (8.0, 3.3792)])
def test_tolerance_is_the_offset_of_a_quarter_wave(ratio, offset_mm):
    scope = newtonian(ratio=ratio)
    assert coma_tolerance_mm(scope) == pytest.approx(offset_mm, rel=1e-3)
    tilt = axis_tilt_arcmin(scope, coma_tolerance_mm(scope))
    assert paraboloid_coma_waves(scope, tilt) == pytest.approx(0.25, rel=1e-4)
