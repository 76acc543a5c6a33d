"""A telescope's transfer at low frequencies: how far the pupil's field overlaps itself, shifted.

An eye at low power passes the lowest frequencies only. There the light need not be followed to
where it falls, pixel by pixel over hundreds of wavelengths / aperture, to be transformed back: the
transfer at a frequency is the pupil's field times its conjugate a shift away, summed up, whatever
the picture's pixels are.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import banded
from simview import transforms as fft
from simview.banded import cubic_weights
from simview.executor.threads import spread_work
from simview.kit import Telescope
from simview.memory import remembered
from simview.telescope.exposure import Setting, exposure
from simview.telescope.opening import REFERENCE_NM, Opening, stop_for
from simview.units import ARCSEC_PER_RADIAN

Transfer = NDArray[np.complex64]

# Largest shift at 550 nm, in diameters of the aperture. A choice: so the sums are over planes half
# as wide again as the pupil.
FARTHEST: Final = 0.4

# Samples beside the outermost ones wanted, for what is read between them.
_BESIDE: Final = 2


def cut_off(aperture_mm: float) -> float:
    """Return the frequency at 550 nm past which no light lies, cycles/arcsec."""
    return aperture_mm / (REFERENCE_NM * 1e-6) / ARCSEC_PER_RADIAN


def transfers(
    scope: Telescope,
    *,
    wavelengths_nm: NDArray[np.float64],
    frequencies: tuple[NDArray[Any], NDArray[Any]],
    aperture_mm: float,
    obstruction: float,
) -> Transfer:
    """Return the telescope's transfer at each wavelength, of 1 at frequency 0.

    Parameters
    ----------
    wavelengths_nm
        (n,).
    frequencies
        (1, k) from 0 on and (m, 1), cycles/arcsec, up to `FARTHEST` of `cut_off`.
    aperture_mm, obstruction
        As in `simview.telescope.spread.spread_stack`.

    Returns
    -------
    (n, m, k) complex64, as the transform of a point spread about its middle.

    Notes
    -----
    Source: Goodman, Introduction to Fourier Optics, section 6.3, the transfer as autocorrelation.
    Checked by: tests/unit/telescope/test_overlap.py, against transforms of point spreads.
    """
    waves = tuple(float(wave) for wave in wavelengths_nm)
    samples, overlaps = _overlaps(scope, waves, aperture_mm, obstruction)
    fx, fy = (np.asarray(axis, np.float64).ravel() for axis in frequencies)
    found = np.empty((len(waves), len(fy), len(fx)), np.complex64)
    for wave, overlap, plane in zip(waves, overlaps, found, strict=True):
        step = samples / cut_off(aperture_mm) * wave / REFERENCE_NM  # samples a cycle/arcsec
        middle = overlap.shape[0] // 2
        down = cubic_weights(fy * step + middle, overlap.shape[0]).astype(np.float32)
        right = cubic_weights(fx * step + _BESIDE, overlap.shape[1]).astype(np.float32)
        # Of each axis real parts and imaginary ones alike, and four samples a place.
        lines = banded.down(down, overlap.view(np.float32)).view(np.complex64)
        turned = banded.down(right, np.ascontiguousarray(lines.T).view(np.float32))
        plane[:] = turned.view(np.complex64).T
    return found


@remembered(4)
def _overlaps(
    scope: Telescope, waves: tuple[float, ...], aperture_mm: float, obstruction: float
) -> tuple[int, list[Transfer]]:
    """Return samples across the pupil, and by wavelength the overlap at shifts of whole ones."""
    stop = stop_for(scope, aperture_mm, obstruction)
    taken = exposure(scope, stop, np.array(waves), 0.0)
    front = taken.front(0.0)
    amplitude = front.amplitude.astype(np.float32)
    found: list[Transfer] = [np.empty((0, 0), np.complex64)] * len(waves)

    def work(k: int) -> None:
        reach = math.ceil(FARTHEST * front.samples * waves[k] / REFERENCE_NM) + _BESIDE
        found[k] = _shifted(_field(taken, front, amplitude, k), reach)
        found[k] /= np.float32(front.light)
        # Grey samples pass light in proportion to their area, not to its square.
        found[k][reach, _BESIDE] = 1.0

    spread_work(work, range(len(waves)))
    return front.samples, found


def _field(taken: Setting, front: Opening, amplitude: NDArray[Any], k: int) -> Transfer:
    """Return the field over the whole pupil, (samples, samples)."""
    parts = taken.field(front, amplitude, k)
    field = np.zeros((front.samples, front.samples), np.complex64)
    field.real = front.whole(parts[0])
    if len(parts) == 2:
        field.imag = front.whole(parts[1])
    return field


def _shifted(field: Transfer, reach: int) -> Transfer:
    """Return the sums of a field times its conjugate at shifts of up to `reach` samples.

    (2 reach + 1, _BESIDE + reach + 1): up to as many up and down, and to the right; of those to
    the left, which are the conjugates, the nearest only.
    """
    side = int(fft.next_fast_len(len(field) + reach, real=True))
    light = fft.fft(fft.fft(field, n=side, axis=1), n=side, axis=0)
    power = light.real**2
    power += light.imag**2
    right = fft.fft(fft.rfft(power, axis=1)[:, : reach + 1], axis=0)
    right = np.concatenate([right[-reach:], right[: reach + 1]])
    left = right[::-1, _BESIDE:0:-1].conj()
    right = np.concatenate([left, right], axis=1)
    right /= np.float32(side**2)
    return np.asarray(right, np.complex64)
