"""Barten's contrast sensitivity against an independent library.

Source: Barten 1999, Contrast Sensitivity of the Human Eye and Its Effects on Image Quality, SPIE,
eq. 3.26. Independent reference: colour-science's function of the same model, its optical factor
switched off by sigma = 0.
"""

import math

import numpy as np
import pytest
from colour_reference import STORED

from simview.errors import RangeError
from simview.eye.contrast import (
    RECEPTOR_SIGMA_ARCMIN,
    receptor_transfer,
    sensitivity,
    troland,
)
from simview.eye.optics import diffraction_transfer, human_transfer


@pytest.mark.parametrize("row", STORED["barten"]["rows"])
def test_sensitivity_equals_the_independent_librarys(row):
    u = np.array(STORED["barten"]["cycles_per_deg"])
    found = sensitivity(u, troland=row["troland"], object_deg=row["object_deg"], eyes=2)
    np.testing.assert_allclose(found, row["sensitivity"], rtol=1e-12)


def test_one_eye_needs_root_two_more_contrast():
    # Barten 1999, section 3.2; Campbell & Green 1965, Nature 208, 191.
    both = sensitivity(4.0, troland=100.0, object_deg=5.0, eyes=2)
    one = sensitivity(4.0, troland=100.0, object_deg=5.0, eyes=1)
    assert both / one == pytest.approx(math.sqrt(2.0))


def test_whole_eye_has_the_classic_sensitivity():
    # Campbell & Robson 1968, J. Physiol. 197, 551: 500 cd/m2 through 2.5 mm, one eye, a field of
    # 10 deg: highest sensitivity about 500 near 3 cycles/deg, about 10 at 30 cycles/deg (from
    # memory). Within a factor of 1.5; the model has 468 at 3.1 and 13 at 30.
    u = np.geomspace(0.2, 70.0, 600)
    light = float(troland(500.0, 2.5))
    neural = receptor_transfer(u) * sensitivity(u, troland=light, object_deg=10.0)
    value = human_transfer(u, 2.5) * neural
    assert 2.0 < u[value.argmax()] < 6.0
    assert 333.0 < value.max() < 750.0
    assert 6.7 < np.interp(30.0, u, value) < 15.0


def test_best_eye_sees_no_finer_than_its_receptors_stand():
    # Curcio et al. 1990: foveal cones 0.5 arcmin apart, a limit of 60 cycles/deg; best measured
    # acuity is 0.5 to 0.7 arcmin a bar, 43 to 60 cycles/deg (Shlaer 1937; from memory).
    u = np.geomspace(10.0, 100.0, 2000)
    value = human_transfer(u, 3.0) * receptor_transfer(u)
    value = value * sensitivity(u, troland=2000.0, object_deg=2.0, eyes=2)
    assert 43.0 < u[np.flatnonzero(value > 1.0)[-1]] < 60.0


def test_receptor_blur_is_bartens_constant_less_diffraction():
    # Barten 1999: 0.5 arcmin; a 2.5 mm pupil at 555 nm keeps 0.527 at 30 cycles/deg.
    kept = float(diffraction_transfer(30.0, 2.5))
    diffraction = math.sqrt(-math.log(kept) / 2.0) / (math.pi * 30.0) * 60.0
    assert math.sqrt(0.5**2 - diffraction**2) == pytest.approx(RECEPTOR_SIGMA_ARCMIN, abs=0.005)


def test_dim_light_follows_the_square_root_law():
    # de Vries 1943, Physica 10, 553, and Rose: where photon noise rules, sensitivity grows as
    # the square root of light.
    low, high = sensitivity(10.0, troland=np.array([1e-4, 1e-2]), object_deg=2.0)
    assert high / low == pytest.approx(10.0, rel=0.01)


def test_no_light_and_no_frequency_give_no_sensitivity():
    assert sensitivity(0.0, troland=100.0, object_deg=1.0) == 0.0
    assert sensitivity(5.0, troland=0.0, object_deg=1.0) == 0.0


def test_troland_is_luminance_times_pupil_area():
    # CIE S 017, by definition: 1 cd/m2 through 2 mm, 100 cd/m2 through 4 mm.
    np.testing.assert_allclose(troland([1.0, 100.0], [2.0, 4.0]), (3.1416, 1256.6), rtol=1e-4)


@pytest.mark.parametrize("bad", [{"troland": -1.0}, {"object_deg": math.nan}])
def test_nonsense_is_refused(bad):
    with pytest.raises(RangeError, match=next(iter(bad))):
        sensitivity(1.0, **({"troland": 1.0, "object_deg": 1.0} | bad))
