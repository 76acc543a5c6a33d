"""Which light a plane of the scene stands for: the spectra of the three primaries.

A scene holds linear sRGB values; air and telescope work by wavelength. Three smooth spectra join
the two: each has exactly the colour of its primary, and together they are white like daylight.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.tables import numbers

# The wavelengths on which every spectrum and eye response of the project is tabulated, nm.
WAVELENGTHS_5NM: Final[NDArray[np.float64]] = np.arange(380.0, 781.0, 5.0)
WAVELENGTHS_5NM.setflags(write=False)

# Spacing of that grid, nm.
STEP_NM: Final = 5.0

# Luminance of linear sRGB red, green and blue. Source: IEC 61966-2-1:1999.
LUMINANCE_WEIGHTS: Final[NDArray[np.float64]] = np.array([0.2126, 0.7152, 0.0722])
LUMINANCE_WEIGHTS.setflags(write=False)

# The band that telescopic pictures are computed over, nm: outside it the eye's daylight response
# is below 0.5 % of its peak (CIE 1924).
BAND_NM: Final = (420.0, 690.0)


@lru_cache(maxsize=1)
def primaries() -> NDArray[np.float64]:
    """Return the spectra of red, green and blue.

    Returns
    -------
    (3, 81) float64
        Spectral radiance in W m-2 sr-1 nm-1 on WAVELENGTHS_5NM for a plane value of 1 cd/m2, so
        that ``683 * STEP_NM * (primaries() * ybar).sum(1)`` is 0.2126, 0.7152, 0.0722. Nowhere
        negative; their sum follows CIE standard illuminant D65 within 3 %. Read-only.

    Notes
    -----
    Source: IEC 61966-2-1:1999 (colours); Mallett & Yuksel 2019, Eurographics Symposium on
    Rendering (smoothest reflectances that sum to one).
    Checked by: tests/truth/test_primaries.py
    """
    table = numbers("primaries_5nm.csv")
    spectra = np.ascontiguousarray(table[:, 1:].T)
    spectra.setflags(write=False)
    return spectra


def band_centres_nm(count: int = 10) -> NDArray[np.float64]:
    """Return the centres of `count` equal bands that fill BAND_NM, in nm, ascending."""
    low, high = BAND_NM
    width = (high - low) / count
    return np.asarray(low + width * (np.arange(count) + 0.5), np.float64)


# Lines of a nebula, nm, and their energies against H-beta's. Source: Osterbrock & Ferland 2006,
# Astrophysics of Gaseous Nebulae, 2nd ed.: H-alpha 2.86 (case B); [O III] 501 over 496 nm is 2.98,
# always; over H-beta about 3.3 in the middle of M 42 (memory).
NEBULA_LINES: Final = ((486.1, 1.0), (495.9, 1.1), (500.7, 3.3), (656.3, 2.86))

# Linear sRGB of luminance 1 that stands on a scene's planes for these lines, which lie outside the
# gamut.
LINES_RGB: Final = (0.0, 1.30, 0.97)
