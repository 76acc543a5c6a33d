"""The light around bright stars: what the eye itself scatters, and a spider's spikes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.eye.kernels import Planes
from simview.eye.reference import DARKEST_CD_M2
from simview.eye.retina import Exposure
from simview.eye.scatter import VALID_DEG, veil_per_lux
from simview.eye.system import FWHM_PER_SIGMA
from simview.eye.thresholds import Aid, threshold_contrast
from simview.telescope.stop import Stop
from simview.units import ARCSEC_PER_RADIAN

# Stars this many times fainter than the brightest scatter nothing to speak of. A choice.
_SCATTERS: Final = 1e-3

# Wavelengths (nm) and shares over which spikes are averaged: they stand at other places in each
# colour. A choice, around the middle of the eye's curve by night and by day.
_COLOURS: Final = ((480.0, 0.2), (520.0, 0.3), (560.0, 0.3), (610.0, 0.2))

# A thin line is seen as a disc of the light of so many of its widths: eyes add up light along it.
# A choice, that of the print's other lines (docs/models/tone.md).
LINE_WIDTHS: Final = 5.0

# How far from its middle a spike is drawn, in standard deviations of its width: past them is a
# hundred-millionth of it.
_REACH: Final = 6.0


def around_stars(exposure: Exposure, *shares: float | NDArray[np.float64]) -> list[Planes]:
    """Return what stars, as bright as they are, scatter in the eye, or shares of it.

    Parameters
    ----------
    exposure
        Of a whole field or of a part of it.
    shares
        (N,) what is wanted of each star's scattered light; 1 for all of it.

    Returns
    -------
    For each of the shares (n, n) troland (Y), not yet turned.

    Notes
    -----
    Source: CIE 146:2002 for the scatter, `simview.eye.scatter`; within 0.1 deg, where it ends, it
    levels off.
    Checked by: tests/unit/eye/test_around.py
    """
    light = [np.zeros(exposure.extended.shape[1:], np.float32) for _ in shares]
    angles = np.geomspace(*VALID_DEG, 200).clip(*VALID_DEG)
    veil = veil_per_lux(angles, exposure.age_years, pupil_mm=exposure.beam_mm)
    veil *= math.radians(1.0 / exposure.pixels_per_degree) ** 2
    each = [np.broadcast_to(share, len(exposure.scene.stars)) for share in shares]
    for k, whole, right, down in _bright(exposure):
        square = right**2 + down**2
        square /= exposure.pixels_per_degree**2
        square += VALID_DEG[0] ** 2
        scattered = np.interp(0.5 * np.log(square), np.log(angles), veil).astype(np.float32)
        for place, share in enumerate(each):
            light[place] += np.float32(whole * share[k]) * scattered
    return light


def _bright(exposure: Exposure) -> Iterator[tuple[int, float, Planes, Planes]]:
    """Give the stars that count: place in the list, troland times pixels, pixels right and down."""
    stars, n = exposure.scene.stars, exposure.extended.shape[-1]
    pixel, along = exposure.scene.pixel_arcsec, np.arange(n) - n // 2
    # All of a star's light, were it in one pixel.
    whole = exposure.star_spots() * math.pi / 4.0 * (exposure.spot_arcsec / pixel) ** 2
    for k in np.flatnonzero(whole > _SCATTERS * whole.max(initial=0.0)):
        right = (along - stars.x_arcsec[k] / pixel)[None, :]
        down = (along + stars.y_arcsec[k] / pixel)[:, None]
        yield int(k), float(whole[k]), right, down


def image_px(exposure: Exposure, width_arcsec: float) -> float:
    """Return how wide a star's image of this width is in a picture: a pixel or more."""
    return max(width_arcsec / exposure.scene.pixel_arcsec, 1.0)


def least_line(
    light_td: NDArray[np.float64], aid: Aid, troland_per_cd_m2: float, width_deg: float
) -> NDArray[np.float64]:
    """Return the light of a thin line that is just made out on a ground of light, both troland.

    Parameters
    ----------
    light_td
        Of the ground: the sky's and all that the eye scatters there.
    aid
        The instrument and the eye.
    troland_per_cd_m2
        What a surface before the instrument sends to the retina.
    width_deg
        Of the line at the eye, full at half its height.

    Notes
    -----
    Source: Crumey 2014, see `simview.eye.thresholds`, for a disc of the line's area over
    `LINE_WIDTHS` of its widths.
    Checked by: tests/unit/eye/test_around.py
    """
    ground = np.maximum(light_td, 1e-12) / troland_per_cd_m2
    behind = np.maximum(aid.background(ground), DARKEST_CD_M2)
    area = LINE_WIDTHS * math.radians(width_deg) ** 2
    needed = threshold_contrast(behind, area, field_factor=aid.factor)
    return np.asarray(needed * behind / aid.surface_gain(behind) * troland_per_cd_m2)


def spikes_seen(
    exposure: Exposure,
    stop: Stop,
    aid: Aid,
    *,
    troland_per_cd_m2: float,
    behind_td: Planes,
    width_arcsec: float,
    shown: Callable[[NDArray[np.float64]], NDArray[np.float64]] = np.asarray,
) -> Planes:
    """Return how many times what is just made out bright stars' spikes are.

    Parameters
    ----------
    exposure
        Of a whole field or of a part of it.
    stop
        The telescope's opening with its vanes.
    aid, troland_per_cd_m2
        As in `least_line`.
    behind_td
        (n, n) light behind them, glare and all, troland.
    width_arcsec
        Of a star's image, full at half its height, which is that of a spike; a picture whose pixels
        are wider draws it as wide as one.
    shown
        What so many times on a spike's axis are shown as.

    Returns
    -------
    (n, n), not yet turned. Across itself a spike falls off as its light does. Its light falls from
    the star on, and the glare's with it: so where it is seen it is no fainter nearer to the star.

    Notes
    -----
    Checked by: tests/unit/eye/test_around.py
    """
    seen = np.zeros(behind_td.shape, np.float32)
    pixel = exposure.scene.pixel_arcsec
    grounds = np.geomspace(max(float(behind_td.min()), 1e-9), float(behind_td.max()) + 1e-8, 200)
    width_deg = width_arcsec / pixel / exposure.pixels_per_degree
    least = np.log(least_line(grounds, aid, troland_per_cd_m2, width_deg))
    wide = image_px(exposure, width_arcsec)
    for _, whole, right, down in _bright(exposure):
        for line in _lines(stop, right, down, pixel_arcsec=pixel, image_px=wide):
            needed = np.exp(np.interp(np.log(behind_td[line.near]), np.log(grounds), least))
            times = whole * wide * pixel / width_arcsec * line.light / needed
            seen[line.near] += _unbroken(shown(times), line.out) * line.across
    return seen


def _unbroken(shown: NDArray[np.float64], out: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what is shown of a spike, nowhere less than farther out; `out`: signed, pixels."""
    whole = shown.copy()
    for side in (out >= 0.0, out < 0.0):
        inwards = np.flatnonzero(side)[np.argsort(-np.abs(out[side]), kind="stable")]
        whole[inwards] = np.maximum.accumulate(shown[inwards])
    return whole


class _Line(NamedTuple):
    """A spike and the one opposite: pixels near it, how far out each is, its light, its profile."""

    near: NDArray[np.bool_]
    out: NDArray[np.float64]
    light: NDArray[np.float64]
    across: NDArray[np.float64]


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
    light = np.zeros(np.broadcast_shapes(right.shape, down.shape), np.float32)
    for line in _lines(stop, right, down, pixel_arcsec=pixel_arcsec, image_px=image_px):
        light[line.near] += line.light * line.across
    return light


def _lines(
    stop: Stop, right: Planes, down: Planes, *, pixel_arcsec: float, image_px: float
) -> Iterator[_Line]:
    """Give the lines of `spikes_of`."""
    vanes, sigma = stop.shape.vanes, image_px / FWHM_PER_SIGMA
    # Of the light that one vane takes, vane_ratio (1 - obstruction) / 2 of pi / 4 (1 -
    # obstruction^2), and so spreads: as much.
    share = 2.0 * stop.vane_ratio / (math.pi * (1.0 + stop.obstruction))
    share /= sigma * math.sqrt(2.0 * math.pi)
    # Two vanes opposite each other have their spikes on one line.
    lines, each = (vanes // 2, 2) if vanes % 2 == 0 else (vanes, 1)
    for i in range(lines):
        turn = 2.0 * math.pi * i / vanes
        aside = down * math.cos(turn) - right * math.sin(turn)
        near = np.abs(aside) <= _REACH * sigma
        out = (right * math.cos(turn) + down * math.sin(turn))[near]
        slit = np.zeros_like(out)
        for nm, part in _COLOURS:
            rate = stop.vane_ratio * stop.aperture_mm * 1e6 / nm * pixel_arcsec / ARCSEC_PER_RADIAN
            slit += part * rate * np.sinc(rate * out) ** 2
        across = np.exp(-0.5 * (aside[near] / sigma) ** 2)
        yield _Line(near, out, each * share * slit, across)
