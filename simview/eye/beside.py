"""How much harder stars are to see beside a bright one: its light lies behind them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from simview.air import extinction, glow
from simview.eye.aided import aid_of
from simview.eye.contrast import SIGNAL_TO_NOISE
from simview.eye.starimage import Blur, blurred, boiling_halo, star_image
from simview.eye.thresholds import Aid, star_lux
from simview.scene.scene import Stars
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

if TYPE_CHECKING:
    from simview.eye.state import EyeState
    from simview.eye.system import LightPath
    from simview.kit import Observer

# Only stars that outshine the faintest one by this many magnitudes have a halo that counts, and of
# them the brightest. Choices: the halo of a lesser one hides nothing beyond its own image.
_OUTSHINES_MAG: Final = 5.0
_MOST: Final = 6

# Steps of light for which a crowd's thresholds are worked out. A choice.
_TABLE: Final = 1024

# How far a star's image is followed in detail, arcsec; further out it falls as a power.
_REACH_ARCSEC: Final = 60.0


def halo_cd_m2(
    path: LightPath, observer: Observer, stars: Stars, limit: float
) -> NDArray[np.float64]:
    """Return the light of brighter stars' images at each star's place, as a luminance on the sky.

    Parameters
    ----------
    stars
        Magnitudes above the air.
    limit
        Magnitude of the view's faintest star on the plain sky.

    Returns
    -------
    (N,) cd/m2; a star's own image left out, the eye's scatter in it.

    Notes
    -----
    Source: as in `simview.eye.starimage`. Checked by: tests/unit/eye/test_beside_bright_stars.py
    """
    behind = np.zeros(len(stars))
    bright = list(_bright(path, stars, limit))
    if not bright:
        return behind
    spread = _blur(path, observer).spread
    for index, light, away in bright:
        halo = light * spread(away) * ARCSEC_PER_RADIAN**2
        halo[index] = 0.0
        behind += halo
    return behind


def boiling_lux(path: LightPath, stars: Stars, limit: float) -> NDArray[np.float64]:
    """Return the least light of each star that no speckle of a brighter one's halo is taken for.

    (N,) lux; parameters as in `halo_cd_m2`.

    Source: `simview.eye.starimage.boiling_halo`; three deviations as in `simview.power.splitting`.
    Checked by: tests/unit/eye/test_beside_bright_stars.py
    """
    least = np.zeros(len(stars))
    bright = list(_bright(path, stars, limit))
    noise = boiling_halo(path, _REACH_ARCSEC) if bright else None
    if noise is None:
        return least
    peak = float(star_image(path, _REACH_ARCSEC, with_eye=False)(np.zeros(1))[0])
    for index, light, away in bright:
        speckle = SIGNAL_TO_NOISE * light * noise(away) / peak
        speckle[index] = 0.0
        least = np.maximum(least, speckle)
    return least


def _bright(
    path: LightPath, stars: Stars, limit: float
) -> Iterator[tuple[int, float, NDArray[np.float64]]]:
    """Give each star with a halo: its index, its light in lux, and how far all others lie."""
    order = np.argsort(stars.magnitude)[:_MOST]
    lost = path.sky.extinction_mag * extinction.airmass(path.sky.altitude_deg)
    for index in order[stars.magnitude[order] < limit - _OUTSHINES_MAG]:
        away = np.hypot(
            stars.x_arcsec - stars.x_arcsec[index], stars.y_arcsec - stars.y_arcsec[index]
        )
        yield int(index), float(illuminance_lux(stars.magnitude[index] + lost)), away


def threshold_rise(
    path: LightPath,
    eye: EyeState,
    observer: Observer,
    halo: NDArray[np.float64],
    boiling: NDArray[np.float64] | float = 0.0,
) -> NDArray[np.float64]:
    """Return how many times more light stars need before a halo that boils than on the plain sky.

    Parameters
    ----------
    path, eye, observer
        Of the view.
    halo
        (N,) cd/m2, from `halo_cd_m2`.
    boiling
        (N,) lux, from `boiling_lux`; 0 where no air boils.

    Returns
    -------
    (N,) 1 and more.

    Notes
    -----
    Source: Crumey 2014 with the halo as background, see `simview.eye.thresholds`.
    """
    if not halo.any():
        return np.ones(len(halo))
    aid = aid_of(path, eye, observer)
    width = _blur(path, observer).width_arcsec
    area = math.pi / 4.0 * math.radians(width * aid.power / 3600.0) ** 2
    night = glow.luminance_cd_m2(path.sky)
    plain = star_lux(np.asarray(night), aid, area_sr=area)
    needed = _needed_lux(night + halo, aid, area)
    return np.asarray(np.maximum(np.maximum(needed, boiling) / plain, 1.0))


def _needed_lux(light: NDArray[np.float64], aid: Aid, area_sr: float) -> NDArray[np.float64]:
    """Return `star_lux` of many stars: a crowd's from a table over the light behind it.

    Within 2e-5; within 2e-3 in the one step in which a part of the formula ends.
    """
    if light.size <= 2 * _TABLE:
        return star_lux(light, aid, area_sr=area_sr)
    log = np.log(light)
    table = np.linspace(log.min(), log.max(), _TABLE)
    return np.exp(np.interp(log, table, np.log(star_lux(np.exp(table), aid, area_sr=area_sr))))


# A view's panel and its close-up both ask for it, twice each.
@lru_cache(maxsize=64)
def _blur(path: LightPath, observer: Observer) -> Blur:
    return blurred(
        star_image(path, _REACH_ARCSEC),
        path.beam.power,
        aperture_mm=path.beam.aperture_mm,
        age_years=observer.age_years,
    )
