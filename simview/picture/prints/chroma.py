"""Colour is seen coarser than light.

An eye resolves differences of colour only to about a fifth of the fineness to which it resolves
light and dark, so the violet fringe of a lens melts into a star's own light at low power and
stands beside it at high power. The hue of each place is therefore averaged, weighted by light,
over a few arcmin of apparent angle; the light itself stays as sharp as it is. What only the cones
for blue see is averaged over three times as much, for they stand far apart: so in a lens telescope
the Moon's ridges are not olive, nor their shadows violet, as the light itself is.

The middle of the retina has no cones for blue. A star that is looked at falls there, so its blue is
what it has all over its image, and not what its middle has (`fixated`).

Sources: Mullen 1985, J. Physiol. 359, 381: contrast sensitivity for colour falls from below
1 cycle/degree and ends near 11 to 12 cycles/degree; Zhang & Wandell 1997, J. Soc. Inf. Display 5,
61: filters of which red-green passes half at 3.7 cycles/degree and blue-yellow at 2.1; Curcio et
al. 1991, J. Comp. Neurol. 312, 610: no blue cones in the middle 0.35 deg; Williams, MacLeod &
Hayhoe 1981, Vision Res. 21, 1341: 25 arcmin of the middle are blind for blue, and nobody sees a
hole (citations and figures from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview import banded
from simview.eye.retina import Hues

Planes = NDArray[np.float32]

# Standard deviation of the Gaussian over which hue is averaged, arcmin of apparent angle: half of a
# red-green grating of 3.7 cycles/degree passes (Zhang & Wandell).
SIGMA_ARCMIN: Final = 3.04

# Part of the hue at a place that is that of a wide surround, and the standard deviation of its
# Gaussian, arcmin: the second of the two Gaussians that make up the red-green filter of Zhang &
# Wandell (weights 0.531 and 0.330, spreads 0.0392 and 0.494 deg; memory). So a rim that a lens or
# the air colours loses a good third of its hue, and gratings of 1 and 4 cycles/degree keep 0.6 and
# 0.3 of theirs, where sensitivity (Mullen 1985) falls to a half and an eighth. Of stars each one's
# own image is its surround (`fixated`).
SURROUND_SHARE: Final = 0.383
SURROUND_ARCMIN: Final = 21.0

# The same part of a star's hue, which its own image has as a whole. The air's and a lens's colours
# stand 5 arcmin and less from a star's middle, some 4 cycles/degree and more, where an eighth of
# the sensitivity is left (Mullen 1985); averages that are weighted by light take little off what
# peaks so. Choice: a fifth is left.
STAR_SURROUND_SHARE: Final = 0.8

# The same for what only blue cones see: 25 arcmin wide at half its height. What is looked at falls
# on as much of the retina that is blind for blue, and takes its blue from around (Williams, MacLeod
# & Hayhoe 1981; Willmer & Wright 1945, Nature 156, 119: none is told in fields below 15 to 20
# arcmin; memory). For stars half of 2.1 cycles/degree (Zhang & Wandell): of each that is looked at
# `fixated` does the rest, and neighbours keep their colours.
BLUE_SIGMA_ARCMIN: Final = 10.6
STAR_BLUE_SIGMA_ARCMIN: Final = 5.35

# Across the middle of the retina without blue cones, and across all of it that is blind for blue,
# arcmin (Curcio et al. 1991; Williams, MacLeod & Hayhoe 1981).
BLUE_BLIND_ARCMIN: Final = (21.0, 25.0)

# Half a period of gratings of 9 and of 4 cycles/degree, arcmin: hues so far from each other have
# melted together, or look as different as they are, on either axis of the cones (Smith, Jin &
# Pokorny 2001, see `hue`). Stars that are seen as two, so far apart, have each its own hue: what it
# is averaged over is this share of their distance, so that none of the neighbour's is in it
# (choice). That is on their discs, where light is from the first to the second of two shares of the
# brightest (choice); of the haze around them hue is averaged as widely as ever.
MELTED_ARCMIN: Final = 30.0 / 9.0
CLEAR_ARCMIN: Final = 30.0 / 4.0
_APART_SHARE: Final = 0.3
_STAR_DISC: Final = (0.05, 0.12)

# X over Z of what only the blue cones see: the point x = 0.175, y = 0, where the lines of colours
# that look alike without them meet. Source: Smith & Pokorny 1975, Vision Res. 15, 161 (memory).
_X_OF_BLUE: Final = 0.1748 / (1.0 - 0.1748)

# Hues are averaged by this power of each place's light. By light itself a disc would give all of
# its glare its own hue, and no lens had a violet fringe; by its root, as the eye's answer goes
# (Stevens 1957), a fringe of a hundredth of a disc's light coloured the disc's own rim, and a slow
# lens looked like a fast one. Choice between them, nearer to light.
WEIGHT_POWER: Final = 0.75

# Share of a view's brightest light below which hue fades to grey: above the rounding noise of
# single-precision transforms (about 1e-7), far below what prints.
FAINTEST: Final = 1e-5

# Part of a view's brightest light from which on a place is lit ground, in the power of light that
# hues are averaged by: a planet's poles are, the gaps of Saturn's rings and its glare are not. No
# hue is taken as clear within `BLUE_SIGMA_ARCMIN` of the dark. Choices.
LIT: Final = 0.25

# Below this many pixels averaging changes nothing that could be seen.
_LEAST_PX: Final = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Hue:
    """The averaged hue of a view, kept coarse in y until rows are asked for.

    Parameters
    ----------
    ratios
        (2, my, nx) X/Y and Z/Y of block means.
    step
        Rows of the view in one row of blocks.
    """

    ratios: Planes
    step: int

    def recolour(self, planes: Planes, top: int) -> Planes:
        """Give rows of a view this hue.

        Parameters
        ----------
        planes
            (4, rows, nx) X, Y, Z, V' of the view's rows from `top` on.

        Returns
        -------
        (3, rows, nx) X, Y, Z: Y untouched.
        """
        low, high, part = _between(top, planes.shape[1], self.step, self.ratios.shape[1])
        part = part[:, None]
        answer = np.empty((3, *planes.shape[1:]), np.float32)
        answer[1] = planes[1]
        for channel, ratio in ((0, self.ratios[0]), (2, self.ratios[1])):
            above = ratio[low]
            # above + part * (below - above), in place.
            between = ratio[high]
            between -= above
            between *= part
            between += above
            np.multiply(between, planes[1], out=answer[channel])
        return answer


def fixated(lens: Planes, pixels_per_degree: float) -> Planes:
    """Return a star's image with its blue as an eye that looks at it has it.

    A lens leaves blue out of focus, so the middle of a star has next to none: by the light alone it
    would be yellow-green. Observers report a white star in a violet haze.

    Parameters
    ----------
    lens
        (4, 3, ny, nx) X, Y, Z and V' of each primary's point, centre at n // 2.
    pixels_per_degree
        Of apparent angle.

    Returns
    -------
    The same, but where there are no blue cones they answer as to the whole image, spread as a white
    star's light is; the hue of what the others answer is that of the whole, by
    `STAR_SURROUND_SHARE`. One star's image goes into it, so neighbours keep their colours.

    Notes
    -----
    Checked by: tests/unit/picture/test_chroma.py
    """
    ny, nx = lens.shape[2:]
    down, right = (np.arange(n, dtype=np.float32) - n // 2 for n in (ny, nx))
    without = blind(np.sqrt(down[:, None] ** 2 + right[None, :] ** 2), pixels_per_degree)
    white = lens[1].sum(axis=0)
    light = float(white.sum())
    if light <= 0.0:
        return lens.copy()
    answer = np.empty_like(lens)
    answer[1::2] = lens[1::2]
    # Not as each primary's own light: that of the blue one is out of focus with its blue.
    surround, x_of_blue = np.float32(STAR_SURROUND_SHARE), np.float32(_X_OF_BLUE)
    for primary, blue in enumerate(lens[2]):
        others, seen = answer[0, primary], answer[2, primary]
        # A share of each plane is spread as white light is, whole light for whole; in place.
        np.multiply(white, np.float32(float(blue.sum()) / light), out=seen)
        seen -= blue
        seen *= without
        seen += blue
        np.multiply(blue, -x_of_blue, out=others)
        others += lens[0, primary]
        spread = white * (surround * np.float32(float(others.sum()) / light))
        others *= np.float32(1.0) - surround
        others += spread
        np.multiply(seen, x_of_blue, out=spread)
        others += spread
    return answer


def blind(away_px: NDArray[Any], pixels_per_degree: float) -> Planes:
    """Return how far places so many pixels off the gaze have no blue cones, 1 to 0."""
    none, whole = BLUE_BLIND_ARCMIN
    away = away_px * np.float32(120.0 / pixels_per_degree)
    return np.asarray(np.clip((whole - away) / (whole - none), 0.0, 1.0), np.float32)


def with_blue(planes: Planes, where: Planes, blue: float) -> Planes:
    """Return light whose Z is `blue` times its Y, as far as `where` (ny, nx) says, 0 to 1.

    What only the blue cones see of it changes in X, too.

    Parameters
    ----------
    planes
        (4, ny, nx) X, Y, Z and V'.
    where
        Share of the place's blue that is set.
    blue
        Z over Y.
    """
    answer = planes.copy()
    more = where * (np.float32(blue) * planes[1] - planes[2])
    answer[2] += more
    answer[0] += np.float32(_X_OF_BLUE) * more
    return answer


def seen(planes: Planes, pixels_per_degree: float, hues: Hues, *, lens: bool) -> Hue | None:
    """Return the hue of surfaces as `Retina.hues` says that it is seen; None for as it is."""
    if hues == "seen":
        return None
    return hue(planes, pixels_per_degree, lens=lens, clear=hues == "clear")


def hue(
    planes: Planes,
    pixels_per_degree: float,
    *,
    of_stars: bool = False,
    apart_arcmin: float | None = None,
    lens: bool = False,
    clear: bool = False,
) -> Hue | None:
    """Average the hue of a view over the eye's resolution for colour.

    Parameters
    ----------
    planes
        (4, ny, nx) X, Y, Z and V'; not negative.
    pixels_per_degree
        Of apparent angle.
    of_stars
        Average stars' light: narrower for blue, each star by itself.
    apart_arcmin
        How far apart stars stand that are seen as two, where such a pair is looked at.
    lens
        The light came through a lens, which leaves blue out of focus: where what is lit is smaller
        than the part of the retina that is blind for blue, it has the whole picture's, as a star
        that is looked at has that of its whole image (`fixated`).
    clear
        Bands and spots whose hue is all in focus and stands well above its threshold, as a planet's
        in a mirror: hue looks as it is up to some 4 cycles/degree, what only the blue cones see as
        well as red and green (Smith, Jin & Pokorny 2001, Vision Res. 41, 1007: there contrast with
        what lies beside turns into melting with it, on each axis of the cones). Light is printed
        with the contrast that it has (`View.surfaces_path`), so hue must be, too. Not at edges
        against the dark, where the air's colours are: an edge of light masks those of hue.

    Returns
    -------
    Hue or None
        None where the averaging would be finer than a pixel.

    Notes
    -----
    Checked by: tests/unit/picture/test_chroma.py
    """
    sigma = SIGMA_ARCMIN / 60.0 * pixels_per_degree
    blue_arcmin = STAR_BLUE_SIGMA_ARCMIN if of_stars else BLUE_SIGMA_ARCMIN
    near = min(_APART_SHARE * (apart_arcmin or math.inf) / 60.0 * pixels_per_degree, sigma)
    coarse = sigma < _LEAST_PX
    least = sigma if of_stars else blue_arcmin / 60.0 * pixels_per_degree
    if least < _LEAST_PX or min(planes.shape[1:]) < 8:
        return None
    # Hue varies slowly after averaging, so it is averaged on a coarser grid. Block means and
    # linear interpolation have variances of step^2/12 and step^2/6; the rest is Gaussian.
    # A whole field's pixels are as wide as red and green melt over, but not blue.
    step = 1 if coarse else min(max(2, int(near / 1.5)), min(planes.shape[1:]) // 4)
    rest = 0.0 if coarse else math.sqrt(max(sigma**2 - step**2 / 4.0, 0.0)) / step
    small, scale = _shrink(planes[:3], step), pixels_per_degree / step
    whole = _blue_of_all(small) if lens and not of_stars else None
    # Where next to no light is left, rounding noise has no hue: let it fade to grey.
    floor = np.float32(FAINTEST) * small[1].max() + np.float32(1e-30)
    if not of_stars:
        small *= (small[1] + floor) ** np.float32(WEIGHT_POWER - 1.0)
        floor = np.float32(0.1 * FAINTEST**WEIGHT_POWER) * small[1].max() + np.float32(1e-30)
    lit, one = small[1], None
    if apart_arcmin is not None and not coarse:
        one = _blur(small, math.sqrt(max(near**2 - step**2 / 4.0, 0.0)) / step)
    small = _blur(small, rest)
    ratios = (small[[0, 2]] + floor) / (small[1] + floor)
    own = ratios.copy() if clear else None
    if not of_stars:
        around = _surround(small, scale)
        hues = (around[[0, 2]] + floor) / (around[1] + floor)
        ratios += np.float32(SURROUND_SHARE) * (hues - ratios)
    wide = _blur(small[1:], math.sqrt(blue_arcmin**2 - SIGMA_ARCMIN**2) / 60.0 * scale)
    if whole is not None:
        wide = _lone(wide, small[1], whole)
    more = (wide[1] + floor) / (wide[0] + floor) - ratios[1]
    ratios[0] += np.float32(_X_OF_BLUE) * more
    ratios[1] += more
    if own is not None:
        ratios += _inside(lit, blue_arcmin / 60.0 * scale) * (own - ratios)
    if one is not None:
        single = (one[[0, 2]] + floor) / (one[1] + floor)
        ratios += _singly(lit, apart_arcmin or 0.0) * (single - ratios)
    return _between_columns(ratios, step, planes.shape[2])


def apart(arcmin: float) -> float:
    """Return how far stars at this distance from each other have hues of their own, 0 to 1."""
    return min(max((arcmin - MELTED_ARCMIN) / (CLEAR_ARCMIN - MELTED_ARCMIN), 0.0), 1.0)


def _singly(light: Planes, apart_arcmin: float) -> Planes:
    """Return how far each place has the hue of one star that is seen beside another, 0 to 1."""
    low, high = (np.float32(share) * light.max() for share in _STAR_DISC)
    disc = np.clip((light - low) / (high - low + np.float32(1e-30)), 0.0, 1.0)
    return np.asarray(np.float32(apart(apart_arcmin)) * disc, np.float32)


def _between_columns(ratios: Planes, step: int, columns: int) -> Hue:
    """Return hues of blocks as `Hue`, drawn out to so many columns."""
    low, high, part = _between(0, columns, step, ratios.shape[2])
    above = ratios.take(low, axis=2)
    return Hue(ratios=above + part * (ratios.take(high, axis=2) - above), step=step)


def _inside(light: Planes, sigma: float) -> Planes:
    """Return how far each place lies inside what is lit: 0 at a straight edge, 1 well inside."""
    lit = (light > np.float32(LIT) * light.max()).astype(np.float32)
    covered = _blur(lit[None], sigma)[0]
    return np.asarray(np.clip(np.float32(4.0) * covered - np.float32(3.0), 0.0, 1.0))


def _blue_of_all(planes: Planes) -> float:
    """Return Z over Y of all of a picture's light."""
    return float(planes[2].sum(dtype=float) / max(planes[1].sum(dtype=float), 1e-30))


def _lone(wide: Planes, here: Planes, blue: float) -> Planes:
    """Return means of Y and Z around each place, where it is brighter filled up to its own light.

    A peak in the dark fills little of the ground that is blind for blue, and its own blue lies
    elsewhere: what is not there is taken as of the picture's hue.

    Parameters
    ----------
    wide
        (2, ny, nx) mean Y and Z over as much as is blind for blue.
    here
        (ny, nx) Y of each place itself.
    blue
        Z over Y of the picture.
    """
    lacks = np.maximum(here - wide[0], np.float32(0.0))
    return np.stack([wide[0] + lacks, wide[1] + np.float32(blue) * lacks])


def _surround(planes: Planes, pixels_per_degree: float) -> Planes:
    """Return means over the wide surround of each place; smooth, so on a coarser grid yet."""
    sigma = math.sqrt(SURROUND_ARCMIN**2 - SIGMA_ARCMIN**2) / 60.0 * pixels_per_degree
    step = max(1, min(int(sigma / 3.0), min(planes.shape[1:]) // 4))
    coarse = _blur(_shrink(planes, step), math.sqrt(sigma**2 - step**2 / 4.0) / step)
    for axis in (1, 2):
        count = planes.shape[axis]
        low, high, part = _between(0, count, step, coarse.shape[axis])
        share = part[:, None] if axis == 1 else part
        above = coarse.take(low, axis)
        coarse = above + share * (coarse.take(high, axis) - above)
    return coarse


def _between(
    first: int, count: int, step: int, blocks: int
) -> tuple[NDArray[np.intp], NDArray[np.intp], Planes]:
    """Return the blocks before and after each pixel's centre, and how far it lies between."""
    place = (np.arange(first, first + count, dtype=np.float32) + 0.5) / step - 0.5
    place = np.clip(place, 0.0, blocks - 1)
    low = np.minimum(place.astype(np.intp), max(blocks - 2, 0))
    high = np.minimum(low + 1, blocks - 1)
    return low, high, (place - low).astype(np.float32)


def _shrink(planes: Planes, step: int) -> Planes:
    """Return the mean of blocks of step x step pixels; edge blocks repeat the edge."""
    ny, nx = planes.shape[1:]
    if ny % step or nx % step:
        planes = np.pad(planes, ((0, 0), (0, -ny % step), (0, -nx % step)), mode="edge")
    count, my, mx = planes.shape
    columns = planes.reshape(count, my, mx // step, step)
    wide = sum((columns[..., k] for k in range(1, step)), columns[..., 0])
    rows = wide.reshape(count, my // step, step, mx // step)
    total = sum((rows[:, :, k] for k in range(1, step)), rows[:, :, 0])
    return np.asarray(total * np.float32(1.0 / step**2))


def _taps(sigma: float) -> NDArray[np.float32]:
    """Return a kernel of this standard deviation, summing to 1."""
    if sigma < 0.7:
        # Too narrow to sample: three taps of exactly this variance.
        side = sigma**2 / 2.0
        return np.array([side, 1.0 - 2.0 * side, side], np.float32)
    reach = math.ceil(3.0 * sigma)
    taps = np.exp(-(np.arange(-reach, reach + 1) ** 2) / (2.0 * sigma**2))
    return np.asarray(taps / taps.sum(), np.float32)


def _blur(planes: Planes, sigma: float) -> Planes:
    """Convolve with a Gaussian, edges repeated."""
    if sigma == 0.0:
        return planes
    down, across = (_running(sigma, count) for count in planes.shape[1:])
    return banded.across(banded.down(down, planes), across)


@lru_cache(maxsize=16)
def _running(sigma: float, count: int) -> banded.Band:
    """Return a Gaussian's running means along a line of so many pixels."""
    return banded.running_means(_taps(sigma), count)
