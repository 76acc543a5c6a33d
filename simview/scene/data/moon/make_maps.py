"""Make the package's maps of the Moon from the measured ones; run by hand, once.

Usage: python make_maps.py FOLDER, where FOLDER holds ``colour_nearside_8ppd.png`` and
``heights_nearside_16ppd.png`` (see NOTICE.txt beside this file for where they come from).

Both go from simple cylindrical maps, which waste half their pixels near the poles, to Lambert's
azimuthal equal-area projection around the mean centre of the disc: pixels of one size everywhere,
and a place is found without a single sine. Heights are stepped by 4 m: neighbours on a plain differ
by 5 m, and steps of 8 m are a stair on which a low Sun draws every tread. The radiance factor
becomes one plane of brightness and two of colour.

They are kept as what is quickly read: heights as each row's differences from the one above
(``heights.npy`` with ``heights_wide.npy``: `simview.scene.moon_packing`), the four planes of
``COLOUR_PLANES`` each for itself, a byte a pixel, by zlib.
"""

from __future__ import annotations

import sys
import zlib
from pathlib import Path

import numpy as np
from PIL import Image
from scipy import ndimage

from simview.scene.moon_packing import packed

HERE = Path(__file__).parent

# The maps' sides in pixels, and the projection's reach (2 sin(c / 2) at the middle of a side).
HEIGHT_SIDE, COLOUR_SIDE, REACH = 2880, 1440, 1.54
COLOUR_PLANES = ("brightness", "red", "blue", "plain")
WEST_DEG, EAST_DEG = -100.0, 100.0
STEP_M = 4.0
ROUGH_M = (30.0, 80.0)
# As the makers of the colour map state: gain of each channel (NOTICE.txt).
GAIN = np.array([0.935, 1.005, 1.04])
# Radiance factor that the brightest value stands for; the brightest of the near side is 0.079.
BRIGHTEST = 0.08
# Beyond this latitude the colour map is filled from single-band and laser reflectance: its hue is
# not measured there, and fades to the mean.
HUE_DEG = (66.0, 70.0)


def places(side: int) -> tuple[np.ndarray, np.ndarray]:
    """Return latitude and longitude in degrees of every pixel of the projection."""
    axis = ((np.arange(side) + 0.5) / side * 2.0 - 1.0) * REACH
    u, v = axis[None, :], -axis[:, None]
    square = np.minimum(u**2 + v**2, 3.9)
    shrink = np.sqrt(1.0 - 0.25 * square)
    x, y, z = u * shrink, v * shrink, 1.0 - 0.5 * square
    return np.degrees(np.arcsin(np.clip(y, -1.0, 1.0))), np.degrees(np.arctan2(x, z))


def projected(plane: np.ndarray, side: int) -> np.ndarray:
    """Return a simple cylindrical map in the projection; edges are repeated outwards."""
    latitude, longitude = places(side)
    rows = (90.0 - latitude) / 180.0 * plane.shape[0] - 0.5
    columns = (longitude - WEST_DEG) / (EAST_DEG - WEST_DEG) * plane.shape[1] - 0.5
    return np.asarray(ndimage.map_coordinates(plane, [rows, columns], order=3, mode="nearest"))


def heights(folder: Path) -> np.ndarray:
    """Write heights in steps of STEP_M above -10 km, 16 bits; return them in metres."""
    raw = np.asarray(Image.open(folder / "heights_nearside_16ppd.png"), dtype=np.float64)
    metres = projected(raw, HEIGHT_SIDE)
    steps = np.clip(np.rint(metres / STEP_M), 0, 65535).astype(np.uint16)
    steps[unseen(HEIGHT_SIDE)] = round(10000.0 / STEP_M)
    narrow, wide = packed(steps)
    np.save(HERE / "heights.npy", narrow)
    np.save(HERE / "heights_wide.npy", wide)
    return metres


def level_caps(factor: np.ndarray) -> np.ndarray:
    """Tie the filled polar caps to what was measured beside them, longitude by longitude.

    The step at 70 deg is taken over strips of 1.5 deg on both sides, smoothed over 8 deg of
    longitude; towards the pole the correction goes over into its mean.
    """
    latitude = 90.0 - (np.arange(factor.shape[0]) + 0.5) / factor.shape[0] * 180.0
    out = factor.copy()
    for sign in (1.0, -1.0):
        away = sign * latitude
        inner = factor[(away > 68.0) & (away < 69.5)].mean(axis=0)
        outer = factor[(away > 70.5) & (away < 72.0)].mean(axis=0)
        step = ndimage.gaussian_filter1d(inner / outer, 64.0, axis=0, mode="nearest")
        mean = step.mean(axis=0)
        fade = np.clip((away - 70.0) / 12.0, 0.0, 1.0)[:, None, None]
        correction = step[None] * (1.0 - fade) + mean[None, None] * fade
        cap = np.clip((away - 69.5) / 1.0, 0.0, 1.0)[:, None, None]
        out *= 1.0 + cap * (correction - 1.0)
    return out


def unseen(side: int) -> np.ndarray:
    """Return where no libration ever shows the ground (beyond 100 deg from the middle)."""
    axis = ((np.arange(side) + 0.5) / side * 2.0 - 1.0) * REACH
    square = axis[None, :] ** 2 + axis[:, None] ** 2
    return np.asarray(square > (2.0 * np.sin(np.radians(50.0))) ** 2)


def smoothness(metres: np.ndarray) -> np.ndarray:
    """Return 0 (rough highland) to 1 (smooth plain), on the colour map's pixels.

    By the size of what heights hold at waves below about 25 km, over some 13 km; of roots, so that
    a lone crater makes no highland of its plain: plains of lava keep below ROUGH_M[0], cratered
    highland exceeds ROUGH_M[1] (read off this map).
    """
    half = metres.reshape(COLOUR_SIDE, 2, COLOUR_SIDE, 2).mean(axis=(1, 3))
    fine = np.abs(half - ndimage.gaussian_filter(half, 2.5))
    # Of normal deviates the square of roots' mean is 1 / 1.48 of their rms.
    rough = 1.48 * ndimage.gaussian_filter(np.sqrt(fine), 1.8) ** 2
    return np.clip((ROUGH_M[1] - rough) / (ROUGH_M[1] - ROUGH_M[0]), 0.0, 1.0)


def colours(folder: Path, smooth: np.ndarray) -> None:
    """Write brightness (532 nm), red over it, blue over it and smoothness, a byte a pixel each."""
    raw = np.asarray(Image.open(folder / "colour_nearside_8ppd.png"), dtype=np.float64)
    factor = level_caps((0.16 + 0.24 * raw / 255.0) ** 2.8 / GAIN)
    red, green, blue = (projected(factor[..., k], COLOUR_SIDE) for k in range(3))
    green = np.maximum(green, 0.005)
    latitude, _ = places(COLOUR_SIDE)
    keep = np.clip((HUE_DEG[1] - np.abs(latitude)) / (HUE_DEG[1] - HUE_DEG[0]), 0.0, 1.0)
    seen = ~unseen(COLOUR_SIDE)
    trust = seen & (keep == 1.0)
    planes = [np.sqrt(np.clip(green / BRIGHTEST, 0.0, 1.0))]
    for other in (red, blue):
        ratio = ndimage.gaussian_filter(np.maximum(other, 0.0) / green, 1.5)
        mean = float(ratio[trust].mean())
        ratio = 1.0 + (ratio / mean - 1.0) * keep
        planes.append(np.clip(0.5 + (ratio - 1.0) / 0.5, 0.0, 1.0))
        print(f"mean ratio {mean:.4f}, 1 and 99 %: {np.percentile(ratio[trust], [1, 99])}")
    planes.append(np.rint(smooth * 15.0) / 15.0)
    picture = np.rint(255.0 * np.stack(planes, axis=-1)).astype(np.uint8)
    picture[~seen] = (0, 128, 128, 0)
    for name, plane in zip(COLOUR_PLANES, np.moveaxis(picture, -1, 0), strict=True):
        (HERE / f"{name}.zlib").write_bytes(zlib.compress(plane.tobytes(), 9))


if __name__ == "__main__":
    colours(Path(sys.argv[1]), smoothness(heights(Path(sys.argv[1]))))
