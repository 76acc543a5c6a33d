"""Find the small craters of the package's map of heights; run by hand, once.

Usage: python find_pits.py

Craters of 3 to 11 km are one and a half to six pixels wide on the map, which leaves soft hollows of
them. Each is found by what such a hollow is on the map, and its diameter and depth with it: the
second difference of a fresh crater's heights, as smooth as the map, is laid over that of the map.
Where it fits (a correlation of 0.72 over the crater) and is no noise (an amplitude of 30 m), there
is a crater; where several sizes fit the best one counts. Writes ``pits.npy``, (N, 4) uint16: row
and column on the map in 1/16 pixel, diameter in 10 m, depth against a fresh crater's in 1/1000.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter, laplace, maximum_filter, spline_filter

from simview.scene import moon_map
from simview.scene.moon_pits import fresh
from simview.scene.moon_relief import _upsampled

HERE = Path(__file__).parent
DIAMETERS_KM = (2.6, 3.2, 4.0, 5.0, 6.3, 8.0, 10.0)
# Points of a pixel on which the search is made, side of a tile and its margin in pixels.
FINER, TILE, MARGIN = 2, 480, 24
STEP_KM = moon_map.HEIGHT_KM / FINER
FITS, LEAST_DEPTH, LEAST_KM = 0.72, 0.2, 0.03
# Beyond this reach of the projection craters are too oval on the map (2 sin(35 deg)).
FAR = 1.147


def template(diameter_km: float, over: int = 4) -> tuple[np.ndarray, np.ndarray]:
    """Return a crater's second difference on the map, without its mean, and where it counts."""
    half = int(np.ceil(1.3 * diameter_km / STEP_KM + 3))
    side = (2 * half + 1) * over
    along = (np.arange(side) - (side - 1) / 2) / over * STEP_KM
    away = np.hypot(along[:, None], along[None, :])
    smooth = gaussian_filter(fresh(away, diameter_km), moon_map.MAP_SIGMA_KM / STEP_KM * over)
    bend = laplace(smooth.reshape(2 * half + 1, over, 2 * half + 1, over).mean(axis=(1, 3)))
    steps = np.arange(-half, half + 1)
    counts = np.hypot(steps[:, None], steps[None, :]) <= 0.55 * diameter_km / STEP_KM + 2.2
    return (bend - bend[counts].mean()) * counts, counts.astype(float)


def found(heights: np.ndarray) -> tuple[np.ndarray, ...]:
    """Return rows, columns (in points), diameters in km and depths of the craters of a tile."""
    from scipy.signal import fftconvolve

    bend = laplace(heights)
    best, depth, wide, size = (np.zeros(heights.shape) for _ in range(4))
    for diameter in DIAMETERS_KM:
        shape, counts = template(diameter)
        power = float((shape**2).sum())
        laid = fftconvolve(bend, shape[::-1, ::-1], mode="same")
        once, twice = (fftconvolve(b, counts, mode="same") for b in (bend, bend**2))
        spread = np.maximum(twice - once**2 / counts.sum(), 1e-9)
        fit = laid / np.sqrt(spread * power)
        better = (fit > best) & (laid > 0.0)
        best[better], wide[better] = fit[better], diameter
        depth[better] = laid[better] / power
        size[better] = laid[better] / np.sqrt(power)
    good = (best > FITS) & (depth > LEAST_DEPTH) & (size > LEAST_KM)
    good &= best == maximum_filter(best, 7)
    rows, columns = np.nonzero(good)
    return rows, columns, wide[good], depth[good]


def main() -> None:
    """Search the whole map, tile by tile."""
    heights = moon_map._in_km(moon_map._height_steps())
    side = heights.shape[0]
    lots = []
    for top in range(0, side, TILE):
        for left in range(0, side, TILE):
            first = max(0, top - MARGIN), max(0, left - MARGIN)
            part = heights[first[0] : top + TILE + MARGIN, first[1] : left + TILE + MARGIN]
            knots = spline_filter(part, order=3, output=np.float32, mode="mirror")
            fine = _upsampled(_upsampled(knots, FINER).T, FINER).T
            rows, columns, wide, depth = found(fine)
            place = [
                (v + 0.5) / FINER - 0.5 + f for v, f in zip((rows, columns), first, strict=True)
            ]
            lot = np.stack([*place, wide, depth], axis=1)
            inside = (place[0] >= top) & (place[0] < top + TILE)
            inside &= (place[1] >= left) & (place[1] < left + TILE)
            lots.append(lot[inside])
    every = np.concatenate(lots)
    middle = 0.5 * side - 0.5
    away = np.hypot(every[:, 0] - middle, every[:, 1] - middle) / (0.5 * side) * moon_map.REACH
    every = every[away < FAR]
    stored = np.rint(every * np.array([16.0, 16.0, 100.0, 1000.0])).clip(0, 65535)
    np.save(HERE / "pits.npy", stored.astype(np.uint16))
    print(len(every), np.unique(every[:, 2], return_counts=True))


if __name__ == "__main__":
    main()
