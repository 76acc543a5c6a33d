"""First-order figures of the layouts against relations of the textbooks.

Sources: Born & Wolf, Principles of Optics, section 4.4 (power of two components, Newton's
equation); Bell 1922, The Telescope, chapter VI, and Southall 1918, Mirrors, Prisms and Lenses
(Huygens, Ramsden: from memory); ISO 14132-1 (tangent relation, from memory). Tolerances are
rounding, unless said otherwise.
"""

import math
from dataclasses import replace

import pytest

from simview.eyepiece.bundle import LINE_D_NM, setup
from simview.eyepiece.lens import Lens, Surface
from simview.eyepiece.lensfigures import eyepiece_figures
from simview.eyepiece.lensfile import NAMES, barlow, focal_length, lens
from simview.eyepiece.paraxial import cardinal
from simview.eyepiece.trace import system
from simview.glass import index


def points(layout: Lens, wavelength_nm: float = LINE_D_NM):
    optics = system(layout, wavelength_nm)
    found = cardinal(optics)
    last = optics.vertex_mm[-1]
    focal = float(found.focal_length_mm[0])
    front_principal = float(found.front_focus_mm[0]) + focal
    back_principal = float(found.back_focus_mm[0]) - focal - last
    return focal, front_principal, back_principal


def halves(layout: Lens, cut: int) -> tuple[Lens, Lens, float]:
    """Split a lens behind `cut` surfaces; return both and the air between them."""
    front = replace(layout, surfaces=layout.surfaces[:cut], stop_after=0)
    back = replace(layout, surfaces=layout.surfaces[cut:], stop_after=0)
    return front, back, layout.surfaces[cut - 1].thickness_mm


def thin_pair(first_mm: float, second_mm: float, apart_mm: float) -> Lens:
    """Two plano-convex lenses without thickness, of BK7, convex to the light."""
    bend = index("BK7", LINE_D_NM) - 1.0
    rows = []
    for focal, gap in ((first_mm, apart_mm), (second_mm, 0.0)):
        rows.append(Surface(radius_mm=bend * focal, thickness_mm=0.0, glass="BK7", clear_mm=1.0))
        rows.append(Surface(radius_mm=math.inf, thickness_mm=gap, glass="air", clear_mm=1.0))
    return Lens(name="pair", title="pair", surfaces=tuple(rows))


@pytest.mark.parametrize(
    ("design", "cut"),
    [
        ("huygens", 2),
        ("huygens-3", 2),
        ("ramsden", 2),
        ("kellner", 2),
        ("orthoscopic", 4),
        ("plossl", 3),
        ("erfle", 3),
        ("erfle", 5),
    ],
)
def test_power_is_the_sum_less_the_distance_times_the_product(design, cut):
    layout = lens(design, 20.0)
    front, back, gap = halves(layout, cut)
    f1, _, back_principal = points(front)
    f2, front_principal, _ = points(back)
    apart = gap - back_principal + front_principal
    assert 1.0 / focal_length(layout) == pytest.approx(
        1 / f1 + 1 / f2 - apart / (f1 * f2), rel=1e-9
    )


def test_a_pair_half_the_sum_of_its_focal_lengths_apart_keeps_its_power_in_all_colours():
    for first, second in ((30.0, 15.0), (45.0, 15.0), (20.0, 20.0)):
        pair = thin_pair(first, second, (first + second) / 2.0)
        nearer = thin_pair(first, second, (first + second) / 2.0 * 0.8)

        def change(layout: Lens) -> float:
            blue, green, red = (points(layout, nm)[0] for nm in (486.13, 546.07, 656.27))
            return (blue - red) / green

        # Glass alone: (n_F - n_C)/(n - 1) = 1/64. The condition leaves its square.
        assert abs(change(pair)) < (1.0 / 64.0) ** 2 * 2.0
        assert abs(change(nearer)) > 10.0 * abs(change(pair))


@pytest.mark.parametrize(("design", "ratio"), [("huygens", 2.0), ("huygens-3", 3.0)])
def test_a_huygens_is_built_to_the_achromatic_distance(design, ratio):
    layout = lens(design, 25.0)
    field, eye, gap = halves(layout, 2)
    f1, _, back_principal = points(field)
    f2, front_principal, _ = points(eye)
    # The library's lengths carry six digits.
    assert f1 / f2 == pytest.approx(ratio, rel=1e-5)
    assert gap - back_principal + front_principal == pytest.approx((f1 + f2) / 2.0, rel=1e-5)
    assert focal_length(layout) == pytest.approx(2.0 * f1 * f2 / (f1 + f2), rel=1e-5)
    # The focal plane lies inside, f1/2 (1 - f2/f1) behind the field lens's principal plane: the
    # eye lens's focus, imaged back by the field lens.
    seen = float(cardinal(system(layout, LINE_D_NM)).front_focus_mm[0])
    to_stop = (f1 + f2) / 2.0 - f2
    expected = 1.0 / (1.0 / to_stop - 1.0 / f1)
    principal = points(field)[1]
    assert seen - principal == pytest.approx(expected, rel=1e-4)


def test_a_ramsden_two_thirds_apart_has_three_quarters_of_a_lens_and_a_focus_before_it():
    layout = lens("ramsden", 24.0)
    field, _, _ = halves(layout, 2)
    f1 = points(field)[0]
    assert focal_length(layout) == pytest.approx(0.75 * f1, rel=1e-6)
    pair = thin_pair(32.0, 32.0, 64.0 / 3.0)
    found = cardinal(system(pair, LINE_D_NM))
    # Thin lenses: the focus stands a quarter of a lens's focal length before the field lens.
    assert found.focal_length_mm[0] == pytest.approx(24.0, rel=1e-9)
    assert found.front_focus_mm[0] == pytest.approx(-8.0, rel=1e-9)
    assert found.back_focal_mm[0] == pytest.approx(8.0, rel=1e-9)


def test_a_symmetric_pair_has_its_focal_planes_alike():
    layout = lens("plossl", 25.0)
    found = cardinal(system(layout, LINE_D_NM))
    turned = cardinal(system(layout.turned(), LINE_D_NM))
    assert -found.front_focus_mm[0] == pytest.approx(found.back_focal_mm[0], rel=1e-9)
    assert turned.front_focus_mm[0] == pytest.approx(found.front_focus_mm[0], rel=1e-9)


@pytest.mark.parametrize("design", NAMES)
def test_a_lens_turned_end_for_end_keeps_its_focal_length(design):
    layout = lens(design, 25.0)
    assert focal_length(layout.turned()) == pytest.approx(25.0, rel=1e-9)


@pytest.mark.parametrize("design", NAMES)
@pytest.mark.parametrize("objective_mm", [300.0, 1000.0])
def test_the_exit_pupil_stands_where_newton_says(design, objective_mm):
    place = setup(
        lens(design, 20.0), focal_ratio=6.0, objective_mm=objective_mm, wavelengths_nm=[LINE_D_NM]
    )
    back = float(cardinal(place.main).back_focus_mm[0])
    assert place.eye_mm - back == pytest.approx(20.0**2 / objective_mm, rel=1e-9)
    assert place.exit_pupil_diameter_mm == pytest.approx(20.0 / 6.0, rel=1e-9)


@pytest.mark.parametrize("design", NAMES)
def test_the_field_keeps_the_tangent_relation_but_for_the_stated_distortion(design):
    objective = 1000.0
    figures = eyepiece_figures(design, 25.0, 8.0, objective)
    power = objective / 25.0
    half_true = math.atan(figures.image_field_mm / 2.0 / objective)
    tangent = power * math.tan(half_true) * (1.0 + figures.distortion[-1])
    assert math.degrees(math.atan(tangent)) * 2.0 == pytest.approx(
        figures.apparent_field_deg, rel=1e-9
    )
    # Small fields have no distortion to speak of: there ISO 14132-1 holds as it stands.
    near = eyepiece_figures(design, 25.0, 8.0, objective, apparent_field_deg=5.0)
    true = math.atan(near.image_field_mm / 2.0 / objective)
    assert power * math.tan(true) == pytest.approx(math.tan(math.radians(2.5)), rel=3e-3)


def test_a_barlow_multiplies_by_one_and_its_distance_over_its_focal_length():
    negative = barlow(-80.0)
    piece = lens("plossl", 20.0)
    for gap in (40.0, 80.0):
        both = piece.behind(negative, gap)
        focal, _, back_principal = points(negative)
        front_focus = float(cardinal(system(piece, LINE_D_NM)).front_focus_mm[0])
        reach = gap - back_principal + front_focus
        factor = 1.0 + reach / 80.0
        assert focal == pytest.approx(-80.0, rel=1e-9)
        assert focal_length(both) == pytest.approx(20.0 / factor, rel=1e-9)


def test_the_barlow_unites_f_and_c_as_thin_lenses_do():
    blue, green, red = (points(barlow(-80.0), nm)[0] for nm in (486.13, 546.07, 656.27))
    # Its thickness leaves 0.12 %, against 1.6 % for a single lens of the same glass.
    assert abs(blue - red) / abs(green) < 2e-3
