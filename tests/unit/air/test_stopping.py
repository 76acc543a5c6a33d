"""What is left of the air for an observer who may stop the telescope down."""

import math

import numpy as np
import pytest

from simview.air import moments, seeing, stopping
from simview.kit import Sky
from simview.units import ARCSEC_PER_RADIAN

FREQUENCY = np.linspace(0.0, 2.5, 120)


def seen(sky, aperture_mm, obstruction=0.0, room=stopping):
    """Contrast that a perfect telescope and the air keep at 550 nm."""
    unit = 550e-6 / aperture_mm * ARCSEC_PER_RADIAN
    more = {"obstruction": obstruction} if room is stopping else {}
    kept = room.transfer(
        sky, wavelength_nm=550.0, frequency=FREQUENCY, aperture_mm=aperture_mm, **more
    )
    nu = FREQUENCY * unit
    passed = stopping.annular_transfer(np.minimum(nu, 1.0), obstruction)
    return np.where(nu < 1.0, passed, 0.0) * kept


@pytest.mark.parametrize("e", [0.0, 0.33, 0.5])
def test_telescope_without_air_is_the_overlap_of_its_circles(e):
    # By counting: points of one annulus that lie in the other, shifted.
    place = (np.arange(800) + 0.5) / 200.0 - 2.0
    right, up = np.meshgrid(place, place)

    def annulus(x):
        radius = np.hypot(x, up)
        return (radius <= 1.0) & (radius >= e)

    whole = annulus(right).sum()
    for nu in (0.1, 0.3, 0.6, 0.9):
        share = (annulus(right) & annulus(right - 2.0 * nu)).sum() / whole
        assert stopping.annular_transfer(np.array([nu]), e)[0] == pytest.approx(share, abs=0.003)


@pytest.mark.parametrize(("e", "nu", "published"), [(0.33, 0.25, 0.5412), (0.33, 0.6, 0.2893)])
def test_annular_pupil_follows_oneill(e, nu, published):
    # O'Neill 1956, J. Opt. Soc. Am. 46, 285.
    assert stopping.annular_transfer(np.array([nu]), e)[0] == pytest.approx(published, abs=1e-4)


@pytest.mark.parametrize("air", ["best", "typical", "short"])
def test_best_stop_is_found_by_trying_them_all(air):
    # Every aperture of whole millimetres, tried by itself; r0 is 37 mm at 550 nm.
    sky = Sky(seeing_arcsec=3.0, air=air, altitude_deg=90.0)
    tried = np.array([seen(sky, float(mm), room=seeing) for mm in range(40, 301)])
    found = seen(sky, 300.0)
    assert found == pytest.approx(tried.max(axis=0), abs=0.002)
    # A case in which it matters: the whole 300 mm would show less by far more than that error.
    assert (found - tried[-1]).max() > 0.01


def test_no_smaller_stop_helps_below_twice_r0():
    for air in ("best", "typical", "short"):
        for seeing_arcsec in (0.7, 1.5, 3.0):
            sky = Sky(seeing_arcsec=seeing_arcsec, air=air)
            r0_mm = 1e3 * seeing.fried_r0_m(seeing_arcsec, 550.0, sky.altitude_deg)
            sizes = np.linspace(0.6, stopping.LEAST_R0, 15) * r0_mm
            views = np.array([seen(sky, float(size), room=seeing) for size in sizes])
            assert np.diff(views, axis=0).min() > -0.002


def test_short_exposure_has_its_best_aperture_where_fried_found_it():
    # Fried 1966, J. Opt. Soc. Am. 56, 1372: for near-field short exposures resolution (the
    # integral of the transfer) is best at D / r0 of 3.8 against that of an endless long one,
    # 3.5 times it. Here: the widest stop that is best at the frequencies that carry most.
    r0_m, ratio = 0.1, np.linspace(1.5, 8.0, 66)
    f = np.linspace(0.0, 1.0, 2001)
    whole = []
    for d in ratio:
        kept = stopping.annular_transfer(f, 0.0)
        kept = kept * seeing.short_exposure(f * d * r0_m, d * r0_m, r0_m)
        whole.append(2.0 * math.pi * np.trapezoid(kept * f, f) * d**2)
    assert ratio[int(np.argmax(whole))] == pytest.approx(3.8, abs=0.3)


@pytest.mark.parametrize("air", ["long", "moment", "none"])
def test_leaves_other_air_as_it_is(air):
    sky = Sky(seeing_arcsec=4.0, air=air)
    how = {"wavelength_nm": 550.0, "frequency": FREQUENCY, "aperture_mm": 400.0}
    assert np.array_equal(stopping.transfer(sky, **how), seeing.transfer(sky, **how))


def test_single_precision_and_many_apertures_at_once_give_the_same():
    sky = Sky(seeing_arcsec=3.0)
    double, single = (
        stopping.transfer(
            sky, wavelength_nm=550.0, frequency=FREQUENCY.astype(kind), aperture_mm=300.0
        )
        for kind in (np.float64, np.float32)
    )
    assert single.dtype == np.float32
    assert single == pytest.approx(double, abs=2e-4)
    baseline = np.linspace(0.0, 0.3, 40)
    sizes = np.array([0.05, 0.11, 0.3])
    many = moments.kept_by("best", baseline_m=baseline, apertures_m=sizes, r0_m=0.05)
    for row, size in zip(many, sizes, strict=True):
        one = moments.kept(
            "best", baseline_m=np.minimum(baseline, size), aperture_m=float(size), r0_m=0.05
        )
        assert row == pytest.approx(one, abs=1e-4)
