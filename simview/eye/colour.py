"""How cones and rods weigh the wavelengths: CIE tables and the two luminous efficacies."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import Final

import numpy as np
from numpy.typing import NDArray

# Luminous efficacy of cones at 555 nm, lm/W (SI Brochure, 9th edition: 683 by definition).
PHOTOPIC_LM_PER_W: Final = 683.0

# Luminous efficacy of rods at 507 nm, lm/W (CIE 018:2019: 1700, so that both are equal at 555 nm).
SCOTOPIC_LM_PER_W: Final = 1700.0

# That of each of the eye's channels: X, Y, Z and rods.
EFFICACY_LM_PER_W: Final[NDArray[np.float64]] = np.array(
    [PHOTOPIC_LM_PER_W, PHOTOPIC_LM_PER_W, PHOTOPIC_LM_PER_W, SCOTOPIC_LM_PER_W]
)
EFFICACY_LM_PER_W.setflags(write=False)

# Step of the tables, nm.
STEP_NM: Final = 5.0

# Wavelengths of the tables, nm: 380 to 780 in steps of 5 (81 of them).
WAVELENGTHS_NM: Final[NDArray[np.float64]] = np.arange(380.0, 780.1, STEP_NM)
WAVELENGTHS_NM.setflags(write=False)


@cache
def response() -> NDArray[np.float64]:
    """Return the four spectral weights of the eye, (4, 81): xbar, ybar, zbar, V'.

    On `WAVELENGTHS_NM`; dimensionless; ybar peaks at 1 (555 nm), V' near 507 nm. Read-only.

    Notes
    -----
    Source: CIE 1931 2-degree observer and CIE 1951 scotopic efficiency; see the head of each file
    in simview/eye/data.
    Checked by: tests/truth/test_eye_colour.py against colour-science.
    """
    cones = _table("cie1931_2deg.csv")
    rods = _table("cie1951_scotopic.csv")
    answer = np.vstack((cones[1:], rods[1:]))
    answer.setflags(write=False)
    return answer


def luminance(radiance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Turn spectral radiance (..., 81) in W/(m2 sr nm) into photopic and scotopic cd/m2, (..., 2).

    A plain 5 nm sum, as CIE 015 allows for smooth spectra.
    """
    weights = np.stack((PHOTOPIC_LM_PER_W * response()[1], SCOTOPIC_LM_PER_W * response()[3]))
    return np.asarray(radiance @ weights.T * STEP_NM)


def _table(name: str) -> NDArray[np.float64]:
    path = resources.files("simview.eye") / "data" / name
    with path.open(encoding="utf-8") as lines:
        return np.loadtxt(lines, delimiter=",", comments="#").T
