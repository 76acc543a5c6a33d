"""Blur and colour that vary over the field and turn with the position angle.

The method: the view is cut into square tiles. On each, the light around it is convolved twice by
small Fourier transforms, with the spot of the tile's innermost point and with that of its
outermost, both turned to the tile's position angle; every pixel then takes its share of the two
by its distance from the middle of the field. So the blur grows smoothly across the tile at the
cost of one and a half convolutions, and small transforms, which stay in the processor's cache, win
most of that back. Even light stays exactly even, whatever the tiles do: every pixel is a mean of
light around it. docs/models/eyepieces.md has the times and the error against every pixel spread
by its own spot.

Geometrical spots only: diffraction belongs to the telescope's and the eye's kernel and is
counted there, once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview import transforms as fft
from simview.errors import RangeError, SimviewError, require_range
from simview.executor.threads import spread_work
from simview.eyepiece.lensfigures import EyepieceFigures
from simview.eyepiece.spotkernels import spot_kernels, spot_reach
from simview.memory import remembered

Floats = NDArray[np.float64]
Planes = NDArray[np.float32]

# Sides of a tile, pixels. Smaller ones follow the change over the field closer, larger ones are
# faster for wide spots: the first is taken that is four times as wide as the spot reaches, but
# none wider than a part of the field.
TILES: Final = (16, 24, 32, 48, 64, 96, 128)
_PARTS_OF_FIELD: Final = 15.0

# The tile that pays best for the narrowest spots.
_USUAL_TILE: Final = 48

# Most that the spots' transforms of a plan may take to be kept, bytes; those of more (the largest
# sheets) are made anew for each row of tiles, which costs a third more time. A choice.
_KEPT_BYTES: Final = 64_000_000

# Light that varies over a tile and around it by less than this part of itself counts as even. An
# eighth of a step of 8 bits.
_EVEN: Final = 5e-4

# Widest spot that is still spread in full, pixels; wider ones need a coarser picture.
WIDEST: Final = 512


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tiles:
    """A plan for one size of picture: which tiles are spread, and how.

    Parameters
    ----------
    shape
        (ny, nx) of the pictures.
    side, reach, transform
        Side of a tile, half width of the widest spot, side of the transforms, pixels.
    margin
        (top, left) pixels by which the picture is continued, so that tiles cover its edge.
    count
        (rows, columns) of the grid of tiles; the middle of the field lies amid one of them.
    spread
        (rows, columns) true where a tile lies in the field; others pass unchanged.
    outer
        (tiles, side, side) share of the outermost spot at each pixel.
    spots
        (tiles, 2, p, size, size) innermost and outermost.
    spectra
        (tiles, 2, p, transform, transform // 2 + 1) complex64, their transforms; None where they
        would take too much memory.
    made
        (tiles, p) true where they have been made: most views are dark and even but for a part.
    """

    shape: tuple[int, int]
    side: int
    reach: int
    transform: int
    margin: tuple[int, int]
    count: tuple[int, int]
    spread: NDArray[np.bool_]
    outer: Planes
    spots: Planes
    spectra: NDArray[np.complex64] | None
    made: NDArray[np.bool_]

    def spectra_of(self, tiles: slice, plane: int) -> NDArray[np.complex64]:
        """Return the transforms of these tiles' spots in one plane."""
        if self.spectra is None:
            return _transformed(self.spots[tiles, :, plane], self.transform)
        # Two threads may both make one, which comes out the same; it counts once it is there.
        new = tiles.start + np.flatnonzero(~self.made[tiles, plane])
        if len(new):
            self.spectra[new, :, plane] = _transformed(self.spots[new, :, plane], self.transform)
            self.made[new, plane] = True
        return self.spectra[tiles, :, plane]


def _transformed(spots: Planes, side: int) -> NDArray[np.complex64]:
    """Return the spots' transforms, (..., side, side // 2 + 1)."""
    return np.asarray(fft.rfft2(spots, s=(side, side)), np.complex64)


def apply_field_blur(
    planes: NDArray[np.floating],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    weights: NDArray[np.floating],
    accommodation_d: float | None = None,
    used_pupil: float = 1.0,
    obstruction: float = 0.0,
) -> Planes:
    """Spread every point of a view by the eyepiece's own spot at its place in the field.

    Parameters
    ----------
    planes
        (p, ny, nx) light at apparent angles, the middle of the field on pixel n // 2. Light
        that would come from outside the array is taken to be as on its edge.
    pixels_per_degree
        Of apparent angle, the same from the middle to the edge.
    figures
        From `simview.eyepiece.lensfigures.eyepiece_figures`.
    weights
        (p, 9) how much each plane weighs the wavelengths of the spots
        (`simview.eyepiece.lensfigures.SPOT_WAVELENGTHS_NM`); only ratios within a plane count.
    accommodation_d
        Of the eye, dioptres, the same all over the field; None sets it for the middle.
    used_pupil
        Part of the exit pupil's diameter that the eye's pupil lets in, 0 to 1.
    obstruction
        Diameter of the secondary against the used pupil, 0 to 0.95.

    Returns
    -------
    (p, ny, nx) float32. Even light stays even; the light of a star is kept within about 1 %.

    Raises
    ------
    SimviewError
        For arrays that do not fit together, or a spot wider than `WIDEST` pixels.

    Notes
    -----
    Checked by: tests/unit/eyepiece/test_field_blur.py against every pixel spread by its own
    spot.
    """
    scale = require_range("pixels_per_degree", pixels_per_degree, 0.5, 2000.0)
    used = require_range("used_pupil", used_pupil, 1e-3, 1.0)
    shadow = require_range("obstruction", obstruction, 0.0, 0.95)
    weights = np.asarray(weights, np.float64)
    count = figures.spots.tangential.shape[0]
    if planes.ndim != 3 or weights.shape != (planes.shape[0], count):
        raise SimviewError(
            "weights",
            got=f"{weights.shape} for planes {planes.shape}",
            allowed=f"({planes.shape[0] if planes.ndim else 0}, {count})",
        )
    if not np.all(weights.sum(axis=1) > 0.0):
        raise RangeError("weights", got="a plane without light", allowed="sums above 0")
    eye = figures.centre_accommodation_d if accommodation_d is None else float(accommodation_d)
    plan = _cached_plan(figures, planes.shape[1:], scale, weights.tobytes(), (eye, used, shadow))
    return spread(np.asarray(planes, np.float32), plan)


@remembered(4)
def _cached_plan(
    figures: EyepieceFigures,
    shape: tuple[int, int],
    scale: float,
    weights: bytes,
    eye: tuple[float, float, float],
) -> Tiles:
    table = np.frombuffer(weights).reshape(-1, figures.spots.tangential.shape[0])
    return plan_tiles(figures, shape, scale, table, eye)


def plan_tiles(
    figures: EyepieceFigures,
    shape: tuple[int, int],
    scale: float,
    weights: Floats,
    eye: tuple[float, float, float],
) -> Tiles:
    """Lay tiles over a picture and compute what each does.

    Parameters
    ----------
    shape
        (ny, nx).
    scale
        Pixels per degree of apparent angle.
    weights
        (p, n) of the planes for the wavelengths.
    eye
        Accommodation in dioptres, used part of the pupil, obstruction.
    """
    reach = spot_reach(figures, scale, eye)
    if 2 * reach > WIDEST:
        raise SimviewError(
            "eyepiece blur",
            got=f"a spot {2 * reach} pixels wide",
            allowed=f"up to {WIDEST} pixels",
            remedy="ask for fewer pixels per degree",
        )
    side = _tile(reach, 2.0 * float(figures.angle_deg[-1]) * scale)
    transform = int(fft.next_fast_len(side + 2 * reach, real=True))
    (top, rows), (left, columns) = (_grid(n, side) for n in shape)
    y = np.arange(rows * side) - top - shape[0] // 2
    x = np.arange(columns * side) - left - shape[1] // 2
    away = np.hypot(y[:, None], x[None, :]).astype(np.float32)
    away = away.reshape(rows, side, columns, side).transpose(0, 2, 1, 3)
    # Spots of the edge still reach tiles outside.
    chosen = away.min(axis=(2, 3)) <= figures.angle_deg[-1] * scale + reach
    along_y, along_x = np.meshgrid(y[side // 2 :: side], x[side // 2 :: side], indexing="ij")
    middles = np.stack([along_y[chosen], along_x[chosen]], axis=1) // side
    spots, low, high = _tile_spots(figures, middles, side, scale, weights, eye, reach)
    spots = spots.reshape(len(low), 2, *spots.shape[1:])
    held = spots[..., 0, 0].size * transform * (transform // 2 + 1) * np.complex64().nbytes
    return Tiles(
        shape=shape,
        side=side,
        reach=reach,
        transform=transform,
        margin=(top, left),
        count=(rows, columns),
        spread=chosen,
        outer=np.clip((away[chosen] - low[:, None, None]) / (high - low)[:, None, None], 0.0, 1.0),
        spots=spots,
        spectra=_room(spots, transform) if held <= _KEPT_BYTES else None,
        made=np.zeros((len(low), spots.shape[2]), bool),
    )


def _room(spots: Planes, transform: int) -> NDArray[np.complex64]:
    """Return where the transforms of spots go."""
    return np.empty((*spots.shape[:3], transform, transform // 2 + 1), np.complex64)


def _tile_spots(
    figures: EyepieceFigures,
    middles: NDArray[np.int64],
    side: int,
    scale: float,
    weights: Floats,
    eye: tuple[float, float, float],
    reach: int,
) -> tuple[Planes, Planes, Planes]:
    """Return the two spots of each tile (2 t, p, size, size), and their radii in pixels.

    Parameters
    ----------
    middles
        (t, 2) rows and columns of the tiles, counted from the one amid the field.

    One eighth of the field is computed; the rest are its mirror images.
    """
    size = np.sort(np.abs(middles), axis=1)[:, ::-1]  # the larger first: right of the middle
    alike, which = np.unique(size, axis=0, return_inverse=True)
    near = np.maximum(alike - 0.5, 0.0) * side
    inner, outer = np.hypot(*near.T), np.hypot(*((alike + 0.5) * side).T)
    places = np.stack([inner, outer], axis=1)
    turn = np.repeat(np.arctan2(alike[:, 1], alike[:, 0]), 2)
    few = spot_kernels(figures, places.ravel(), turn, scale, weights, eye, reach)
    few = few.reshape(len(alike), 2, *few.shape[1:])
    spots = np.empty((len(middles), *few.shape[1:]), np.float32)
    for tile, ((row, column), kind) in enumerate(zip(middles.tolist(), which.ravel(), strict=True)):
        spot = few[kind]
        if abs(row) > abs(column):
            spot = spot.swapaxes(-1, -2)
        spots[tile] = spot[..., :: -1 if row < 0 else 1, :: -1 if column < 0 else 1]
    radii = places[which.ravel()].astype(np.float32)
    return spots.reshape(-1, *spots.shape[2:]), radii[:, 0], radii[:, 1]


def spread(planes: Planes, plan: Tiles) -> Planes:
    """Spread the planes as planned: the part that runs for every picture."""
    answer = np.array(planes, np.float32)  # where nothing is spread, the light stays as it is
    spread_work(lambda p: _spread_one(planes[p], answer[p], plan, p), range(len(planes)))
    return answer


def _spread_one(plane: Planes, answer: Planes, plan: Tiles, p: int) -> None:
    """Spread one plane into `answer`."""
    side, transform, reach = plan.side, plan.transform, plan.reach
    (rows, columns), (top, left) = plan.count, plan.margin
    far = (rows * side - top - plane.shape[0], columns * side - left - plane.shape[1])
    around = ((top + reach, far[0] + reach), (left + reach, far[1] + reach))
    wide = side + 2 * reach
    whole = np.pad(plane, around, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(whole, (wide, wide))
    tiles = whole[reach : reach + rows * side, reach : reach + columns * side]
    needed = _uneven(tiles, side, math.ceil(reach / side))
    patches = np.zeros((columns, transform, transform), np.float32)
    products = np.empty((columns, 2, transform, transform // 2 + 1), np.complex64)
    # A spot centred on `reach` moves everything by `reach`, on top of the patch's own rim.
    keep = slice(2 * reach, 2 * reach + side)
    done = 0
    for j in range(rows):
        chosen = np.flatnonzero(plan.spread[j])
        if len(chosen) == 0:
            continue
        first, last = int(chosen[0]), int(chosen[-1]) + 1  # the field is round: one run a row
        before = done - first
        done += len(chosen)
        uneven = first + np.flatnonzero(needed[j, first:last])
        if len(uneven) == 0:
            continue
        first, last = int(uneven[0]), int(uneven[-1]) + 1
        now = slice(before + first, before + last)
        patch, product = patches[: last - first], products[: last - first]
        patch[:, :wide, :wide] = windows[j * side, first * side : last * side : side]
        np.multiply(fft.rfft2(patch)[:, None], plan.spectra_of(now, p), out=product)
        # Rows outside the tile are dropped before their transform.
        lines = fft.ifft(product, axis=2, overwrite_x=True)[:, :, keep]
        near, away = fft.irfft(lines, n=transform, axis=3)[..., keep].transpose(1, 0, 2, 3)
        away -= near
        away *= plan.outer[now]
        away += near
        _lay(away.transpose(1, 0, 2).reshape(side, -1), answer, j * side - top, first * side - left)


def _uneven(plane: Planes, side: int, around: int) -> NDArray[np.bool_]:
    """Return in which tiles of a plane, and so many around each, light is not even.

    In the others no spot shows.
    """
    rows, columns = (size // side for size in plane.shape)
    strips = plane.reshape(rows, side, columns * side)
    most = strips.max(axis=1).reshape(rows, columns, side).max(axis=2)
    least = strips.min(axis=1).reshape(rows, columns, side).min(axis=2)
    reach = 2 * around + 1
    most, least = (
        np.lib.stride_tricks.sliding_window_view(np.pad(tiles, around, mode="edge"), (reach, reach))
        for tiles in (most, least)
    )
    most, least = most.max(axis=(2, 3)), least.min(axis=(2, 3))
    return np.asarray(most - least > _EVEN * most)


def _lay(strip: Planes, answer: Planes, top: int, left: int) -> None:
    """Copy the part of a strip of tiles that lies on the picture."""
    y0, x0 = max(top, 0), max(left, 0)
    y1 = min(top + strip.shape[0], answer.shape[0])
    x1 = min(left + strip.shape[1], answer.shape[1])
    answer[y0:y1, x0:x1] = strip[y0 - top : y1 - top, x0 - left : x1 - left]


def _tile(reach: int, field_px: float) -> int:
    """Choose the side of the tiles."""
    wanted = max(4 * reach, _USUAL_TILE)
    most = max(field_px / _PARTS_OF_FIELD, TILES[0])
    fitting = [side for side in TILES if side <= most] or [TILES[0]]
    return next((side for side in fitting if side >= wanted), fitting[-1])


def _grid(length: int, side: int) -> tuple[int, int]:
    """Return (pixels before the picture, number of tiles) of a line.

    The tiles cover the picture, and its middle pixel lies amid a tile.
    """
    before = math.ceil((length // 2 - side // 2) / side)
    after = math.ceil((length - length // 2 - (side - side // 2)) / side)
    before, after = max(before, 0), max(after, 0)
    return before * side + side // 2 - length // 2, before + after + 1
