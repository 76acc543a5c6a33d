"""The camera of a view's film: what stays the same from frame to frame, and one frame.

The object is transformed once, mixed for each channel of the eye and each band of light; a frame
then costs one transform for each band's point spread and one back for each channel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from simview.air import glow, refraction
from simview.executor.threads import one_blas_thread
from simview.eye.aided import aid_of
from simview.eye.dots import star_planes
from simview.eye.kernels import Grid, Planes, choose_grid, kernels, width_px
from simview.eye.pruned import fast_length, rows_of, spectrum_of
from simview.eye.retina import Exposure, Retina, convolve
from simview.eyepiece.orientation import orient
from simview.kit import Mount
from simview.picture.films.motion import Motion, Shaken, mean
from simview.picture.prints import tone
from simview.picture.prints.display import Display
from simview.picture.prints.pair_prints import around_pair
from simview.scene.spectrum import band_centres_nm
from simview.scene.star_colour import rgb_of_temperature
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN
from simview.view import View

Print = NDArray[np.uint8]
Spectrum = NDArray[np.complex64]

# Bands of light in a film. A choice, half of a still view's: frames blend over time as well.
BANDS: Final = 5

# Pixels across the whole field that sets the adaptation.
_WIDE_PX: Final = 360

# Least width of a star, computed pixels; a choice, so that it does not flicker from pixel to pixel.
STAR_PX: Final = 1.7

# A shaking mount may carry the object this many widths of the picture away before it is lost.
_LOST: Final = 1.0

# Up to this many pixels across, what is shown and what shake brings in are transformed once for
# the whole film; beyond, memory and time speak for a window in each frame.
_AT_ONCE: Final = 900

# A mount that does not blur: each frame is a moment.
_FIXED: Final = Mount(kind="fixed")


class Framed(Protocol):
    """What the camera has to know of a film: a ViewFilm."""

    @property
    def view(self) -> View:
        """The view on the mean."""

    @property
    def motion(self) -> Motion:
        """What moves."""

    @property
    def pixels(self) -> int:
        """Pixels across that are computed, even."""

    @property
    def pixel_arcsec(self) -> float:
        """Of a computed picture."""

    @property
    def pixels_per_degree(self) -> float:
        """Of apparent angle, of a computed picture."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shown:
    """Light of the object: three primaries on a square, ready for many point spreads.

    Parameters
    ----------
    planes
        (3, n, n) cd/m2; wider than the picture by the kernel and the margin on both sides.
    weights
        (4, 3, b) from primaries and bands to channels.
    pixels, margin
        Of the picture, and by how many pixels it may be moved.
    mixed
        (4, b, ...) transforms of each band's light for each channel; None for large squares.
    """

    planes: Planes
    weights: NDArray[np.float32]
    pixels: int
    margin: int
    mixed: Spectrum | None

    @staticmethod
    def of(planes: Planes, weights: NDArray[np.float64], pixels: int, margin: int) -> Shown | None:
        """Make the light ready; None where there is none."""
        if not planes.any():
            return None
        mixed = None
        if planes.shape[-1] <= _AT_ONCE:
            spectrum = spectrum_of(planes.astype(np.float32, copy=False), _fast(planes))
            mixed = _mixed(weights.astype(np.float32), spectrum)
        return Shown(
            planes=planes,
            weights=weights.astype(np.float32),
            pixels=pixels,
            margin=margin,
            mixed=mixed,
        )

    def spectrum(self, spreads: Planes) -> Spectrum | None:
        """Return the point spread's transforms, the same for all light on a square so large."""
        return None if self.mixed is None else spectrum_of(spreads, _fast(self.planes))

    def through(
        self, spreads: Planes, spectrum: Spectrum | None, moved_px: tuple[int, int]
    ) -> Planes:
        """Return (4, pixels, pixels) of the object, moved to the right and upwards.

        Parameters
        ----------
        spreads
            (b, k, k) the point spread in each band.
        spectrum
            As `spectrum` returns it for them.
        """
        right, up = (int(np.clip(step, -self.margin, self.margin)) for step in moved_px)
        top, left = self.margin + up, self.margin - right
        if self.mixed is None or spectrum is None:
            size = self.pixels + spreads.shape[-1]
            window = self.planes[:, top : top + size, left : left + size]
            lens = np.tensordot(self.weights, spreads, axes=1)
            return convolve(window, lens)
        shape = _fast(self.planes)
        k = spreads.shape[-1]
        rows = slice(k + top, k + top + self.pixels)
        columns = slice(k + left, k + left + self.pixels)
        answer = np.empty((len(self.mixed), self.pixels, self.pixels), np.float32)
        total, part = np.empty_like(spectrum[0]), np.empty_like(spectrum[0])
        for channel, light in enumerate(self.mixed):
            np.multiply(light[0], spectrum[0], out=total)
            for band in range(1, len(spectrum)):
                total += np.multiply(light[band], spectrum[band], out=part)
            answer[channel] = rows_of(total, shape[1], rows)[:, columns]
        return np.maximum(answer, 0.0, out=answer)


def _mixed(weights: NDArray[np.float32], spectrum: Spectrum) -> Spectrum:
    """Return (4, b, ...) each band's light for each channel from the (3, ...) of primaries."""
    channels, primaries, bands = weights.shape
    shares = weights.transpose(0, 2, 1).reshape(-1, primaries)
    with one_blas_thread():
        answer = shares @ spectrum.reshape(primaries, -1).view(np.float32)
    return answer.view(np.complex64).reshape(channels, bands, *spectrum.shape[1:])


def _fast(planes: Planes) -> tuple[int, int]:
    ny, nx = planes.shape[1:]
    return fast_length(ny), fast_length(nx)


class Camera:
    """All of a film that stays the same from frame to frame.

    Parameters
    ----------
    asked
        The film.
    """

    def __init__(self, asked: Framed) -> None:
        self.asked = asked
        view = asked.view
        self.path = view.path
        # Where the view is turned, the first row and column have no partner: they are cut off.
        self.pixels = asked.pixels + 2
        self.still, self.adaptation = exposed_still(asked, self.pixels)
        self.grid: Grid = self._grid()
        self.waves = band_centres_nm(BANDS)
        sharp = replace(self.path, sky=replace(self.path.sky, air="none"), mount=_FIXED)
        self.factors = sharp.factors(self.grid, self.waves)
        self.weights = self.path.weights(self.waves)
        self.shift = refraction.dispersion_arcsec(self.path.sky, self.waves)
        self.shaken = Shaken.over(asked.motion, view.beam.aperture_mm)
        reach = float(np.abs(self.shaken.path).max()) / asked.pixel_arcsec
        self.margin = int(min(math.ceil(reach), _LOST * self.pixels))
        side = self.pixels + self.grid.size + 2 * self.margin
        self.scene = view.dotted(view.target.scene(pixel_arcsec=asked.pixel_arcsec, pixels=side))
        how = (self.weights, self.pixels, self.margin)
        self.surfaces = Shown.of(self.scene.planes, *how)
        self.stars, self.beyond = (Shown.of(dots, *how) for dots in self._dots(side))
        self.veil = self._veil()
        self.around = self._around()

    def _grid(self) -> Grid:
        """Return the kernel's sampling, wide enough for the disc farthest out of focus.

        A path error of W waves (r^2) tilts rays at the edge by 4 W wavelengths / aperture.
        """
        aperture_mm = self.path.beam.aperture_mm
        disc = 8.0 * self.asked.motion.focus_waves * 550e-6 / aperture_mm * ARCSEC_PER_RADIAN
        blur = math.hypot(self.path.blur_arcsec(), disc)
        return choose_grid(self.asked.pixel_arcsec, aperture_mm, blur)

    def _dots(self, side: int) -> tuple[Planes, Planes]:
        """Return the stars on planes, with the light with which they print, and what is beyond."""
        stars = self.scene.stars
        # The film's scene is wider than the still's and may hold more stars.
        wider = replace(self.still, scene=self.scene)
        spots = wider.star_spots()
        factors = tone.star_factors(spots, self.adaptation)
        cores = tone.star_cores(spots, factors, self.adaptation)
        factors = factors * spots / wider.star_peaks()
        colour = rgb_of_temperature(stars.temperature_k)
        own, beyond = (
            star_planes(stars, colour * share[:, None], self.asked.pixel_arcsec, side)
            for share in (factors * cores, factors * (1.0 - cores))
        )
        if not len(stars) or width_px(self.still.lens) >= STAR_PX:
            return own, beyond
        from scipy.ndimage import gaussian_filter

        sigma = (0.0, STAR_PX / 2.3548, STAR_PX / 2.3548)
        return gaussian_filter(own, sigma), gaussian_filter(beyond, sigma)

    def _around(self) -> Planes | None:
        """Return (1, n, n) the print of what lies around double stars on the mean, as on sheets."""
        if not self.adaptation.pairs:
            return None
        return around_pair(self.asked.view, self.still, self.adaptation, star_px=STAR_PX)[None]

    def _veil(self) -> Planes | None:
        """Return what the eye scatters over the picture on the mean, besides what it keeps."""
        if self.still.veil is None or self.surfaces is None:
            return None
        size = self.pixels + self.still.lens.shape[-1]
        first = (self.scene.planes.shape[-1] - size) // 2
        middle = self.scene.planes[:, first : first + size, first : first + size]
        surfaces = convolve(middle, self.still.lens)
        scattered = self.still.veil.over(surfaces, pixels_per_degree=self.asked.pixels_per_degree)
        return np.asarray(scattered - surfaces * np.float32(self.still.veil.kept))

    def _spreads(self, number: int) -> Planes:
        """Return (b, k, k): one frame's point spread with the eye's part, in each band."""
        beam = self.asked.view.beam
        spreads = mean(
            spread_stack(
                self.path.scope,
                wavelengths_nm=self.waves,
                pixel_arcsec=self.grid.fine_arcsec,
                pixels=self.grid.fine_size,
                aperture_mm=beam.aperture_mm,
                obstruction=beam.obstruction,
                defocus_waves=self.asked.motion.travel_waves(number),
                screen_nm=screen,
            )
            for screen in self.shaken.screens_nm(number, self.asked.pixel_arcsec)
        )
        each = np.eye(len(self.waves))[:, None, :]
        return kernels(spreads, self.factors, each, self.grid, shift_arcsec=self.shift)[:, 0]

    def frame(self, number: int) -> Print:
        """Return one frame's picture."""
        moved_px = self.shaken.moved_px(number, self.asked.pixel_arcsec)
        spreads = self._spreads(number)
        shown = [light for light in (self.surfaces, self.stars, self.beyond) if light is not None]
        how = (spreads, shown[0].spectrum(spreads) if shown else None, moved_px)
        passed = self.weights.sum(axis=1) @ spreads.sum(axis=(1, 2))
        extended = np.empty((4, self.pixels, self.pixels), np.float32)
        extended[:] = (passed * glow.luminance_cd_m2(self.path.sky))[:, None, None]
        if self.surfaces is not None:
            surfaces = self.surfaces.through(*how)
            if self.still.veil is not None and self.veil is not None:
                surfaces *= np.float32(self.still.veil.kept)
                surfaces += shifted(self.veil, *moved_px)
            extended += surfaces
        turned = self.still.orientation
        points, beyond = np.zeros_like(extended), None
        if self.stars is not None:
            points = orient(self.stars.through(*how), turned)
        if self.beyond is not None:
            beyond = orient(self.beyond.through(*how), turned)
        retina = Retina(
            extended=orient(extended, turned),
            points=points,
            beyond=beyond,
            around=None
            if self.around is None
            else orient(shifted(self.around, *moved_px), turned)[0],
            pixels_per_degree=self.asked.pixels_per_degree,
            eye_pupil_mm=self.still.eye_pupil_mm,
            white=self.still.white,
            hues=self.still.hues,
            age_years=self.still.age_years,
            beam_mm=self.still.beam_mm,
        )
        return tone.develop(retina, self.adaptation)[1:-1, 1:-1]


def exposed_still(asked: Framed, pixels: int) -> tuple[Exposure, tone.Adaptation]:
    """Return the view on the mean, exposed as a frame is, and how it prints.

    The whole field sets the adaptation with it, as on a sheet.
    """
    view = asked.view
    scale = _WIDE_PX / view.beam.apparent_field_deg
    wide = view.expose(pixels_per_degree=scale, pixels=2 * (_WIDE_PX // 2), star_px=STAR_PX)
    still = view.expose(
        pixels_per_degree=asked.pixels_per_degree, pixels=pixels, star_px=STAR_PX, veil=wide.veil
    )
    limit = view.numbers["limiting_magnitude"]
    reader = tone.Reader(
        display=Display(),
        threshold_factor=aid_of(view.path, view.eye, view.observer).factor,
        faintest_td=still.spot_of(6.0 if limit is None else limit),
        pairs=view.target.kind == "double",
        beam_mm=view.beam.used_pupil_mm,
    )
    levels = [tone.levels(wide.evened()), tone.levels(still.evened())]
    spots = np.concatenate([wide.star_spots(), still.star_spots()])
    adaptation = tone.adapt(levels, star_peaks_td=spots, reader=reader)
    white = max(level.white_td for level in levels)
    return still, adaptation.for_view(white, levels[0])


def shifted(planes: Planes, right: int, up: int) -> Planes:
    """Return planes (c, ny, nx) moved by whole pixels; the edge goes on where nothing comes in."""
    ny, nx = planes.shape[1:]
    right, up = (int(np.clip(step, 1 - n, n - 1)) for step, n in ((right, nx), (up, ny)))
    below, before = max(up, 0), max(right, 0)
    above, after = below - up, before - right
    kept = planes[:, below : ny - above, after : nx - before]
    return np.pad(kept, ((0, 0), (above, below), (before, after)), mode="edge")
