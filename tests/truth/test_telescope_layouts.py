"""The five layouts against third-order theory and exact statements of geometry.

Sources: Schroeder, Astronomical Optics (2nd edition 2000), sections 5.3 and 6.2 to 6.3; Maksutov
1944, JOSA 34, 270; Gregory's f/15 and f/23 of 1957 (from memory: all spheres at f/15). What is
derived by hand here says so.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

import simview
from simview.errors import FitError
from simview.glass import index
from simview.telescope.coma import paraboloid_coma_waves, shadow_offset
from simview.telescope.faults import apply_faults, parse
from simview.telescope.layouts.misplaced import aside, farther_back, layout_of, tilted, wider
from simview.telescope.layouts.ray_wavefront import centred, coefficients, scale_mm

WAVE_MM = 550e-6
ARCMIN = math.radians(1.0 / 60.0)

SIZES = {
    "newtonian": (150.0, 750.0),
    "refractor": (90.0, 900.0),
    "cassegrain": (200.0, 2400.0),
    "schmidt-cassegrain": (203.0, 2030.0),
    "maksutov": (127.0, 1500.0),
}


def made(name):
    return layout_of(name, *SIZES[name])


def third_order_secondary(radius_mm: float, conic: float, m: float, height_mm: float) -> float:
    """Spherical aberration that a convex secondary adds, waves PV at best focus, undercorrected.

    Derived by hand: a conic mirror whose picture is m times as far as its object departs from the
    ideal conic -((m + 1) / (m - 1))^2 by y^4 (K - K_ideal) / (8 R^3) of glass, twice that in the
    wavefront; a convex one takes away what a concave one adds. A quarter is left at best focus.
    """
    ideal = -(((m + 1.0) / (m - 1.0)) ** 2)
    return -(height_mm**4) * (conic - ideal) / (4.0 * radius_mm**3) / WAVE_MM / 4.0


@pytest.mark.parametrize("name", SIZES)
def test_layout_has_its_focal_length_and_a_sharp_middle(name):
    layout = made(name)
    assert abs(scale_mm(layout)) == pytest.approx(SIZES[name][1], rel=1e-4)
    # A picture is upside down: a star to the right falls left; two mirrors keep it so.
    assert scale_mm(layout) < 0.0
    noll = coefficients(layout)
    assert math.sqrt(float(np.sum(noll[4:] ** 2))) < 0.01


@pytest.mark.parametrize("name", SIZES)
def test_four_hundred_rays_are_enough(name):
    star = (0.002, 0.001)
    few, many = (coefficients(made(name), star, rays=n) for n in (400, 3000))
    np.testing.assert_allclose(few, many, atol=2e-5)


def test_tilted_paraboloid_has_the_third_orders_coma_and_shadow():
    scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.2)
    found = tilted(made("newtonian"), 3.0, 40.0)
    # Third order against exact rays: 1 %.
    assert abs(found.coma) == pytest.approx(paraboloid_coma_waves(scope, 3.0), rel=0.01)
    # The flare points away from the axis, the shadow moves towards it.
    assert math.degrees(cmath.phase(found.coma)) == pytest.approx(40.0 - 180.0, abs=0.1)
    assert abs(found.shadow) == pytest.approx(shadow_offset(scope, 3.0), rel=1e-3)
    assert math.degrees(cmath.phase(found.shadow)) == pytest.approx(40.0, abs=0.1)
    # The star stands at twice the lean: law of reflection.
    assert abs(found.star) == pytest.approx(2.0 * 3.0 * ARCMIN, rel=1e-5)


@pytest.mark.parametrize("name", ["newtonian", "cassegrain"])
def test_off_the_axis_a_classical_cassegrain_has_the_coma_of_a_paraboloid_of_its_focal_ratio(name):
    aperture, focal = SIZES[name]
    scope = simview.Telescope(aperture_mm=aperture, focal_length_mm=focal)
    found = aside(made(name), 10.0, 0.0, refocused=True)
    # Schroeder, section 6.2; third order against exact rays: 3 %.
    assert abs(found.coma) == pytest.approx(paraboloid_coma_waves(scope, 10.0), rel=0.03)
    assert found.coma.real > 0.0  # away from the middle


def test_secondary_turned_about_the_first_focus_stays_free_of_coma():
    """Exact: a hyperboloid maps one focus on the other, however it is turned about the first."""
    layout = made("cassegrain")
    (secondary,) = layout.part("secondary")
    first_focus = 0.5 / layout.surfaces[0].curvature
    how = {"lean": (0.004, 0.0)}
    about_focus = layout.with_parts(("secondary",), **how, pivot_mm=first_focus)
    about_vertex = layout.with_parts(("secondary",), **how, pivot_mm=secondary.z_mm)
    coma = [math.hypot(*coefficients(each)[7:9]) for each in (about_focus, about_vertex)]
    # The star on the axis, wherever it falls: nothing, against 0.8 waves peak to valley.
    assert coma[0] < 1e-6
    assert coma[1] > 0.1


def test_secondary_tilt_and_shift_of_a_classical_cassegrain_agree_with_third_order():
    """Turning about the vertex is turning about the first focus and shifting back: one coma."""
    layout = made("cassegrain")
    (secondary,) = layout.part("secondary")
    first_focus = 0.5 / layout.surfaces[0].curvature
    lean = 0.001
    shift = lean * (first_focus - secondary.z_mm)
    one = layout.with_parts(("secondary",), lean=(lean, 0.0), pivot_mm=secondary.z_mm)
    # Its axis still passes the first focus where a shift undoes the tilt: |shift| = p lean.
    combined = [
        layout.with_parts(("secondary",), lean=(lean, 0.0), shift_mm=(sign * shift, 0.0))
        for sign in (1.0, -1.0)
    ]
    coma = [abs(coefficients(each)[8]) for each in (one, *combined)]
    assert min(coma[1:]) < 1e-3 * coma[0]


def test_mirrors_farther_apart_have_third_orders_spherical_aberration():
    layout = made("cassegrain")
    (secondary,) = layout.part("secondary")
    first, radius = 600.0, -1.0 / secondary.curvature
    for move in (2.0, -2.0):
        p = first + secondary.z_mm - move
        m = 1.0 / (1.0 - 2.0 * p / radius)
        height = 100.0 * p / first
        told = third_order_secondary(radius, secondary.conic, m, height)
        assert wider(layout, move).spherical == pytest.approx(told, rel=0.03)


def test_mirrors_of_a_schmidt_cassegrain_farther_apart_have_it_too():
    layout = made("schmidt-cassegrain")
    (secondary,) = layout.part("secondary")
    first, radius = 406.0, -1.0 / secondary.curvature
    told = []
    for move in (0.0, 2.0):
        p = first + secondary.z_mm - move
        m = 1.0 / (1.0 - 2.0 * p / radius)
        told.append(third_order_secondary(radius, 0.0, m, 101.5 * p / first))
    # The plate's own small power is left out: 15 %.
    assert wider(layout, 2.0).spherical == pytest.approx(told[1] - told[0], rel=0.15)


def test_focus_farther_back_overcorrects_a_schmidt_cassegrain_and_a_maksutov():
    """The mirror moves up to the corrector: the mirrors stand nearer."""
    for name in ("schmidt-cassegrain", "maksutov"):
        layout = made(name)
        assert farther_back(layout, 100.0).spherical < -0.03
        assert wider(layout, -1.0).spherical < 0.0


def test_plate_of_a_schmidt_cassegrain_has_its_third_orders_figure():
    """b (n - 1) = 1 / (4 R1^3) - k^4 ((m + 1) / (m - 1))^2 / (4 R2^3): derived by hand."""
    layout = made("schmidt-cassegrain")
    (secondary,) = layout.part("secondary")
    plate = layout.part("corrector")[1]
    first, radius = 812.0, -1.0 / secondary.curvature
    p = first / 2.0 + secondary.z_mm
    k, m = p / (first / 2.0), 1.0 / (1.0 - 2.0 * p / radius)
    sphere = 1.0 / (4.0 * first**3)
    back = k**4 * ((m + 1.0) / (m - 1.0)) ** 2 / (4.0 * radius**3)
    assert plate.powers[0] == pytest.approx((sphere - back) / (index("BK7", 550.0) - 1.0), rel=0.03)
    # Colour is least where the plate is level at 0.866 of its radius: blue and red alike to 0.1.
    rim2 = (203.0 / 2.0) ** 2
    assert plate.sag(np.array([0.75 * rim2]))[1][0] == pytest.approx(0.0, abs=1e-9)


def test_meniscus_keeps_maksutovs_relation_and_needs_no_figuring_at_f15():
    for aperture, focal in ((127.0, 1500.0), (90.0, 1250.0), (180.0, 2700.0)):
        layout = layout_of("maksutov", aperture, focal)
        outer, inner, primary, _ = layout.surfaces
        thick = inner.z_mm - outer.z_mm
        told = thick * (1.0 - 1.0 / index("BK7", 550.0) ** 2)
        # The primary takes a little part in the colour: 8 %.
        assert 1.0 / outer.curvature - 1.0 / inner.curvature == pytest.approx(told, rel=0.08)
    # The last one, f/15: three spheres are enough.
    assert abs(primary.conic) < 0.06


def test_lens_is_free_of_coma_and_unites_two_colours():
    layout = made("refractor")
    assert abs(aside(layout, 20.0, 0.0, refocused=True).coma) < 2e-3
    focus = [coefficients(layout, wavelength_nm=nm)[4] for nm in (486.1, 546.1, 656.3)]
    assert focus[0] == pytest.approx(focus[2], abs=0.01)
    assert abs(focus[1] - focus[0]) > 0.1


@pytest.mark.parametrize("name", ["cassegrain", "schmidt-cassegrain", "maksutov"])
def test_miscollimation_is_the_layouts_own_and_not_a_paraboloids(name):
    aperture, focal = SIZES[name]
    scope = simview.Telescope(aperture_mm=aperture, focal_length_mm=focal, obstruction=0.33)
    for text in ("miscollimation=2arcmin@30", "miscollimation=0.5mm@30"):
        own = apply_faults(scope, [parse(text)], layout=name).scope.wavefront
        paraboloid = apply_faults(scope, [parse(text)], layout="newtonian").scope.wavefront
        assert own.coma > 1.5 * paraboloid.coma
        # The flare points away from the axis, as in a Newtonian.
        assert math.cos(math.radians(own.coma_angle_deg - 210.0)) > 0.999


def test_tilts_add_and_the_star_is_in_the_middle():
    layout = made("maksutov")
    one, two = (tilted(layout, size, 70.0) for size in (1.0, 2.0))
    assert two.coma == pytest.approx(2.0 * one.coma, rel=1e-3)
    assert centred(layout) == pytest.approx((0.0, 0.0), abs=1e-12)


def test_layouts_that_cannot_have_a_fault_say_so():
    newton = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0)
    for text, layout in (
        ("secondary-shift=1mm", "newtonian"),
        ("secondary-shift=1mm", "maksutov"),
        ("corrector-shift=1mm", "cassegrain"),
        ("back-focus=50", "newtonian"),
        ("lens-spacing=0.1", "newtonian"),
        ("miscollimation=1arcmin", "other"),
        ("miscollimation=1arcmin", "cassegrain"),
    ):
        with pytest.raises(FitError, match=r"layout|Newtonian"):
            apply_faults(newton, [parse(text)], layout=layout)


@pytest.mark.parametrize(("aperture", "focal"), [(90.0, 900.0), (102.0, 660.0), (80.0, 480.0)])
def test_tilting_a_whole_lens_gives_astigmatism_of_a_thin_lens_and_no_coma(
    aperture: float, focal: float
) -> None:
    # A thin lens at the stop has astigmatism theta^2 D^2 / (8 f) r^2 cos^2 whatever its shape, and
    # one corrected for it no coma (Welford, Aberrations of Optical Systems, 1986, section 12.2).
    degree = math.radians(1.0)
    found = tilted(layout_of("refractor", aperture, focal), 60.0, 0.0)
    waves = degree**2 * aperture**2 / (8.0 * focal) / 550e-6
    assert abs(found.astigmatism) == pytest.approx(waves, rel=0.01)
    assert abs(found.coma) < 0.01 * waves
