"""What the eye's scatter close by does to each frequency of an image."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from simview.bessel import j0
from simview.eye.glare import CLOSE_DEG, nearness
from simview.eye.scatter import VALID_DEG, WIDE_MM, beams_about, veil_per_lux


def close_transfer(
    cycles_per_degree: NDArray[np.float64], age_years: float, pupil_mm: float = WIDE_MM
) -> NDArray[np.float64]:
    """Return what the eye's scatter close by passes at each frequency; its whole share at 0.

    The two-dimensional transform of CIE 146's veil, faded out as `simview.eye.glare` does it.
    """
    low, high, part = beams_about(pupil_mm)
    frequency, thin = _close_table(age_years, low)
    _, wide = _close_table(age_years, high)
    table = (1.0 - part) * thin + part * wide
    return np.asarray(np.interp(cycles_per_degree, frequency, table, right=0.0))


@lru_cache(maxsize=64)
def _close_table(
    age_years: float, pupil_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    angle = np.geomspace(VALID_DEG[0], CLOSE_DEG[1], 500)
    veil = veil_per_lux(angle, age_years, pupil_mm=pupil_mm)
    ring = veil * nearness(angle) * 2.0 * np.pi * angle * np.radians(1.0) ** 2
    frequency = np.linspace(0.0, 30.0, 601)
    waves = j0(2.0 * np.pi * frequency[:, None] * angle)
    return frequency, np.asarray(np.trapezoid(waves * ring * angle, np.log(angle), axis=1))
