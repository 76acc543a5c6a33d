"""A scene by day: a house with a sign, roof tiles, a tree and a bird, some hundred metres away.

It is invented, drawn in metres and seen from a distance; hazy air lies between.
"""

from __future__ import annotations

import math
from functools import lru_cache, partial
from typing import Final

import numpy as np

from simview.errors import ChoiceError, RangeError, nearest, require_range
from simview.scene import haze, house, landscape
from simview.scene.noise import Values
from simview.scene.pen import Pen
from simview.scene.photo import decoded
from simview.scene.scene import LevelPath, Scene, Target
from simview.units import ARCSEC_PER_RADIAN

# Luminance of a perfectly white wall in sunshine, cd/m2: 60 000 lx over pi. Common practice,
# no source.
WHITE_CD_M2: Final = 19_000.0

# Points a pixel and axis.
_FINE: Final = 3

# Most points drawn at once, in rows of the picture: keeps the memory small.
_AT_ONCE: Final = 12_000_000

# Half the width of what the size is stated for, m: the sign, roof, bird and tree around it.
_HALF_M: Final = 3.0

# Strength of the turbulence along the path by word, Cn2 in m^(-2/3). Measured a few metres above
# land: 1e-16 to 1e-15 in the quiet hours after sunrise and before sunset or under cloud, 1e-14 to
# 1e-12 over sunlit ground about noon. Source: Wyngaard, Izumi & Collins 1971, J. Opt. Soc. Am. 61,
# 1646; Walters & Kunkel 1981, J. Opt. Soc. Am. 71, 397; Andrews & Phillips 2005 (from memory, as
# orders of magnitude; the words are ours).
SHIMMER: Final = {"none": 0.0, "slight": 1e-15, "moderate": 1e-14, "strong": 1e-13}

# What may be given as a number.
_CN2: Final = (1e-17, 1e-12)


def cn2_of(shimmer: str | float) -> float:
    """Return the structure constant of a word for shimmer, or of the number itself.

    Raises
    ------
    SimviewError
        For an unknown word, or a number that has not been measured near the ground.
    """
    allowed = f"{', '.join(SHIMMER)}, or Cn2 from {_CN2[0]:g} to {_CN2[1]:g} m^(-2/3)"
    if isinstance(shimmer, str):
        if shimmer not in SHIMMER:
            near = nearest(shimmer, list(SHIMMER))
            remedy = f"did you mean {near!r}?" if near else ""
            raise ChoiceError("shimmer", got=shimmer, allowed=allowed, remedy=remedy)
        return SHIMMER[shimmer]
    if isinstance(shimmer, bool) or not (shimmer == 0.0 or _CN2[0] <= shimmer <= _CN2[1]):
        raise RangeError("shimmer", got=shimmer, allowed=allowed)
    return float(shimmer)


@lru_cache(maxsize=1)
def _codes() -> Values:
    return decoded(np.arange(256, dtype=np.uint8))


def _drawn(pixels: int, pixel_m: float) -> tuple[Values, Values]:
    """Draw the house and what stands before it.

    Returns
    -------
    light
        (3, pixels, pixels) linear means over the pixels' areas, 0 where nothing is.
    share
        (pixels, pixels) how much of each pixel is covered.
    """
    light = np.zeros((3, pixels, pixels), np.float32)
    share = np.zeros((pixels, pixels), np.float32)
    rows = max(1, _AT_ONCE // (pixels * _FINE**2))
    for top in range(0, pixels, rows):
        _draw_rows(light, share, slice(top, min(top + rows, pixels)), pixel_m)
    return light, share


def _draw_rows(light: Values, share: Values, rows: slice, pixel_m: float) -> None:
    from PIL import Image, ImageDraw

    pixels = share.shape[1]
    size = (pixels * _FINE, (rows.stop - rows.start) * _FINE)
    middle = _FINE * (pixels // 2) + 0.5 * (_FINE - 1)
    picture = Image.new("RGBA", size)
    house.draw(
        Pen(
            draw=ImageDraw.Draw(picture),
            per_m=_FINE / pixel_m,
            middle=(middle, middle - rows.start * _FINE),
            size=size,
        )
    )
    box = picture.getbbox()
    if box is None:
        return
    part = slice(box[1] // _FINE, math.ceil(box[3] / _FINE))
    here = picture.crop((0, part.start * _FINE, size[0], part.stop * _FINE))
    target = slice(rows.start + part.start, rows.start + part.stop)
    for plane in range(3):
        light[plane, target] = _shrunk(_codes()[np.asarray(here.getchannel(plane))])
    share[target] = _shrunk(np.asarray(here.getchannel(3)) / np.float32(255.0))


def _shrunk(fine: Values) -> Values:
    """Return means over squares of _FINE points."""
    down = fine[0::_FINE] + fine[1::_FINE] + fine[2::_FINE]
    return (down[:, 0::_FINE] + down[:, 1::_FINE] + down[:, 2::_FINE]) / np.float32(_FINE**2)


def _paint(distance_m: float, visibility_km: float, pixel_arcsec: float, pixels: int) -> Scene:
    pixel_m = pixel_arcsec / ARCSEC_PER_RADIAN * distance_m
    axis = (np.arange(pixels) - pixels // 2) * pixel_m
    light, share = _drawn(pixels, pixel_m)
    if share.any():
        grain = landscape.texture(0, axis * 90.0, -axis * 90.0)
        light *= 1.0 + np.float32(0.035) * grain
    planes = landscape.behind(
        axis,
        -axis,
        ground_m=house.GROUND_M,
        distance_m=distance_m,
        visibility_km=visibility_km,
    )
    planes *= 1.0 - share
    planes += haze.veiled(light, distance_m, visibility_km, landscape.HORIZON, share)
    planes *= np.float32(WHITE_CD_M2)
    return Scene(planes=planes, pixel_arcsec=pixel_arcsec)


def daytime(
    distance_m: float = 400.0, visibility_km: float = 20.0, shimmer: str | float = "slight"
) -> Target:
    """Return a scene by day: a sign, roof tiles, twigs and a bird.

    Parameters
    ----------
    distance_m
        How far away it is, 20 to 5000 m. The sign is 1.2 m wide.
    visibility_km
        How clear the air is, 0.5 to 300 km.
    shimmer
        How the air trembles: a word of `SHIMMER`, or Cn2 in m^(-2/3).
    """
    distance = require_range("distance_m", distance_m, 20.0, 5000.0, unit="m")
    clear = require_range("visibility_km", visibility_km, 0.5, 300.0, unit="km")
    cn2 = cn2_of(shimmer)
    half = math.atan(_HALF_M / distance) * ARCSEC_PER_RADIAN
    kept = float(haze.left(distance, clear)[1])
    return Target(
        name="daytime",
        title=f"House by day, {distance:g} m away",
        kind="daytime",
        size_arcsec=2.0 * half,
        paint=partial(_paint, distance, clear),
        luminance_cd_m2=0.35 * WHITE_CD_M2,
        contrast=round(0.8 * kept, 2),
        notes=("The scene is invented.",),
        recipe={
            "name": "daytime",
            "distance_m": distance,
            "visibility_km": clear,
            "shimmer": shimmer,
        },
        by_day=True,
        level=LevelPath(
            distance_m=distance,
            visibility_km=clear,
            cn2=cn2,
            clear=partial(_paint, distance, math.inf),
            says=_says(distance, clear, shimmer),
        ),
    )


def _says(distance_m: float, visibility_km: float, shimmer: str | float) -> str:
    word = shimmer if isinstance(shimmer, str) else f"Cn² {shimmer:g}"
    air = "no shimmer" if cn2_of(shimmer) == 0.0 else f"shimmer {word}, even along the way"
    left = float(haze.left(distance_m, visibility_km)[1])
    return (
        f"Visibility {visibility_km:g} km: the haze leaves {100.0 * left:.0f} % of contrast"
        f" (Koschmieder 1924); {air} (Fried 1966)."
    )
