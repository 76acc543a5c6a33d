"""How long an object stays in the field when nothing follows the sky."""

from __future__ import annotations

import math
from typing import Final

# Length of the sidereal day in seconds of mean solar time. Source: Explanatory Supplement to
# the Astronomical Almanac, 86164.0905 s (from memory; it changes by less than 1e-7 a century).
SIDEREAL_DAY_S: Final = 86164.0905

# Turn of the sky at the equator, arcsec per second of time.
SKY_RATE_ARCSEC_S: Final = 360.0 * 3600.0 / SIDEREAL_DAY_S


def drift_rate_arcsec_s(declination_deg: float) -> float:
    """Return how fast an object moves through the field of a mount at rest, arcsec/s.

    Parameters
    ----------
    declination_deg
        -90 to 90 deg.

    Source: rotation of the sky, 15.041 arcsec/s times cos(declination).
    Checked by: tests/truth/test_drift.py
    """
    # cos(90 deg) is 6e-17 in floating point; at the pole it must be nothing at all.
    return 0.0 if abs(declination_deg) >= 90.0 else _rate(declination_deg)


def _rate(declination_deg: float) -> float:
    return SKY_RATE_ARCSEC_S * math.cos(math.radians(declination_deg))


def drift_seconds(true_field_arcmin: float, declination_deg: float) -> float:
    """Return the time an object takes across the middle of the field, in seconds.

    Parameters
    ----------
    true_field_arcmin
        Full diameter of the field.
    declination_deg
        Of the object, -90 to 90 deg.

    Returns
    -------
    float
        Seconds; infinite at the pole.

    Source: field = time x 15.041 arcsec/s x cos(declination). The path is taken as straight,
    which holds while the field is small against the polar distance.
    Checked by: tests/truth/test_drift.py
    """
    rate = drift_rate_arcsec_s(declination_deg)
    return math.inf if rate == 0.0 else true_field_arcmin * 60.0 / rate
