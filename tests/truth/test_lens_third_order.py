"""Third-order sums and Coddington's equations against the exact trace in the small limit.

Sources: Welford, Aberrations of Optical Systems (1986), chapters 8 to 10: W040 = S1/8, W131 =
S2/2, W222 = S3/2, W220 = (S3 + S4)/4, W311 = S5/2, colour dW = C1/2 and C2. Each test halves
aperture or field and asks for the difference to fall with the next order.
"""

import numpy as np
import pytest

from simview.eyepiece.bundle import (
    LINE_C_NM,
    LINE_D_NM,
    LINE_F_NM,
    apparent_angle,
    chief,
    coddington,
    setup,
    start,
)
from simview.eyepiece.lensfigures import spherical_waves
from simview.eyepiece.lensfile import NAMES, lens
from simview.eyepiece.paraxial import Seidel, seidel
from simview.eyepiece.spots import about_chief
from simview.eyepiece.trace import trace

FOCAL_MM = 25.0


def small(design: str, focal_ratio: float, height_mm: float):
    place = setup(
        lens(design, FOCAL_MM),
        focal_ratio=focal_ratio,
        objective_mm=1000.0,
        wavelengths_nm=[LINE_D_NM, LINE_F_NM, LINE_C_NM],
    )
    sums = seidel(
        place.optics,
        focus_mm=place.focus_mm,
        pupil_mm=place.pupil_mm,
        focal_ratio=focal_ratio,
        height_mm=height_mm,
    )
    return place, sums, FOCAL_MM / focal_ratio / 2.0


@pytest.mark.parametrize("design", NAMES)
def test_spherical_aberration_tends_to_a_quarter_of_w040(design):
    def miss(focal_ratio: float) -> float:
        place, sums, _ = small(design, focal_ratio, 0.5)
        main = setup(
            place.lens, focal_ratio=focal_ratio, objective_mm=1000.0, wavelengths_nm=LINE_D_NM
        )
        exact = spherical_waves(main) * LINE_D_NM * 1e-6
        return exact / (sums.spherical / 8.0 / 4.0) - 1.0

    # Fifth order falls with the square of the aperture; 0.1 % is left by the 161 samples.
    assert abs(miss(40.0)) < 3e-3
    assert abs(miss(40.0)) < abs(miss(10.0)) / 4.0 + 1e-3


@pytest.mark.parametrize("design", NAMES)
def test_both_foci_tend_to_the_third_order_curvatures(design):
    def miss(height_mm: float) -> np.ndarray:
        place, sums, radius = small(design, 20.0, height_mm)
        tangential, sagittal = coddington(place, np.array([height_mm]))
        to_dioptre = 2.0 / radius**2 * 1000.0
        third_t = (3.0 * sums.astigmatism + sums.petzval) / 4.0 * to_dioptre
        third_s = (sums.astigmatism + sums.petzval) / 4.0 * to_dioptre
        return np.array([tangential[0, 0] / third_t, sagittal[0, 0] / third_s]) - 1.0

    assert np.abs(miss(0.25)).max() < 1e-3
    # The next order is quadratic in the field: halving it leaves a quarter (0.3 allows for the
    # order after that).
    assert (np.abs(miss(0.5)) < 0.3 * np.abs(miss(1.0)) + 2e-4).all()


@pytest.mark.parametrize("design", NAMES)
def test_coma_and_distortion_tend_to_third_order(design):
    height = 0.25
    place, sums, radius = small(design, 40.0, height)
    rays = trace(place.main, start(place, np.array([[height]]), 0.0, np.array([1.0, -1.0]))).rays
    out, _, _, _ = about_chief(place, rays, np.array([height]))
    # W131 r^3 cos: the rim's two tangential rays leave by 3 W131 / radius together.
    assert out[0, 0].mean() == pytest.approx(1.5 * sums.coma / radius, rel=2e-2)
    tangent = np.tan(apparent_angle(chief(place, height, main=True).rays)[0, 0])
    assert tangent - height / FOCAL_MM == pytest.approx(sums.distortion / 2.0 / radius, rel=1e-3)


@pytest.mark.parametrize("design", ["ramsden", "kellner", "plossl"])
def test_colour_tends_to_the_first_order_sums(design):
    height = 0.25
    place, sums, radius = small(design, 40.0, height)
    vergence = coddington(place, np.zeros(1))[1][:, 0]
    axial = sums.axial_colour / radius**2 * 1000.0
    # The sums take dispersion as a small change of index; its square is about 1 %.
    assert vergence[1] - vergence[2] == pytest.approx(axial, rel=1.5e-2)
    angle = apparent_angle(chief(place, height).rays)[:, 0]
    assert angle[1] - angle[2] == pytest.approx(sums.lateral_colour / radius, rel=1.5e-2)


@pytest.mark.parametrize("design", NAMES)
def test_coddington_agrees_with_close_neighbours_of_the_chief_ray(design):
    layout = lens(design, FOCAL_MM)
    place = setup(layout, focal_ratio=10.0, objective_mm=1000.0, wavelengths_nm=[LINE_D_NM])
    heights = np.array([2.0, 4.0, 6.0])
    step = 1e-3
    across, along = np.array([step, -step, 0.0, 0.0]), np.array([0.0, 0.0, step, -step])
    rays = trace(place.optics, start(place, heights[:, None], across, along)).rays
    angle_t, angle_s, place_t, place_s = about_chief(place, rays, heights)
    near_t = -(angle_t[0, :, 2] - angle_t[0, :, 3]) / (place_t[0, :, 2] - place_t[0, :, 3])
    near_s = -(angle_s[0, :, 0] - angle_s[0, :, 1]) / (place_s[0, :, 0] - place_s[0, :, 1])
    tangential, sagittal = coddington(place, heights)
    # Vergence at the pupil's plane against the same on the chief ray: equal to the first order
    # in the vergence times the way between them, below 1e-3 of it here.
    np.testing.assert_allclose(tangential[0], 1000.0 * near_t, rtol=2e-3, atol=1e-4)
    np.testing.assert_allclose(sagittal[0], 1000.0 * near_s, rtol=2e-3, atol=1e-4)


def test_seidel_sums_name_their_kinds():
    _, sums, _ = small("plossl", 10.0, 5.0)
    assert isinstance(sums, Seidel)
    # A train of positive power has a positive Petzval sum unless it is built to be flat.
    assert sums.petzval > 0.0
