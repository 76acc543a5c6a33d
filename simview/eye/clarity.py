"""How much contrast telescope and air keep, and how wide a star's image is: one curve a view."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.air import seeing
from simview.eye.retina import Grid
from simview.eye.system import LightPath, luminous_shares
from simview.kit import Mount
from simview.scene.spectrum import band_centres_nm
from simview.units import ARCSEC_PER_RADIAN

Array = NDArray[np.float64]

# Wavelengths of the curve: V weighs the middle of the band so strongly that five suffice.
# Checked by: tests/unit/eye/test_clarity.py
BANDS: Final = 5

# Fine pixels along a side, and their size in lambda / D at 550 nm: the shortest band's cut-off
# stays below the sampling's.
SIZE: Final = 384
PIXEL: Final = 0.36


def system_mtf(path: LightPath) -> Callable[[Array], Array]:
    """Return the contrast kept by telescope and air, a function of cycles/arcsec on the sky.

    White light seen by V(lambda), mean over all directions; mount and eye left out.
    """
    still = replace(path, mount=Mount(kind="fixed"), acuity_arcsec=0.0)
    # Neither power nor fields matter here, so that all powers of one aperture share a curve.
    beam = replace(
        still.beam,
        power=1.0,
        exit_pupil_mm=still.beam.aperture_mm,
        used_pupil_mm=1.0,
        eye_pupil_mm=9.0,
        apparent_field_deg=1.0,
        true_field_arcmin=1.0,
        eyepiece_name="",
        amplifier_name="",
        in_the_box=True,
    )
    frequency, contrast = _curve(replace(still, beam=beam))

    def kept(at: Array) -> Array:
        return np.interp(at, frequency, contrast, right=0.0)

    return kept


@lru_cache(maxsize=64)
def _curve(path: LightPath) -> tuple[Array, Array]:
    from scipy import fft

    wavelengths = band_centres_nm(BANDS)
    grid = Grid(size=SIZE, pixel_arcsec=PIXEL * airy_arcsec(path), split=1)
    spreads = path.spreads(grid, wavelengths)
    fx, fy = grid.frequencies()
    frequency = np.hypot(fx, fy)
    share = luminous_shares(BANDS)
    total = np.zeros(frequency.shape, np.complex128)
    for spread, wavelength, weight in zip(spreads, wavelengths, share, strict=True):
        centred = fft.ifftshift(spread.astype(np.float64))
        air = seeing.transfer(
            path.sky,
            wavelength_nm=float(wavelength),
            frequency=frequency,
            aperture_mm=path.beam.aperture_mm,
        )
        total += weight * fft.rfft2(centred, workers=2) * air
    return _ring_means(frequency, np.abs(total), 1.0 / (SIZE * grid.pixel_arcsec))


def _ring_means(frequency: Array, values: Array, step: float) -> tuple[Array, Array]:
    rings = int(frequency.max() / math.sqrt(2.0) / step)
    ring = np.rint(frequency / step).astype(int)
    inside = ring < rings
    count = np.bincount(ring[inside], minlength=rings)
    radius = np.bincount(ring[inside], weights=frequency[inside], minlength=rings) / count
    mean = np.bincount(ring[inside], weights=values[inside], minlength=rings) / count
    return radius, mean / mean[0]


def airy_arcsec(path: LightPath) -> float:
    """Return lambda / D at 550 nm for the effective aperture, arcsec."""
    return ARCSEC_PER_RADIAN * 550e-6 / path.beam.aperture_mm


def width_arcsec(path: LightPath) -> float:
    """Return the full width at half maximum of a star's image, eye and mount in it, arcsec.

    The curve of `system_mtf` times the eye's and the mount's factors, turned into the radial
    profile I(r) = 2 pi int M(f) J0(2 pi f r) f df, and that profile's half-power width.
    """
    from scipy.special import j0

    kept = system_mtf(path)
    shake = path.mount.shake_arcsec
    top = ARCSEC_PER_RADIAN**-1 * path.beam.aperture_mm / 430e-6
    f = np.linspace(0.0, top, 400)
    mtf = kept(f) * path.eye_factor(f) * np.exp(-2.0 * (np.pi * shake * f) ** 2)
    guess = math.hypot(airy_arcsec(path), path.blur_arcsec())
    r = np.linspace(0.0, 1.5 * guess, 200)
    profile = (mtf * f) @ j0(2.0 * np.pi * np.outer(f, r))
    below = np.flatnonzero(profile < profile[0] / 2.0)
    if len(below) == 0:
        return float(2.0 * r[-1])
    i = int(below[0])
    step = (profile[i - 1] - profile[0] / 2.0) / (profile[i - 1] - profile[i])
    return float(2.0 * (r[i - 1] + (r[i] - r[i - 1]) * step))
