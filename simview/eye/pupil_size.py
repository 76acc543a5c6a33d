"""How wide the eye's pupil stands: from light, field and age."""

from __future__ import annotations

from typing import Final, Literal

from simview.errors import RangeError, require_range

# Age for which the field formula holds unchanged, years (Watson & Yellott 2012, eq. 20).
REFERENCE_AGE_YEARS: Final = 28.58

# Weight of the light when one eye is open (Watson & Yellott 2012, eq. 21: M(1) = 0.1, M(2) = 1).
ONE_EYE: Final = 0.1


def diameter_mm(
    luminance_cd_m2: float, field_area_deg2: float, age_years: float, eyes: Literal[1, 2] = 1
) -> float:
    """Return the diameter of the adapted pupil.

    Parameters
    ----------
    luminance_cd_m2
        Mean luminance of the field that the eye sees, 0 to 1e6 cd/m2.
    field_area_deg2
        Area of that field in square degrees, 0 to 41253 (an area, not a diameter).
    age_years
        20 to 83, the range of the formula.
    eyes
        1 at a telescope, 2 behind a binocular or without an instrument.

    Returns
    -------
    float
        Pupil diameter in mm; falls as light or age grows.

    Raises
    ------
    RangeError
        When a value lies outside its range.

    Notes
    -----
    Source: Watson & Yellott 2012, "A unified formula for light-adapted pupil size", Journal of
    Vision 12(10):12, eq. 21.
    Checked by: tests/truth/test_eye_pupil.py
    """
    light = require_range("luminance_cd_m2", luminance_cd_m2, 0.0, 1e6, unit="cd/m2")
    area = require_range("field_area_deg2", field_area_deg2, 0.0, 41253.0, unit="deg2")
    age = require_range("age_years", age_years, 20.0, 83.0, unit="years")
    if eyes not in (1, 2):
        raise RangeError("eyes", got=eyes, allowed="1 or 2")
    flux = light * area * (ONE_EYE if eyes == 1 else 1.0)
    x = (flux / 846.0) ** 0.41
    young = 7.75 - 5.75 * x / (x + 2.0)  # Stanley & Davies 1995
    return float(young + (age - REFERENCE_AGE_YEARS) * (0.02132 - 0.0095623 * young))
