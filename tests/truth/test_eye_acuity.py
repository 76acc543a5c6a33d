"""Critical angle against evaluations of the published law.

Source: Schaefer 1993, "Astronomy and the limits of vision", Vistas in Astronomy 36, 311 (after
Shlaer 1937); values evaluated from his two branches for normal sight.
"""

import numpy as np
import pytest

from simview.errors import RangeError
from simview.eye.acuity import critical_angle_arcsec
from simview.eye.state import POINT_ACUITY_ARCSEC


def test_critical_angle_follows_the_published_law():
    luminance = np.array([1e-4, 1e-3, 1e-2, 0.1, 1.0, 10.0, 100.0, 1000.0])
    expected = (490.0, 433.0, 253.0, 103.0, 65.0, 51.3, 45.4, 42.7)
    # Printed to three digits.
    np.testing.assert_allclose(critical_angle_arcsec(luminance), expected, rtol=2e-3)


def test_branches_meet():
    # 1394 nL in cd/m2; both give 414 arcsec.
    luminance = 1394.0 / (1e5 * np.pi)
    below, above = critical_angle_arcsec(np.array([luminance * 0.9999, luminance * 1.0001]))
    assert below == pytest.approx(414.0, abs=0.5)
    assert above == pytest.approx(below, rel=5e-4)  # the slopes differ, the values do not


def test_bright_sight_is_between_half_and_one_arcminute():
    # Shlaer 1937: best 0.5 to 0.7 arcmin for a grating in full light (from memory).
    assert 30.0 < critical_angle_arcsec(3000.0) < 60.0


def test_half_the_sight_doubles_the_angle_up_to_the_cap():
    assert critical_angle_arcsec(100.0, 0.5) == pytest.approx(2.0 * critical_angle_arcsec(100.0))
    assert critical_angle_arcsec(0.0) == 900.0


def test_negative_luminance_is_refused():
    with pytest.raises(RangeError, match="luminance"):
        critical_angle_arcsec([-1.0, 1.0])


def test_points_of_light_are_no_wider_to_the_nerves_than_at_a_tenth_of_a_candela():
    # By hand: 0.1 cd/m2 are 31 416 nL; 40 x 10^(8.28 x 31 416^-0.29) = 103.0 arcsec.
    assert pytest.approx(103.0, abs=0.1) == POINT_ACUITY_ARCSEC
    assert critical_angle_arcsec(0.1) == pytest.approx(POINT_ACUITY_ARCSEC, abs=0.1)
