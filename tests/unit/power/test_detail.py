"""The core of the finest detail: no telescope, only curves."""

import math

import numpy as np
import pytest

from simview.errors import RangeError
from simview.eye.contrast import receptor_transfer, sensitivity
from simview.eye.optics import aberration_transfer, diffraction_transfer
from simview.power.detail import (
    COMFORTABLE_ARCMIN,
    ENOUGH_ARCMIN,
    curve,
    finest_period_arcsec,
    finest_periods_arcsec,
)


def perfect(aperture_mm):
    """A clear aperture at 555 nm: transfer over cycles per arcsec."""
    return lambda f: diffraction_transfer(f * 3600.0, aperture_mm)


BRIGHT = {"troland": 500.0, "contrast": 0.4, "object_apparent_deg": 3.0}


def test_finest_period_is_where_contrast_and_threshold_meet():
    period = finest_period_arcsec(perfect(100.0), power=100.0, used_pupil_mm=1.0, **BRIGHT)
    u = 3600.0 / (100.0 * period)
    left = 0.4 * diffraction_transfer(u * 100.0, 100.0) * aberration_transfer(u, 1.0)
    left = left * receptor_transfer(u)
    needed = 1.0 / sensitivity(u, troland=500.0, object_deg=3.0)
    assert left == pytest.approx(float(needed), rel=1e-6)


def test_many_looks_at_once_see_what_each_sees_alone():
    small, large = perfect(60.0), perfect(100.0)
    # The third is too dim to show anything, the fifth's object too small.
    looks = {
        "power": np.array([20.0, 50.0, 90.0, 200.0, 60.0]),
        "troland": np.array([800.0, 300.0, 1e-7, 20.0, 0.01]),
        "contrast": np.array([0.4, 0.3, 0.02, 0.5, 0.2]),
        "object_apparent_deg": np.array([1.0, 2.0, 3.0, 8.0, 0.3]),
        "used_pupil_mm": np.array([3.0, 2.0, 1.1, 0.5, 1.0]),
    }
    mtfs = [small, large, large, large, small]
    found = finest_periods_arcsec(mtfs, **looks, sight=0.8)
    alone = [
        finest_period_arcsec(mtf, **{k: float(v[i]) for k, v in looks.items()}, sight=0.8)
        for i, mtf in enumerate(mtfs)
    ]
    assert [each is None for each in alone] == [False, False, True, False, True]
    for together, by_itself in zip(found, alone, strict=True):
        assert together == (by_itself and pytest.approx(by_itself, rel=1e-12))


def test_finer_than_the_cutoff_is_never_seen():
    # 1 / cut-off of 100 mm at 555 nm is 1.145 arcsec.
    for power in (20.0, 60.0, 150.0, 400.0):
        used = min(100.0 / power, 5.0)
        period = finest_period_arcsec(
            perfect(used * power), power=power, used_pupil_mm=used, **(BRIGHT | {"contrast": 1.0})
        )
        assert period > 206265.0 * 555e-6 / 100.0


def test_naked_eye_sees_about_a_minute_of_arc():
    # 20/20 sight resolves bars of 1 arcmin, a period of 2; the best 0.5 to 0.7 (from memory).
    period = finest_period_arcsec(
        perfect(3.0),
        power=1.0,
        used_pupil_mm=3.0,
        troland=700.0,
        contrast=1.0,
        object_apparent_deg=2.0,
        eyes=2,
    )
    assert 60.0 < period < 120.0


def test_two_eyes_see_finer_than_one():
    one, two = (
        finest_period_arcsec(perfect(60.0), power=60.0, used_pupil_mm=1.0, eyes=eyes, **BRIGHT)
        for eyes in (1, 2)
    )
    assert two < one


def test_nothing_is_seen_without_light_or_contrast():
    for bad in ({"troland": 0.0}, {"contrast": 0.0}, {"troland": 1e-6, "contrast": 0.02}):
        assert (
            finest_period_arcsec(perfect(60.0), power=60.0, used_pupil_mm=1.0, **(BRIGHT | bad))
            is None
        )


def test_no_period_is_longer_than_the_object():
    # Visible at a degree across, but not when the object is smaller than the period would be.
    dim = {"troland": 0.01, "contrast": 0.2, "power": 60.0, "used_pupil_mm": 1.0}
    wide = finest_period_arcsec(perfect(60.0), object_apparent_deg=8.0, **dim)
    assert wide is not None
    assert finest_period_arcsec(perfect(60.0), object_apparent_deg=0.3, **dim) is None


@pytest.mark.parametrize(
    ("bad", "name"),
    [
        ({"contrast": 1.5}, "contrast"),
        ({"power": 0.0}, "power"),
        ({"troland": math.nan}, "troland"),
        ({"object_apparent_deg": 0.0}, "object_apparent_deg"),
    ],
)
def test_nonsense_is_refused_by_name(bad, name):
    good = {"power": 60.0, "used_pupil_mm": 1.0, **BRIGHT}
    with pytest.raises(RangeError, match=name):
        finest_period_arcsec(perfect(60.0), **(good | bad))


def test_marks_stand_where_they_are_defined():
    # P = exp((ln x - ln 100)^2): best 1 arcsec at 100x, 4 arcmin wide at 240x, 2.5 at 150x.
    powers = np.geomspace(10.0, 1000.0, 81)
    periods = np.exp(np.log(powers / 100.0) ** 2)
    marks = curve(powers, periods)
    assert marks.best_power == pytest.approx(100.0, rel=1e-3)
    assert marks.best_period_arcsec == pytest.approx(1.0, rel=1e-4)
    assert marks.carries == pytest.approx(240.0, rel=1e-4)
    assert marks.enough_from == pytest.approx(150.0, rel=1e-4)
    assert (ENOUGH_ARCMIN, COMFORTABLE_ARCMIN) == (2.5, 4.0)


def test_marks_hardly_depend_on_where_the_powers_lie():
    answers = []
    for count in (40, 53, 97):
        powers = np.geomspace(12.0, 900.0, count)
        answers.append(curve(powers, 1.3 * np.exp(np.log(powers / 130.0) ** 2)))
    for name in ("best_power", "carries", "enough_from"):
        values = [getattr(a, name) for a in answers]
        assert max(values) / min(values) < 1.01


def test_detail_is_half_a_period():
    marks = curve([10.0, 20.0], [4.0, None])
    assert marks.finest_detail_arcsec == (2.0, None)


def test_invisible_curve_has_a_reason_and_no_numbers():
    marks = curve([10.0, 20.0, 40.0], [None, None, None])
    assert (marks.enough_from, marks.carries, marks.best_power) == (None, None, None)
    assert marks.best_period_arcsec is None
    assert "can be made out" in marks.reason


def test_unfinished_curve_says_so():
    assert "still falls" in curve([10.0, 20.0, 40.0], [4.0, 3.0, 2.0]).reason
    assert curve([10.0, 20.0, 40.0], [4.0, 2.0, 3.0]).reason == ""


def test_single_power_has_marks_too():
    marks = curve([10.0], [6.0])
    assert marks.enough_from == pytest.approx(25.0)
    assert marks.carries == pytest.approx(40.0)


def test_duller_sight_sees_less_and_a_keener_one_more():
    def seen(sight, power=40.0):
        return finest_period_arcsec(
            perfect(100.0), power=power, used_pupil_mm=2.0, sight=sight, **BRIGHT
        )

    assert seen(1.0) == finest_period_arcsec(
        perfect(100.0), power=40.0, used_pupil_mm=2.0, **BRIGHT
    )
    assert seen(0.5) > 1.5 * seen(1.0)
    assert seen(1.3) < seen(1.0)
    # At twice the power an eye half as sharp sees about as much: what a sight is by definition.
    assert seen(0.5, 80.0) == pytest.approx(seen(1.0), rel=0.2)


def test_duller_sight_asks_for_more_power_by_as_much():
    def at(sight):
        return curve([30.0, 60.0, 120.0], [4.0, 2.0, 2.1], sight=sight)

    usual, dull, keen = at(1.0), at(0.5), at(1.4)
    for mark in ("enough_from", "carries", "empty_above"):
        assert getattr(dull, mark) == pytest.approx(2.0 * getattr(usual, mark))
        assert getattr(keen, mark) == getattr(usual, mark)
