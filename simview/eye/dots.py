"""Stars on planes of light: points shared among pixels, small discs laid out as many points."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.scene.scene import Stars
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

Planes = NDArray[np.float32]

# Points that a small disc is laid out as: 0.1 arcsec apart on the largest moon of Jupiter, a
# quarter of what 300 mm resolve.
_DISC_POINTS: Final = 240


def star_planes(stars: Stars, colours: NDArray[np.float64], pixel_arcsec: float, n: int) -> Planes:
    """Put stars on (3, n, n) planes as luminance, sharing each among its four nearest pixels.

    Parameters
    ----------
    colours
        (N, 3) linear sRGB with luminance 1.
    """
    if stars.radius_arcsec is not None and stars.radius_arcsec.any():
        stars, colours = _pieces(stars, colours)
    x = n // 2 + stars.x_arcsec / pixel_arcsec
    y = n // 2 - stars.y_arcsec / pixel_arcsec
    inside = (x >= 0) & (y >= 0) & (x < n - 1) & (y < n - 1)
    x, y, tint = x[inside], y[inside], colours[inside]
    pixel_sr = (pixel_arcsec / ARCSEC_PER_RADIAN) ** 2
    light = illuminance_lux(stars.magnitude[inside]) / pixel_sr
    ix, iy = np.floor(x).astype(int), np.floor(y).astype(int)
    tx, ty = x - ix, y - iy
    first = iy * n + ix
    four = np.concatenate([first, first + 1, first + n, first + n + 1])
    shares = [(1.0 - tx) * (1.0 - ty), tx * (1.0 - ty), (1.0 - tx) * ty, tx * ty]
    parts = np.concatenate([light * share for share in shares])
    planes = np.empty((3, n, n), np.float32)
    for plane, colour in zip(planes, tint.T, strict=True):
        plane[:] = np.bincount(four, parts * np.tile(colour, 4), n * n).reshape(n, n)
    return planes


def _pieces(stars: Stars, colours: NDArray[np.float64]) -> tuple[Stars, NDArray[np.float64]]:
    """Return stars whose discs are laid out as many points, evenly, each with its part of light."""
    assert stars.radius_arcsec is not None
    points = ~(stars.radius_arcsec > 0.0)
    lots, tints = [stars.picked(points)], [colours[points]]
    number = np.arange(_DISC_POINTS) + 0.5
    # Equal areas along a spiral of golden angles.
    reach, turn = np.sqrt(number / _DISC_POINTS), number * math.pi * (3.0 - math.sqrt(5.0))
    for k in np.flatnonzero(~points):
        radius = float(stars.radius_arcsec[k])
        lots.append(
            Stars(
                x_arcsec=stars.x_arcsec[k] + radius * reach * np.cos(turn),
                y_arcsec=stars.y_arcsec[k] + radius * reach * np.sin(turn),
                magnitude=np.full(_DISC_POINTS, stars.magnitude[k]),
                temperature_k=np.full(_DISC_POINTS, stars.temperature_k[k]),
            )
        )
        tints.append(np.repeat(colours[k : k + 1] / _DISC_POINTS, _DISC_POINTS, axis=0))
    names = ("x_arcsec", "y_arcsec", "magnitude", "temperature_k")
    laid = {name: np.concatenate([getattr(lot, name) for lot in lots]) for name in names}
    return Stars(**laid), np.concatenate(tints)
