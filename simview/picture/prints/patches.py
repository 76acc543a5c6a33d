"""How large a patch of light each place of a night's view belongs to.

A wide haze shows at less contrast than a small one: in the dark, rods add up light over degrees.
A curve for light alone knows no sizes, so a night's print has several, one a size, and this module
says which of them a place goes by.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import banded
from simview.eye.reference import of_troland
from simview.picture.prints.display import PATCH_DEG, patch_threshold
from simview.picture.prints.response import Adaptation, Light

# Diameters at the eye of the patches that are told apart, deg. Smaller ones go with the first:
# they show too well in print (docs/models/tone.md).
SIZES_DEG: Final = tuple(PATCH_DEG * 2.0**step for step in range(5))

# Cells in which light is added up, parts of the smallest patch; how strongly the size that stands
# out most leads the others: by its eighth power, so many squares one of the other. Choices.
_CELLS: Final = 8.0
_LEADS: Final = 3

# Length of the lines that light is added up along, in their width (odd), and in how many directions
# they are tried. Choices: an edge-on galaxy is ten times as long as wide.
LONG: Final = 5
_WAYS: Final = 6

# Diameter of the disc of a line's area, in the line's width.
LINE_AS_DISC: Final = math.sqrt(4.0 / math.pi * LONG)

# Diameter of the disc over which sizes are evened, deg. Choice.
_SMOOTH_DEG: Final = 1.0

# What lines count for beside discs: in a disc there are lines, too, and it leads. Choice.
_OF_DISCS: Final = 0.85

# Below this many thresholds nothing stands out, and the smallest size is taken.
_NOTHING: Final = 0.2


def sizes(light: Light, adaptation: Adaptation) -> NDArray[np.float32] | None:
    """Return which of `SIZES_DEG` each place goes by, counted from 0, broken numbers between.

    The one whose disc around the place stands highest above its own threshold leads. A line, for
    eyes add up light along it, counts as the disc of its area: an edge-on galaxy, an arc.

    Returns
    -------
    (ny, nx) float32, 0 to 4; None where the first will do everywhere.

    Notes
    -----
    Source: Crumey 2014, see `simview.eye.thresholds`: thresholds of discs.
    Checked by: tests/truth/test_print_thresholds.py
    """
    if adaptation.dark == 0.0:
        return None
    scotopic = light.extended[3]
    # A picture smaller than a cell is one cell.
    cell = max(1, min(round(PATCH_DEG / _CELLS * light.pixels_per_degree), *scotopic.shape))
    contrast = _cells(scotopic, cell) / adaptation.sky_scotopic_td - 1.0
    at_eye = float(of_troland(adaptation.sky_td))
    above, places = [], []
    for index, size in enumerate(SIZES_DEG):
        across = size * light.pixels_per_degree / cell
        discs = _mean_disc(contrast, across)
        lines = np.float32(_OF_DISCS) * _lines_of(discs, across)
        for mean, wide in ((np.abs(discs), size), (lines, size * LINE_AS_DISC)):
            if wide <= SIZES_DEG[-1]:
                least = patch_threshold(at_eye, adaptation.threshold_factor, wide)
                above.append(mean / least)
                places.append(index + math.log2(wide / size))
    # In double precision: the eighth power of a glaring light passes what single holds.
    lead = np.stack(above).astype(float)
    for _ in range(_LEADS):
        np.multiply(lead, lead, out=lead)
    lead[0] += _NOTHING ** (2**_LEADS)
    place = np.tensordot(places, lead, axes=1) / lead.sum(axis=0)
    if place.max() < 0.05:
        return None
    # The few directions of lines leave their traces around a bright middle.
    place = _mean_disc(place.astype(np.float32), _SMOOTH_DEG * light.pixels_per_degree / cell)
    return _spread(place, cell, (scotopic.shape[0], scotopic.shape[1]))


def lined(
    contrast: NDArray[np.float32],
    step_px: float,
    *,
    dense: int = 1,
    part: tuple[slice, slice] = (slice(None), slice(None)),
) -> NDArray[np.float32]:
    """Return the largest mean, up to its sign, of the lines through each place.

    `step_px` is their width, see `LONG`; `dense` how many places are asked in each of it, and how
    many times as many directions; `part` the rows and columns for which they are wanted.
    """
    reach, ways = LONG // 2 * dense, _WAYS * dense
    # Beyond a picture's side all is edge: a close-up's lines reach no farther.
    pad = min(math.ceil(LONG // 2 * step_px), max(contrast.shape))
    wide = np.pad(contrast, pad, mode="edge")
    here = contrast[part]
    (top, bottom, _), (left, right, _) = (
        wanted.indices(count) for wanted, count in zip(part, contrast.shape, strict=True)
    )
    most = np.zeros_like(here)
    for way in range(ways):
        total = here.copy()
        for down, over in _line(math.pi * way / ways, step_px / dense, reach, pad):
            total += wide[top + down : bottom + down, left + over : right + over]
        np.maximum(most, np.abs(total, out=total), out=most)
    most *= np.float32(1.0 / (2 * reach + 1))
    return most


def _line(angle: float, step_px: float, reach: int, pad: int) -> list[tuple[int, int]]:
    """Return the places of a line but for its middle, (rows, columns) in what is `pad` wider."""
    return [
        (
            pad + min(max(round(place * step_px * math.sin(angle)), -pad), pad),
            pad + min(max(round(place * step_px * math.cos(angle)), -pad), pad),
        )
        for place in range(-reach, reach + 1)
        if place
    ]


def _lines_of(discs: NDArray[np.float32], across: float) -> NDArray[np.float32]:
    """Return `lined` of means over discs so many cells wide, found on cells of an eighth."""
    coarser = max(1, min(int(across / _CELLS), *discs.shape))
    found = lined(_cells(discs, coarser), across / coarser, dense=2)
    if coarser == 1:
        return found
    return _spread(found, coarser, (discs.shape[0], discs.shape[1]))


def _cells(plane: NDArray[np.float32], cell: int) -> NDArray[np.float32]:
    """Return the plane's means over cells, those at its edge filled up with what they hold."""
    if cell == 1:
        return plane
    ny, nx = plane.shape
    rows, columns = -(-ny // cell), -(-nx // cell)
    filled = np.pad(plane, ((0, rows * cell - ny), (0, columns * cell - nx)), mode="edge")
    return banded.block_means(filled, cell)


def _mean_disc(plane: NDArray[np.float32], diameter: float) -> NDArray[np.float32]:
    """Return running means over about a disc: a Gaussian of the same area."""
    down, across = (_gaussian(count, diameter / 4.0) for count in plane.shape)
    return banded.across(banded.down(down, plane), across)


def mean_disc(
    plane: NDArray[np.float32],
    diameter_deg: float,
    pixels_per_degree: float,
    *,
    cells: float = 10.0,
) -> NDArray[np.float32]:
    """Return running means of a picture over about a disc, at every pixel.

    `cells`: in how many cells across the disc light is added up first.
    """
    cell = max(1, min(int(diameter_deg / cells * pixels_per_degree), *plane.shape))
    wide = _mean_disc(_cells(plane, cell), diameter_deg * pixels_per_degree / cell)
    return wide if cell == 1 else _spread(wide, cell, (plane.shape[0], plane.shape[1]))


@lru_cache(maxsize=16)
def _gaussian(count: int, sigma: float) -> banded.Band:
    """Return the matrix of a Gaussian's running means along a line that goes on as it ends.

    A product is faster than a filter, whose library takes long to load.
    """
    reach = int(3.0 * sigma + 0.5)
    offsets = np.arange(-reach, reach + 1)
    taps = np.exp(-0.5 * (offsets / sigma) ** 2)
    return banded.running_means(taps / taps.sum(), count)


def _spread(place: NDArray[np.floating], cell: int, shape: tuple[int, int]) -> NDArray[np.float32]:
    """Return values of cells at every pixel, straight lines between the cells' middles."""
    out = np.asarray(place, np.float32)
    for axis, count in enumerate(shape):
        at = (np.arange(count) + 0.5) / cell - 0.5
        low = np.clip(np.floor(at).astype(int), 0, max(0, out.shape[axis] - 2))
        share = np.clip(at - low, 0.0, 1.0).astype(np.float32)
        high = np.minimum(low + 1, out.shape[axis] - 1)
        before, between = out.take(low, axis), out.take(high, axis)
        between -= before
        between *= share[:, None] if axis == 0 else share[None, :]
        between += before
        out = between
    return out
