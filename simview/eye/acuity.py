"""The finest angle that the naked eye resolves at a given luminance."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import RangeError
from simview.units import NANOLAMBERT_PER_CD_M2

# Where rods take over from cones, nanolambert (Schaefer 1993): 4.4e-3 cd/m2.
ROD_CONE_NL: Final = 1394.0

# The largest critical angle, arcsec (Schaefer 1993).
CAP_ARCSEC: Final = 900.0


def critical_angle_arcsec(
    luminance_cd_m2: ArrayLike, snellen_ratio: float = 1.0
) -> NDArray[np.float64]:
    """Return the angle below which two points merge at the eye.

    Parameters
    ----------
    luminance_cd_m2
        Luminance at the eye, any shape, not negative.
    snellen_ratio
        1 for 20/20 sight, 0.5 for 20/40.

    Returns
    -------
    numpy.ndarray
        Arcsec at the eye, same shape; 900 at the most; falls as luminance grows.

    Raises
    ------
    RangeError
        When a luminance is negative or not a number.

    Notes
    -----
    Source: Schaefer 1993, "Astronomy and the limits of vision", Vistas in Astronomy 36, 311, after
    Shlaer 1937, J. Gen. Physiol. 21, 165. The two branches meet at 1394 nL; the slope does not.
    Checked by: tests/truth/test_eye_acuity.py
    """
    light = np.asarray(luminance_cd_m2, dtype=np.float64)
    if not np.all(light >= 0.0):
        raise RangeError("luminance_cd_m2", got=luminance_cd_m2, allowed="0 and more, in cd/m2")
    # Below 1e-9 cd/m2 both are far past the cap; the floor keeps the power finite.
    root = (np.maximum(light, 1e-9) * NANOLAMBERT_PER_CD_M2) ** -0.29
    cones = 40.0 * 10.0 ** (8.28 * np.minimum(root, ROD_CONE_NL**-0.29))
    rods = 380.0 * 10.0 ** np.minimum(0.3 * root, 3.0)
    angle = np.where(light * NANOLAMBERT_PER_CD_M2 >= ROD_CONE_NL, cones, rods)
    return np.minimum(angle / snellen_ratio, CAP_ARCSEC)
