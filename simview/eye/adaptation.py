"""How rods and cones share the work as light fades: thresholds, mixture, colour.

Pure functions of luminance; the picture room's tone calls them. Photopic luminance is cd/m2
weighed by V(lambda), scotopic luminance by V'(lambda) with 1700 lm/W.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import RangeError
from simview.eye.colour import PHOTOPIC_LM_PER_W

Array = NDArray[np.float64]

# m = MESOPIC_A + MESOPIC_B log10 L_mes (CIE 191:2010, eq. 4).
MESOPIC_A: Final = 0.7670
MESOPIC_B: Final = 0.3334

# V'(555 nm) in units of its peak, 683 / 1699 (CIE 191:2010, eq. 2).
ROD_AT_555: Final = PHOTOPIC_LM_PER_W / 1699.0

# Stiles-Crawford: efficiency 10^(-rho r^2), r in mm from the pupil's centre (Applegate &
# Lakshminarayanan 1993, J. Opt. Soc. Am. A 10, 1611: 0.05 / mm2; base 10 from memory).
STILES_CRAWFORD_PER_MM2: Final = 0.05

# Ward Larson et al. 1997, table 1: a just noticeable difference is this much (log10) finer than
# the threshold for a flash, and rods give way to cones at this log10 luminance.
JUST_NOTICEABLE: Final = 0.95
ROD_CONE_LOG: Final = -0.0184

# Below this no light adapts the eye any further, cd/m2 (the flat ends of both curves).
DARK_CD_M2: Final = 1e-7


def cone_threshold(luminance_cd_m2: ArrayLike) -> Array:
    """Return the cones' increment threshold in cd/m2 on a background in cd/m2.

    Source: Ferwerda, Pattanaik, Shirley & Greenberg 1996, "A model of visual adaptation for
    realistic image synthesis", SIGGRAPH 96, 249, eq. 1.
    Checked by: tests/truth/test_eye_adaptation.py
    """
    log = _log(luminance_cd_m2)
    middle = np.maximum(0.249 * log + 0.65, 0.0) ** 2.7 - 0.72
    low = np.where(log <= -2.6, -0.72, middle)
    return np.asarray(10.0 ** np.where(log >= 1.9, log - 1.255, low))


def rod_threshold(luminance_cd_m2: ArrayLike) -> Array:
    """Return the rods' increment threshold in scotopic cd/m2 on a scotopic background.

    Source: Ferwerda et al. 1996, eq. 2. Checked by: tests/truth/test_eye_adaptation.py
    """
    log = _log(luminance_cd_m2)
    middle = np.maximum(0.405 * log + 1.6, 0.0) ** 2.18 - 2.86
    low = np.where(log <= -3.94, -2.86, middle)
    return np.asarray(10.0 ** np.where(log >= -1.44, log - 0.395, low))


def just_noticeable(luminance_cd_m2: ArrayLike) -> Array:
    """Return the just noticeable difference in cd/m2, rods below and cones above 0.96 cd/m2.

    Source: Ward Larson, Rushmeier & Piatko 1997, "A visibility matching tone reproduction
    operator for high dynamic range scenes", IEEE Trans. Vis. Comp. Graphics 3, 291, table 1.
    """
    log = _log(luminance_cd_m2)
    flash = np.where(
        log < ROD_CONE_LOG, rod_threshold(luminance_cd_m2), cone_threshold(luminance_cd_m2)
    )
    return np.asarray(flash * 10.0**-JUST_NOTICEABLE)


def mesopic(photopic_cd_m2: ArrayLike, scotopic_cd_m2: ArrayLike) -> tuple[Array, Array]:
    """Return the cones' share m (0 to 1) and the mesopic luminance in cd/m2.

    Parameters
    ----------
    photopic_cd_m2, scotopic_cd_m2
        Same shape or to broadcast, not negative.

    Notes
    -----
    Source: CIE 191:2010, Recommended system for mesopic photometry, MES2: L_mes = (m L_p +
    (1 - m) L_s V'0) / (m + (1 - m) V'0), m = 0.7670 + 0.3334 log10 L_mes. The usual fixed-point
    iteration may fail to settle for very blue light (Gao et al. 2017, Opt. Express 25, 18365);
    here m is found by bisection, which always ends.
    Checked by: tests/truth/test_eye_adaptation.py
    """
    p, s = np.broadcast_arrays(_light(photopic_cd_m2), _light(scotopic_cd_m2))
    low, high = np.zeros(p.shape), np.ones(p.shape)
    for _ in range(50):
        m = (low + high) / 2.0
        wanted = MESOPIC_A + MESOPIC_B * np.log10(np.maximum(_mixed(m, p, s), 1e-12))
        low, high = np.where(wanted > m, m, low), np.where(wanted > m, high, m)
    m = np.where(high < 1e-12, 0.0, np.where(low > 1.0 - 1e-12, 1.0, (low + high) / 2.0))
    return m, _mixed(m, p, s)


def cone_efficiency(pupil_mm: ArrayLike) -> Array:
    """Return the effective over the actual area of a pupil for cones, 1 down to 0.46 at 8 mm.

    Light near the pupil's edge meets the cones aslant and counts less; rods hardly mind.

    Source: Stiles & Crawford 1933, Proc. R. Soc. B 112, 428; exponent see
    STILES_CRAWFORD_PER_MM2; the mean over the pupil of 10^(-0.05 r^2).
    Checked by: tests/truth/test_eye_adaptation.py
    """
    decay = STILES_CRAWFORD_PER_MM2 * math.log(10.0) * (np.asarray(pupil_mm) / 2.0) ** 2
    return np.asarray(-np.expm1(-decay) / np.maximum(decay, 1e-12))


def _mixed(m: Array, photopic: Array, scotopic: Array) -> Array:
    rods = (1.0 - m) * ROD_AT_555
    return np.asarray((m * photopic + rods * scotopic) / (m + rods))


def _light(luminance_cd_m2: ArrayLike) -> Array:
    light = np.asarray(luminance_cd_m2, dtype=np.float64)
    if not np.all(light >= 0.0):
        raise RangeError("luminance_cd_m2", got=luminance_cd_m2, allowed="0 and more, in cd/m2")
    return light


def _log(luminance_cd_m2: ArrayLike) -> Array:
    return np.asarray(np.log10(np.maximum(_light(luminance_cd_m2), DARK_CD_M2)))
