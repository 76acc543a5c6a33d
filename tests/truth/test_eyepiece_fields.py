"""First-order figures of eyepieces: the ratio of focal lengths, and the two field conditions."""

import math

import pytest

from simview.eyepiece import fields
from simview.eyepiece.train import beam
from simview.kit import Amplifier, Binocular, Eyepiece, Kit, Telescope


@pytest.mark.parametrize(
    ("focal_length_mm", "apparent_deg", "tangent_mm", "angle_mm"),
    # stop = 2 f tan(A / 2) and stop = f A: geometry; e.g. Rutten & van Venrooij 1988, Telescope
    # Optics (from memory).
    [
        (25.0, 50.0, 23.315, 21.817),
        (10.0, 45.0, 8.284, 7.854),
        (32.0, 50.0, 29.84, 27.93),
    ],
)
def test_field_stop_follows_from_the_apparent_field(
    focal_length_mm, apparent_deg, tangent_mm, angle_mm
):
    found = [
        fields.field_stop_mm(apparent_deg, focal_length_mm, condition)
        for condition in ("tangent", "angle")
    ]
    # Digits as given.
    assert found == pytest.approx([tangent_mm, angle_mm], abs=5e-3)


def test_true_field_of_a_stop_is_its_angle_from_the_objective():
    # 2 atan(23.315 / 2000) = 1.3358 deg, and 1.2500 deg for the angle condition's stop.
    assert fields.true_from_stop_arcmin(23.315, 1000.0) / 60.0 == pytest.approx(1.3358, abs=1e-4)
    assert fields.true_from_apparent_arcmin(50.0, 40.0) / 60.0 == pytest.approx(1.25, abs=1e-9)


@pytest.mark.parametrize("condition", ["tangent", "angle"])
def test_both_roads_from_apparent_to_true_field_meet(condition):
    # Over the stop and straight; for small true fields an angle is its own tangent.
    stop = fields.field_stop_mm(50.0, 25.0, condition)
    over_the_stop = fields.true_from_stop_arcmin(stop, 1000.0)
    straight = fields.true_from_apparent_arcmin(50.0, 40.0, condition)
    assert over_the_stop == pytest.approx(straight, rel=1e-4)


@pytest.mark.parametrize(
    ("barrel", "largest_deg"),
    # Largest true field at 1000 mm: 21, 27 and 46 mm stops (common practice, no source).
    [("0.965in", 1.20), ("1.25in", 1.55), ("2in", 2.64)],
)
def test_barrel_limits_the_true_field(barrel, largest_deg):
    scope = Telescope(aperture_mm=100.0, focal_length_mm=1000.0)
    wide = Eyepiece(focal_length_mm=60.0, apparent_field_deg=70.0, barrel=barrel)
    kit = Kit(telescope=scope, eyepieces=(wide,), focuser="2in")
    found = beam(kit, eye_pupil_mm=7.0)
    assert found.true_field_arcmin / 60.0 == pytest.approx(largest_deg, abs=0.006)
    assert found.condition == "field stop"


def test_binocular_follows_the_standards_tangent_condition():
    # ISO 14132-1: tan w' = M tan w; 8 times with 7 deg gives 52.1 deg, not 56 (from memory).
    glass = Binocular(power=8.0, aperture_mm=42.0, true_field_deg=7.0)
    _, apparent, condition = fields.binocular_fields(glass)
    assert apparent == pytest.approx(52.1, abs=0.05)
    assert condition == "tangent"


def test_power_and_exit_pupil_are_ratios():
    # Common practice, no source: M = f_objective / f_eyepiece, p = D / M = f_eyepiece / F.
    scope = Telescope(aperture_mm=150.0, focal_length_mm=750.0)
    kit = Kit(telescope=scope, eyepieces=(Eyepiece(focal_length_mm=10.0),))
    found = beam(kit, eye_pupil_mm=6.0)
    assert found.power == 75.0
    assert found.exit_pupil_mm == pytest.approx(2.0)
    assert found.exit_pupil_mm == pytest.approx(10.0 / scope.focal_ratio)


def test_toy_on_sale_for_450_times_gives_300_with_all_its_pieces():
    # 600 mm / 6 mm x 3 = 300; whatever the box says.
    scope = Telescope(aperture_mm=50.0, focal_length_mm=600.0, objective="achromat")
    kit = Kit(
        telescope=scope,
        eyepieces=(Eyepiece(focal_length_mm=6.0, design="huygens"),),
        amplifiers=(Amplifier(factor=3.0),),
    )
    assert beam(kit, amplifiers=(0,), eye_pupil_mm=5.0).power == 300.0
    assert not beam(kit, power=450.0, eye_pupil_mm=5.0).in_the_box


def test_eye_stops_the_telescope_down_when_the_exit_pupil_is_wider():
    # Common practice, no source: what the eye's pupil cannot take is lost. 200 mm at 20 times
    # gives 10 mm; an eye of 5 mm uses 100 mm of it, and the secondary of 50 mm is half of that.
    scope = Telescope(aperture_mm=200.0, focal_length_mm=1000.0, obstruction=0.25)
    kit = Kit(
        telescope=scope, eyepieces=(Eyepiece(focal_length_mm=50.0, barrel="2in"),), focuser="2in"
    )
    found = beam(kit, eye_pupil_mm=5.0)
    assert found.exit_pupil_mm == pytest.approx(10.0)
    assert found.used_pupil_mm == 5.0
    assert found.aperture_mm == pytest.approx(100.0)
    assert found.obstruction == pytest.approx(0.5)


def test_uncoated_glass_loses_what_fresnel_says():
    # Fresnel: 4.2 % a surface at n = 1.5168; four surfaces of two plain lenses keep 84.2 %.
    from simview.eyepiece.designs import USUAL

    assert USUAL["huygens"].transmission == pytest.approx((1 - 0.04216) ** 4, abs=1e-4)
    assert USUAL["huygens"].transmission == pytest.approx(0.842, abs=1e-3)


def test_angle_condition_multiplies_the_true_field_by_the_power():
    # Common practice, no source: 1.25 deg at 40 times looks 50 deg wide.
    assert math.isclose(fields.apparent_from_true_deg(75.0, 40.0), 50.0)
