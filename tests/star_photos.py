"""Photographs of a star out of focus, made for tests: light to a picture as a phone stores it."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from simview.kit import Telescope, Wavefront
from simview.telescope.spread import spread_stack

Light = NDArray[np.float64]


def pattern(
    scope: Telescope,
    defocus_waves: float,
    noll: dict[int, float] | None = None,
    *,
    pixel_arcsec: float,
    pixels: int = 160,
    blur_arcsec: float = 0.0,
) -> Light:
    """Red, green and blue light of a star by this program's own engine, (3, n, n)."""
    from dataclasses import replace

    ill = replace(scope, wavefront=Wavefront(noll=noll or {}))
    planes = [
        spread_stack(
            ill,
            wavelengths_nm=(nm - 40.0, nm, nm + 40.0),
            pixel_arcsec=pixel_arcsec,
            pixels=pixels,
            defocus_waves=defocus_waves,
        ).mean(axis=0)
        for nm in (593.0, 530.0, 470.0)
    ]
    sigma = blur_arcsec / 2.355 / pixel_arcsec
    return np.stack([ndimage.gaussian_filter(np.asarray(p, float), sigma) for p in planes])


def developed(light: Light, seed: int = 1, **how: Any) -> Image.Image:
    """Noise, tones and eight bits: light (3, n, n) as a camera stores it.

    Options: size, peak, sky, electrons at full scale, read noise, off (down, right), gamma (None:
    sRGB), slope of the sky.
    """
    rng = np.random.default_rng(seed)
    size = how.get("size", 240)
    peak, sky = how.get("peak", 0.75), how.get("sky", 0.01)
    frame = np.zeros((3, size, size))
    pixels = light.shape[1]
    top = (size - pixels) // 2
    frame[:, top : top + pixels, top : top + pixels] = light / light.max() * peak
    frame = ndimage.shift(frame, (0, *how.get("off", (9, -13))), order=1)
    _y, x = np.mgrid[:size, :size] / size - 0.5
    frame += sky * (1.0 + how.get("slope", 0.5) * x)
    electrons = how.get("electrons", 6000.0)
    frame = rng.poisson(np.maximum(frame, 0.0) * electrons) / electrons
    frame += rng.normal(0.0, how.get("read", 0.002), frame.shape)
    return Image.fromarray(np.moveaxis(toned(frame, how.get("gamma")), 0, -1))


def toned(linear: Light, gamma: float | None = None) -> NDArray[np.uint8]:
    """Eight-bit tones of linear light.

    Source: IEC 61966-2-1:1999 (sRGB) where no gamma is given.
    """
    light = np.clip(linear, 0.0, 1.0)
    high = 1.055 * light ** (1.0 / 2.4) - 0.055
    code = np.where(light <= 0.0031308, 12.92 * light, high)
    if gamma is not None:
        code = light ** (1.0 / gamma)
    return np.rint(255.0 * code).astype(np.uint8)


def jpeg(image: Image.Image, quality: int = 88) -> bytes:
    """The bytes of a JPEG file."""
    file = io.BytesIO()
    image.save(file, "JPEG", quality=quality)
    return file.getvalue()
