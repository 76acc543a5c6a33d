"""The image on the retina: where scene, air, telescope, eyepiece and eye meet.

All transfer functions multiply once, wavelength by wavelength, into one kernel for each
primary of the scene and each channel of the eye; the scene is transformed once and convolved.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.eye.dots import star_planes
from simview.eye.glare import Veil
from simview.eye.pruned import Spectrum, fast_length, lit_box, rows_of, spectrum_of
from simview.eyepiece.beam import Orientation
from simview.eyepiece.orientation import orient
from simview.scene.scene import Scene, Stars
from simview.scene.star_colour import rgb_of_temperature
from simview.telescope.phase_map import cubic_weights
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

Planes = NDArray[np.float32]

# Edges of the band that is split evenly among the wavelengths, nm; light outside it is counted
# with the nearest wavelength (V falls below 0.4 % of its peak at both ends).
BAND_NM: Final = (420.0, 690.0)

# How far a kernel reaches, in lambda / D and in widths of the blur: there the skirt of a clear
# aperture's image has fallen to 1e-6 of its middle. From SOFT_FROM of this radius on it fades.
REACH_AIRY: Final = 28.0
REACH_BLUR: Final = 6.0
SOFT_FROM: Final = 0.7

# Largest fine pixel in lambda / D at 550 nm: under half of it at the shortest wavelength, where
# no light lies beyond the frequencies of the samples.
SAMPLE_AIRY: Final = 0.38

# Fewer samples than pixels are taken where they are fewer than this share of them.
WORTH: Final = 0.85


@dataclass(frozen=True, slots=True, kw_only=True)
class Retina:
    """What falls on the retina, and what stars put there.

    Parameters
    ----------
    extended, points
        (4, ny, nx) float32 in troland: CIE X, Y, Z and scotopic V'. The view is as the eye
        sees it (turned or mirrored). `points` holds the stars, each already multiplied by the
        factor that the caller gave for printing.
    pixels_per_degree
        Of apparent angle.
    eye_pupil_mm
        The eye's own pupil: troland / (pi/4 pupil^2) is the luminance in cd/m2 that would look
        as bright without an instrument.
    white
        XYZ of the light that a white surface there would send, at any level; None is not known.
    age_years
        Of the eye, for the light that stars scatter in it.
    beyond
        (4, ny, nx) what bright stars have besides what `points` holds of them; None for nothing.
    """

    extended: Planes
    points: Planes
    pixels_per_degree: float
    eye_pupil_mm: float
    white: tuple[float, float, float] | None = None
    age_years: float = 40.0
    beyond: Planes | None = None


def enlarged(retina: Retina, pixels_per_degree: float, pixels: int) -> Retina:
    """Return the middle of a retinal image at a finer scale, smooth between its pixels.

    Parameters
    ----------
    pixels_per_degree
        Wanted; at least the image's own.
    pixels
        Side of the square wanted; its centre n // 2 is the image's own.

    Notes
    -----
    For scales finer than any eye resolves: there the light is the same whether it is computed at
    that scale or drawn out (Keys 1981, cubic convolution).
    Checked by: tests/unit/eye/test_retina_scales.py
    """
    count = retina.extended.shape[-1]
    step = retina.pixels_per_degree / pixels_per_degree
    places = (np.arange(pixels) - pixels // 2) * step + count // 2
    weights = cubic_weights(places, count).astype(np.float32)

    def drawn(planes: Planes) -> Planes:
        return np.maximum(weights @ planes @ weights.T, np.float32(0.0))

    return replace(
        retina,
        extended=drawn(retina.extended),
        points=drawn(retina.points),
        beyond=None if retina.beyond is None else drawn(retina.beyond),
        pixels_per_degree=pixels_per_degree,
    )


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
    efficacy = np.array([683.0, 683.0, 683.0, 1700.0])[:, None, None]
    step = grid[1] - grid[0]
    effect = efficacy * step * response[:, None, :] * primaries[None, :, :]
    answer = np.zeros((response.shape[0], primaries.shape[0], count))
    for index in range(count):
        answer[:, :, index] = effect[:, :, band == index].sum(axis=2)
    return answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Sampling of a kernel: `size` coarse pixels of `pixel_arcsec`, each split `split` times.

    Where the pixels are finer than the light needs, `enough` fine pixels fill the same square:
    beyond their frequencies there is no light.
    """

    size: int
    pixel_arcsec: float
    split: int
    enough: int | None = None

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
        fx = np.fft.rfftfreq(self.fine_size, self.fine_arcsec)[None, :]
        fy = np.fft.fftfreq(self.fine_size, self.fine_arcsec)[:, None]
        return fx, fy


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
        Largest number of fine pixels along a side.
    """
    airy = ARCSEC_PER_RADIAN * 550e-6 / aperture_mm
    reach = 2.0 * max(REACH_AIRY * airy, REACH_BLUR * blur_arcsec, 3.0 * pixel_arcsec)
    size = _even(min(max(reach / pixel_arcsec, 8.0), limit))
    pixels = pixel_arcsec / (SAMPLE_AIRY * airy)
    split = max(1, min(math.ceil(pixels), limit // size))
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
    n_fine, split = grid.fine_size, grid.split
    fx, fy = grid.frequencies()
    # The centre of the middle coarse pixel lies (split - 1)/2 fine pixels past its first one.
    middle = grid.pixel_arcsec * (grid.size // 2) + grid.fine_arcsec * (split - 1) / 2.0
    centre = middle - grid.fine_arcsec * (n_fine // 2)
    ramp_x = np.exp(-2j * np.pi * fx * centre).astype(np.complex64)
    transfers = np.empty((len(spreads), n_fine, n_fine // 2 + 1), np.complex64)
    for index, spread in enumerate(spreads):
        rise = centre - shift_arcsec[index]
        ramp_y = np.exp(-2j * np.pi * fy * rise).astype(np.complex64)
        transfers[index] = spectrum_of(spread.astype(np.float32, copy=False), spread.shape)
        transfers[index] *= factors[index] * ramp_x * ramp_y
    mixing = weights.reshape(-1, len(spreads)).astype(np.float32)
    flat = transfers.reshape(len(spreads), -1).view(np.float32)
    total = (mixing @ flat).view(np.complex64)
    total = total.reshape(*weights.shape[:2], n_fine, n_fine // 2 + 1)
    if n_fine < grid.size:
        total = _taller(total, grid.size)
    fine = rows_of(total, max(n_fine, grid.size))
    if split > 1:
        shape = (*weights.shape[:2], grid.size, split, grid.size, split)
        fine = fine.reshape(shape).sum(axis=(3, 5))
    return np.asarray(fine * _window(grid.size), np.float32)


def _taller(spectrum: Spectrum, size: int) -> Spectrum:
    """Return a spectrum with zeros at the higher frequencies along y, for so many rows."""
    half = spectrum.shape[-2] // 2
    tall = np.zeros((*spectrum.shape[:-2], size, half), np.complex64)
    # The highest frequency of all, which has no partner, lies past the cut-off and is left out.
    tall[..., :half, :] = spectrum[..., :half, :half]
    if half > 1:
        tall[..., 1 - half :, :] = spectrum[..., 1 - half :, :half]
    return tall


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


def width_px(kernel: Planes) -> float:
    """Return the full width at half maximum of the luminance kernel in pixels, roughly."""
    luminous = kernel[1].sum(axis=0)
    return 2.0 * math.sqrt(float(np.count_nonzero(luminous >= luminous.max() / 2.0)) / math.pi)


def convolve(planes: Planes, kernel: Planes) -> Planes:
    """Convolve three primaries with (4, 3, k, k) kernels; return the valid middle.

    Parameters
    ----------
    planes
        (3, ny, nx); the outer k // 2 pixels on each side only lend their light.

    Returns
    -------
    (4, ny - k, nx - k) float32; its centre pixel n // 2 is the planes' centre pixel when ny
    and k are even.
    """
    k = kernel.shape[-1]
    ny, nx = planes.shape[1:]
    answer = np.zeros((kernel.shape[0], ny - k, nx - k), np.float32)
    # A planet, or its moons, are small in a wide dark field: light goes no farther than a kernel.
    rows, columns = (
        slice(max(lit.start - k, 0), min(lit.stop, whole - k))
        for lit, whole in zip(lit_box(planes), (ny, nx), strict=True)
    )
    if rows.start < rows.stop and columns.start < columns.stop:
        around = planes[:, rows.start : rows.stop + k, columns.start : columns.stop + k]
        _convolved(around, kernel, answer[:, rows, columns])
    return np.maximum(answer, 0.0, out=answer)


def _convolved(planes: Planes, kernel: Planes, answer: Planes) -> None:
    """Convolve all of the planes into `answer`; see `convolve`."""
    k = kernel.shape[-1]
    ny, nx = planes.shape[1:]
    # Circular wrap-around only spoils the outer k pixels, which are cut off.
    shape = (fast_length(ny), fast_length(nx))
    scene = spectrum_of(planes, shape)
    for c in range(kernel.shape[0]):
        # One primary after the other: at the largest sheets a spectrum takes tens of megabytes.
        total = spectrum_of(kernel[c, 0], shape)
        total *= scene[0]
        for primary in range(1, len(scene)):
            lens = spectrum_of(kernel[c, primary], shape)
            lens *= scene[primary]
            total += lens
        # A kernel centred on k // 2 moves everything by k // 2.
        answer[c] = rows_of(total, shape[1], slice(k, ny))[:, k:nx]


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """A view exposed at one sampling, before anyone decides how its stars are printed.

    Parameters
    ----------
    extended
        (4, n, n) troland of surfaces and sky, north up.
    scene
        As painted; wider than the exposure by the kernel's size.
    lens
        (4, 3, k, k) kernels from primaries to channels.
    star_lens
        The same for stars; wider where the print could not show so small a point.
    spot_arcsec
        Diameter of the spot that a star's light fills for the eye, on the sky.
    orientation
        How the view is turned.
    glass
        What the eyepiece's glass does to planes of a whole field; None for nothing.
    veil
        What the whole field's light scatters in the eye, for other exposures of the same view;
        None where there is none.
    white, age_years
        As in `Retina`.
    aside_arcsec
        Where in the field its middle lies, right and up of the field's own.
    above
        (N,) each star's light over what is just seen at its place; None where nothing is judged.
    rise, halo_cd_m2
        (N,) how much of that is due to surfaces behind it; light of brighter stars at its place.
    """

    extended: Planes
    scene: Scene
    lens: Planes
    star_lens: Planes
    spot_arcsec: float
    orientation: Orientation
    pixels_per_degree: float
    eye_pupil_mm: float
    glass: Callable[[Planes], Planes] | None = None
    veil: Veil | None = None
    white: tuple[float, float, float] | None = None
    age_years: float = 40.0
    aside_arcsec: tuple[float, float] = (0.0, 0.0)
    above: NDArray[np.float64] | None = None
    rise: NDArray[np.float64] | None = None
    halo_cd_m2: NDArray[np.float64] | None = None

    def less_veil(self, share: float) -> Exposure:
        """Return the same with this share of the glare taken off its surfaces, near and far."""
        if self.veil is None:
            return self
        pixel = self.scene.pixel_arcsec
        across, up = self.aside_arcsec
        scattered = self.veil.alone(
            self.extended.shape[-1],
            pixels_per_degree=self.pixels_per_degree,
            aside_px=(across / pixel, -up / pixel),
        )
        scattered += self.veil.near_of(self.extended - scattered, self.pixels_per_degree)
        less = self.extended - np.float32(share) * scattered
        return replace(self, extended=np.maximum(less, np.float32(0.0)))

    def behind_stars(self) -> NDArray[np.float64]:
        """Return (N,) the troland (Y) of surfaces and sky at each star; 0 outside the picture."""
        stars, plane = self.scene.stars, self.extended[1]
        n = plane.shape[-1]
        column = np.rint(n // 2 + stars.x_arcsec / self.scene.pixel_arcsec).astype(int)
        row = np.rint(n // 2 - stars.y_arcsec / self.scene.pixel_arcsec).astype(int)
        inside = (column >= 0) & (row >= 0) & (column < n) & (row < n)
        light = np.zeros(len(stars))
        light[inside] = plane[row[inside], column[inside]]
        return light

    def star_spots(self) -> NDArray[np.float64]:
        """Return (N,) the troland (Y) of each star's light, spread evenly over its spot.

        It does not depend on the pixel.
        """
        spot_sr = math.pi / 4.0 * (self.spot_arcsec / ARCSEC_PER_RADIAN) ** 2
        return self._star_light(self.lens[1].sum(axis=(1, 2))) / spot_sr

    def spot_of(self, magnitude: float, temperature_k: float = 6500.0) -> float:
        """Return the troland (Y) of the light of any star, spread evenly over such a spot."""
        spot_sr = math.pi / 4.0 * (self.spot_arcsec / ARCSEC_PER_RADIAN) ** 2
        tint = rgb_of_temperature(np.array([temperature_k]))[0]
        light = float(illuminance_lux(magnitude) * (tint @ self.lens[1].sum(axis=(1, 2))))
        return light / spot_sr

    def star_peaks(self) -> NDArray[np.float64]:
        """Return (N,) the troland (Y) at the middle of each star's image, pixels as they are."""
        pixel_sr = (self.scene.pixel_arcsec / ARCSEC_PER_RADIAN) ** 2
        return self._star_light(self.star_lens[1].max(axis=(1, 2))) / pixel_sr

    def _star_light(self, through: NDArray[np.float32]) -> NDArray[np.float64]:
        stars = self.scene.stars
        tint = rgb_of_temperature(stars.temperature_k)
        return np.asarray(illuminance_lux(stars.magnitude) * (tint @ through))

    def retina(
        self,
        star_factors: NDArray[np.float64] | None = None,
        cores: NDArray[np.float64] | None = None,
    ) -> Retina:
        """Return the image on the retina, each star's light multiplied by its factor.

        `cores` (N,) is the share of that which goes into `points`; the rest goes `beyond`.
        """
        stars = self.scene.stars
        points, beyond = np.zeros_like(self.extended), None
        if len(stars):
            factors = np.ones(len(stars)) if star_factors is None else star_factors
            if cores is not None and cores.min() < 1.0:
                bright = cores < 1.0
                rest = (factors * (1.0 - cores))[bright]
                beyond = orient(self.star_light(stars.picked(bright), rest), self.orientation)
                factors = factors * cores
            points = self.star_light(stars, factors)
        return Retina(
            extended=orient(self.extended, self.orientation),
            points=orient(points, self.orientation),
            beyond=beyond,
            pixels_per_degree=self.pixels_per_degree,
            eye_pupil_mm=self.eye_pupil_mm,
            white=self.white,
            age_years=self.age_years,
        )

    def imaged(self, planes: Planes) -> Planes:
        """Return (4, n, n) what light on planes like the scene's brings to the retina."""
        return convolve(planes, self.lens)

    def star_light(self, stars: Stars, factors: NDArray[np.float64]) -> Planes:
        """Return (4, n, n) the light of stars, each multiplied by its factor, not yet turned."""
        tint = rgb_of_temperature(stars.temperature_k) * factors[:, None]
        side = self.extended.shape[-1] + self.star_lens.shape[-1]
        light = convolve(star_planes(stars, tint, self.scene.pixel_arcsec, side), self.star_lens)
        return light if self.glass is None else self.glass(light)
