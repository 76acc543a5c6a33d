"""How much contrast a grating needs before it is seen: Barten's contrast sensitivity."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import RangeError

# Barten 1999, table 3.1 ("typical observer", 20 to 30 years), all from one place.
SIGNAL_TO_NOISE: Final = 3.0  # k, at 50 % detection
INTEGRATION_S: Final = 0.1  # T
LARGEST_FIELD_DEG: Final = 12.0  # Xmax
MOST_CYCLES: Final = 15.0  # Nmax
QUANTUM_EFFICIENCY: Final = 0.03  # eta
NEURAL_NOISE_S_DEG2: Final = 3e-8  # Phi0
INHIBITION_CYCLES_DEG: Final = 7.0  # u0

# Blur by receptors and nerves, standard deviation in arcmin. Barten's optical factor has a constant
# part of 0.5 arcmin that holds all but aberration: diffraction as well as the retina. Diffraction
# at the 2.5 mm of the experiments behind it equals a Gaussian of 0.36 (same transfer at 30
# cycles/deg); what is left is sqrt(0.5^2 - 0.36^2). The split is ours; it lets the best naked eye
# see 51 cycles/deg, where receptors 0.5 arcmin apart allow 60 (Curcio et al. 1990, J. Comp.
# Neurol. 292, 497).
RECEPTOR_SIGMA_ARCMIN: Final = 0.35

# Photons per second, square degree and troland (p); differs with the light source. Barten 1999,
# table 3.2, photopic.
PHOTONS_PER_TROLAND: Final = 1.2274e6


def sensitivity(
    frequency_cycles_deg: ArrayLike,
    *,
    troland: ArrayLike,
    object_deg: ArrayLike,
    eyes: Literal[1, 2] = 1,
) -> NDArray[np.float64]:
    """Return the contrast sensitivity of retina and brain, without the eye's optics.

    Parameters
    ----------
    frequency_cycles_deg
        Of a sine grating at the eye, not negative; any shape.
    troland
        Mean retinal illuminance, not negative; broadcasts.
    object_deg
        Apparent side (or diameter) of the object that carries the grating, more than 0; broadcasts.
    eyes
        With one eye the sensitivity is sqrt(2) lower.

    Returns
    -------
    numpy.ndarray
        1 / (Michelson contrast seen half of the time); 0 at frequency 0 and without light.

    Raises
    ------
    RangeError
        When a value is negative or not a number.

    Notes
    -----
    Source: Barten 1999, Contrast Sensitivity of the Human Eye and Its Effects on Image Quality,
    SPIE, eq. 3.26, and Barten 2003, Proc. SPIE 5294, 231; his optical factor is left out because
    the eye's optics stand in `simview.eye.optics`.
    Checked by: tests/truth/test_eye_contrast.py against colour-science.
    """
    u = _not_negative("frequency_cycles_deg", frequency_cycles_deg)
    light = _not_negative("troland", troland)
    size = _not_negative("object_deg", object_deg)
    with np.errstate(divide="ignore", over="ignore"):
        # 1 / area over which the eye sums: the object, 12 degrees or 15 periods.
        per_area = 1.0 / size**2 + 1.0 / LARGEST_FIELD_DEG**2 + (u / MOST_CYCLES) ** 2
        photons = 1.0 / (QUANTUM_EFFICIENCY * PHOTONS_PER_TROLAND * light)
        neural = NEURAL_NOISE_S_DEG2 / -np.expm1(-((u / INHIBITION_CYCLES_DEG) ** 2))
        noise = 2.0 / INTEGRATION_S * per_area * (photons + neural)
        answer = 1.0 / (SIGNAL_TO_NOISE * np.sqrt(noise))
    return np.asarray(answer / (math.sqrt(2.0) if eyes == 1 else 1.0))


def receptor_transfer(frequency_cycles_deg: ArrayLike, sight: float = 1.0) -> NDArray[np.float64]:
    """Return the contrast that receptors and nerves keep, 1 down to 0 with frequency.

    Only what Barten counts with the optics; see RECEPTOR_SIGMA_ARCMIN. His observers, who are
    keen, stand for a sight of 1; others see as much finer or coarser as theirs is to that.

    Source: Barten 1999, eq. 3.4 and table 3.1 (Gaussian, 0.5 arcmin), less diffraction.
    Checked by: tests/truth/test_eye_contrast.py
    """
    u = np.asarray(frequency_cycles_deg, dtype=np.float64)
    return np.asarray(np.exp(-2.0 * (np.pi * _receptor_sigma(sight) / 60.0 * u) ** 2))


def _receptor_sigma(sight: float) -> float:
    """Return the blur by receptors and nerves of an eye of this sight, arcmin."""
    return RECEPTOR_SIGMA_ARCMIN if sight == 1.0 else sight_sigma_arcmin(sight * _keen_sight())


@lru_cache(maxsize=1)
def _keen_sight() -> float:
    """Return the sight that Barten's observers have on the scale of `sight_sigma_arcmin`: 1.3."""
    from scipy.optimize import brentq

    def more(sight: float) -> float:
        return sight_sigma_arcmin(sight) - RECEPTOR_SIGMA_ARCMIN

    return float(brentq(more, 1.0, 1.6, xtol=1e-6))


# Frequency that an eye of sight 1 (20/20) just makes out at full contrast, cycles/deg. Barten's
# observers, young ones with good eyes, come to 51; such eyes have a sight of 1.35 in the mean
# (Elliott, Yang & Whitaker 1995, Optom. Vis. Sci. 72, 186: logMAR -0.13): 38 for each unit of it.
# Letters of sight 1 have bars of 1 arcmin, 30 cycles/deg, and must be well seen to be read. A chart
# is lit by some 100 cd/m2, the pupil before it 3 mm wide.
CYCLES_OF_SIGHT_1: Final = 38.0
_CHART_TD: Final = 1000.0
_CHART_PUPIL_MM: Final = 3.0
_CHART_DEG: Final = 2.0


@lru_cache(maxsize=16)
def sight_sigma_arcmin(sight: float) -> float:
    """Return the blur by receptors and nerves with which an eye has this sight, arcmin.

    By so much that a grating of its last frequency is just seen at full contrast through the mean
    optics of an eye, with Barten's noise.

    Parameters
    ----------
    sight
        1 for 20/20, 0.5 for 20/40.

    Returns
    -------
    float
        Standard deviation; 0.54 for a sight of 1, never below 0.

    Notes
    -----
    Source: Barten 1999 (noise), Watson 2013 (optics); the scale: CYCLES_OF_SIGHT_1.
    Checked by: tests/truth/test_pairs_at_the_eye.py
    """
    from simview.eye.optics import human_transfer

    last = np.asarray(CYCLES_OF_SIGHT_1 * sight)
    seen = float(human_transfer(last, _CHART_PUPIL_MM)) * float(
        sensitivity(last, troland=_CHART_TD, object_deg=_CHART_DEG)
    )
    if seen <= 1.0:
        return 0.0
    return 60.0 * math.sqrt(math.log(seen) / 2.0) / (math.pi * float(last))


def troland(luminance_cd_m2: ArrayLike, pupil_mm: ArrayLike) -> NDArray[np.float64]:
    """Return retinal illuminance in troland: luminance times the pupil's area in mm2.

    Source: by definition of the troland (CIE S 017, International Lighting Vocabulary).
    """
    return np.asarray(np.asarray(luminance_cd_m2) * np.pi / 4.0 * np.asarray(pupil_mm) ** 2)


def _not_negative(name: str, values: ArrayLike) -> NDArray[np.float64]:
    array = np.asarray(values, dtype=np.float64)
    if not np.all(array >= 0.0):
        raise RangeError(name, got=values, allowed="0 and more")
    return array
