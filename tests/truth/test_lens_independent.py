"""Figures of the trace against an independent computation.

1. Light in the plane of the axis, traced in this file with the trigonometry of the older books
   (law of sines at each sphere: Conrady 1929, Applied Optics and Optical Design, chapter I):
   other variables, other formulas, one ray at a time.
2. Figures of an independent computation of like layouts (another program, its lens
   thicknesses not stated): fe = 25 mm, objective 40 fe away, d light; no literature. They are met
   as nearly as the thickness matters: 15 % and the last digit given.
"""

import math

import numpy as np
import pytest

from simview.eyepiece.bundle import LINE_C_NM, LINE_D_NM, LINE_F_NM
from simview.eyepiece.lens import Lens
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.eyepiece.lensfile import lens
from simview.glass import index

ARCMIN = math.degrees(60.0)


def by_sines(layout: Lens, height: float, slope: float, wavelength: float) -> tuple[float, float]:
    """Follow a ray in the plane of the axis; (height, angle) behind the last surface.

    Parameters
    ----------
    height, slope
        At the first vertex's plane, angle in radians, upwards positive.
    """
    y, u, z = height, slope, 0.0
    before = 1.0
    for number, surface in enumerate(layout.surfaces):
        behind = 1.0 if surface.glass == "air" else index(surface.glass, wavelength)
        if math.isinf(surface.radius_mm):
            u_new = math.asin(before / behind * math.sin(u))
            y = y - z * math.tan(u)
            z = 0.0
        else:
            r = surface.radius_mm
            # Perpendicular from the centre of curvature on the ray; then the law of sines.
            away = (r - z) * math.sin(u) + y * math.cos(u)
            incidence = math.asin(away / r)
            refracted = math.asin(before / behind * math.sin(incidence))
            central = incidence - u
            y, z = r * math.sin(central), r * (1.0 - math.cos(central))
            u_new = refracted - central
        u = u_new
        before = behind
        if number + 1 < len(layout.surfaces):
            z -= surface.thickness_mm
    return y - z * math.tan(u), u


def sky_ray(
    view: EyepieceFigures, height: float, pupil: float, wavelength: float
) -> tuple[float, float]:
    """Follow a ray from a height on the objective to an image height."""
    place = view.place
    slope = math.atan2(height - pupil, place.focus_mm - place.pupil_mm)
    start = pupil - place.pupil_mm * math.tan(slope)
    return by_sines(place.lens, start, slope, wavelength)


@pytest.mark.parametrize("design", ["huygens", "ramsden", "kellner", "plossl", "erfle"])
def test_figures_agree_with_the_law_of_sines(design):
    view = eyepiece_figures(design, 25.0, 10.0, 1000.0)
    length = float(view.place.main.vertex_mm[-1])
    for k in (8, 16):
        height = float(view.height_mm[k])
        y, u = sky_ray(view, height, 0.0, LINE_D_NM)
        assert -u == pytest.approx(math.radians(view.angle_deg[k]), rel=1e-9)
        crossing = length - y / math.tan(u)
        assert view.place.eye_mm - crossing == pytest.approx(
            view.pupil_shift_mm[k], rel=1e-6, abs=1e-7
        )
        blue, red = (sky_ray(view, height, 0.0, line)[1] for line in (LINE_F_NM, LINE_C_NM))
        assert (red - blue) * ARCMIN == pytest.approx(
            view.lateral_colour_arcmin[k], rel=1e-6, abs=1e-7
        )
        # Two close rays cross at the tangential focus.
        (y1, u1), (y2, u2) = (sky_ray(view, height, p, LINE_D_NM) for p in (1e-3, -1e-3))
        back = view.place.eye_mm - length
        apart = (y1 + back * math.tan(u1)) - (y2 + back * math.tan(u2))
        dioptres = 1000.0 * (u1 - u2) / (apart * math.cos(u))
        assert dioptres == pytest.approx(view.tangential_d[k], rel=2e-3, abs=2e-4)


# design, half fields, (tangential, sagittal) in dioptres, blur at f/10 in arcmin.
LIKE_LAYOUTS = [
    ("huygens", (10, 15), (-0.40, -0.96), (-0.69, -1.58), (1.3, 2.6)),
    ("huygens-3", (10, 15), (-1.33, -2.88), (-0.99, -2.18), (1.5, 3.0)),
]


@pytest.mark.parametrize(("design", "angles", "tangential", "sagittal", "blur"), LIKE_LAYOUTS)
def test_two_lens_types_come_out_as_in_an_independent_computation(
    design, angles, tangential, sagittal, blur
):
    view = eyepiece_figures(design, 25.0, 10.0, 1000.0, apparent_field_deg=30.0)
    for angle, t, s, b in zip(angles, tangential, sagittal, blur, strict=True):
        assert view.at("tangential_d", angle) == pytest.approx(t, rel=0.15, abs=0.005)
        assert view.at("sagittal_d", angle) == pytest.approx(s, rel=0.15, abs=0.005)
        assert view.at("astigmatic_blur_arcmin", angle) == pytest.approx(b, rel=0.25, abs=0.05)


@pytest.mark.parametrize(
    ("design", "focus_d", "waves"),
    [
        ("huygens", -0.96, (0.21, 1.71, 3.66)),
        ("huygens-3", -1.28, (0.30, 2.47, 5.32)),
        ("ramsden", -0.49, (0.03, 0.24, 0.50)),
    ],
)
def test_middle_of_two_lens_types_comes_out_as_in_an_independent_computation(
    design, focus_d, waves
):
    view = eyepiece_figures(design, 25.0, 10.0, 1000.0)
    assert view.longitudinal_colour_d == pytest.approx(focus_d, rel=0.08)
    for ratio, expected in zip((10.0, 6.0, 5.0), waves, strict=True):
        got = eyepiece_figures(design, 25.0, ratio, 1000.0).spherical_waves
        assert got == pytest.approx(expected, rel=0.15, abs=0.005)


def test_rules_that_carry_over_between_focal_ratios():
    views = [eyepiece_figures("ramsden", 25.0, ratio, 1000.0) for ratio in (10.0, 20.0)]
    np.testing.assert_allclose(
        views[0].astigmatic_blur_arcmin, 2.0 * views[1].astigmatic_blur_arcmin, rtol=1e-9
    )
    np.testing.assert_allclose(
        views[0].lateral_colour_arcmin, views[1].lateral_colour_arcmin, rtol=1e-9
    )
    np.testing.assert_allclose(views[0].distortion, views[1].distortion, rtol=1e-9)
    assert lens("ramsden", 25.0).name == "ramsden"
