"""Close pairs in a whole view's print: their own stars as finer dots, all others as everywhere.

Of a pair that is split two dots of the usual width would run together. Finer ones for all of the
field's stars would make the others weak, and unlike the same stars on another sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece.orientation import signs
from simview.picture.prints.wanted import Wanted
from simview.power.multiple import pairs_of

Print = NDArray[np.uint8]

# In usual dots' widths: how far past its stars a pair's own print reaches, where nothing of a dot
# is left (a Gaussian has fallen to e-17 of its middle), and how wide the seam is. Choices.
_PAST: Final = 2.5
_SEAM: Final = 2.0


def patches(panel: Wanted) -> list[Wanted]:
    """Return a panel for each close pair of a panel's view, in which its stars are finer dots."""
    if not 0.0 < panel.pair_px < panel.star_px:
        return []
    pixel = _pixel_arcsec(panel)
    found = []
    for pair in pairs_of(panel.view.target):
        right, up = (
            at + pixel * round((middle - at) / pixel)
            for at, middle in zip(panel.at_arcsec, pair.middle_arcsec, strict=True)
        )
        reach = 0.5 * pair.separation_arcsec / pixel + (_PAST + _SEAM) * panel.star_px
        own = replace(
            panel,
            pixels=2 * math.ceil(reach) + _SPARE,
            star_px=panel.pair_px,
            pair_px=0.0,
            reader_px=panel.star_px,
            at_arcsec=(right, up),
        )
        found.append(own)
    return found


# Pixels of a patch's side that its seam leaves free.
_SPARE: Final = 4


def _pixel_arcsec(panel: Wanted) -> float:
    return 3600.0 / (panel.pixels_per_degree * panel.view.beam.power)


def laid_in(panel: Wanted, whole: Print, parts: Sequence[tuple[Wanted, Print]]) -> Print:
    """Return a panel's print with its pairs' own laid in, each within a soft round seam.

    Notes
    -----
    Checked by: tests/unit/picture/test_pair_patches.py
    """
    if not parts:
        return whole
    whole = whole.copy()
    right, up = signs(panel.view.beam.orientation)
    for own, part in parts:
        away = [
            round((there - here) / _pixel_arcsec(panel))
            for there, here in zip(own.at_arcsec, panel.at_arcsec, strict=True)
        ]
        middle = panel.pixels // 2
        _lay(whole, part, (middle - up * away[1], middle + right * away[0]), _kept(own))
    return whole


def _kept(own: Wanted) -> NDArray[np.float64]:
    """Return (n, n) how far a pair's own print shows: 1 around it, 0 outside of its seam."""
    along = np.arange(own.pixels) - own.pixels // 2
    away = np.hypot(along[:, None], along[None, :])
    left = np.clip(((own.pixels - _SPARE) / 2.0 - away) / (_SEAM * own.reader_px), 0.0, 1.0)
    return np.asarray(left * left * (3.0 - 2.0 * left))


def _lay(whole: Print, part: Print, middle: tuple[int, int], kept: NDArray[np.float64]) -> None:
    """Mix a small print into a large one, its middle there, as far as it lies within."""
    n = part.shape[0]
    first = [at - n // 2 for at in middle]
    cut = [
        slice(max(0, -at), min(n, side - at))
        for at, side in zip(first, whole.shape[:2], strict=True)
    ]
    if any(span.start >= span.stop for span in cut):
        return
    rows, columns = (
        slice(at + span.start, at + span.stop) for at, span in zip(first, cut, strict=True)
    )
    share = kept[cut[0], cut[1], None]
    mixed = whole[rows, columns] * (1.0 - share) + part[cut[0], cut[1]] * share
    whole[rows, columns] = np.rint(mixed).astype(np.uint8)
