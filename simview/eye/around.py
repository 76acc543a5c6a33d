"""The light around bright stars: what the eye itself scatters, and a spider's spikes."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from simview.eye.kernels import Planes, width_px
from simview.eye.retina import Exposure
from simview.eye.scatter import VALID_DEG, veil_per_lux
from simview.eye.system import FWHM_PER_SIGMA
from simview.telescope.stop import Stop
from simview.units import ARCSEC_PER_RADIAN

# Stars this many times fainter than the brightest scatter nothing to speak of. A choice.
_SCATTERS: Final = 1e-3

# Wavelengths (nm) and shares over which spikes are averaged: they stand at other places in each
# colour. A choice, around the middle of the eye's curve by night and by day.
_COLOURS: Final = ((480.0, 0.2), (520.0, 0.3), (560.0, 0.3), (610.0, 0.2))

# How far from its middle a spike is drawn, in standard deviations of its width: past them is a
# hundred-millionth of it.
_REACH: Final = 6.0


def around_stars(exposure: Exposure, *, stop: Stop | None = None) -> Planes:
    """Return what stars, as bright as they are, scatter in the eye, and their spikes.

    Parameters
    ----------
    exposure
        Of a whole field or of a part of it.
    stop
        The telescope's opening with its vanes; None draws no spikes.

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
    lens = exposure.star_lens if exposure.sharp is None else exposure.sharp.lens
    if stop is not None and not stop.shape.vanes:
        stop = None
    # A view whose power changes under a hand holds no image of a star, but how wide one is.
    wide = width_px(lens) if stop and lens.shape[-1] > 1 else exposure.spot_arcsec / pixel
    image_px = max(wide, 1.0)
    for k in np.flatnonzero(bright):
        right = (along - stars.x_arcsec[k] / pixel)[None, :]
        down = (along + stars.y_arcsec[k] / pixel)[:, None]
        square = right**2 + down**2
        square /= exposure.pixels_per_degree**2
        square += VALID_DEG[0] ** 2
        light += whole[k] * np.interp(0.5 * np.log(square), np.log(angles), veil).astype(np.float32)
        if stop is not None:
            light += whole[k] * spikes_of(stop, right, down, pixel_arcsec=pixel, image_px=image_px)
    return light


def spikes_of(
    stop: Stop, right: Planes, down: Planes, *, pixel_arcsec: float, image_px: float
) -> Planes:
    """Return what a spider's vanes spread of a star's light, a pixel's share of all of it.

    Parameters
    ----------
    stop
        The opening before which they stand, evenly spaced, the first one upwards.
    right, down
        (1, n) and (n, 1), pixels from the star.
    pixel_arcsec
        A pixel's side.
    image_px
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
    vanes, sigma = stop.shape.vanes, image_px / FWHM_PER_SIGMA
    # Of the light that one vane takes, vane_ratio (1 - obstruction) / 2 of pi / 4 (1 -
    # obstruction^2), and so spreads: as much.
    share = 2.0 * stop.vane_ratio / (math.pi * (1.0 + stop.obstruction))
    share /= sigma * math.sqrt(2.0 * math.pi)
    # Two vanes opposite each other have their spikes on one line.
    lines, each = (vanes // 2, 2) if vanes % 2 == 0 else (vanes, 1)
    light = np.zeros(np.broadcast_shapes(right.shape, down.shape), np.float32)
    for i in range(lines):
        turn = 2.0 * math.pi * i / vanes
        aside = down * math.cos(turn) - right * math.sin(turn)
        near = np.abs(aside) <= _REACH * sigma
        out = (right * math.cos(turn) + down * math.sin(turn))[near]
        across = np.exp(-0.5 * (aside[near] / sigma) ** 2)
        slit = np.zeros_like(out)
        for nm, part in _COLOURS:
            rate = stop.vane_ratio * stop.aperture_mm * 1e6 / nm * pixel_arcsec / ARCSEC_PER_RADIAN
            slit += part * rate * np.sinc(rate * out) ** 2
        light[near] += each * share * slit * across
    return light
