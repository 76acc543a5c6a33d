"""The light around bright stars: what the eye itself scatters, and a spider's spikes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from simview.eye.kernels import Planes, width_px
from simview.eye.retina import Exposure
from simview.eye.scatter import VALID_DEG, veil_per_lux

# Stars this many times fainter than the brightest scatter nothing to speak of. A choice.
_SCATTERS: Final = 1e-3

# Wavelengths (nm) and shares over which spikes are averaged: they stand at other places in each
# colour. A choice, around the middle of the eye's curve by night and by day.
_COLOURS: Final = ((480.0, 0.2), (520.0, 0.3), (560.0, 0.3), (610.0, 0.2))

_SIGMA_PER_WIDTH: Final = 1.0 / math.sqrt(8.0 * math.log(2.0))
_RAD_PER_ARCSEC: Final = math.radians(1.0 / 3600.0)


@dataclass(frozen=True, kw_only=True)
class Spider:
    """What holds a secondary mirror, as light meets it.

    Parameters
    ----------
    vanes
        How many, evenly spaced, the first one upwards.
    vane_mm
        Their thickness.
    aperture_mm
        Of the mirror behind them.
    obstruction
        The secondary's diameter against the aperture's, 0 to below 1.
    """

    vanes: int
    vane_mm: float
    aperture_mm: float
    obstruction: float = 0.0

    @property
    def share(self) -> float:
        """Share of the light that one vane takes, and so spreads: as much (Babinet)."""
        length = self.aperture_mm / 2.0 * (1.0 - self.obstruction)
        free = math.pi / 4.0 * self.aperture_mm**2 * (1.0 - self.obstruction**2)
        return self.vane_mm * length / free


def around_stars(exposure: Exposure, *, spider: Spider | None = None) -> Planes:
    """Return what stars, as bright as they are, scatter in the eye, and their spikes.

    Parameters
    ----------
    exposure
        Of a whole field or of a part of it.
    spider
        The telescope's, if it has one.

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
    if spider is not None and spider.vanes and lens.shape[-1] > 1:
        width = max(width_px(lens), 1.0)
        for k in np.flatnonzero(bright):
            right = (along - stars.x_arcsec[k] / pixel)[None, :]
            down = (along + stars.y_arcsec[k] / pixel)[:, None]
            light += whole[k] * spikes_of(spider, right, down, pixel_arcsec=pixel, width_px=width)
    return light


def spikes_of(
    spider: Spider, right: Planes, down: Planes, *, pixel_arcsec: float, width_px: float
) -> Planes:
    """Return what a spider's vanes spread of a star's light, a pixel's share of all of it.

    Parameters
    ----------
    spider
        Its vanes.
    right, down
        (1, n) and (n, 1), pixels from the star.
    pixel_arcsec
        A pixel's side.
    width_px
        Full width at half maximum of a star's image, which is that of a spike too.

    Returns
    -------
    (n, n).

    Notes
    -----
    A thin bar of width w spreads the light that it takes like a slit as wide (Babinet), across
    itself by sinc squared of w x / wavelength; along itself no further than a star's image.
    Source: Born & Wolf 1999, Principles of Optics, sections 8.3.2 (Babinet) and 8.5.1 (the slit).
    Checked by: tests/unit/eye/test_around.py
    """
    sigma = _SIGMA_PER_WIDTH * width_px
    light = np.zeros(np.broadcast_shapes(right.shape, down.shape), np.float32)
    for i in range(spider.vanes):
        turn = 2.0 * math.pi * i / spider.vanes
        out = right * math.cos(turn) + down * math.sin(turn)
        aside = down * math.cos(turn) - right * math.sin(turn)
        across = np.exp(-0.5 * (aside / sigma) ** 2) / (sigma * math.sqrt(2.0 * math.pi))
        slit = np.zeros_like(light)
        for nm, part in _COLOURS:
            rate = spider.vane_mm * 1e6 / nm * pixel_arcsec * _RAD_PER_ARCSEC
            slit += part * rate * np.sinc(rate * out).astype(np.float32) ** 2
        light += spider.share * slit * across.astype(np.float32)
    return light
