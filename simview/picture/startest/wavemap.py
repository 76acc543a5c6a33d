"""The wavefront as a map: a scale of two colours that colour-blind readers keep apart.

Flat is dark, so that what lights up is wrong: orange where the wavefront is early (a surface too
high), blue where it is late. Both ends grow lighter at the same pace, so the size of an error is
read even without colour, and a thin line runs at every quarter wave.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import srgb
from simview.picture.drawing.palette import GROUND

Floats = NDArray[np.float64]
Print = NDArray[np.uint8]

# From flat to the end of the scale: colours of OKLab's lightness 0.25 to 0.93 (Ottosson 2020).
# Hues of the palette's two accents. Choices.
_FLAT: Final = (0.25, 0.0, 0.0)
_EARLY: Final = ((0.47, 0.055, 0.085), (0.70, 0.055, 0.130), (0.93, 0.005, 0.095))
_LATE: Final = ((0.47, -0.020, -0.110), (0.70, -0.050, -0.110), (0.93, -0.040, -0.035))

# Steps of full scale, waves.
_SCALES: Final = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 20.0, 30.0, 60.0)


def full_scale(waves: Floats) -> float:
    """Return the waves at both ends of the scale for a map (NaN where there is none)."""
    most = float(np.nanmax(np.abs(waves)))
    return next((s for s in _SCALES if s >= 0.98 * most), _SCALES[-1])


def shades(part: Floats) -> Print:
    """Return colours (..., 3) for parts of full scale, -1 to 1."""
    table = _table()
    half = len(table) // 2
    place = np.clip(np.rint(part * half).astype(int) + half, 0, len(table) - 1)
    return np.asarray(table[place])


@lru_cache(maxsize=1)
def _table() -> Print:
    """Return the scale as 513 colours, from late to early."""
    knots = np.array([*reversed(_LATE), _FLAT, *_EARLY])
    places = np.linspace(-1.0, 1.0, len(knots))
    fine = np.linspace(-1.0, 1.0, 513)
    lab = np.stack([np.interp(fine, places, knots[:, c]) for c in range(3)], axis=1)
    return np.rint(255.0 * _srgb_of_oklab(lab)).astype(np.uint8)


def _srgb_of_oklab(lab: Floats) -> Floats:
    """Turn OKLab into sRGB of 0 to 1.

    Source: Ottosson 2020, "A perceptual color space for image processing" checked by
    tests/unit/picture/test_wavemap.py against an independent library.
    """
    cones = lab @ np.array(
        [
            [1.0, 1.0, 1.0],
            [0.3963377774, -0.1055613458, -0.0894841775],
            [0.2158037573, -0.0638541728, -1.2914855480],
        ]
    )
    linear = cones**3 @ np.array(
        [
            [4.0767416621, -1.2684380046, -0.0041960863],
            [-3.3077115913, 2.6097574011, -0.7034186147],
            [0.2309699292, -0.3413193965, 1.7076147010],
        ]
    )
    return srgb.coded(linear)


def wave_map(waves: Floats, scale: float, side: int) -> Print:
    """Draw a wavefront.

    Parameters
    ----------
    waves
        (n, n), NaN where there is no light.
    scale
        Waves at the ends of the colours.
    side
        Of the picture in pixels; n should be a multiple of it, or the picture is sampled.

    Returns
    -------
    (side, side, 3) uint8.
    """
    from PIL import Image

    closed = np.isnan(waves)
    path = np.where(closed, 0.0, waves)
    colour = shades(path / scale).astype(np.float64)
    step = quarter_step(scale)
    if step:
        line = _lines(path, closed, step)
        colour += line[..., None] * 0.55 * (255.0 - colour)
    colour[closed] = GROUND
    image = Image.fromarray(np.rint(colour).astype(np.uint8))
    return np.asarray(image.resize((side, side), Image.Resampling.LANCZOS))


def quarter_step(scale: float) -> float:
    """Return the distance of the lines in waves: a quarter, more on a wide scale."""
    return next(step for step in (0.25, 0.5, 1.0, 2.0, 5.0, 10.0) if 8.0 * step >= scale)


def _lines(path: Floats, closed: NDArray[np.bool_], step: float) -> Floats:
    """Return 1 on the lines where the path passes a multiple of `step` other than 0."""
    level = np.floor(path / step + 1e-9)
    line = np.zeros(path.shape)
    for axis in (0, 1):
        here = np.diff(level, axis=axis) != 0.0
        ahead = np.roll(level, -1, axis)
        crossed = np.maximum(level, ahead) != 0.0
        part = tuple(slice(0, -1) if a == axis else slice(None) for a in (0, 1))
        line[part] = np.maximum(line[part], here & crossed[part])
    line[closed] = 0.0
    return line
