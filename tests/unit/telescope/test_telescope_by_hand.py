"""The telescope's room against sums, integrals and constructions done by hand."""

from __future__ import annotations

import io
import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

import simview
from simview.banded import cubic_weights
from simview.errors import SimviewError
from simview.telescope import exposure, flat, quality, spread, traced_faults
from simview.telescope.colour_focus import luminosity
from simview.telescope.contrast_transfer import PARTS, contrast
from simview.telescope.cooling import (
    GLASSES,
    TRANSFER_W,
    Mirror,
    cooled,
    mean_warmth_k,
    minutes_until,
    profile,
)
from simview.telescope.daylight import ByDay, Part, seen_along, set_off
from simview.telescope.faults import apply_faults, cooling_mirror, parse
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.layouts.misplaced import layout_of
from simview.telescope.opening import opening
from simview.telescope.phase_map import Relief
from simview.telescope.screws import NAMES, Screws
from simview.telescope.stop import stop_for
from simview.telescope.terms import Extras, TurnedEdge, Zone

MIRROR = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
NM = 550.0


# Figures of quality --------------------------------------------------------------------------


def hill(x0: float, y0: float, cross: float) -> np.ndarray:
    y, x = np.indices((9, 9)) - 4.0
    return np.asarray(5.0 - 0.3 * (x - x0) ** 2 - 0.2 * (y - y0) ** 2 - cross * (x - x0) * (y - y0))


@pytest.mark.parametrize("cross", [0.0, 0.2, -0.3])
@pytest.mark.parametrize(("x0", "y0"), [(0.0, 0.0), (0.3, -0.4), (-0.45, 0.2), (0.4, 0.1)])
def test_top_of_a_paraboloid_is_found_between_the_pixels(
    x0: float, y0: float, cross: float
) -> None:
    assert quality._top(hill(x0, y0, cross)) == pytest.approx(5.0, abs=1e-12)


def test_top_at_an_edge_or_of_a_saddle_is_the_pixel_itself() -> None:
    image = hill(0.2, 0.1, 0.0)
    for cut in (image[4:, 2:7], image[:5, 2:7], image[2:7, 4:], image[2:7, :5]):
        assert quality._top(cut) == cut.max()
    saddle = np.zeros((5, 5))
    saddle[1:4, 1:4] = [[0.9, 0.0, 0.9], [0.0, 1.0, 0.0], [0.9, 0.0, 0.99]]
    saddle[2, 1] = saddle[2, 3] = 0.99
    saddle[1, 1] = saddle[3, 3] = -9.0
    assert quality._top(saddle) == 1.0


@pytest.mark.parametrize("radius", [2.0, 4.7, 9.3])
def test_circle_over_even_pixels_holds_its_area(radius: float) -> None:
    assert quality._pixel_sum(np.ones((21, 21)), radius) == pytest.approx(
        math.pi * radius**2, rel=0.01
    )


@pytest.mark.parametrize("hidden", [0.0, 0.5, 0.8])
def test_peak_to_valley_is_taken_from_the_shadows_edge_to_the_rim(hidden: float) -> None:
    # 4 A (r^4 - r^2): 0 at the rim, -A at r^2 = 1/2, 4 A (e^4 - e^2) at the edge of a shadow e.
    lowest = -1.0 if hidden < math.sqrt(0.5) else 4.0 * (hidden**4 - hidden**2)
    highest = max(0.0, 4.0 * (hidden**4 - hidden**2))
    scope = replace(MIRROR, obstruction=hidden, wavefront=simview.Wavefront(spherical=0.4))
    assert quality.pv_waves(scope) == pytest.approx(0.4 * (highest - lowest), abs=2e-3)


def test_map_of_the_wavefront_is_blank_where_the_pupil_is_closed_and_level_elsewhere() -> None:
    wavefront = simview.Wavefront(noll={2: 0.7, 3: -0.4, 11: 0.1})
    told = quality.wavefront_map(replace(MIRROR, wavefront=wavefront), samples=100)
    y, x = np.indices((100, 100)) - 49.5
    radius = np.hypot(x, y) / 50.0
    assert np.isnan(told[(radius > 1.02) | (radius < 0.28)]).all()
    shown = (radius < 0.98) & (radius > 0.32)
    assert not np.isnan(told[shown]).any()
    # Tilt is gone; sqrt(5) (6 r^4 - 6 r^2 + 1) is left, less its mean over the ring from 0.3 on:
    # 2 s^2 - 3 s + 1 integrated over s = r^2 from 0.09 to 1, over 0.91.
    mean = ((2.0 - 3.0 + 1.0) - (2.0 * 0.09**3 - 3.0 * 0.09**2 + 0.09)) / 0.91
    wanted = 0.1 * math.sqrt(5.0) * (6.0 * radius**4 - 6.0 * radius**2 + 1.0 - mean)
    np.testing.assert_allclose(told[shown], wanted[shown], atol=2e-3)


def test_contrast_at_parts_of_the_limit_is_the_clear_pupils() -> None:
    # 2/pi (acos v - v sqrt(1 - v^2)): 0.6850, 0.3910, 0.1443 at quarters (Goodman 6.3); the limit
    # of 100 mm at 550 nm is a cycle in 1.1344 arcsec.
    found = contrast(simview.Telescope(aperture_mm=100.0, focal_length_mm=900.0))
    assert PARTS == (0.25, 0.5, 0.75)
    assert found.at_parts == pytest.approx((0.6850, 0.3910, 0.1443), abs=1e-3)
    assert 1.0 / found.limit_per_arcsec == pytest.approx(1.13446, rel=1e-4)


def test_contrast_of_an_astigmatic_telescope_is_the_mean_of_four_directions() -> None:
    scope = replace(MIRROR, wavefront=simview.Wavefront(astigmatism=0.6, coma=0.3))
    nu = 0.5 / (NM * 1e-6 / 150.0 * 206264.806)
    each = [quality.transfer(scope, [nu], angle_deg=a)[0] for a in (0.0, 45.0, 90.0, 135.0)]
    assert np.ptp(each) > 0.02
    assert contrast(scope).at_parts[1] == pytest.approx(float(np.mean(each)), rel=1e-6)


# Pictures of a star --------------------------------------------------------------------------


def test_star_shows_itself_by_its_amplitude() -> None:
    star = simview.point_spread(MIRROR, pixel_arcsec=0.3, pixels=40)
    shown = np.asarray(Image.open(io.BytesIO(star._repr_png_())))
    np.testing.assert_allclose(shown, 255.0 * np.sqrt(star.image / star.image.max()), atol=0.51)
    assert np.asarray(star) is not None
    assert np.array_equal(np.asarray(star), star.image)
    assert f"{star.image.sum():.1%} of the light" in repr(star)
    assert "40 x 40 pixels of 0.3 arcsec, 150 mm" in repr(star)


@pytest.mark.parametrize("pixel", [0.3, 0.5, 0.501, 0.9, 2.0, 7.3])
def test_pixels_are_cut_into_an_odd_number_of_thirds_of_a_wavelength_over_the_aperture(
    pixel: float,
) -> None:
    parts = spread._division(pixel, 1.0)
    if pixel <= 0.5:
        assert parts == 1
        return
    assert parts % 2 == 1
    assert 3.0 * pixel <= parts < 3.0 * pixel + 2.0


def test_far_wing_begins_where_fine_pixels_would_be_too_many() -> None:
    assert spread._computed(100, 9, 0.0) == 100
    inner = spread._computed(300, 9, 0.0)
    assert inner % 2 == 1
    assert inner * 9 <= 1024 + 9
    assert (inner + 2) * 9 > 1024
    # A wavefront that throws light 200 wavelengths / aperture out is followed 8 times as far.
    assert spread._computed(300, 9, 200.0) == pytest.approx((8 * 200 + 400) / 9.0, abs=2.0)
    assert spread._computed(5000, 1, 0.0) == 5000


def test_slope_of_a_screen_is_its_steepest_step_over_the_whole_width() -> None:
    # A ramp of 1100 nm over 20 samples, 19 steps: two waves over 19/20 of the diameter.
    ramp = np.linspace(0.0, 1100.0, 20)[None, :].repeat(20, axis=0)
    assert exposure._screen_slope(ramp) == pytest.approx(2.0 * 20.0 / 19.0)
    assert exposure._screen_slope(ramp.T) == pytest.approx(2.0 * 20.0 / 19.0)
    assert exposure._screen_slope(None) == 0.0


def test_screen_that_is_a_plane_moves_the_star_by_its_slope() -> None:
    # 600 nm over 150 mm are 0.825 arcsec, towards where the path is longer: the right, and up.
    along = (np.arange(64) + 0.5) / 64.0 - 0.5
    for screen, place in ((along[None, :] + 0.0 * along[:, None], (0.825, 0.0)),
                          (0.0 * along[None, :] - along[:, None], (0.0, 0.825))):  # fmt: skip
        stack = spread.spread_stack(
            MIRROR, wavelengths_nm=[NM], pixel_arcsec=0.15, pixels=96, screen_nm=600.0 * screen
        )
        y, x = (np.indices((96, 96)) - 48) * 0.15
        near = np.hypot(x - place[0], -y - place[1]) < 1.5
        light = stack[0] * near
        found = (light * x).sum() / light.sum(), -(light * y).sum() / light.sum()
        assert found == pytest.approx(place, abs=0.03)


def test_stopped_down_opening_is_measured_in_its_own_radii() -> None:
    extras = Extras(
        shadow_x=0.1, shadow_y=-0.2, lit_x=0.3, lit_y=0.05, lit_radius=0.9,
        clips=3, clip_width=0.06, clip_depth=0.1,
    )  # fmt: skip
    found = stop_for(MIRROR, 120.0, extras=extras)
    assert found.crop == pytest.approx(0.8)
    shape = found.shape
    for told, wanted in (
        (shape.obstruction, 0.375), (shape.shadow_x, 0.125), (shape.shadow_y, -0.25),
        (shape.lit_x, 0.375), (shape.lit_y, 0.0625), (shape.lit_radius, 1.125),
        # Clips reach in to 0.4 of the diameter from the middle: of 120 mm that is the very rim.
        (shape.clip_width, 0.075), (shape.clip_depth, 0.0),
    ):  # fmt: skip
        assert told == pytest.approx(wanted, abs=1e-12)
    wide = stop_for(MIRROR, 135.0, extras=extras).shape
    assert wide.clip_depth == pytest.approx(0.5 - 0.4 / 0.9)
    assert stop_for(MIRROR, extras=Extras(obstruction=0.45)).obstruction == 0.45
    assert stop_for(MIRROR, 150.0, 1e-7).obstruction == 0.0


def test_mean_of_a_field_over_a_sample_is_damped_by_the_products_of_two_sincs() -> None:
    # Mean of exp(2 pi i (u x + v y)) over a square of side 1: sinc(u) sinc(v).
    wavefront = simview.Wavefront(defocus=4.0)
    front = opening(stop_for(replace(MIRROR, obstruction=0.0)), wavefront, 64)
    told = front.whole(front.damping(1.1, 0.7))
    x = (2.0 * np.arange(64) - 63.0) / 64.0
    # Slope of W r^2 in waves a sample: 2 W x times 2/64, W = 4 at 550 nm, 1.1 and 0.7 besides.
    slope = 2.0 * (4.0 * 1.1 + 0.7) * x * 2.0 / 64.0
    wanted = np.sinc(slope)[None, :] * np.sinc(slope)[:, None]
    inside = front.whole(front.amplitude) == 1.0
    assert np.abs(slope).max() > 0.2
    np.testing.assert_allclose(told[inside], wanted[inside], atol=2e-3)


# Maps ----------------------------------------------------------------------------------------


def test_cubic_convolution_holds_parabolas_and_repeats_the_ends() -> None:
    # Keys 1981: with a = -1/2 polynomials up to the second degree are kept.
    places = np.array([1.0, 2.25, 3.5, 4.9, 6.1])
    weights = cubic_weights(places, 9)
    for power in (0, 1, 2):
        np.testing.assert_allclose(weights @ np.arange(9.0) ** power, places**power, atol=1e-12)
    far = cubic_weights(np.array([-5.0, 20.0]), 9)
    np.testing.assert_allclose(far @ np.arange(9.0), [0.0, 8.0], atol=1e-12)


def test_relief_of_a_parabolic_map_is_exact() -> None:
    y, x = np.indices((8, 8), float)
    found = Relief.of(3.0 * x**2 - 2.0 * y**2 + 0.5 * x * y + 4.0 * x - y)
    inner = (slice(1, -1), slice(1, -1))
    np.testing.assert_allclose(found.right, (6.0 * x + 0.5 * y + 4.0)[inner])
    np.testing.assert_allclose(found.down, (-4.0 * y + 0.5 * x - 1.0)[inner])
    np.testing.assert_allclose(found.bend, 6.0 - 4.0)


def test_edges_and_zones_have_their_forms() -> None:
    # A parabola from 1 - w on; half a period of cosine squared, half its height at half its width.
    edge = TurnedEdge(waves=0.8, width=0.2)
    zone = Zone(waves=0.5, radius=0.6, width=0.2)
    nought = np.zeros(1)
    for r, bent, hump in (
        (0.8, 0.0, 0.0), (0.85, 0.05, 0.0), (0.9, 0.2, 0.0), (1.0, 0.8, 0.0),
        (0.6, 0.0, 0.5), (0.5, 0.0, 0.25), (0.7, 0.0, 0.25), (0.4, 0.0, 0.0),
        (0.65, 0.0, 0.5 * math.cos(math.pi / 8.0) ** 2),
    ):  # fmt: skip
        at = np.array([r])
        assert float(edge.path(at, nought)[0]) == pytest.approx(bent, abs=1e-12)
        assert float(zone.path(nought, at)[0]) == pytest.approx(hump, abs=1e-12)


def test_daylight_response_of_the_eye_is_the_papers_two_lobes() -> None:
    # Wyman, Sloan & Shirley 2013, table 1: y-bar; the widths differ on either side.
    for wave in (430.0, 500.0, 530.0, 560.0, 570.0, 600.0, 640.0, 690.0):
        first = (wave - 568.8) / (46.9 if wave < 568.8 else 40.5)
        second = (wave - 530.9) / (16.3 if wave < 530.9 else 31.1)
        wanted = 0.821 * math.exp(-(first**2) / 2.0) + 0.286 * math.exp(-(second**2) / 2.0)
        assert float(luminosity(np.array(wave))) == pytest.approx(wanted, rel=1e-9)


# A cooling mirror ----------------------------------------------------------------------------

WIDE = Mirror(aperture_mm=900.0, thickness_mm=30.0)
ALWAYS_S = 2500.0 * 800.0 * 0.030 / (2.0 * TRANSFER_W)  # Newton's law of cooling, plate glass


@pytest.mark.parametrize("minutes", [10.0, 60.0])
def test_air_over_a_wide_mirror_is_as_bad_as_its_warmth(minutes: float) -> None:
    # Its rim plays little part: 3 %. Racine et al. 1991: 0.40" T^1.2; a plume of 10 mm of air whose
    # index falls by (n - 1) / T = 0.98e-6 a kelvin.
    found = cooled(WIDE, minutes, 12.0)
    left = 12.0 * math.exp(-60.0 * minutes / ALWAYS_S)
    assert found.warmer_k == pytest.approx(left, rel=1e-3)
    assert found.seeing_arcsec == pytest.approx(0.40 * left**1.2, rel=0.05)
    assert found.plume_waves == pytest.approx(0.98e-6 * left * 10.0 / 550e-6, rel=0.04)
    assert mean_warmth_k(WIDE, minutes, 12.0) == pytest.approx(left, rel=0.03)


def test_wide_mirror_is_ready_after_newtons_time_and_nobody_waits_past_ten_hours() -> None:
    wanted = ALWAYS_S / 60.0 * math.log(12.0)
    assert minutes_until(WIDE, 1.0, 12.0) == pytest.approx(wanted, rel=0.03)
    assert minutes_until(WIDE, 12.0, 12.0) == 0.0
    assert minutes_until(WIDE, 1e-9, 12.0) == 600.0


@pytest.mark.parametrize(
    ("index", "polynomial"),
    # Noll 1976, table I, and its continuation: sqrt(n + 1) R_n^0.
    [
        (11, lambda s: math.sqrt(5.0) * (6.0 * s**2 - 6.0 * s + 1.0)),
        (22, lambda s: math.sqrt(7.0) * (20.0 * s**3 - 30.0 * s**2 + 12.0 * s - 1.0)),
        (37, lambda s: 3.0 * (70.0 * s**4 - 140.0 * s**3 + 90.0 * s**2 - 20.0 * s + 1.0)),
    ],
)
def test_figure_of_a_cooling_mirror_is_its_warmth_laid_out_in_zernikes(index, polynomial) -> None:
    # Glass that is T warmer is alpha T thicker, and the wavefront early by twice that; the share of
    # a polynomial is the mean of their product over the disc, the integral over s = r^2.
    mirror = Mirror(aperture_mm=200.0, thickness_mm=33.0, glass="plate")
    warm = profile(mirror, 20.0)
    places = (np.arange(len(warm)) + 0.5) / len(warm)

    s = (np.arange(20000) + 0.5) / 20000.0
    share = np.interp(np.sqrt(s), places, warm)
    wanted = float(np.mean(2.0 * 9.0e-6 * 33.0 * 15.0 * share / 550e-6 * polynomial(s)))
    told = cooled(mirror, 20.0).noll[index]
    assert told == pytest.approx(wanted, rel=1e-3, abs=1e-4)
    assert set(cooled(mirror, 20.0).noll) == {11, 22, 37}


def test_glasses_are_those_of_their_sheets() -> None:
    # ISO 3585 (borosilicate 3.3: 2230 kg/m3, 830 J/(kg K), 3.3e-6, 1.14 W/(m K) at 20 C); soda-lime
    # float glass: EN 572-1 (2500 kg/m3, 9e-6, 1.0 W/(m K)), 720 to 800 J/(kg K).
    boro, plate = GLASSES["borosilicate"], GLASSES["plate"]
    assert (boro.density, boro.heat, boro.conductivity) == (2230.0, 830.0, 1.14)
    assert boro.expansion == pytest.approx(3.3e-6)
    assert (plate.density, plate.conductivity) == (2500.0, 1.0)
    assert plate.expansion == pytest.approx(9.0e-6)
    assert 720.0 <= plate.heat <= 800.0


def test_mirror_that_cools_is_a_sixth_thick_unless_told_and_shut_in_by_a_plate_or_shell() -> None:
    for text, layout, wanted in (
        ("cooling=10", "newtonian", (25.0, "plate", False)),
        ("cooling=10,thickness=19,borosilicate=1", None, (19.0, "borosilicate", False)),
        ("cooling=10", "maksutov", (25.0, "plate", True)),
        ("cooling=10", "schmidt-cassegrain", (25.0, "plate", True)),
        ("cooling=10", "cassegrain", (25.0, "plate", False)),
    ):
        found = cooling_mirror(MIRROR, layout, parse(text))
        assert (found.thickness_mm, found.glass, found.closed) == wanted
    found_all = apply_faults(MIRROR, [parse("cooling=10,difference=8")], layout="newtonian")
    own = cooled(Mirror(aperture_mm=150.0, thickness_mm=25.0), 10.0, 8.0)
    assert dict(found_all.scope.wavefront.noll) == pytest.approx(own.noll)
    assert found_all.sky is not None
    assert found_all.sky.seeing_arcsec == pytest.approx(own.seeing_arcsec)


# Screws --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "screws", [Screws(scope=MIRROR), FlatScrews(scope=MIRROR, focuser_deg=35.0)]
)
@pytest.mark.parametrize("angle", [10.0, 100.0, 200.0, 285.0])
def test_next_turn_leaves_no_more_than_any_other_turn_of_one_screw(screws, angle: float) -> None:
    tilt = (
        6.0
        * screws.tolerance_arcmin
        * complex(math.cos(math.radians(angle)), math.sin(math.radians(angle)))
    )
    found = screws.next_turn(tilt)
    assert found is not None
    name, amount = found
    left = {}
    for which in range(3):
        for turn in np.append(np.linspace(-3.0, 3.0, 241) * abs(amount), amount):
            turns = [0.0, 0.0, 0.0]
            turns[which] = float(turn)
            left[NAMES[which], float(turn)] = abs(tilt + screws.tilt(tuple(turns)))
    # Near the best of all, by the steps of this search.
    assert left[name, amount] <= min(left.values()) + 0.02 * abs(tilt)
    assert screws.next_turn(0.99 * screws.tolerance_arcmin + 0j) is None


@pytest.mark.parametrize(
    "screws", [Screws(scope=MIRROR), FlatScrews(scope=MIRROR, focuser_deg=35.0)]
)
def test_turns_for_a_tilt_turn_two_screws_least(screws) -> None:
    for angle in (5.0, 77.0, 140.0, 310.0):
        tilt = 3.0 * complex(math.cos(math.radians(angle)), math.sin(math.radians(angle)))
        turns = screws.turns_for(tilt)
        assert screws.tilt(turns) == pytest.approx(tilt)
        assert min(map(abs, turns)) < 1e-12
        # Any equal turns of all three leave a primary's tilt: none of the other two ways is less.
        ways = [tuple(t - turns[k] for t in turns) for k in range(3)]
        if isinstance(screws, Screws):
            assert sum(map(abs, turns)) <= min(sum(map(abs, way)) for way in ways) + 1e-9


def test_flats_screws_move_the_star_by_the_law_of_reflection() -> None:
    # A lean in the plane of the fold turns the light by twice, one across it by once as much; the
    # focus stands L before the flat, the star is seen from f: L / f.
    part = flat.to_focus_mm(MIRROR) / 750.0
    assert flat.to_focus_mm(MIRROR) == pytest.approx(min(1.15 * 75.0 + 90.0, 0.3 * 750.0))
    assert flat.height_mm(MIRROR) == pytest.approx(750.0 - flat.to_focus_mm(MIRROR))
    small = replace(MIRROR, obstruction=0.1)
    assert flat.to_focus_mm(small) == pytest.approx(75.0)
    for focuser, lean, star in ((0.0, 1.0, 2.0), (0.0, 1j, 1j), (90.0, 1.0, 1.0), (90.0, 1j, 2j)):
        told = flat.star_for_lean(MIRROR, complex(lean), focuser)
        assert told == pytest.approx(part * star)
        assert flat.lean_for_star(MIRROR, told, focuser) == pytest.approx(lean)
    screws = FlatScrews(scope=MIRROR)
    hinge = 0.75 * 18.0  # three quarters of the circle's diameter
    lean_arcmin = math.degrees(math.atan(0.7 / hinge)) * 60.0
    # Screw A above, the focuser to the right: across the fold.
    assert abs(screws.moves()[0]) == pytest.approx(lean_arcmin * part)
    assert screws.turn_arcmin == pytest.approx(1.5 * lean_arcmin * part)
    assert screws.tolerance_turns == pytest.approx(screws.tolerance_arcmin / screws.turn_arcmin)


def test_view_behind_turned_screws_tells_its_tolerance_and_is_an_array() -> None:
    kit = simview.Kit(telescope=MIRROR)
    shown = simview.collimation(kit, turns=(0.5, 0.0, 0.0), pixels=48)
    # A quarter wave at 48 F^3 lambda / 4 (docs/models/faults.md): 0.825 mm at f/5.
    assert shown.tolerance_mm == pytest.approx(48.0 * 125.0 * 550e-6 / 4.0)
    # A turn of 1 mm about a hinge 3/4 of 105 mm away, seen from the focal plane.
    assert shown.axis_off_mm == pytest.approx(750.0 * 0.5 / 78.75, rel=1e-3)
    assert np.array_equal(np.asarray(shown), shown.image)
    assert shown.pixel_arcsec == 0.4
    assert shown.next == ("A", pytest.approx(-0.5, rel=1e-3))
    assert repr(shown).startswith("CollimationView(48x48 at 0.4 arcsec, axis_off_mm=4.76")
    still = simview.collimation(kit, pixels=48)
    assert still.next is None
    assert (still.axis_off_mm, still.image.sum()) == (0.0, pytest.approx(still.image.sum()))
    with pytest.raises(SimviewError, match="a telescope"):
        simview.collimation(simview.Kit())
    with pytest.raises(SimviewError, match="three numbers"):
        simview.collimation(kit, turns=(0.0, 0.0))


@pytest.mark.parametrize("layout", [None, "cassegrain", "schmidt-cassegrain", "maksutov"])
def test_screws_may_leave_a_quarter_wave_of_coma_and_tell_it_in_every_unit(layout) -> None:
    scope = simview.Telescope(aperture_mm=200.0, focal_length_mm=2400.0, obstruction=0.33)
    screws = Screws(scope=scope, layout=layout)
    allowed = screws.tolerance_arcmin
    assert screws.coma_waves(complex(allowed)) == pytest.approx(0.25, rel=1e-3)
    assert screws.coma_waves(complex(0.0, 2.0 * allowed)) == pytest.approx(0.5, rel=1e-3)
    assert screws.off_mm(complex(allowed)) == pytest.approx(screws.tolerance_mm, rel=1e-6)
    assert screws.tolerance_turns * screws.turn_arcmin == pytest.approx(allowed)
    turned = screws.tilt((screws.tolerance_turns, 0.0, 0.0))
    assert abs(turned) == pytest.approx(allowed)


# Layouts -------------------------------------------------------------------------------------


def test_layout_is_told_by_the_objective_where_the_kit_is_silent() -> None:
    lens = simview.Telescope(aperture_mm=80.0, focal_length_mm=800.0, objective="achromat")
    assert traced_faults.layout_word(MIRROR, None) == "newtonian"
    assert traced_faults.layout_word(lens, None) == "refractor"
    assert traced_faults.layout_word(MIRROR, "cassegrain") == "cassegrain"
    for scope, layout in ((lens, "newtonian"), (MIRROR, "refractor"), (MIRROR, "dobson")):
        with pytest.raises(SimviewError, match="surfaces are known"):
            traced_faults.traced_layout(scope, layout, "off-axis")
    with pytest.raises(SimviewError, match="surfaces are known"):
        traced_faults.traced_layout(replace(lens, objective="singlet"), None, "off-axis")


def test_lean_in_millimetres_is_an_angle_at_the_part_that_leans() -> None:
    # A Newtonian's primary stands a focal length before the focal plane.
    surfaces = layout_of("newtonian", 150.0, 750.0)
    assert traced_faults.lever_mm(surfaces) == pytest.approx(750.0, rel=1e-6)
    told = traced_faults.lean_arcmin(surfaces, 3.0, "mm")
    assert told == pytest.approx(math.degrees(math.atan(3.0 / 750.0)) * 60.0, rel=1e-6)
    assert traced_faults.lean_arcmin(surfaces, 3.0, "arcmin") == 3.0


@pytest.mark.parametrize("unit", ["mm", "arcmin"])
def test_star_off_axis_has_the_paraboloids_coma(unit: str) -> None:
    # theta D / (32 F^2) of r^3 cos t, 2/3 of it peak to valley (Schroeder 5.3).
    amount = 3.0 if unit == "mm" else math.degrees(math.atan(3.0 / 750.0)) * 60.0
    found = apply_faults(MIRROR, [parse(f"off-axis={amount}{unit}@0")], layout="newtonian")
    wanted = 2.0 / 3.0 * (3.0 / 750.0) * 150.0 / (32.0 * 25.0) / 550e-6
    assert found.scope.wavefront.coma == pytest.approx(wanted, rel=0.02)


# By day --------------------------------------------------------------------------------------


def test_clips_by_day_are_three_of_their_width_and_reach() -> None:
    # Seen in the flat the primary's disc of 150 mm is so many ways wide; a clip is 12 mm wide and
    # reaches 4 mm in and 4 out over the rim (as far as the flat shows beyond it).
    by_day = ByDay(scope=MIRROR, hung=set_off(MIRROR))
    side = np.linspace(-1.0, 1.0, 501) * by_day.half_width
    ways = np.stack([g.ravel() for g in np.meshgrid(side, side)], axis=1)
    seen = seen_along(by_day, ways)
    primary = np.isin(seen, [part for part in Part if part >= Part.SKY]).sum()
    clips = (seen == Part.CLIP).sum()
    # Inside the rim: 3 x 12 x 4 mm2 of 75^2 pi, outside as much again at most.
    per_mm2 = (primary + 0.5 * clips) / (math.pi * 75.0**2)
    assert 0.9 * 144.0 < clips / per_mm2 < 1.1 * 288.0
    spots = ways[seen == Part.CLIP]
    middle = ways[np.isin(seen, [part for part in Part if part >= Part.SKY])].mean(axis=0)
    angles = np.degrees(np.arctan2(*(spots - middle).T[::-1])) % 120.0
    # Three groups, a third of the circle apart.
    spread_deg = np.ptp((angles - angles[0] + 60.0) % 120.0)
    wide = math.degrees(12.0 / 75.0)
    assert spread_deg == pytest.approx(wide, rel=0.25)


def test_focusers_edge_and_hole_by_day_are_those_of_their_barrels() -> None:
    # 1.25 inches are 31.75 mm (ISO 21942), so the edge within it is some 15.5 mm from the middle.
    by_day = ByDay(scope=MIRROR, hung=set_off(MIRROR))
    assert by_day.edge_mm == 15.5 < 31.75 / 2.0
    assert by_day.wall_mm == pytest.approx(1.15 * 75.0)
    assert by_day.hole_mm == pytest.approx(0.9 * (1.15 * 75.0 + 90.0))
    assert by_day.half_width == pytest.approx(15.5 / (by_day.hole_mm - by_day.wall_mm))
    within = np.array([[0.999, 0.0], [0.0, -0.999]]) * by_day.half_width
    assert (seen_along(by_day, within) != Part.FOCUSER).all()
    assert (seen_along(by_day, 1.002 * within) == Part.FOCUSER).all()
    with pytest.raises(SimviewError, match="outside the tube"):
        ByDay(scope=replace(MIRROR, obstruction=0.1), hung=set_off(MIRROR))


def test_flats_picture_in_the_primary_is_as_large_as_rays_near_the_axis_make_it() -> None:
    # The hole stands a tenth of the flat's way inside the focus, s = f - that from the primary, so
    # that light goes back as from a place f s / (f - s) behind it, and has spread by the flat's
    # height over that when it meets the flat again: as much smaller is what the flat takes.
    by_day = ByDay(scope=MIRROR, hung=set_off(MIRROR))
    side = np.linspace(-0.6, 0.6, 401) * by_day.half_width
    seen = seen_along(by_day, np.stack([g.ravel() for g in np.meshgrid(side, side)], axis=1))
    primary, again = ((seen >= part).sum() for part in (Part.SKY, Part.BEHIND))
    inside = 0.1 * flat.to_focus_mm(MIRROR)
    behind = 750.0 * (750.0 - inside) / inside
    wanted = 0.3 / (1.0 + flat.height_mm(MIRROR) / behind)
    # Clips hide some of the primary: 144 mm2 in all, 0.8 % of it.
    assert math.sqrt(again / primary) == pytest.approx(wanted, rel=0.02)


@pytest.mark.parametrize("focuser", [0.0, 30.0])
def test_pattern_of_vanes_by_day_has_as_many_arms_halfway_between(focuser: float) -> None:
    scope = replace(MIRROR, vanes=4, vane_mm=2.0)
    by_day = ByDay(scope=scope, hung=set_off(scope, focuser))
    side = np.linspace(-0.4, 0.4, 301) * by_day.half_width
    ways = np.stack([g.ravel() for g in np.meshgrid(side, side)], axis=1)
    seen = seen_along(by_day, ways)
    primary = ways[np.isin(seen, [part for part in Part if part >= Part.SKY])]
    middle = primary.mean(axis=0)
    arms = ways[seen == Part.VANE] - middle
    away = np.hypot(*arms.T)
    rim = np.hypot(*(primary - middle).T).max()
    ring = (away > 0.7 * rim) & (away < 0.75 * rim)
    angles = np.sort(np.degrees(np.arctan2(arms[ring, 1], arms[ring, 0])) % 360.0)
    gaps = np.diff(np.append(angles, angles[0] + 360.0))
    groups = [g for g in gaps if g > 30.0]
    assert len(groups) == 4
    assert groups == [pytest.approx(90.0, abs=8.0)] * 4
    # The picture's sides are the focuser's and its neighbours': arms stand halfway between them,
    # seen from the middle, which the flat's offset moves by a few degrees.
    assert angles % 90.0 == pytest.approx(45.0, abs=8.0)
    plain = ByDay(scope=MIRROR, hung=set_off(MIRROR))
    assert (seen_along(plain, ways) != Part.VANE).all()


def test_faults_of_a_kind_add_whatever_their_order() -> None:
    texts = (
        "coma=0.2@30",
        "wedge=1arcmin@90",
        "decentred-lens=0.1@30,wedge=2",
        "dew=20%",
        "dew=10%",
    )
    every = [
        apply_faults(MIRROR, [parse(t) for t in order])
        for order in itertools.islice(itertools.permutations(texts), 0, 120, 17)
    ]
    first = every[0]
    # 0.8^2 x 0.9^2 of the light goes straight; coma 0.3 along 30 deg; wedges of 1 up and 2 at 30.
    assert first.extras.clear == pytest.approx(0.8**2 * 0.9**2)
    assert first.scope.wavefront.coma == pytest.approx(0.3)
    assert first.extras.wedge_arcmin == pytest.approx(math.hypot(math.sqrt(3.0), 2.0))
    assert first.extras.wedge_angle_deg == pytest.approx(math.degrees(math.atan2(2.0, 3.0**0.5)))
    for other in every[1:]:
        assert other.extras.clear == pytest.approx(first.extras.clear)
        assert other.scope.wavefront.coma == pytest.approx(first.scope.wavefront.coma)
        assert other.extras.wedge_arcmin == pytest.approx(first.extras.wedge_arcmin)


@pytest.mark.parametrize("objective", ["achromat", "singlet", "apochromat"])
def test_no_lens_has_a_flat_whatever_stands_before_it(objective: str) -> None:
    lens = replace(MIRROR, objective=objective)
    with pytest.raises(SimviewError, match="Newtonian with a secondary"):
        flat.require_flat(lens, "a flat")
    with pytest.raises(SimviewError, match="Newtonian with a secondary"):
        flat.require_flat(replace(MIRROR, obstruction=0.0), "a flat")
    flat.require_flat(MIRROR, "a flat")
