"""Light that the eye scatters: the veil around bright things."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import RangeError, require_range

Array = NDArray[np.float64]

# Angles between which the glare formula holds, deg (CIE 146:2002).
VALID_DEG: Final = (0.1, 100.0)

# Pigmentation of the iris: 0 black, 0.5 brown, 1 light, 1.2 very light blue (CIE 146:2002).
BROWN_EYES: Final = 0.5


def veil_per_lux(angle_deg: ArrayLike, age_years: float, pigment: float = BROWN_EYES) -> Array:
    """Return the veiling luminance in cd/m2 that one lux at the eye spreads at an angle.

    Parameters
    ----------
    angle_deg
        From the bright source, 0.1 to 100 deg.
    age_years
        20 to 83.
    pigment
        0 (very dark eyes) to 1.2 (very light ones).

    Raises
    ------
    RangeError
        When an angle lies outside the formula's range.

    Notes
    -----
    Source: CIE 146:2002, CIE equations for disability glare, the general formula; Vos 2003, "On
    the cause of disability glare and its dependence on glare angle, age and ocular
    pigmentation", Clin. Exp. Optom. 86, 363.
    Checked by: tests/truth/test_eye_glare.py
    """
    angle = np.asarray(angle_deg, dtype=np.float64)
    low, high = VALID_DEG
    if not np.all((angle >= low) & (angle <= high)):
        raise RangeError("angle_deg", got=angle_deg, allowed=f"{low:g} to {high:g} deg")
    require_range("age_years", age_years, 20.0, 83.0, unit="years")
    require_range("pigment", pigment, 0.0, 1.2)
    aged = 1.0 + (age_years / 62.5) ** 4
    return np.asarray(
        10.0 / angle**3 + (5.0 / angle**2 + 0.1 * pigment / angle) * aged + 0.0025 * pigment
    )


def scattered_fraction(
    inner_deg: float, outer_deg: float, age_years: float, pigment: float = BROWN_EYES
) -> float:
    """Return the share of a source's light that lands between two angles from it.

    The integral of the veil over the ring, per lux; trapezoid in log angle, within 1e-4.
    """
    angle = np.geomspace(inner_deg, outer_deg, 400)
    ring = 2.0 * np.pi * np.sin(np.radians(angle)) * np.radians(angle)
    return float(np.trapezoid(veil_per_lux(angle, age_years, pigment) * ring, np.log(angle)))


@lru_cache(maxsize=32)
@lru_cache(maxsize=16)
def veil_kernel(
    pixels_per_degree: float, radius_deg: float, age_years: float, pigment: float = BROWN_EYES
) -> Array:
    """Return the eye's scatter as a square kernel: share of a pixel's light in each other pixel.

    Parameters
    ----------
    pixels_per_degree
        Of apparent angle; the veil is smooth, 4 to 10 will do.
    radius_deg
        Half of the kernel's side, up to 100 deg; what falls outside is left out.

    Returns
    -------
    numpy.ndarray
        (n, n) with n odd, read-only; its sum is the scattered share, so that the sharp image keeps
        ``1 - kernel.sum()``. Scatter closer than 0.1 deg is not in it: that is the eye's optics.
    """
    half = max(1, math.ceil(radius_deg * pixels_per_degree))
    step = 1.0 / pixels_per_degree
    # Each pixel's mean by 5 x 5 points, so that the steep middle is not missed.
    fine = (np.arange(5) - 2.0) / 5.0
    points = ((np.arange(-half, half + 1)[:, None] + fine) * step).ravel()
    angle = np.hypot(points[:, None], points[None, :])
    low, high = VALID_DEG
    veil = veil_per_lux(np.clip(angle, low, high), age_years, pigment)
    veil[(angle < low) | (angle > high)] = 0.0
    size = 2 * half + 1
    mean = veil.reshape(size, 5, size, 5).mean(axis=(1, 3))
    kernel = np.asarray(mean * math.radians(step) ** 2)
    kernel.setflags(write=False)
    return kernel


def add_veil(
    image: NDArray[np.floating],
    *,
    pixels_per_degree: float,
    age_years: float,
    pigment: float = BROWN_EYES,
    surround: float = 0.0,
) -> NDArray[np.float32]:
    """Scatter an image in the eye: bright parts lose a little, all around gains a veil.

    Parameters
    ----------
    image
        (..., ny, nx) troland or luminance.
    pixels_per_degree
        Of apparent angle.
    surround
        What lies around the image, in the same unit.

    Returns
    -------
    (..., ny, nx) float32. The veil is computed on about 8 pixels per degree and enlarged.
    """
    planes = np.asarray(image, dtype=np.float32)
    ny, nx = planes.shape[-2:]
    flat = planes.reshape(-1, ny, nx)
    shrink = max(1, round(pixels_per_degree / 8.0))
    reach = min(max(ny, nx) / pixels_per_degree, 30.0)
    kernel = veil_kernel(pixels_per_degree / shrink, reach, age_years, pigment)
    kept = np.float32(1.0 - kernel.sum())
    answer = np.empty_like(flat)
    for k, plane in enumerate(flat):
        excess = plane - np.float32(surround)
        answer[k] = excess * kept + _veil(excess, kernel, shrink) + np.float32(surround)
    return answer.reshape(planes.shape)


def _veil(plane: NDArray[np.float32], kernel: Array, shrink: int) -> NDArray[np.float32]:
    """Convolve a plane, made `shrink` times smaller, with the kernel; enlarge what comes out."""
    from PIL import Image
    from scipy import fft

    ny, nx = plane.shape
    my, mx = -(-ny // shrink), -(-nx // shrink)
    padded = np.pad(plane, ((0, my * shrink - ny), (0, mx * shrink - nx)), mode="edge")
    small = np.asarray(Image.fromarray(padded).reduce(shrink))
    half = kernel.shape[0] // 2
    shape = (fft.next_fast_len(my + half, real=True), fft.next_fast_len(mx + half, real=True))
    offsets = np.arange(-half, half + 1)
    near_y, near_x = np.abs(offsets) < my, np.abs(offsets) < mx
    ring = np.zeros(shape, dtype=np.float32)
    ring[np.ix_(offsets[near_y] % shape[0], offsets[near_x] % shape[1])] = kernel[
        np.ix_(near_y, near_x)
    ]
    veil = fft.irfft2(fft.rfft2(small, s=shape) * fft.rfft2(ring), s=shape)[:my, :mx]
    wide = Image.fromarray(np.ascontiguousarray(veil)).resize(
        (mx * shrink, my * shrink), Image.Resampling.BILINEAR
    )
    return np.asarray(wide, dtype=np.float32)[:ny, :nx]
