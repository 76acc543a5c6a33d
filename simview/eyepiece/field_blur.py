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
from typing import Final, NamedTuple

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
Spectra = NDArray[np.complex64]

# Sides of a tile, pixels. Smaller ones follow the change over the field closer, larger ones are
# faster for wide spots: the first is taken that is four times as wide as the spot reaches, but
# none wider than a part of the field.
TILES: Final = (16, 24, 32, 48, 64, 96, 128)
_PARTS_OF_FIELD: Final = 15.0

# The tile that pays best for the narrowest spots.
_USUAL_TILE: Final = 48

# Most that the spots' transforms of a plan may take to be kept, bytes; of larger sheets they are
# made anew. A choice.
_KEPT_BYTES: Final = 10_000_000

# Tiles that are spread at once: few, so that they stay in the processor's cache.
_AT_ONCE: Final = 16

# Light that varies over a tile and around it by less than this part of itself counts as even. An
# eighth of a step of 8 bits.
_EVEN: Final = 5e-4

# Widest spot that is still spread in full, pixels; wider ones need a coarser picture.
WIDEST: Final = 512


class _Octant(NamedTuple):
    """Tiles of an eighth of the field, which are turned alike to lie where the first eighth does.

    Right of the middle and below, and nearer to the line to the right: so the spots of that eighth
    tell all.
    """

    mirror: tuple[slice, slice]
    transposed: bool
    rows: NDArray[np.intp]  # (tiles,) where they stand
    columns: NDArray[np.intp]
    kinds: NDArray[np.intp]  # which tiles of the first eighth they lie on then
    outer: Planes  # (tiles, side, transform) share of the outermost spot at each pixel, turned

    def turned(self, pictures: Planes) -> Planes:
        """Return pictures of tiles (..., ny, nx), as a view, turned to the first eighth."""
        pictures = pictures[..., *self.mirror]
        return pictures.swapaxes(-1, -2) if self.transposed else pictures


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
    octants
        The tiles that lie in the field; others pass unchanged.
    spots
        (kinds, p, 2, size, size) innermost and outermost of the tiles of an eighth of the field.
    made
        Their transforms by kind and plane, (2, transform, transform // 2 + 1), where they have been
        asked for: most views are dark and even but for a part.
    """

    shape: tuple[int, int]
    side: int
    reach: int
    transform: int
    margin: tuple[int, int]
    count: tuple[int, int]
    octants: tuple[_Octant, ...]
    spots: Planes
    made: dict[tuple[int, int], Spectra]

    def spectra_of(self, kind: int, plane: int) -> Spectra:
        """Return the transforms of a kind's spots in one plane."""
        found = self.made.get((kind, plane))
        if found is None:
            found = fft.rfft2(self.spots[kind, plane], s=(self.transform, self.transform))
            if len(self.spots) * self.spots.shape[1] * found.nbytes <= _KEPT_BYTES:
                # Two threads may both make one, which comes out the same.
                self.made[kind, plane] = found
        return found


def apply_field_blur(  # noqa: PLR0913 - what the glass does, and where the answer goes
    planes: NDArray[np.floating],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    weights: NDArray[np.floating],
    accommodation_d: float | None = None,
    used_pupil: float = 1.0,
    obstruction: float = 0.0,
    out: Planes | None = None,
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
    out
        Where the answer is put; the planes themselves may be overwritten.

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
    return spread(np.asarray(planes, np.float32), plan, out=out)


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
    begin = (-((top + shape[0] // 2) // side), -((left + shape[1] // 2) // side))
    edge_px = float(figures.angle_deg[-1]) * scale
    places = _places(begin, (rows, columns), side, edge_px + reach)
    # The larger first: right of the middle, below.
    octant = [(max(place), min(place)) for place in np.abs(places).tolist()]
    alike = {place: kind for kind, place in enumerate(sorted(set(octant)))}
    kinds = np.array([alike[place] for place in octant])
    spots, ends = _spots(figures, np.array(list(alike)), side, scale, weights, eye, reach)
    return Tiles(
        shape=shape,
        side=side,
        reach=reach,
        transform=transform,
        margin=(top, left),
        count=(rows, columns),
        octants=_octants(places, begin, kinds, ends, (side, transform, 2 * reach)),
        spots=spots,
        made={},
    )


def _places(
    begin: tuple[int, int], count: tuple[int, int], side: int, farthest_px: float
) -> NDArray[np.int64]:
    """Return (tiles, 2) how many tiles below and right of the middle's those lie that are reached.

    `begin` is the first tile's place.
    """
    down, right = (first + np.arange(n) for first, n in zip(begin, count, strict=True))
    # A tile's middle pixel is the first of its second half.
    above, below = side // 2, side - 1 - side // 2
    nearest = [
        np.maximum(np.maximum(places * side - above, -places * side - below), 0)
        for places in (down, right)
    ]
    reached = np.nonzero(np.hypot(nearest[0][:, None], nearest[1]) <= farthest_px)
    return np.stack([down[reached[0]], right[reached[1]]], axis=1)


def _octants(
    places: NDArray[np.int64],
    begin: tuple[int, int],
    kinds: NDArray[np.intp],
    ends: Floats,
    sides: tuple[int, int, int],
) -> tuple[_Octant, ...]:
    """Return the tiles at these places by the eighth of the field in which they lie.

    Parameters
    ----------
    places, begin
        As of `_places`.
    kinds
        (tiles,) of which kind each is.
    ends
        (kinds, 2) how far off the innermost and the outermost spot lie, pixels.
    sides
        Of tiles and transforms, pixels, and the column of a transform where the tile begins.
    """
    side, width, left = sides
    along = np.arange(side) - side // 2
    down, right = places.T
    which = 4 * (down < 0) + 2 * (right < 0) + (np.abs(down) > np.abs(right))
    octants = []
    for number in sorted(set(which.tolist())):
        here = np.flatnonzero(which == number)
        here = here[np.argsort(kinds[here])]
        octant = _Octant(
            mirror=(
                slice(None, None, -1 if number & 4 else 1),
                slice(None, None, -1 if number & 2 else 1),
            ),
            transposed=bool(number & 1),
            rows=down[here] - begin[0],
            columns=right[here] - begin[1],
            kinds=kinds[here],
            outer=np.zeros((len(here), side, width), np.float32),
        )
        squares = [
            np.square(place[here, None] * side + along, dtype=np.float32) for place in (down, right)
        ]
        away = np.sqrt(squares[0][:, :, None] + squares[1][:, None, :])
        low, high = ends[kinds[here]].astype(np.float32).T[:, :, None, None]
        share = (octant.turned(away) - low) / (high - low)
        np.clip(share, 0.0, 1.0, out=octant.outer[..., left : left + side])
        octants.append(octant)
    return tuple(octants)


def _spots(
    figures: EyepieceFigures,
    alike: NDArray[np.int64],
    side: int,
    scale: float,
    weights: Floats,
    eye: tuple[float, float, float],
    reach: int,
) -> tuple[Planes, Floats]:
    """Return the innermost and outermost spots of kinds of tiles, and how far off these lie.

    Parameters
    ----------
    alike
        (kinds, 2) how many tiles the one that stands for a kind lies right of the middle, below.
    side, scale
        Of a tile; pixels per degree.
    weights, eye, reach
        As in `plan_tiles`; half width of the spots.

    Returns
    -------
    (kinds, p, 2, size, size) and (kinds, 2) pixels
    """
    inner = np.hypot(*(np.maximum(alike - 0.5, 0.0) * side).T)
    outer = np.hypot(*((alike + 0.5) * side).T)
    ends = np.stack([inner, outer], axis=1)
    turn = np.repeat(np.arctan2(alike[:, 1], alike[:, 0]), 2)
    spots = spot_kernels(figures, ends.ravel(), turn, scale, weights, eye, reach)
    return spots.reshape(len(alike), 2, *spots.shape[1:]).swapaxes(1, 2), ends


def spread(planes: Planes, plan: Tiles, *, out: Planes | None = None) -> Planes:
    """Spread the planes as planned: the part that runs for every picture.

    `out` is where the answer is put; the planes themselves may be overwritten.
    """
    answer = np.empty(planes.shape, np.float32) if out is None else out
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
    windows = np.lib.stride_tricks.sliding_window_view(whole, (wide, wide))[::side, ::side]
    tiles = whole[reach : reach + rows * side, reach : reach + columns * side].copy()
    needed = _uneven(tiles, side, math.ceil(reach / side))
    drawn = tiles.reshape(rows, side, columns, side).swapaxes(1, 2)
    # A spot centred on `reach` moves everything by `reach`, on top of the patch's own rim.
    keep = slice(2 * reach, 2 * reach + side)
    patches = np.zeros((_AT_ONCE, transform, transform), np.float32)
    products = np.empty((_AT_ONCE, 2, transform, transform // 2 + 1), np.complex64)
    for octant in plan.octants:
        uneven = np.flatnonzero(needed[octant.rows, octant.columns])
        for begin in range(0, len(uneven), _AT_ONCE):
            now = uneven[begin : begin + _AT_ONCE]
            at = octant.rows[now], octant.columns[now]
            patch, product = patches[: len(now)], products[: len(now)]
            patch[:, :wide, :wide] = octant.turned(windows[at])
            for light, kind, into in zip(
                fft.rfft2(patch), octant.kinds[now].tolist(), product, strict=True
            ):
                np.multiply(light, plan.spectra_of(kind, p), out=into)
            # Rows outside the tile are dropped before their transform.
            lines = fft.ifft(product, axis=2, overwrite_x=True)[:, :, keep]
            near, away = fft.irfft(lines, n=transform, axis=3).swapaxes(0, 1)
            away -= near
            away *= octant.outer[now]
            away += near
            octant.turned(drawn)[at] = away[..., keep]
    answer[:] = tiles[top : top + plane.shape[0], left : left + plane.shape[1]]


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
