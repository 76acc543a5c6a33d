"""What turbulent air does to an averaged image: a factor on the transfer function.

* "best": the mean over the best tenth of moments as an eye has them: what an observer waits for
  and remembers (simview.air.moments).
* "typical": the mean over middling moments, from the fourth to the sixth tenth.
* "long": the mean over many seconds: the image wanders and blurs. Von Karman's structure
  function; Kolmogorov's for an infinite outer scale.
* "short": the average over moments without length, tilt taken out (Fried 1966).
* "moment": one moment, which is a screen of path errors (simview.air.screens) and no factor here.
  It is a typical moment drawn at random, not a lucky one picked from many.
* "none": a telescope in space.

Seeing is a figure for the air alone: 0.976 wavelength / r0, what a very large telescope would
show without an outer scale, at 500 nm at the zenith. A finite outer scale makes the image in
the telescope somewhat sharper than the figure says (Tokovinin 2002).
"""

from __future__ import annotations

import math
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from simview.air import moments
from simview.air.turbulence import STRUCTURE, VARIANCE, structure_rad2
from simview.kit import Sky
from simview.units import ARCSEC_PER_RADIAN

Real = TypeVar("Real", np.float32, np.float64)

# FWHM of the long-exposure image of a very large telescope, in wavelength / r0. Numerical, good
# to all digits given. Source: Fried 1966, J. Opt. Soc. Am. 56, 1372 (0.98); recomputed in
# tests/truth/test_seeing.py.
FWHM_RATIO: Final = 0.975863

# Seeing below this is none at all: a hundredth of what any telescope on the ground can tell.
NO_SEEING_ARCSEC: Final = 1e-4

# Wavelength at which seeing is quoted, nm. A convention of the field.
SEEING_WAVELENGTH_NM: Final = 500.0

# Variance of one axis of Zernike tilt over (wavelength / D)^2 (D / r0)^(5/3), rad2: Noll's
# coefficient 0.44888 rad2 of one tilt mode, whose wavefront is 2 a r, over (pi / 2)^2.
# Source: Noll 1976, J. Opt. Soc. Am. 66, 207; exact 2.2461 * 2 Gamma(1/6) / (...), see the test.
TILT_VARIANCE: Final = 0.44888 * 4.0 / math.pi**2


def fried_r0_m(
    seeing_arcsec: float, wavelength_nm: float = SEEING_WAVELENGTH_NM, altitude_deg: float = 90.0
) -> float:
    """Return Fried's parameter for a seeing quoted at 500 nm at the zenith, in metres.

    Parameters
    ----------
    seeing_arcsec
        0 (no air: infinite r0) upwards.
    wavelength_nm
        r0 grows as its power 6/5.
    altitude_deg
        Above 0; r0 shrinks as the power 3/5 of its sine (flat layers).

    Notes
    -----
    Source: Fried 1966; Roddier 1981, Progress in Optics 19, 281.
    Checked by: tests/truth/test_seeing.py
    """
    if seeing_arcsec < NO_SEEING_ARCSEC:
        return math.inf
    width = seeing_arcsec / ARCSEC_PER_RADIAN
    zenith = FWHM_RATIO * SEEING_WAVELENGTH_NM * 1e-9 / width
    colour = (wavelength_nm / SEEING_WAVELENGTH_NM) ** 1.2
    return float(zenith * colour * math.sin(math.radians(altitude_deg)) ** 0.6)


def seeing_at_arcsec(sky: Sky) -> float:
    """Return the seeing at an object's own height: what straight up would blur as much, arcsec."""
    zenith, there = (
        fried_r0_m(sky.seeing_arcsec, altitude_deg=deg) for deg in (90.0, sky.altitude_deg)
    )
    return sky.seeing_arcsec * zenith / there if math.isfinite(zenith) else sky.seeing_arcsec


def transfer(
    sky: Sky, *, wavelength_nm: float, frequency: NDArray[Real], aperture_mm: float
) -> NDArray[Real]:
    """Return the air's factor on the transfer function.

    Parameters
    ----------
    sky
        Its `air` chooses; "moment" and "none" give 1.
    wavelength_nm
        Of the light.
    frequency
        Any shape, length of the frequency vector in cycles/arcsec; float64, or float32 for
        less than half the time.
    aperture_mm
        In use; counts for all but the long exposure, since tilt over it is taken out.

    Returns
    -------
    array
        Like `frequency`, 0 to 1. Beyond the telescope's cut-off it has no meaning.

    Notes
    -----
    Source: Fried 1966, J. Opt. Soc. Am. 56, 1372; outer scale: Tokovinin 2002, PASP 114, 1156.
    Checked by: tests/truth/test_seeing.py
    """
    r0_m = fried_r0_m(sky.seeing_arcsec, wavelength_nm, sky.altitude_deg)
    if sky.air in ("moment", "none") or math.isinf(r0_m):
        return np.ones_like(frequency)
    baseline_m: NDArray[Real] = np.abs(frequency)
    baseline_m *= ARCSEC_PER_RADIAN * wavelength_nm * 1e-9
    if sky.air in ("best", "typical"):
        return moments.kept(
            sky.air, baseline_m=baseline_m, aperture_m=aperture_mm * 1e-3, r0_m=r0_m
        )
    if sky.air == "short":
        return short_exposure(baseline_m, aperture_mm * 1e-3, r0_m, sky.outer_scale_m)
    exponent = structure_rad2(baseline_m, r0_m, sky.outer_scale_m)
    exponent *= -0.5
    return np.exp(exponent, out=exponent)


def short_exposure(
    baseline_m: NDArray[Real],
    aperture_m: float,
    r0_m: float,
    outer_scale_m: float = math.inf,
    alpha: float = 1.0,
) -> NDArray[Real]:
    """Return the transfer factor of a short exposure: the average with tilt removed.

    For infinite outer scale this is exp{-3.44 (b/r0)^(5/3) [1 - alpha (b/D)^(1/3)]}. An outer
    scale much larger than the telescope changes the structure function by a term in b^2, which
    is tilt; so the tilt removed is the one that leaves nothing at b = D, and the answer hardly
    depends on the outer scale, as it must be.

    Parameters
    ----------
    baseline_m
        Wavelength times frequency.
    alpha
        1 for the near field (all that a small telescope under an ordinary sky needs), 1/2 for
        the far field.

    Returns
    -------
    array
        Like `baseline_m`, 0 to 1; 1 at the cut-off and beyond it in the near field.

    Notes
    -----
    Source: Fried 1966, J. Opt. Soc. Am. 56, 1372, eq. 5.9; the form with an outer scale is
    ours.
    Checked by: tests/truth/test_seeing.py
    """
    across = float(structure_rad2(np.array([aperture_m]), r0_m, outer_scale_m)[0])
    across -= (1.0 - alpha) * STRUCTURE * (aperture_m / r0_m) ** (5.0 / 3.0)
    exponent = structure_rad2(baseline_m, r0_m, outer_scale_m)
    exponent -= baseline_m**2 * (across / aperture_m**2)
    np.maximum(exponent, 0.0, out=exponent)
    exponent *= -0.5
    return np.exp(exponent, out=exponent)


def long_exposure_fwhm_arcsec(sky: Sky, wavelength_nm: float = SEEING_WAVELENGTH_NM) -> float:
    """Return the width of the air's own long-exposure image, in arcsec.

    Smaller than ``sky.seeing_arcsec`` at the zenith by the outer scale's effect; 0 when the
    sky's `air` is "none".

    Source: Tokovinin 2002, PASP 114, 1156, eq. 19, good to 1 % for an outer scale above 20 r0;
    below that the factor is held at its value there.
    Checked by: tests/truth/test_seeing.py
    """
    r0_m = fried_r0_m(sky.seeing_arcsec, wavelength_nm, sky.altitude_deg)
    if sky.air == "none" or math.isinf(r0_m):
        return 0.0
    width = FWHM_RATIO * wavelength_nm * 1e-9 / r0_m * ARCSEC_PER_RADIAN
    ratio = min(r0_m / sky.outer_scale_m, 1.0 / 20.0)
    return width * math.sqrt(1.0 - 2.183 * ratio**0.356)


def wander_rms_arcsec(sky: Sky, aperture_mm: float) -> float:
    """Return how far the image wanders along one axis, RMS in arcsec, the same in all colours.

    The outer scale takes away the b^2 term of the structure function (see `short_exposure`),
    which is a fraction 1.42 (D / L0)^(1/3) of the variance.

    Source: Fried 1965; Roddier 1981; outer scale: leading term, for D below a tenth of L0.
    Checked by: tests/truth/test_seeing.py
    """
    r0_m = fried_r0_m(sky.seeing_arcsec, SEEING_WAVELENGTH_NM, sky.altitude_deg)
    if math.isinf(r0_m):
        return 0.0
    aperture_m = aperture_mm * 1e-3
    wavelength_m = SEEING_WAVELENGTH_NM * 1e-9
    variance = TILT_VARIANCE * (aperture_m / r0_m) ** (5.0 / 3.0) / aperture_m**2
    # 3 sigma^2 (2 pi / L0)^2 b^2 is the b^2 term; over (2 pi)^2 it is a variance of angle.
    lost = 3.0 * VARIANCE * r0_m ** (-5.0 / 3.0) * sky.outer_scale_m ** (-1.0 / 3.0)
    return wavelength_m * math.sqrt(max(variance - lost, 0.0)) * ARCSEC_PER_RADIAN
