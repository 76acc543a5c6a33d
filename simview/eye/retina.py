"""The image on the retina: where scene, air, telescope, eyepiece and eye meet.

All transfer functions multiply once, wavelength by wavelength, into one kernel for each
primary of the scene and each channel of the eye; the scene is transformed once and convolved.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.banded import cubic_weights
from simview.eye.dots import star_planes
from simview.eye.glare import Veil
from simview.eye.kernels import Sharp
from simview.eye.pruned import fast_length, lit_box, rows_of, spectrum_of
from simview.eye.scatter import WIDE_MM
from simview.eyepiece.beam import Orientation
from simview.eyepiece.orientation import orient
from simview.scene.scene import Scene, Stars
from simview.scene.star_colour import rgb_of_temperature
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

Planes = NDArray[np.float32]
# See `Retina`.
Hues = Literal["pooled", "clear", "seen"]


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
    lit_white
        The same as it falls on the lit places of the picture; None where it is `white`.
    hues
        How the hue of surfaces is seen: "pooled" over as much as eyes pool it; "clear", as where it
        is all in focus and well above its threshold, on a planet; "seen" where `extended` has it
        already as it is seen.
    age_years, beam_mm
        Of the eye and of the beam that enters it, for the light that stars scatter there.
    beyond
        (4, ny, nx) what bright stars have besides what `points` holds of them; None for nothing.
    around
        (ny, nx) how bright the light around stars prints, white = 1; None where nobody asked.
    dot_gain
        How many times more light the dots of `points` and `beyond` hold than stars have.
    apart_arcmin
        How far apart at the eye the closest stars stand that are seen as two; None where nobody
        asked.
    """

    extended: Planes
    points: Planes
    pixels_per_degree: float
    eye_pupil_mm: float
    white: tuple[float, float, float] | None = None
    lit_white: tuple[float, float, float] | None = None
    hues: Hues = "pooled"
    age_years: float = 40.0
    beam_mm: float = WIDE_MM
    beyond: Planes | None = None
    around: Planes | None = None
    dot_gain: float = 1.0
    apart_arcmin: float | None = None


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
        around=None if retina.around is None else drawn(retina.around),
        pixels_per_degree=pixels_per_degree,
    )


def _through(seen: Planes, veil: Planes, share: float, hides: float) -> Planes:
    """Return light as it is seen through a veil that is in it; see `Exposure.less_veil`."""
    own = seen - veil
    np.maximum(own, np.float32(0.0), out=own)
    left = np.minimum(veil, seen)
    if hides > 0.0:
        clear = own * own
        lost = np.float32(hides) * left
        lost *= lost
        lost += clear
        np.maximum(lost, np.float32(1e-24), out=lost)
        clear /= lost
        own *= clear
    left *= np.float32(1.0 - share)
    own += left
    return np.asarray(own)


# Pictures are convolved in pieces of about so many pixels a side, which stay in the processor's
# cache, or of so many kernels' widths where that is more. Choices by trial.
_PIECE: Final = 290
_BLOCK: Final = 3.3

# Planes that differ by less than this part of their brightest pixel, several times their rounding
# errors, have one colour.
_ALIKE: Final = 3e-7


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
    sides = [side - k for side in planes.shape[1:]]
    answer = np.zeros((kernel.shape[0], *sides), np.float32)
    # A planet, or its moons, are small in a wide dark field: light goes no farther than a kernel.
    lit = lit_box(planes)
    down, right = (_way(box, k, side) for box, side in zip(lit, sides, strict=True))
    if down is not None and right is not None:
        lens = kernel[..., down.taps, right.taps]
        _convolved(planes[:, *lit], lens, answer[:, down.reached, right.reached], (down, right))
    return np.maximum(answer, 0.0, out=answer)


def even_light(planes: Planes, kernel: Planes) -> Planes:
    """Return `convolve` of light that is even over more than a kernel's width."""
    k = kernel.shape[-1]
    ny, nx = planes.shape[1:]
    # A kernel is centred on k // 2.
    first = k - k // 2
    middle = planes[:, first : first + ny - k, first : first + nx - k]
    return np.asarray(np.tensordot(kernel.sum(axis=(2, 3)), middle, axes=1), np.float32)


class _Way(NamedTuple):
    """How light spreads along one axis: from lit pixels through taps of the kernel."""

    taps: slice  # those that bring light onto the picture
    reached: slice  # pixels of the picture
    first: int  # where these begin in the convolution of lit pixels and taps
    length: int  # of transforms long enough that what runs around spoils none of them


def _way(lit: slice, k: int, side: int) -> _Way | None:
    """Return the way of light from the lit pixels of a line to a picture so long; None for none.

    Pixel i of the picture takes the kernel's tap i + k - j from pixel j.
    """
    first, last = max(lit.start - k, 0), min(lit.stop - 1, side)
    if first >= last:
        return None
    low, high = max(first + k - lit.stop + 1, 0), min(last + k - lit.start, k)
    begin = first + k - lit.start - low
    whole = lit.stop - lit.start + high - low - 1
    length = max(whole - begin, begin + last - first, lit.stop - lit.start, high - low)
    return _Way(slice(low, high), slice(first, last), begin, fast_length(length))


def _convolved(planes: Planes, kernel: Planes, answer: Planes, ways: tuple[_Way, _Way]) -> None:
    """Convolve all of the planes with all of the kernel, and write where `ways` lead."""
    planes, kernel = _of_one_colour(planes, kernel)
    taps, side = max(kernel.shape[2:]), max(answer.shape[1:])
    count = round(side / (max(_PIECE, _BLOCK * taps) - taps))
    if count > 1:
        _by_blocks(planes, kernel, answer, ways, fast_length(side / count + taps))
        return
    shape = (ways[0].length, ways[1].length)
    rows, columns = (
        slice(way.first, way.first + side) for way, side in zip(ways, answer.shape[1:], strict=True)
    )
    scene = spectrum_of(planes, shape)
    for c in np.flatnonzero(kernel.any(axis=(1, 2, 3))):
        # One primary after the other: at the largest sheets a spectrum takes tens of megabytes.
        total = spectrum_of(kernel[c, 0], shape)
        total *= scene[0]
        for primary in range(1, len(scene)):
            lens = spectrum_of(kernel[c, primary], shape)
            lens *= scene[primary]
            total += lens
        answer[c] = rows_of(total, shape[1], rows)[:, columns]


def _by_blocks(
    planes: Planes, kernel: Planes, answer: Planes, ways: tuple[_Way, _Way], length: int
) -> None:
    """Do what `_convolved` does in pieces of so many pixels a side, kernels being far smaller.

    Each kernel is transformed at that length only. Source: overlap-save, Oppenheim and Schafer,
    Discrete-Time Signal Processing, section 8.7.3.
    """
    taps = kernel.shape[2:]
    steps = [length - tap + 1 for tap in taps]
    counts = [-(-side // step) for side, step in zip(answer.shape[1:], steps, strict=True)]
    # A piece begins as many pixels before its first wanted one as the kernel reaches.
    starts = [way.first - tap + 1 for way, tap in zip(ways, taps, strict=True)]
    right = counts[1] * steps[1] + taps[1] - 1
    here, there = _shared(starts[1], right, planes.shape[2])
    # One row of pieces at a time: all of them take as much room again as the planes.
    strip = np.zeros((len(planes), length, right), np.float32)
    pieces = np.lib.stride_tricks.sliding_window_view(strip, length, axis=2)[:, :, :: steps[1]]
    lenses = spectrum_of(kernel, (length, length))
    for row in range(counts[0]):
        top = row * steps[0]
        rows, within = _shared(starts[0] + top, length, planes.shape[1])
        strip[:, : within.start] = strip[:, within.stop :] = 0.0
        strip[:, within, there] = planes[:, rows, here]
        scene = spectrum_of(pieces.swapaxes(1, 2), (length, length))
        bottom = min(top + steps[0], answer.shape[1])
        for channel, lens in zip(answer, lenses, strict=True):
            total = scene[0] * lens[0]
            for primary in range(1, len(scene)):
                total += scene[primary] * lens[primary]
            lit = rows_of(total, length, slice(taps[0] - 1, taps[0] - 1 + bottom - top))
            line = lit[..., taps[1] - 1 :].swapaxes(0, 1).reshape(bottom - top, -1)
            channel[top:bottom] = line[:, : answer.shape[2]]


def _shared(start: int, count: int, size: int) -> tuple[slice, slice]:
    """Return which of so many places from `start` on lie on a line from 0: there, and of them."""
    low = max(start, 0)
    high = max(min(start + count, size), low)
    return slice(low, high), slice(low - start, high - start)


def _of_one_colour(planes: Planes, kernel: Planes) -> tuple[Planes, Planes]:
    """Return planes that are all alike but for their strength as one, with kernels for their sum.

    Others are returned as they are.
    """
    if len(planes) == 1:
        return planes, kernel
    whole = planes.reshape(len(planes), -1)
    strongest, place = np.unravel_index(int(whole.argmax()), whole.shape)
    main = whole[strongest]
    tint = whole[:, place] / main[place]
    least = _ALIKE * main[place]
    if any(
        np.abs(plane - part * main).max() > least for plane, part in zip(whole, tint, strict=True)
    ):
        return planes, kernel
    return planes[strongest : strongest + 1], np.tensordot(tint, kernel, axes=(0, 1))[:, None]


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
        What the eyepiece's glass does to planes of a whole field, told whether they are `smooth`
        (`simview.eyepiece.traced.through_glass`); None for nothing.
    veil
        What the whole field's light scatters in the eye, for other exposures of the same view;
        None where there is none.
    white, lit_white, hues, age_years, beam_mm
        As in `Retina`.
    aside_arcsec
        Where in the field its middle lies, right and up of the field's own.
    above
        (N,) each star's light over what is just seen at its place; None where nothing is judged.
    rise, halo_cd_m2
        (N,) how much of that is due to surfaces behind it; light of brighter stars at its place.
    fading
        (n, n) the share of an even field's light that the eyepiece leaves at each place: it draws
        the field larger towards its edge. None for all.
    sharp
        Stars' kernels where `star_lens` is wider than they are; None where it is not.
    dot_gain
        As in `Retina`.
    """

    extended: Planes
    scene: Scene
    lens: Planes
    star_lens: Planes
    spot_arcsec: float
    orientation: Orientation
    pixels_per_degree: float
    eye_pupil_mm: float
    glass: Callable[..., Planes] | None = None
    veil: Veil | None = None
    white: tuple[float, float, float] | None = None
    lit_white: tuple[float, float, float] | None = None
    hues: Hues = "pooled"
    age_years: float = 40.0
    beam_mm: float = WIDE_MM
    aside_arcsec: tuple[float, float] = (0.0, 0.0)
    above: NDArray[np.float64] | None = None
    rise: NDArray[np.float64] | None = None
    halo_cd_m2: NDArray[np.float64] | None = None
    fading: Planes | None = None
    sharp: Sharp | None = None
    dot_gain: float = 1.0

    def evened(self) -> Exposure:
        """Return the same with surfaces as light towards the edge of the field as in its middle.

        What an eyepiece draws larger it spreads thinner; an eye that wanders over the field finds
        it even.
        """
        if self.fading is None:
            return self
        return replace(self, extended=self.extended / self.fading, fading=None)

    def less_veil(self, share: float, hides: float = 0.0) -> Exposure:
        """Return the same with this share of the glare taken off its surfaces, near and far.

        Parameters
        ----------
        share
            0 to 1.
        hides
            A surface of so much of the veil's light is half lost in it, one of less wholly: that
            much of its own light is left out. 0 leaves all of it.
        """
        if self.veil is None:
            return self
        pixel = self.scene.pixel_arcsec
        across, up = self.aside_arcsec
        # Of luminance and of the rods' light only: hue is that of what falls on the retina, while
        # lightness is seen through the veil.
        seen = self.extended[1::2]
        veil = replace(self.veil, planes=self.veil.planes[1::2])
        scattered = veil.alone(
            seen.shape[-1],
            pixels_per_degree=self.pixels_per_degree,
            aside_px=(across / pixel, -up / pixel),
        )
        scattered += veil.near_of(seen - scattered, self.pixels_per_degree)
        luminous, rods = _through(seen, scattered, share, hides)
        luminous /= np.maximum(seen[0], np.float32(1e-12))
        less = np.empty_like(self.extended)
        np.multiply(self.extended[:3], luminous, out=less[:3])
        less[3] = rods
        return replace(self, extended=less)

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
        least_td: float = 0.0,
    ) -> Retina:
        """Return the image on the retina, each star's light multiplied by its factor.

        Parameters
        ----------
        star_factors
            (N,); None leaves stars their own light.
        cores
            (N,) the share of that which goes into `points`; the rest goes `beyond`.
        least_td
            Stars' light of less than this, multiplied as it is, is none.
        """
        stars = self.scene.stars
        beyond = None
        if not len(stars):
            points = np.zeros(self.extended.shape, np.float32)
        else:
            factors = np.ones(len(stars)) if star_factors is None else star_factors
            if cores is not None and cores.min() < 1.0:
                bright = cores < 1.0
                rest = (factors * (1.0 - cores))[bright]
                far = self.star_light(stars.picked(bright), rest, least_td)
                beyond = orient(far, self.orientation)
                factors = factors * cores
            points = orient(self.star_light(stars, factors, least_td), self.orientation)
        return Retina(
            extended=orient(self.extended, self.orientation),
            points=points,
            beyond=beyond,
            pixels_per_degree=self.pixels_per_degree,
            eye_pupil_mm=self.eye_pupil_mm,
            white=self.white,
            lit_white=self.lit_white,
            hues=self.hues,
            age_years=self.age_years,
            beam_mm=self.beam_mm,
            dot_gain=self.dot_gain,
        )

    @property
    def haze_pixel_arcsec(self) -> float:
        """Pixel of the shapes of clusters' hazes, on the sky."""
        return self.scene.pixel_arcsec

    def imaged(self, planes: Planes) -> Planes:
        """Return (4, n, n) what light on planes like the scene's brings to the retina."""
        return convolve(planes, self.lens)

    def star_light(
        self, stars: Stars, factors: NDArray[np.float64], least_td: float = 0.0
    ) -> Planes:
        """Return (4, n, n) the light of stars, each multiplied by its factor, not yet turned."""
        tint = rgb_of_temperature(stars.temperature_k) * factors[:, None]
        side = self.extended.shape[-1] + self.star_lens.shape[-1]
        light = convolve(star_planes(stars, tint, self.scene.pixel_arcsec, side), self.star_lens)
        if least_td > 0.0:
            light *= light[1] >= np.float32(least_td)
        return light if self.glass is None else self.glass(light)
