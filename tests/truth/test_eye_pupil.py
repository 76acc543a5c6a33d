"""Pupil diameter against published evaluations of the unified formula.

Source: Watson & Yellott 2012, "A unified formula for light-adapted pupil size", Journal of Vision
12(10):12, eq. 21; the values are evaluations of that equation that two public transcriptions of
it share.
"""

import pytest

from simview.errors import RangeError
from simview.eye.pupil_size import diameter_mm


@pytest.mark.parametrize(
    ("luminance", "area", "age", "eyes", "expected"),
    [
        (1.0, 706.86, 28.58, 2, 5.9263),
        (1.0, 706.86, 45.0, 2, 5.3459),
        (1.0, 900.0, 45.0, 2, 5.2401),
        (2e-4, 1963.5, 30.0, 1, 7.6280),
        (2e-4, 1963.5, 60.0, 1, 6.0581),
        (2e-4, 1963.5, 60.0, 2, 6.0068),
        (100.0, 1963.5, 30.0, 1, 4.0180),
        (1000.0, 314.16, 20.0, 2, 2.9158),
        (0.0, 1000.0, 20.0, 1, 8.20),
        (0.0, 1000.0, 60.0, 1, 6.09),
        (0.0, 1000.0, 80.0, 1, 5.04),
    ],
)
def test_pupil_has_the_published_diameter(luminance, area, age, eyes, expected):
    # Half of the last printed digit, and what the last digit of a constant does (0.0095623).
    tolerance = 0.006 if round(expected, 2) == expected else 2e-4
    assert diameter_mm(luminance, area, age, eyes) == pytest.approx(expected, abs=tolerance)


def test_pupil_counts_the_field_as_an_area_and_one_eye_as_a_tenth():
    # Watson & Yellott 2012: F = L a M(e) with M(1) = 0.1.
    assert diameter_mm(10.0, 500.0, 40.0, 1) == pytest.approx(diameter_mm(1.0, 500.0, 40.0, 2))
    assert diameter_mm(10.0, 500.0, 40.0, 1) == pytest.approx(diameter_mm(5.0, 1000.0, 40.0, 1))


@pytest.mark.parametrize(
    ("luminance", "area", "age", "eyes", "name"),
    [
        (-1.0, 100.0, 40.0, 1, "luminance_cd_m2"),
        (float("nan"), 100.0, 40.0, 1, "luminance_cd_m2"),
        (1.0, -1.0, 40.0, 1, "field_area_deg2"),
        (1.0, 100.0, 19.0, 1, "age_years"),
        (1.0, 100.0, 84.0, 1, "age_years"),
        (1.0, 100.0, 40.0, 3, "eyes"),
    ],
)
def test_pupil_refuses_what_the_formula_does_not_cover(luminance, area, age, eyes, name):
    with pytest.raises(RangeError, match=name):
        diameter_mm(luminance, area, age, eyes)
