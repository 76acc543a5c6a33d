"""Which ring decides the field, and which condition is stated."""

import math

import pytest

from simview.eyepiece import designs, fields
from simview.kit import DESIGNS, Binocular, Eyepiece


def of(power=100.0, objective_mm=1000.0, **eyepiece):
    piece = Eyepiece(**{"focal_length_mm": 10.0, **eyepiece})
    return fields.eyepiece_fields(piece, power, objective_mm)


def test_stated_field_stop_decides():
    true, apparent, condition = of(field_stop_mm=7.0)
    assert condition == "field stop"
    assert true == pytest.approx(math.degrees(7.0 / 1000.0) * 60.0, rel=1e-4)
    assert apparent == pytest.approx(math.degrees(0.7))


def test_both_stated_are_both_believed():
    true, apparent, condition = of(field_stop_mm=7.0, apparent_field_deg=45.0)
    assert condition == "field stop"
    assert true == pytest.approx(math.degrees(7.0 / 1000.0) * 60.0, rel=1e-4)
    assert apparent == 45.0


def test_apparent_field_is_divided_by_the_power_when_the_stop_is_unknown():
    true, apparent, condition = of(apparent_field_deg=60.0)
    assert (true, apparent, condition) == (36.0, 60.0, "angle")


@pytest.mark.parametrize("design", DESIGNS)
def test_design_gives_the_usual_field_when_nothing_is_stated(design):
    _, apparent, condition = of(design=design)
    assert apparent == designs.USUAL[design].apparent_field_deg
    assert condition == "angle"


def test_barrel_is_the_stop_when_a_long_eyepiece_would_need_a_wider_one():
    true, apparent, condition = of(focal_length_mm=40.0, apparent_field_deg=50.0, power=25.0)
    # 27 mm at 40 mm: 38.7 deg.
    assert condition == "field stop"
    assert apparent == pytest.approx(38.67, abs=0.01)
    assert true == pytest.approx(27.0 / 1000.0 * 3437.75, rel=1e-3)


def test_binocular_believes_the_field_on_its_shell():
    glass = Binocular(power=10.0, aperture_mm=50.0, true_field_deg=6.5)
    true, apparent, condition = fields.binocular_fields(glass)
    assert true == 390.0
    assert condition == "tangent"
    assert math.tan(math.radians(apparent / 2)) == pytest.approx(
        10.0 * math.tan(math.radians(3.25))
    )


def test_binocular_with_nothing_stated_has_fifty_degrees():
    true, apparent, _ = fields.binocular_fields(Binocular(power=10.0, aperture_mm=50.0))
    assert apparent == 50.0
    assert true == pytest.approx(5.34 * 60.0, abs=0.5)


@pytest.mark.parametrize(("apparent_deg", "condition"), [(52.1, "tangent"), (56.0, "angle")])
def test_binocular_with_both_stated_names_the_condition_that_fits(apparent_deg, condition):
    glass = Binocular(
        power=8.0, aperture_mm=42.0, true_field_deg=7.0, apparent_field_deg=apparent_deg
    )
    assert fields.binocular_fields(glass) == (420.0, apparent_deg, condition)
