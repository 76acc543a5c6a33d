"""The air by itself before a perfect telescope: what it leaves, and how much it widens a star."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.air import seeing, stopping
from simview.air.ensemble import SAMPLES, transfer_of
from simview.air.screens import screen_nm
from simview.bessel import j0
from simview.kit import Sky
from simview.units import ARCSEC_PER_RADIAN

Values = NDArray[np.float64]

# Samples across the aperture of a moment's screen. A screen of the same seed with other samples
# is another moment, so that all who draw one share this.
SCREEN_SAMPLES: Final = 256

# Frequencies, and places in the image, with which a width is found. A choice, good to 0.1 %.
_NODES: Final = 400
_BLOCKS: Final = 16


def moment_nm(sky: Sky, aperture_mm: float) -> Values:
    """Return (SCREEN_SAMPLES, SCREEN_SAMPLES) the sky's one moment over an aperture, nm."""
    return screen_nm(SCREEN_SAMPLES, aperture_mm, sky, np.random.default_rng(sky.seed))


def is_calm(sky: Sky) -> bool:
    """Return whether this air takes nothing."""
    return sky.air == "none" or sky.seeing_arcsec < seeing.NO_SEEING_ARCSEC


def kept(sky: Sky, frequency: Values, aperture_mm: float, wavelength_nm: float = 550.0) -> Values:
    """Return what this air leaves of a perfect telescope's transfer.

    Parameters
    ----------
    frequency
        (n,) cycles/arcsec; past the telescope's cut-off the answer has no meaning, unless the
        exposure is long.

    Returns
    -------
    array
        (n,), 0 to 1; of one moment the mean over directions, which may be negative.
    """
    if sky.air != "moment" or sky.seeing_arcsec < seeing.NO_SEEING_ARCSEC:
        return stopping.transfer(
            sky, wavelength_nm=wavelength_nm, frequency=frequency, aperture_mm=aperture_mm
        )
    block = SCREEN_SAMPLES // SAMPLES
    screen = moment_nm(sky, aperture_mm).reshape(SAMPLES, block, SAMPLES, block).mean(axis=(1, 3))
    curve = transfer_of(screen * (2.0 * math.pi / wavelength_nm))
    unit = wavelength_nm * 1e-6 / aperture_mm * ARCSEC_PER_RADIAN
    return np.asarray(np.interp(frequency * unit, np.linspace(0.0, 1.0, len(curve)), curve))


@lru_cache(maxsize=256)
def width_arcsec(sky: Sky, aperture_mm: float, wavelength_nm: float = 550.0) -> float:
    """Return how much this air widens a star in a perfect telescope, arcsec.

    The long exposure's own width has no telescope in it. The others belong to an aperture: theirs
    is what squared and added to the square of the telescope's own width gives the image's.

    Parameters
    ----------
    aperture_mm
        In use.

    Returns
    -------
    float
        A full width at half maximum; 0 for "none".

    Notes
    -----
    Checked by: tests/unit/air/test_alone.py
    """
    if sky.air in ("long", "none") or sky.seeing_arcsec < seeing.NO_SEEING_ARCSEC:
        return seeing.long_exposure_fwhm_arcsec(sky, wavelength_nm)
    unit = wavelength_nm * 1e-6 / aperture_mm * ARCSEC_PER_RADIAN
    nu = (np.arange(_NODES) + 0.5) / _NODES
    clear = np.arccos(nu) - nu * np.sqrt(1.0 - nu * nu)
    seen = clear * kept(sky, nu / unit, aperture_mm, wavelength_nm)
    reach = 4.0 * sky.seeing_arcsec + 2.0 * unit
    own, whole = _full_widths(nu, np.array([clear, seen]), unit, reach)
    return math.sqrt(max(whole**2 - own**2, 0.0))


def _full_widths(nu: Values, passed: Values, unit: float, reach: float) -> list[float]:
    """Return the full widths at half maximum of the images of transfer functions, arcsec."""
    radius = np.linspace(0.0, reach, _NODES)
    profiles = np.empty((len(passed), 0))
    # From the middle outwards, until all have fallen to half.
    for block in np.split(radius, _BLOCKS):
        more = (passed * nu) @ j0(2.0 * np.pi * np.outer(nu, block / unit))
        profiles = np.hstack([profiles, more])
        half = profiles[:, :1] / 2.0
        if (profiles < half).any(axis=1).all():
            break
    return [_half_at(radius, profile) for profile in profiles]


def _half_at(radius: Values, profile: Values) -> float:
    half = profile[0] / 2.0
    low = int(np.argmax(profile < half))
    step = (profile[low - 1] - half) / (profile[low - 1] - profile[low])
    return float(2.0 * (radius[low - 1] + step * (radius[low] - radius[low - 1])))
