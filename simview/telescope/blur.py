"""What the air does to a stack of point spreads: one factor on each transfer function."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.air import seeing
from simview.errors import SimviewError
from simview.executor.threads import spread_work
from simview.kit import Sky
from simview.telescope.exposure import Setting
from simview.telescope.planes import planes_of

Stack = NDArray[Any]

# How far around the wanted grid the pattern is computed, in widths of the seeing disc: light
# from farther out is less than one part in a thousand of what the grid catches.
MARGIN_WIDTHS = 4.0

# Pixels across that are transformed at most.
MOST_PIXELS = 4096


def aired_planes(exposure: Setting, sky: Sky, pixel_arcsec: float, pixels: int) -> Stack:
    """Return (n, pixels, pixels): the star's planes behind averaged air.

    The pattern is computed on a grid that is wider by the seeing disc's reach, multiplied in
    frequency space by the air's transfer factor and cut. Where the wanted pixels are much finer
    than the pattern it is computed on coarser ones (still sampling it) and interpolated, which
    is exact for a pattern of limited bandwidth.

    Raises
    ------
    SimviewError
        When the telescope is too large for the seeing: more than 4096 pixels would be needed.

    Notes
    -----
    Source: Fried 1966, JOSA 56, 1372: image = telescope's image * air's, in the average.
    Checked by: tests/truth/test_seeing_product.py
    """
    width = seeing.long_exposure_fwhm_arcsec(sky, float(exposure.waves.min()))
    reach = pixels * pixel_arcsec + 2.0 * MARGIN_WIDTHS * width
    coarsest = 0.4 * float(exposure.unit_arcsec.min())
    inner = pixel_arcsec
    if reach / pixel_arcsec > MOST_PIXELS / 2 and pixel_arcsec < coarsest:
        inner = coarsest

    across = fft.next_fast_len(2 * math.ceil(reach / inner / 2.0), real=True)
    across += across % 2
    if across > MOST_PIXELS:
        raise SimviewError(
            "seeing_arcsec",
            got=f"{sky.seeing_arcsec:g} with an aperture of {exposure.stop.aperture_mm:g} mm",
            allowed="a grid and seeing disc of about 1600 wavelengths / aperture",
            remedy="take a smaller grid or calmer air",
        )
    planes = planes_of(exposure, inner, across)
    where: NDArray[np.float64] | None = None  # read on the pixels themselves
    if inner != pixel_arcsec:
        place = np.arange(pixels, dtype=np.float64) - pixels // 2
        where = place * (pixel_arcsec / inner) + across // 2
    first = across // 2 - pixels // 2
    cut = slice(first, first + pixels)
    answer = np.empty((len(planes), pixels, pixels), planes.dtype)

    def work(k: int) -> None:
        spectrum = _spectrum(planes[k], exposure, k, sky, inner)
        if where is None:
            answer[k] = fft.irfft2(spectrum, s=(across, across))[cut, cut]
        else:
            answer[k] = _interpolated(spectrum, where)

    spread_work(work, range(len(planes)))
    answer *= (pixel_arcsec / inner) ** 2
    return answer


def _spectrum(plane: Stack, exposure: Setting, k: int, sky: Sky, pixel_arcsec: float) -> Stack:
    """Return the real transform of one plane times the air's factor at its wavelength."""
    fx = np.fft.rfftfreq(len(plane), pixel_arcsec).astype(plane.dtype)
    fy = np.fft.fftfreq(len(plane), pixel_arcsec).astype(plane.dtype)
    factor = seeing.transfer(
        sky,
        wavelength_nm=float(exposure.waves[k]),
        frequency=np.hypot(fx[None, :], fy[:, None]),
        aperture_mm=exposure.stop.aperture_mm,
    )
    return np.asarray(fft.rfft2(plane) * factor)


def _interpolated(spectrum: Stack, where: NDArray[np.float64]) -> Stack:
    """Return the plane of a real transform at any pixel coordinates, the same along both axes."""
    across = len(spectrum)
    turns = where[:, None] * np.fft.fftfreq(across)[None, :]
    rows = np.exp(2j * np.pi * turns)
    turns = where[:, None] * np.fft.rfftfreq(across)[None, :]
    columns = np.exp(2j * np.pi * turns)
    columns[:, 1:-1] *= 2.0  # a real plane: the negative frequencies mirror the positive ones
    return np.asarray((rows @ spectrum @ columns.T).real / across**2)
