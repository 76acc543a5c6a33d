"""Telescope and averaged air together, against Fried's integrals.

Source: Fried 1966, JOSA 56, 1372; Roddier 1981, Progress in Optics 19, 281. Numbers: integrals of
the product of both transfer functions for a clear pupil, infinite outer scale.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

import simview
from simview.air.seeing import FWHM_RATIO
from simview.units import ARCSEC_PER_RADIAN

APERTURE_MM = 100.0
UNIT = 500e-6 / APERTURE_MM * ARCSEC_PER_RADIAN


def seen(ratio, air, pixels=256, pixel=UNIT / 20):
    """A star at 500 nm with D / r0 = `ratio`."""
    sky = simview.Sky(
        seeing_arcsec=FWHM_RATIO * UNIT * ratio,
        altitude_deg=90.0,
        outer_scale_m=math.inf,
        air=air,
    )
    scope = simview.Telescope(aperture_mm=APERTURE_MM, focal_length_mm=1000.0)
    return simview.point_spread(
        scope, wavelengths_nm=[500.0], pixel_arcsec=pixel, pixels=pixels, sky=sky, precise=True
    )


def width(star):
    middle = len(star.image) // 2
    row = star.image[middle, middle:] / star.image[middle, middle]
    below = int(np.argmax(row < 0.5))
    step = (row[below - 1] - 0.5) / (row[below - 1] - row[below])
    return 2.0 * (below - 1 + step) * star.pixel_arcsec / UNIT


@pytest.mark.parametrize(
    ("ratio", "fwhm", "strehl"),
    [(0.5, 1.1430, 0.7407), (1.0, 1.4153, 0.4446), (2.0, 2.2437, 0.1747), (5.0, 5.1047, 0.0351)],
)
def test_long_exposure_has_frieds_width_and_peak(ratio, fwhm, strehl):
    star = seen(ratio, "long")
    # 0.5 %: the pattern is cut four seeing widths outside the grid
    assert width(star) == pytest.approx(fwhm, rel=5e-3)
    assert star.strehl == pytest.approx(strehl, rel=5e-3)


@pytest.mark.parametrize(
    ("ratio", "fwhm", "strehl"),
    [(1.0, 1.0457, 0.8435), (2.0, 1.0892, 0.5902), (4.0, 1.3374, 0.2176)],
)
def test_short_exposure_has_frieds_width_and_peak(ratio, fwhm, strehl):
    star = seen(ratio, "short")
    assert width(star) == pytest.approx(fwhm, rel=5e-3)
    assert star.strehl == pytest.approx(strehl, rel=1e-2)


def test_very_fine_pixels_see_the_same_star():
    """Pixels far finer than the pattern take another road: coarser ones, interpolated."""
    fine = seen(3.0, "long", pixels=128, pixel=UNIT / 400)
    plain = seen(3.0, "long", pixels=128, pixel=UNIT / 20)
    per_area = fine.image[64, 64] * 400**2, plain.image[64, 64] * 20**2
    assert per_area[0] == pytest.approx(per_area[1], rel=3e-3)
    edge = fine.image[64, 64 + 60] * 400**2, plain.image[64, 64 + 3] * 20**2
    assert edge[0] == pytest.approx(edge[1], rel=3e-3)


def test_a_moment_of_weak_air_keeps_its_light_and_loses_peak():
    """Extended Marechal: the average of short moments falls as exp(-variance) (Noll 1976)."""
    strehls, ratio = [], 0.6
    for seed in range(40):
        sky = simview.Sky(
            seeing_arcsec=FWHM_RATIO * UNIT * ratio,
            altitude_deg=90.0,
            air="moment",
            seed=seed,
            outer_scale_m=25.0,
        )
        star = simview.point_spread(
            simview.Telescope(aperture_mm=APERTURE_MM, focal_length_mm=1000.0),
            wavelengths_nm=[500.0],
            pixel_arcsec=UNIT / 4,
            pixels=64,
            sky=sky,
        )
        strehls.append(star.strehl)
    # tilt moves the star and costs no peak: 0.134 (D/r0)^(5/3) rad^2 are left (Noll's table IV)
    wanted = math.exp(-0.134 * ratio ** (5.0 / 3.0))
    # 40 moments: standard error of the mean as measured, three of them
    error = 3.0 * np.std(strehls) / math.sqrt(len(strehls)) + 0.003
    assert np.mean(strehls) == pytest.approx(wanted, abs=error)
