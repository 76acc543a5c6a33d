"""Surface brightness in magnitudes and in candela per square metre."""

import numpy as np
import pytest

from simview import units


@pytest.mark.parametrize(
    ("mag", "candela"),
    # Crumey 2014, MNRAS 442, 2600: B = 10^((12.58 - mu) / 2.5); mu = 21.83 is his 2e-4 cd/m2.
    [(22.0, 1.706e-4), (21.83, 1.995e-4), (21.0, 4.285e-4), (20.0, 1.0765e-3), (18.0, 6.79e-3)],
)
def test_luminance_is_crumeys(mag, candela):
    # His constant is rounded (12.58 for 12.584): 0.4 %; the trade's 10.8e4 differs by 0.8 %.
    assert units.luminance_cd_m2(mag) == pytest.approx(candela, rel=0.005)


def test_luminance_is_the_trades_rounded_formula():
    # 10.8e4 x 10^(-0.4 mu) cd/m2: common practice, no source.
    assert units.luminance_cd_m2(20.0) == pytest.approx(10.8e4 * 10.0**-8.0, rel=0.01)


def test_nanolambert_form_agrees():
    # Garstang 1986, PASP 98, 364: b = 34.08 exp(20.7233 - 0.92104 mu) nanolambert.
    garstang = 34.08 * np.exp(20.7233 - 0.92104 * 20.0)
    found = units.luminance_cd_m2(20.0) * units.NANOLAMBERT_PER_CD_M2
    # Two zero points of the V band: 1 %.
    assert found == pytest.approx(garstang, rel=0.01)


def test_magnitudes_come_back():
    assert units.mag_arcsec2(units.luminance_cd_m2(19.3)) == pytest.approx(19.3, abs=1e-12)
