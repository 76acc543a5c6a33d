"""Fine detail of faint light: what an eye at night makes out of it.

In the dark an eye resolves little that is of low contrast: the hole of a ring nebula, a galaxy's
arms, the wisps of a nebula have each to stand out from the light around *them*, as a patch of
their own size. A reader sees a print by brighter light and finer. So on sheets of the night the
light is taken apart into bands of size, each contrast with the light around it is held against the
threshold of a disc of that size on that light, and what lies below it fades out. Lines are seen
sooner than dots of their width, for eyes add up light along them: each contrast is also held, as
the mean of a line through its place, against the threshold of as large a disc as that line. A hole
is seen with the ring around it: contrasts of one size count with their neighbours.

Bands of local contrast: Peli 1990, J. Opt. Soc. Am. A 7, 2032 (memory).
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.pruned import lit_box
from simview.eye.reference import of_troland
from simview.picture.prints.display import patch_thresholds
from simview.picture.prints.patches import LINE_AS_DISC, lined, mean_disc
from simview.picture.prints.response import Adaptation, Light, Planes

# Diameters at the eye of the discs whose thresholds the bands go by, deg: finer than the first
# counts as that, wider than twice the last is `patches`' matter.
SIZES_DEG: Final = (0.25, 0.5, 1.0)

# Contrast of a disc over that which the band of its size has in its middle: a disc of diameter d
# has 1 - exp(-2) of its contrast under a Gaussian of d / 4, and 1 - exp(-1 / 2) under one of d / 2.
_DISC_OVER_BAND: Final = 2.1

# Part of its threshold at which a contrast is halved. Choice.
HALF_KEPT: Final = 0.45

# Surroundings so many times as bright as the sky begin to count as a glow that a thing stands in,
# and do so wholly. Choices.
_WITHIN: Final = (1.15, 1.8)
_WITHIN_SPAN: Final = np.float32(_WITHIN[1] - _WITHIN[0])

# The darkest light that a contrast is taken with, in the sky's.
_DARKEST: Final = 0.2

# Ratios of light to the sky's at which thresholds are tabulated.
_RATIOS: Final = np.geomspace(_DARKEST, 1e5, 48)

# Between them thresholds are found by the upper bits of a float32, exponent and 8 bits of mantissa,
# from 2^-3 to 2^17: steps of 0.4 % of light, 0.2 % of a threshold.
_SHIFT: Final = 23 - 8
_FIRST: Final = (127 - 3) << 8
_COUNT: Final = 20 << 8


def kept(light: Light, adaptation: Adaptation) -> Planes | None:
    """Return what light of each place is multiplied by, (ny, nx); None where nothing fades.

    A contrast keeps half of itself at `HALF_KEPT` of its threshold, where hardly anybody sees it
    (Blackwell 1946), and nearly all of itself above.

    Notes
    -----
    Source: Crumey 2014, see `simview.eye.thresholds`: thresholds of discs.
    Checked by: tests/truth/test_fine_detail.py
    """
    if adaptation.dark == 0.0:
        return None
    plane = light.extended[3] / np.float32(adaptation.sky_scotopic_td)
    # Of the largest pictures each plane takes ten megabytes: as few as may be are held at once.
    finer, total = plane, None
    for size in SIZES_DEG:
        coarser = mean_disc(plane, 2.0 * size, light.pixels_per_degree)
        band = finer - coarser
        around = np.maximum(coarser, np.float32(_DARKEST))
        contrast = np.float32(_DISC_OVER_BAND / HALF_KEPT) * band
        contrast /= around
        place = _place(around)
        del around
        # Elsewhere nothing fades, see below.
        glow = lit_box(coarser > np.float32(_WITHIN[0]))
        lines = lined(contrast, max(1.0, size * light.pixels_per_degree), part=glow)
        lines /= _least(size * LINE_AS_DISC, place[glow], adaptation)
        contrast /= _least(size, place, adaptation)
        del place
        square = _pooled(contrast, size, light.pixels_per_degree)
        del contrast
        np.maximum(square[glow], lines, out=square[glow])
        del lines
        square *= square
        # Beside what is many times brighter than a place is that one's edge: it stays sharp.
        beside = _square(band, size, light.pixels_per_degree)
        beside /= np.maximum(plane, np.float32(_DARKEST)) ** 2
        beside *= beside
        square += beside
        del beside
        square += np.float32(1.0)
        # A small thing alone on the sky goes by `patches`.
        inside = np.maximum(coarser, np.float32(_DARKEST))
        inside -= np.float32(_WITHIN[0])
        inside *= np.float32(1.0) / _WITHIN_SPAN
        np.clip(inside, 0.0, 1.0, out=inside)
        inside /= square
        np.subtract(np.float32(1.0), inside, out=inside)
        band *= inside
        total = band if total is None else np.add(total, band, out=total)
        finer = coarser
    assert total is not None
    total += finer
    total /= np.maximum(plane, np.float32(1e-6))
    # 1 + dark (ratio - 1), in place.
    total *= np.float32(adaptation.dark)
    total += np.float32(1.0 - adaptation.dark)
    return np.asarray(total, np.float32)


def _pooled(above: Planes, size_deg: float, pixels_per_degree: float) -> Planes:
    """Return what a contrast comes to with its neighbours of one size: a peak from the mean square.

    In the middle of a ring's hole, and on its crest, a band passes through nothing between its
    hills and hollows; who sees those sees the ring.
    """
    square = _square(above, size_deg, pixels_per_degree)
    square *= np.float32(2.0)
    return np.asarray(np.maximum(np.abs(above), np.sqrt(square, out=square), out=square))


def _square(plane: Planes, size_deg: float, pixels_per_degree: float) -> Planes:
    """Return the mean square within about a disc of twice this size around each place."""
    return mean_disc(plane * plane, 2.0 * size_deg, pixels_per_degree, cells=5.0)


def _place(around: Planes) -> NDArray[np.int32]:
    """Return where in a table of thresholds each light, over the sky's, stands."""
    index: NDArray[np.int32] = around.view(np.int32) >> _SHIFT
    index -= _FIRST
    return np.minimum(index, _COUNT - 1, out=index)


def _least(size_deg: float, place: NDArray[np.int32], adaptation: Adaptation) -> Planes:
    """Return the threshold contrast of a disc on light so many times the sky's."""
    table = _thresholds(size_deg, adaptation.sky_td, adaptation.threshold_factor)
    return np.asarray(table.take(place))


@lru_cache(maxsize=32)
def _thresholds(size_deg: float, sky_td: float, factor: float) -> Planes:
    """Return the threshold contrast of a disc on each light of the table."""
    above = patch_thresholds(of_troland(sky_td * _RATIOS), factor, size_deg)
    middle = (np.arange(_COUNT, dtype=np.int32) + _FIRST << _SHIFT) + (1 << (_SHIFT - 1))
    light = np.log(middle.view(np.float32).astype(float))
    return np.asarray(np.interp(light, np.log(_RATIOS), above), np.float32)
