"""What cornea and lens add to the image: the aberration part of the eye's transfer function.

Diffraction at the pupil is not in here. The telescope room computes it once for the effective
aperture, because the exit pupil *is* the eye's aperture.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import RangeError

# One number or many.
Number = TypeVar("Number", float, NDArray[np.float64])

# Range in which the formula was fitted, mm (Watson 2013).
FITTED_MM: Final = (2.0, 6.0)

# Pupils between which the aberration part fades out, mm. A choice: there the formula itself,
# divided by diffraction, comes to 1 over the whole passband, that is, aberration is too small to
# see.
PERFECT_BELOW_MM: Final = 1.1
FADE_FROM_MM: Final = 1.5

# How far past 6 mm the pupil still counts, mm: 6 + 0.5 tanh((d - 6) / 0.5). A choice that holds
# the formula near its last fitted pupil without a kink.
HOLD_MM: Final = 0.5

# Half of an eye's transfer lies in phase at a frequency (cycles/deg) of this over the pupil in mm
# to this power; and how steeply the share falls there. Fitted to 90 drawn eyes, see `in_phase`.
IN_PHASE: Final = (293.0, 1.5)
IN_PHASE_FALL: Final = 3.5

# Wavelength of the formula, nm (Watson 2013).
WAVELENGTH_NM: Final = 555.0


def aberration_transfer(
    frequency_cycles_deg: ArrayLike, pupil_mm: ArrayLike
) -> NDArray[np.float64]:
    """Return the part of the eye's transfer function that is not diffraction.

    Parameters
    ----------
    frequency_cycles_deg
        At the eye (the frequency on the sky divided by the power), not negative; any shape.
    pupil_mm
        What the eye sees through, min(exit pupil, its own pupil); broadcasts against the
        frequency; larger than 0.

    Returns
    -------
    numpy.ndarray
        Contrast kept, in (0, 1], 1 at frequency 0, never growing with frequency; broadcast shape.

    Raises
    ------
    RangeError
        When a pupil or a frequency is negative or not a number.

    Notes
    -----
    Source: Watson 2013, "A formula for the mean human optical modulation transfer function as a
    function of pupil size", Journal of Vision 13(6):18: M = sqrt(D) (1 + (u / u1)^2)^-0.62 with
    D the transfer of a perfect pupil. Here M / D. Three repairs where the fit leaves physics, all
    smooth: 1 at the lowest frequencies, where M exceeds D by up to half a per cent; held at its
    lowest value near the cut-off, where M exceeds D again; the formula goes on below its smallest
    pupil of 2 mm, fading to 1 from 1.5 mm to 1.1 mm.
    Checked by: tests/truth/test_eye_optics.py
    """
    u = np.asarray(frequency_cycles_deg, dtype=np.float64)
    d = np.asarray(pupil_mm, dtype=np.float64)
    if not np.all(u >= 0.0):
        raise RangeError("frequency_cycles_deg", got=u, allowed="0 and more, in cycles/deg")
    if not (np.all(d > 0.0) and np.all(np.isfinite(d))):
        raise RangeError("pupil_mm", got=d, allowed="more than 0 mm")
    if np.all(d <= PERFECT_BELOW_MM):
        return np.ones(np.broadcast(u, d).shape)
    fade = _smooth_step((d - PERFECT_BELOW_MM) / (FADE_FROM_MM - PERFECT_BELOW_MM))
    return 1.0 - fade * (1.0 - _watson_ratio(u, _held(d)))


def diffraction_transfer(
    frequency_cycles_deg: ArrayLike, pupil_mm: ArrayLike, wavelength_nm: float = WAVELENGTH_NM
) -> NDArray[np.float64]:
    """Return the incoherent transfer function of a clear round pupil, 1 down to 0 at its cut-off.

    Source: Goodman, Introduction to Fourier Optics, section 6.3.
    """
    u = np.asarray(frequency_cycles_deg, dtype=np.float64)
    return _clear(np.minimum(u / _cutoff(np.asarray(pupil_mm), wavelength_nm), 1.0))


def human_transfer(frequency_cycles_deg: ArrayLike, pupil_mm: ArrayLike) -> NDArray[np.float64]:
    """Return the whole transfer function of the naked eye: diffraction times aberration part."""
    return diffraction_transfer(frequency_cycles_deg, pupil_mm) * aberration_transfer(
        frequency_cycles_deg, pupil_mm
    )


def in_phase(frequency_cycles_deg: ArrayLike, pupil_mm: ArrayLike) -> NDArray[np.float64]:
    """Return the share of the eye's transfer that builds up the image of a star.

    A transfer function of contrast tells nothing of where the light and dark of each frequency
    lie. Coma, trefoil and what astigmatism glasses leave shift them against each other; a star
    drawn from contrast alone is the sharpest that such an eye could show: 0.4 arcmin wide at a
    pupil of 7 mm. This is the mean over eyes and directions of the
    transfer's real part, the image centred, over the mean of its size.

    Parameters
    ----------
    frequency_cycles_deg
        At the eye, not negative; any shape.
    pupil_mm
        As in `aberration_transfer`.

    Returns
    -------
    numpy.ndarray
        1 at frequency 0, falling.

    Notes
    -----
    Source: 1 / (1 + (u d^1.5 / 293)^3.5), fitted to eyes drawn with the published spread of their
    faults (Salmon & van de Pol 2006, J. Cataract Refract. Surg. 32, 2064) and the
    residual astigmatism with which they have Watson's mean transfer, each focused for the
    sharpest star; within 0.08 of them from 2 to 6.5 mm up to 40 cycles/deg. Above 6 mm the pupil
    is held as in Watson's formula.
    Checked by: tests/truth/test_star_in_the_eye.py
    """
    u = np.asarray(frequency_cycles_deg, dtype=np.float64)
    scale, power = IN_PHASE
    half = scale / _held(np.asarray(pupil_mm, dtype=np.float64)) ** power
    return np.asarray(1.0 / (1.0 + (u / half) ** IN_PHASE_FALL))


def star_transfer(frequency_cycles_deg: ArrayLike, pupil_mm: ArrayLike) -> NDArray[np.float64]:
    """Return the transfer of the mean image of a star in the eye, without diffraction.

    For gratings, and planets whose detail is judged as such, `aberration_transfer` stands.
    """
    if np.all(np.asarray(pupil_mm) <= PERFECT_BELOW_MM):
        return aberration_transfer(frequency_cycles_deg, pupil_mm)
    return aberration_transfer(frequency_cycles_deg, pupil_mm) * in_phase(
        frequency_cycles_deg, pupil_mm
    )


def _held(d: NDArray[np.float64]) -> NDArray[np.float64]:
    last = FITTED_MM[1]
    above = last + HOLD_MM * np.tanh((d - last) / HOLD_MM)
    return np.where(d <= last, np.maximum(d, PERFECT_BELOW_MM), above)


def _cutoff(d: Number, wavelength_nm: float = WAVELENGTH_NM) -> Number:
    """Cut-off frequency in cycles/deg of a pupil of `d` mm."""
    return d * (math.pi * 1e6 / (wavelength_nm * 180.0))


def _corner(d: Number) -> Number:
    """Watson's u1, cycles/deg (2013, eq. 4)."""
    return 21.95 - 5.512 * d + 0.3922 * d**2


def _clear(nu: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(2.0 / np.pi * (np.arccos(nu) - nu * np.sqrt(1.0 - nu**2)))


def _watson_ratio(u: NDArray[np.float64], d: NDArray[np.float64]) -> NDArray[np.float64]:
    u0, u1 = _cutoff(d), _corner(d)
    repairs = np.array([_repairs(pupil) for pupil in d.ravel().tolist()])
    even, turn = repairs.T.reshape(2, *d.shape)
    at = np.minimum(u, turn)
    ratio = np.exp(-0.62 * np.log1p((at / u1) ** 2) - 0.5 * np.log(_clear(at / u0)))
    blend = _smooth_step((u - even) / (0.7 * even))
    return np.asarray(np.minimum(1.0 - blend * (1.0 - ratio), 1.0))


@lru_cache(maxsize=512)
def _repairs(d: float) -> tuple[float, float]:
    """Return where Watson's M / D comes back to 1 and where it is lowest, cycles/deg.

    Single numbers are found in Python's own, a tenth of numpy's time.
    """
    u0, u1 = _cutoff(d), _corner(d)

    def still_above(at: float) -> bool:
        return -0.62 * math.log1p((at / u1) ** 2) > 0.5 * math.log(_clear_at(at / u0))

    def still_falling(at: float) -> bool:
        nu = at / u0
        pull = 2.0 / math.pi * math.sqrt(1.0 - nu**2) / (u0 * _clear_at(nu))
        return 1.24 * at / (u1**2 + at**2) > pull

    turn = _bisect(still_falling, 0.3 * u0, 0.999 * u0)
    return _bisect(still_above, 1e-4 * u0, turn), turn


def _clear_at(nu: float) -> float:
    """Return `_clear` of one number."""
    return 2.0 / math.pi * (math.acos(nu) - nu * math.sqrt(1.0 - nu**2))


def _bisect(before: Callable[[float], bool], low: float, high: float) -> float:
    """Return where `before` turns false."""
    for _ in range(36):
        middle = (low + high) / 2.0
        low, high = (middle, high) if before(middle) else (low, middle)
    return (low + high) / 2.0


def _smooth_step(t: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rise from 0 to 1 over t = 0 to 1 with two continuous derivatives."""
    t = np.clip(t, 0.0, 1.0)
    return np.asarray(t**3 * (10.0 - 15.0 * t + 6.0 * t**2))
