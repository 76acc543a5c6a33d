"""How long an object stays in the field when nothing follows the sky."""

from __future__ import annotations

import math

from simview.telescope.mount import drift_rate_arcsec_s


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

    Notes
    -----
    Source: field = time x 15.041 arcsec/s x cos(declination). The path is taken as straight,
    which holds while the field is small against the polar distance.
    Checked by: tests/truth/test_drift.py
    """
    rate = drift_rate_arcsec_s(declination_deg)
    return math.inf if rate == 0.0 else true_field_arcmin * 60.0 / rate
