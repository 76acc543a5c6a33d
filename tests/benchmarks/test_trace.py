"""Times of the trace and of the blur over the field; nothing is asserted about them."""

import numpy as np
import pytest

from simview.eyepiece.bundle import setup, start
from simview.eyepiece.field_blur import plan_tiles, spread
from simview.eyepiece.lensfigures import eyepiece_figures
from simview.eyepiece.lensfile import lens
from simview.eyepiece.spotkernels import spot_reach
from simview.eyepiece.spots import pupil_points
from simview.eyepiece.trace import trace

SIDE = 1024


def test_trace_of_1000_rays_at_9_wavelengths_through_6_surfaces(benchmark):
    layout = lens("plossl", 25.0)
    place = setup(
        layout,
        focal_ratio=6.0,
        objective_mm=1000.0,
        wavelengths_nm=np.linspace(420.0, 690.0, 9),
    )
    assert len(layout.surfaces) == 6
    rays = start(place, 5.0, *pupil_points(1000))
    traced = benchmark(trace, place.optics, rays)
    assert traced.passed.shape == (9, 1000)


def test_all_figures_of_one_eyepiece(benchmark):
    layout = lens("plossl", 25.0)
    figures = benchmark(eyepiece_figures, layout, None, 6.0, 1000.0)
    assert figures.eye_relief_mm > 0.0


def four_planes() -> np.ndarray:
    return np.random.default_rng(0).random((4, SIDE, SIDE), dtype=np.float32)


def blur_case(design: str, ratio: float):
    figures = eyepiece_figures(design, 25.0, ratio, 1000.0)
    scale = SIDE / (figures.apparent_field_deg * 1.02)
    eye = (figures.centre_accommodation_d, 1.0, 0.0)
    return figures, scale, eye


CASES = [("plossl", 5.0), ("huygens", 10.0), ("kellner", 5.0)]


@pytest.mark.parametrize(("design", "ratio"), CASES)
def test_plain_convolution_of_four_1024_planes(benchmark, design, ratio):
    from scipy import fft

    figures, scale, eye = blur_case(design, ratio)
    reach = spot_reach(figures, scale, eye)
    side = fft.next_fast_len(SIDE + 2 * reach, real=True)
    planes = four_planes()
    kernel = np.ones((4, 2 * reach + 1, 2 * reach + 1), np.float32)
    spectrum = fft.rfft2(kernel, s=(side, side), workers=2)

    def plain() -> np.ndarray:
        seen = fft.rfft2(planes, s=(side, side), workers=2)
        seen *= spectrum
        return fft.irfft2(seen, s=(side, side), workers=2)

    assert benchmark(plain).shape[0] == 4


@pytest.mark.parametrize(("design", "ratio"), CASES)
def test_blur_over_the_field_of_four_1024_planes(benchmark, design, ratio):
    figures, scale, eye = blur_case(design, ratio)
    plan = plan_tiles(figures, (SIDE, SIDE), scale, np.ones((4, 9)), eye)
    planes = four_planes()
    assert benchmark(spread, planes, plan).shape == planes.shape


@pytest.mark.parametrize(("design", "ratio"), CASES)
def test_plan_of_the_blur_once_for_each_eyepiece(benchmark, design, ratio):
    figures, scale, eye = blur_case(design, ratio)
    plan = benchmark(plan_tiles, figures, (SIDE, SIDE), scale, np.ones((4, 9)), eye)
    assert plan.octants
