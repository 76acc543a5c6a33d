"""The light around bright stars: what the eye itself scatters, and a spider's spikes."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from simview.eye.kernels import Planes, width_px
from simview.eye.retina import Exposure
from simview.eye.scatter import VALID_DEG, veil_per_lux

# Stars this many times fainter than the brightest scatter nothing to speak of. A choice.
_SCATTERS: Final = 1e-3

# Widths of a star's image from its middle at which spikes begin to stand alone and do: within them
# they are lost in the disc and its rings. Choices.
_SPIKES_FROM: Final = (3.0, 6.0)

# Share of each ring that no spikes stand on. A choice: at three widths out, four cover a fifth.
_NO_SPIKE: Final = 0.8


def around_stars(exposure: Exposure, *, spikes: bool = False) -> Planes:
    """Return what stars, as bright as they are, scatter in the eye, and their spikes.

    Parameters
    ----------
    exposure
        Of a whole field or of a part of it.
    spikes
        Whether the telescope has vanes.

    Returns
    -------
    (n, n) troland (Y), not yet turned.

    Notes
    -----
    Source: CIE 146:2002 for the scatter, `simview.eye.scatter`; within 0.1 deg, where it ends, it
    levels off.
    Checked by: tests/unit/eye/test_around.py
    """
    stars, n = exposure.scene.stars, exposure.extended.shape[-1]
    light = np.zeros((n, n), np.float32)
    pixel = exposure.scene.pixel_arcsec
    # Troland times pixels: all of a star's light, were it in one pixel.
    whole = exposure.star_spots() * math.pi / 4.0 * (exposure.spot_arcsec / pixel) ** 2
    bright = whole > _SCATTERS * whole.max(initial=0.0)
    angles = np.geomspace(*VALID_DEG, 200).clip(*VALID_DEG)
    veil = veil_per_lux(angles, exposure.age_years, pupil_mm=exposure.beam_mm)
    veil *= math.radians(1.0 / exposure.pixels_per_degree) ** 2
    along = np.arange(n) - n // 2
    for k in np.flatnonzero(bright):
        right = along - stars.x_arcsec[k] / pixel
        down = along + stars.y_arcsec[k] / pixel
        square = (right**2)[None, :] + (down**2)[:, None]
        square /= exposure.pixels_per_degree**2
        square += VALID_DEG[0] ** 2
        light += whole[k] * np.interp(0.5 * np.log(square), np.log(angles), veil).astype(np.float32)
    lens = exposure.star_lens if exposure.sharp is None else exposure.sharp.lens
    # A view whose power changes under a hand has no such image of a star, and no spikes.
    if spikes and lens.shape[-1] > 1:
        own = replace(exposure, star_lens=spikes_of(lens))
        light += own.star_light(stars.picked(bright), np.ones(int(bright.sum())))[1]
    return light


def spikes_of(lens: Planes) -> Planes:
    """Return what a star's image has beyond what is alike in all directions: a spider's spikes.

    Of luminance only; there is nothing in the other channels.

    The air's colours move the image aside, so that one side of each ring is brighter: that is taken
    off as well, as the part that goes with the cosine of the direction.
    """
    k = lens.shape[-1]
    along = np.arange(k) - k // 2
    apart = np.hypot(along[:, None], along[None, :])
    ring = apart.round().astype(int).ravel()
    ways = [
        np.broadcast_to(way, (k, k)).ravel() / np.maximum(apart.ravel(), 1.0)
        for way in (along[:, None], along[None, :])
    ]
    order, ends = np.argsort(ring, kind="stable"), np.cumsum(np.bincount(ring))
    count = np.bincount(ring)
    near, far = (times * width_px(lens) for times in _SPIKES_FROM)
    outside = np.clip((apart.ravel() - near) / (far - near), 0.0, 1.0)
    answer = np.zeros_like(lens)
    for place, plane in enumerate(lens[1]):
        flat = plane.ravel().astype(float)
        parts = np.split(flat[order], ends[:-1])
        over = flat - np.array([np.quantile(part, _NO_SPIKE) for part in parts])[ring]
        for way in ways:
            over -= (2.0 * np.bincount(ring, over * way) / count)[ring] * way
        answer[1, place] = np.maximum(over * outside, 0.0).reshape(k, k)
    return answer
