"""The finest detail of a view, step by step, against sums of published formulas written out here.

Sources: a clear aperture's transfer: Goodman, Introduction to Fourier Optics; air of a short
exposure: Fried 1966, J. Opt. Soc. Am. 56, 1372; r0 of a seeing: Roddier 1981; the eye: Barten 1999,
Contrast Sensitivity of the Human Eye, eq. 3.26 with his typical constants (memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

import simview
from simview.power.parts import steps

Array = NDArray[np.float64]
RADIAN = 206265.0
NM = 550e-9
POWER, CONTRAST, SIZE = 200.0, 0.25, 46.9


def needed(u: Array, troland: float) -> Array:
    """Contrast that an eye needs at u cycles/degree of an object as wide as Jupiter at 200 times.

    The eye's optics at a pupil of 1 mm are left to the telescope, but for the receptors' spread:
    0.5 arcmin in Barten's sum.
    """
    blur = np.exp(-2.0 * (math.pi * 0.5 / 60.0 * u) ** 2)
    wide = SIZE * POWER / 3600.0
    area = 1.0 / (1.0 / wide**2 + 1.0 / 12.0**2 + u**2 / 15.0**2)
    photons = 0.03 * 1.24e6 * troland
    still = 1.0 - np.exp(-((u / 7.0) ** 2))
    noise = 1.0 / photons + 3e-8 / still
    return np.asarray(3.0 / blur * np.sqrt(2.0 / 0.1 / area * noise * 2.0))


def finest(aperture_m: float, seeing: float | None, troland: float) -> float:
    """Half of the finest period that is seen, arcsec; one eye, which sqrt(2) above stands for.

    An observer may stop the telescope down where that shows more in such air.
    """
    f = np.geomspace(0.1, 3.0, 4000)
    passed = np.zeros_like(f)
    for opened in np.linspace(0.4, 1.0, 61) * aperture_m if seeing else [aperture_m]:
        nu = np.minimum(f * RADIAN * NM / opened, 1.0)
        kept = 2.0 / math.pi * (np.arccos(nu) - nu * np.sqrt(1.0 - nu**2))
        if seeing:
            r0 = 0.976 * 500e-9 * RADIAN / seeing * 1.1**1.2
            base = f * RADIAN * NM
            tilt = 1.0 - np.minimum(base / opened, 1.0) ** (1.0 / 3.0)
            kept = kept * np.exp(-3.44 * (base / r0) ** (5.0 / 3.0) * tilt)
        passed = np.maximum(passed, kept)
    seen = CONTRAST * passed > needed(f * 3600.0 / POWER, troland)
    return float(0.5 / f[seen].max())


# Seven colours, a finite outer scale and receptors after another source on one side, one wavelength
# on the other: 6 %, found are 0 to 2 %, in 200 mm 4 and 5 %.
@pytest.mark.parametrize("aperture_mm", [80.0, 110.0, 150.0, 200.0])
def test_aperture_and_air_leave_what_a_sum_by_hand_leaves(aperture_mm: float) -> None:
    scope = simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=1200.0, objective="mirror")
    kit = simview.Kit(telescope=scope, eyepieces=(simview.Eyepiece(focal_length_mm=6.0),))
    sky = simview.Sky(seeing_arcsec=2.0, altitude_deg=90.0, air="short")
    view = simview.look(kit, "jupiter", power=POWER, sky=sky)
    told = dict(steps(view.path, view.eye, view.target))
    # 801 cd/m2 outside the air (-2.7 mag over 46.9 x 43.9 arcsec), of which three quarters arrive.
    troland = 0.75 * 801.0 * math.pi / 4.0 * (aperture_mm / POWER) ** 2
    assert told["aperture"] == pytest.approx(finest(aperture_mm / 1e3, None, troland), rel=0.06)
    assert told["air"] == pytest.approx(finest(aperture_mm / 1e3, 2.0, troland), rel=0.06)
