"""Glass: refractive index, and how far each colour's focus lies from the green one's.

Thin-lens models: a singlet, an achromat (BK7 and F2) and an apochromat (calcium fluoride and
BK7), the doublets with F (486.13 nm) and C (656.27 nm) united. A mirror has no colour.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_choice, require_range

# Sellmeier coefficients (B1, B2, B3), (C1, C2, C3 in um^2).
# Source: Schott optical glass data sheets for N-BK7, F2, SF2, SF5, N-BAK2,
# N-BAK4 and N-SK16; Malitson 1963, Applied Optics 2,
# 1103 for calcium fluoride (his wavelengths squared).
SELLMEIER: Final = {
    "BK7": (
        (1.03961212, 0.231792344, 1.01046945),
        (0.00600069867, 0.0200179144, 103.560653),
    ),
    "F2": (
        (1.34533359, 0.209073176, 0.937357162),
        (0.00997743871, 0.0470450767, 111.886764),
    ),
    "SF2": (
        (1.40301821, 0.231767504, 0.939056586),
        (0.0105795466, 0.0493226978, 112.405955),
    ),
    "SF5": (
        (1.46141885, 0.247713019, 0.949995832),
        (0.0111826126, 0.0508594669, 112.041888),
    ),
    "BAK2": (
        (1.01662154, 0.319903051, 0.937232995),
        (0.00592383763, 0.0203828415, 113.118417),
    ),
    "BAK4": (
        (1.28834642, 0.132817724, 0.945395373),
        (0.00779980626, 0.0315631177, 105.965875),
    ),
    "SK16": (
        (1.34317774, 0.241144399, 0.994317969),
        (0.00704687339, 0.0229005, 92.7508526),
    ),
    "CaF2": (
        (0.5675888, 0.4710914, 3.8484723),
        (0.050263605**2, 0.1003909**2, 34.649040**2),
    ),
}

# Spectral lines, nm (common values of the glass catalogues).
LINE_F: Final = 486.1327
LINE_E: Final = 546.0740
LINE_C: Final = 656.2725

# Which glasses make which objective; one glass is a single lens.
GLASSES: Final = {
    "singlet": ("BK7",),
    "achromat": ("BK7", "F2"),
    "apochromat": ("CaF2", "BK7"),
}


def index(glass: str, wavelength_nm: float) -> float:
    """Return the refractive index of a glass against air.

    Parameters
    ----------
    glass
        One of `SELLMEIER`: "BK7", "F2", "SF2", "SF5", "BAK2", "BAK4", "SK16" or "CaF2".
    wavelength_nm
        350 to 1000 nm.

    Notes
    -----
    Source: Sellmeier equation with the maker's constants, see `SELLMEIER`.
    Checked by: tests/truth/test_glass.py
    """
    require_choice("glass", glass, SELLMEIER)
    require_range("wavelength_nm", wavelength_nm, 350.0, 1000.0, unit="nm")
    return float(index_of(glass, np.asarray(wavelength_nm, dtype=np.float64)))


def index_of(glass: str, wavelength_nm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return `index` for an array of wavelengths, unchecked."""
    square = (wavelength_nm * 1e-3) ** 2
    strengths, resonances = SELLMEIER[glass]
    terms = [b * square / (square - c) for b, c in zip(strengths, resonances, strict=True)]
    return np.asarray(np.sqrt(1.0 + sum(terms)))


def focus_shifts_mm(
    objective: str, focal_length_mm: float, wavelengths_nm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the longitudinal colour of an objective against 546.07 nm; positive is longer.

    Parameters
    ----------
    objective
        "mirror", which has none, or a key of `GLASSES`.
    focal_length_mm
        At 546.07 nm.
    wavelengths_nm
        (n,) 350 to 1000 nm.

    Notes
    -----
    Source: thin lenses in contact, Kingslake, Lens Design Fundamentals.
    Checked by: tests/truth/test_glass.py
    """
    if objective == "mirror":
        return np.zeros_like(wavelengths_nm)
    power = _power(objective, wavelengths_nm)
    return np.asarray(focal_length_mm * (1.0 / power - 1.0))


def _power(objective: str, wavelengths_nm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the power of an objective whose focal length at the e line is 1."""
    total = np.zeros_like(wavelengths_nm)
    for glass, curvature in zip(GLASSES[objective], curvatures(objective), strict=True):
        total += curvature * (index_of(glass, wavelengths_nm) - 1.0)
    return total


@lru_cache(maxsize=8)
def curvatures(objective: str) -> tuple[float, ...]:
    """Return 1/r1 - 1/r2 of each lens for unit focal length at the e line.

    For a doublet: sum K (n_e - 1) = 1 and sum K (n_F - n_C) = 0.
    """
    glasses = GLASSES[objective]
    at_e = [index(glass, LINE_E) - 1.0 for glass in glasses]
    if len(glasses) == 1:
        return (1.0 / at_e[0],)
    spread = [index(glass, LINE_F) - index(glass, LINE_C) for glass in glasses]
    solved = np.linalg.solve(np.array([at_e, spread]), np.array([1.0, 0.0]))
    return float(solved[0]), float(solved[1])


def dispersion(wavelengths_nm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return crown glass's index against the e line's in units of n_F - n_C."""
    scale = index("BK7", LINE_F) - index("BK7", LINE_C)
    return np.asarray((index_of("BK7", wavelengths_nm) - index("BK7", LINE_E)) / scale)
