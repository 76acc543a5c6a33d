"""The image of a point on the retina: a kernel for each primary of light and channel of the eye.

Where telescope, air and eye have each said what they do at every frequency, it is put together
here, on a grid that follows what is left.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.eye.colour import EFFICACY_LM_PER_W
from simview.eye.pruned import Spectrum, fast_length, low_rows, rows_of, spectrum_of
from simview.telescope.spread import MOST_FINE
from simview.units import ARCSEC_PER_RADIAN

Planes = NDArray[np.float32]

# Edges of the band that is split evenly among the wavelengths, nm; light outside it is counted
# with the nearest wavelength (V falls below 0.4 % of its peak at both ends).
BAND_NM: Final = (420.0, 690.0)

# How far a kernel reaches, in lambda / D and in widths of the blur: there the skirt of a clear
# aperture's image has fallen to 1e-6 of its middle. From SOFT_FROM of this radius on it fades.
# Coarse pixels hold all of that in one, and take three: a fourth changes prints of them by a step
# of 8 bits in less than a hundredth of their pixels.
REACH_AIRY: Final = 28.0
REACH_BLUR: Final = 6.0
REACH_PIXELS: Final = 3.0
SOFT_FROM: Final = 0.7

# Largest fine pixel in lambda / D at 550 nm: under half of it at the shortest wavelength, where
# no light lies beyond the frequencies of the samples.
SAMPLE_AIRY: Final = 0.38

# Fewer samples than pixels are taken where they are fewer than this share of them.
WORTH: Final = 0.85

# A factor on transfers that leaves nothing: rounding in single precision is a tenth of it. High
# frequencies are left out where those that pass are fewer than this share of all, or a pixel is
# split so often that few pixels are best summed up directly.
NOTHING: Final = 1e-5
WORTH_LEAVING: Final = 0.7
MUCH_SPLIT: Final = 4


def spectral_weights(
    primaries: NDArray[np.float64], response: NDArray[np.float64], count: int
) -> NDArray[np.float64]:
    """Split each primary's effect on each channel among `count` wavelengths.

    Parameters
    ----------
    primaries
        (3, 81) spectral radiance of the scene's primaries, 380 to 780 nm in steps of 5 nm.
    response
        (4, 81) the eye's channels, the luminous efficacy of 683 or 1700 lm/W left out.
    count
        Number of equal bands of 420 to 690 nm.

    Returns
    -------
    (4, 3, count) cd/m2 of channel for one cd/m2 of primary; the sum over the bands is exact,
    however few they are.
    """
    grid = np.linspace(380.0, 780.0, primaries.shape[1])
    low, high = BAND_NM
    band = np.clip(((grid - low) / (high - low) * count).astype(int), 0, count - 1)
    step = grid[1] - grid[0]
    effect = EFFICACY_LM_PER_W[:, None, None] * step * response[:, None, :] * primaries[None, :, :]
    answer = np.zeros((response.shape[0], primaries.shape[0], count))
    for index in range(count):
        answer[:, :, index] = effect[:, :, band == index].sum(axis=2)
    return answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Sampling of a kernel: `size` coarse pixels of `pixel_arcsec`, each split `split` times.

    Where the pixels are finer than the light needs, `enough` fine pixels fill the same square:
    beyond their frequencies there is no light. Where something passes low frequencies only, the
    lowest `kept` of them stand for all.
    """

    size: int
    pixel_arcsec: float
    split: int
    enough: int | None = None
    kept: int | None = None

    @property
    def fine_size(self) -> int:
        """Fine pixels along a side."""
        return self.enough or self.size * self.split

    @property
    def fine_arcsec(self) -> float:
        """Side of a fine pixel on the sky, arcsec."""
        return self.pixel_arcsec * self.size / self.fine_size

    def frequencies(self) -> tuple[NDArray[Any], NDArray[Any]]:
        """Return (fx, fy) of the half-plane transform, cycles per arcsec, to broadcast."""
        fx = np.fft.rfftfreq(self.fine_size, self.fine_arcsec)[: self.kept]
        fy = low_rows(np.fft.fftfreq(self.fine_size, self.fine_arcsec)[:, None], self.kept)
        return fx[None, :], fy

    def upper(self) -> tuple[NDArray[Any], NDArray[Any]]:
        """Return `frequencies` without the rows whose mirror image comes before them."""
        fx, fy = self.frequencies()
        return fx, fy[: len(fy) // 2 + 1]

    def mirrored(self, plane: NDArray[Any]) -> NDArray[Any]:
        """Return at all frequencies what is alike up and down, from those that are `upper`."""
        row = np.arange(len(self.frequencies()[1]))
        return plane[np.minimum(row, len(row) - row)]

    def passing(self, factor: Callable[[NDArray[np.float64]], NDArray[np.float64]]) -> Grid:
        """Return the same grid without the frequencies past those that anything falls to.

        Parameters
        ----------
        factor
            What is left at frequencies in cycles per arcsec: round, and falling.
        """
        along = np.asarray(np.fft.rfftfreq(self.fine_size, self.fine_arcsec), np.float64)
        kept = 1 + int(np.flatnonzero(factor(along) > NOTHING).max(initial=0))
        if kept > WORTH_LEAVING * len(along) and self.split < MUCH_SPLIT:
            return self
        # The highest of all lies past the telescope's cut-off.
        return replace(self, kept=min(max(kept, 2), len(along) - 1))


def choose_grid(
    pixel_arcsec: float, aperture_mm: float, blur_arcsec: float, *, limit: int = 768
) -> Grid:
    """Choose a kernel's sampling: no finer than the cut-off needs, no wider than light reaches.

    Parameters
    ----------
    pixel_arcsec
        Pixel of the wanted picture on the sky.
    aperture_mm
        Effective aperture.
    blur_arcsec
        Full width of what air, shake and eye add.
    limit
        Largest number of fine pixels along a side where even `MOST_FINE` do not sample the light:
        those are each summed up from nine of a plane as large as that.
    """
    airy = ARCSEC_PER_RADIAN * 550e-6 / aperture_mm
    reach = 2.0 * max(REACH_AIRY * airy, REACH_BLUR * blur_arcsec, REACH_PIXELS * pixel_arcsec)
    size = _even(min(reach / pixel_arcsec, limit))
    pixels = pixel_arcsec / (SAMPLE_AIRY * airy)
    needed = math.ceil(pixels)
    split = needed if size * needed <= MOST_FINE else max(1, min(needed, limit // size))
    enough = _even(size * pixels)
    coarser = split == 1 and enough < WORTH * size
    return Grid(
        size=size, pixel_arcsec=pixel_arcsec, split=split, enough=enough if coarser else None
    )


def _even(value: float) -> int:
    size = fast_length(value)
    while size % 2:
        size = fast_length(size + 1)
    return size


def kernels(
    spreads: NDArray[np.floating],
    factors: NDArray[np.floating] | list[NDArray[np.floating]],
    weights: NDArray[np.float64],
    grid: Grid,
    *,
    shift_arcsec: NDArray[np.float64],
) -> Planes:
    """Turn point spreads into one kernel for each channel and primary.

    Parameters
    ----------
    spreads
        (n, fine, fine) light in each fine pixel, centre at fine // 2.
    factors
        n arrays of (fine, fine // 2 + 1): what air, shake and eye do at each frequency.
    weights
        (4, 3, n) from `spectral_weights`, multiplied by what the light path passes.
    shift_arcsec
        (n,) refraction's shift upwards for each wavelength.

    Returns
    -------
    (4, 3, size, size) float32, centre at size // 2.
    """
    return kernels_of(mixed(spreads, factors, weights, grid, shift_arcsec=shift_arcsec), grid)


def mixed(
    spreads: NDArray[np.floating],
    factors: NDArray[np.floating] | list[NDArray[np.floating]],
    weights: NDArray[np.float64],
    grid: Grid,
    *,
    shift_arcsec: NDArray[np.float64],
) -> Spectrum:
    """Mix the wavelengths' transfers into one for each channel and primary.

    Parameters
    ----------
    spreads, factors, weights, shift_arcsec
        As in `kernels`, but what does the same at every wavelength may be left for afterwards.
    grid
        The kernel's sampling.

    Returns
    -------
    (4, 3, fine, fine // 2 + 1) complex64, for `kernels_of`; (4, 3, 2 kept - 1, kept) where only
    the lowest frequencies are kept.
    """
    found = (spectrum_of(np.asarray(s, np.float32), s.shape, grid.kept) for s in spreads)
    stands = grid.fine_arcsec * (grid.fine_size // 2)
    return blended(found, factors, weights, grid, shift_arcsec=shift_arcsec, stands_arcsec=stands)


def blended(
    transfers: Iterable[Spectrum],
    factors: NDArray[np.floating] | list[NDArray[np.floating]],
    weights: NDArray[np.float64],
    grid: Grid,
    *,
    shift_arcsec: NDArray[np.float64],
    stands_arcsec: float = 0.0,
) -> Spectrum:
    """Mix transfers of one star at each wavelength as `mixed` does.

    Parameters
    ----------
    transfers
        n arrays, at the frequencies of the grid.
    factors, weights, grid, shift_arcsec
        As in `mixed`.
    stands_arcsec
        Where the star stands in what was transformed, from its top left.
    """
    fx, fy = grid.frequencies()
    # The centre of the middle coarse pixel lies (split - 1)/2 fine pixels past its first one.
    middle = grid.pixel_arcsec * (grid.size // 2) + grid.fine_arcsec * (grid.split - 1) / 2.0
    centre = middle - stands_arcsec
    ramp_x = np.exp(-2j * np.pi * fx * centre).astype(np.complex64)
    passed = np.empty((len(factors), fy.shape[0], fx.shape[1]), np.complex64)
    for index, transfer in enumerate(transfers):
        ramp_y = np.exp(-2j * np.pi * fy * (centre - shift_arcsec[index])).astype(np.complex64)
        np.multiply(transfer, factors[index], out=passed[index])
        passed[index] *= ramp_x * ramp_y
    mixing = weights.reshape(-1, len(passed)).astype(np.float32)
    total: Spectrum = (mixing @ passed.reshape(len(passed), -1).view(np.float32)).view(np.complex64)
    return total.reshape(*weights.shape[:2], fy.shape[0], fx.shape[1])


def kernels_of(total: Spectrum, grid: Grid) -> Planes:
    """Return the kernels (4, 3, size, size) of transfers, which are overwritten."""
    n_fine, split = grid.fine_size, grid.split
    if grid.kept is not None:
        down, across = _waves(grid.size, split, grid.kept)
        return np.asarray(((down @ total) @ across).real * _window(grid.size), np.float32)
    window, answer = _window(grid.size), np.empty((*total.shape[:2], *2 * (grid.size,)), np.float32)
    # One after the other: what lies in between then stays near the processor.
    for index in np.ndindex(total.shape[:2]):
        spectrum = total[index] if n_fine >= grid.size else _taller(total[index], grid.size)
        fine = rows_of(spectrum, max(n_fine, grid.size))
        if split > 1:
            fine = fine.reshape(grid.size, split, grid.size, split).sum(axis=(1, 3))
        np.multiply(fine, window, out=answer[index])
    return answer


def _taller(spectrum: Spectrum, size: int) -> Spectrum:
    """Return a spectrum with zeros at the higher frequencies along y, for so many rows."""
    half = spectrum.shape[-2] // 2
    tall = np.zeros((*spectrum.shape[:-2], size, half), np.complex64)
    # The highest frequency of all, which has no partner, lies past the cut-off and is left out.
    tall[..., :half, :] = spectrum[..., :half, :half]
    if half > 1:
        tall[..., 1 - half :, :] = spectrum[..., 1 - half :, :half]
    return tall


@lru_cache(maxsize=16)
def _waves(size: int, split: int, kept: int) -> tuple[Spectrum, Spectrum]:
    """Return what takes few frequencies to pixels, each the sum of `split` fine ones.

    As matrices: (size, 2 kept - 1) along y, and (kept, size) along x, where those to the left of
    0, which are the conjugates, are counted with those to the right.
    """
    fine = size * split
    number = np.concatenate([np.arange(kept), np.arange(1 - kept, 0)])
    # The fine pixels of a coarse one add up alike in all of them, but for where that one stands.
    within = np.exp(2j * np.pi / fine * np.outer(np.arange(split), number)).sum(axis=0) / fine
    waves = np.exp(2j * np.pi / size * (np.outer(np.arange(size), number) % size)) * within
    twice = np.where(np.arange(kept) == 0, 1.0, 2.0)
    return waves.astype(np.complex64), (waves[:, :kept] * twice).T.astype(np.complex64)


@lru_cache(maxsize=8)
def _window(size: int) -> NDArray[np.float32]:
    """Return a round window with a soft edge, so that no square ends a bright thing's skirt."""
    offset = (np.arange(size) - size // 2) / (size / 2.0)
    radius = np.hypot(offset[:, None], offset[None, :])
    fall = np.clip((radius - SOFT_FROM) / (1.0 - SOFT_FROM), 0.0, 1.0)
    return np.asarray(np.cos(np.pi / 2.0 * fall) ** 2, dtype=np.float32)


def widened(kernel: Planes, width_px: float) -> Planes:
    """Return kernels blurred by a Gaussian of this full width, their light unchanged.

    A picture's pixel may be larger than a star's image; spread over two of them, a star keeps
    its brightness wherever it falls between the pixels.
    """
    sigma = width_px / 2.3548
    reach = math.ceil(3.5 * sigma)
    offsets = np.arange(-reach, reach + 1)
    taps = np.exp(-0.5 * (offsets / sigma) ** 2)
    taps = (taps / taps.sum()).astype(np.float32)
    # Even margins keep the centre at n // 2.
    pad = 2 * math.ceil(reach / 2)
    wide = np.pad(kernel, ((0, 0), (0, 0), (pad, pad), (pad, pad)))
    for axis in (2, 3):
        wide = sum(
            (
                tap * np.roll(wide, int(shift), axis)
                for tap, shift in zip(taps, offsets, strict=True)
            ),
            start=np.zeros_like(wide),
        )
    return wide


class Sharp(NamedTuple):
    """Stars' kernels as they are, where a picture draws them with dots of a least width instead.

    `middle_arcsec2` is the share of a star's light in the middle of its image, 1/arcsec2.
    """

    lens: Planes
    dot_px: float
    middle_arcsec2: float

    def dots(self, lens: Planes, pixel_arcsec: float) -> tuple[Planes, float]:
        """Return `as_dots` of a lens that is this one or like it; pixels of this side on the sky.

        And how many times more light its dots hold than stars have.
        """
        whole = lens[1].sum(dtype=float)
        found = as_dots(lens, self.dot_px, self.middle_arcsec2 * pixel_arcsec**2 * whole)
        return found, float(found[1].sum(dtype=float) / whole)


def as_dots(kernel: Planes, dot_px: float, middle: float) -> Planes:
    """Return kernels with their middles as dots of this width, and all around them as it was.

    A dot has the light of a star's middle over all of its width, so that it may be multiplied by
    what the star is multiplied by where it is drawn as fine as it is. What lies around it, rings,
    haze and colours, then comes out alike in a picture of large pixels and in one of small ones.

    Parameters
    ----------
    kernel
        (4, 3, k, k), its centre at k // 2, finer than a dot.
    dot_px
        Full width of the dots, pixels.
    middle
        Light (Y of all primaries) in the middle pixel were pixels small.

    Notes
    -----
    Checked by: tests/unit/picture/test_stars_alike_at_any_scale.py
    """
    away = np.arange(kernel.shape[-1]) - kernel.shape[-1] // 2
    apart = np.hypot(away[:, None], away[None, :]) / (0.5 * dot_px)
    near = (np.cos(np.pi / 2.0 * np.clip(apart - 1.0, 0.0, 1.0)) ** 2).astype(np.float32)
    core = kernel * near
    wide = widened(core, dot_px)
    most = float(wide[1].sum(axis=0).max())
    if most > 0.0:
        wide *= np.float32(max(middle / most, 1.0))
    pad = (wide.shape[-1] - kernel.shape[-1]) // 2
    inner = slice(pad, pad + kernel.shape[-1])
    wide[..., inner, inner] += kernel - core
    return wide


def width_px(kernel: Planes) -> float:
    """Return the full width at half maximum of the luminance kernel in pixels, roughly."""
    luminous = kernel[1].sum(axis=0)
    return 2.0 * math.sqrt(float(np.count_nonzero(luminous >= luminous.max() / 2.0)) / math.pi)
