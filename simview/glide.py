"""The light path for a power that changes under a hand: quick, coarser, the same light.

`look` and `View.expose` follow the light anew for each power. While a control is dragged only the
eye's part changes with it: the object's spectrum, times what air, telescope and mount do to it, is
the same at every power when it is held in angles on the sky. `Glide` holds these products at
pixels half an octave apart; a view then takes one multiplication by the eye's own transfer and
one transform back. Glare from afar is smooth and is held at powers a quarter of an octave apart.

What is left out against `View.expose`: the blur that grows towards the edge of an eyepiece's
field. At rest the full light path takes over; brightness and size stay as they are.

Checked by: tests/unit/test_glide.py, against `View.expose`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview.air import extinction, glow, refraction, seeing
from simview.executor.threads import spread_work
from simview.eye import ownhue
from simview.eye.closescatter import close_transfer
from simview.eye.dots import star_planes
from simview.eye.glare import Veil, veil_of
from simview.eye.kernels import Grid, Planes, kernels
from simview.eye.pruned import Spectrum, fast_length, rows_of, spectrum_of
from simview.eye.retina import Exposure
from simview.eye.scatter import beam_pupil
from simview.eye.system import BANDS, FWHM_PER_SIGMA, LINES_NM, LightPath, line_response
from simview.eyepiece.bending import Bending, bending
from simview.memory import Memory
from simview.scene.scene import Crowd, Scene, Stars
from simview.scene.spectrum import LINES_RGB, band_centres_nm
from simview.scene.star_colour import rgb_of_temperature
from simview.telescope.mount import shake_transfer
from simview.view import GLASS_BANDS, View

# Pixels of the levels, parts of an octave.
_STEPS: Final = 2.0

# Room around a level's picture for light from outside it, pixels at the most; and steps in which
# its size is chosen, so that pictures of nearly the same size share levels.
_MARGIN: Final = 72
_SIZES: Final = 24

# Powers between which glare from afar is followed by straight lines: parts of an octave.
_GLARE_STEPS: Final = 4.0
_GLARE_PX: Final = 160
_GLARE_SCALE: Final = 3.0
_MOST_VEILS: Final = 80

# Apertures, where the eye's pupil stops the telescope down, and focal lengths of imagined
# eyepieces are held in steps of this ratio.
_NEAR: Final = 1.12

# A star's image is found on so many times fewer frequencies: it is small against the picture.
_FEWER: Final = 4

# Distances from frequency 0 in which the eye's transfer is tabled.
_RADII: Final = 1024

# Bytes of the levels of all objects, and of all lenses, that are held.
_MOST_LEVELS: Final = 64_000_000
_MOST_LENSES: Final = 40_000_000


class _Lens(NamedTuple):
    """What air, telescope and mount do, for one troland of each cd/m2 of used pupil area."""

    spectrum: Spectrum  # (4, 3, n, n // 2 + 1)
    gains: NDArray[np.float64]  # (4, 3) for even light


class _Level(NamedTuple):
    """One object at one pixel: its light behind air, telescope and mount."""

    pixel_arcsec: float
    size: int
    light: Spectrum | None  # (4, n, n // 2 + 1); None where nothing but stars shines
    stars: Stars
    crowds: tuple[Crowd, ...]


def _weight(level: _Level) -> int:
    crowds = sum(crowd.shape.nbytes for crowd in level.crowds)
    return 1000 + crowds + (0 if level.light is None else level.light.nbytes)


_levels: Memory[_Level] = Memory(_MOST_LEVELS, _weight)
_lenses: Memory[_Lens] = Memory(_MOST_LENSES, lambda lens: lens.spectrum.nbytes)


@dataclass(frozen=True, kw_only=True)
class Glimpse(Exposure):
    """An exposure made by `Glide`; its stars are put on a level's pixels."""

    draw: Callable[[Stars, NDArray[np.float64]], Planes]
    spread: Callable[[Planes], Planes]
    level_arcsec: float

    @property
    def haze_pixel_arcsec(self) -> float:
        """Pixel of the level that holds the hazes' shapes, on the sky."""
        return self.level_arcsec

    def star_light(
        self, stars: Stars, factors: NDArray[np.float64], least_td: float = 0.0
    ) -> Planes:
        """Return (4, n, n) the light of stars, each multiplied by its factor, not yet turned.

        On a level's few pixels none is left out.
        """
        tint = rgb_of_temperature(stars.temperature_k) * factors[:, None]
        return self.draw(stars, tint)

    def imaged(self, planes: Planes) -> Planes:
        """Return (4, n, n) what light on planes of the level's size brings to the retina."""
        return self.spread(planes)


class Glide:
    """Expose views of one object through one kit at any power.

    Parameters
    ----------
    key
        Tells this object, kit, sky and observer from all others.
    """

    def __init__(self, key: Hashable) -> None:
        self._key = key
        self._veils: dict[tuple[int, float, float, tuple[float, float]], Veil | None] = {}

    def expose(
        self, view: View, *, pixels_per_degree: float, pixels: int, star_px: float = 0.0
    ) -> Glimpse:
        """Expose `pixels` square (even) about the field's centre, at this apparent scale."""
        frame = _Frame(view, pixels_per_degree, pixels)
        level, lens = self._level(view, frame)
        unit = view.path.troland_per_cd_m2()
        gains = lens.gains * unit
        sky = (gains.sum(axis=1) * glow.luminance_cd_m2(view.sky)).astype(np.float32)
        surfaces = np.broadcast_to(sky[:, None, None], (4, pixels, pixels)).copy()
        glass = _glass_for(view, frame)
        if glass is not None and glass.spread is not None:
            # Drawn larger towards the edge, the sky dims like all else.
            surfaces *= glass.spread
        veil = self._veil(view) if level.light is not None else None
        if level.light is not None:
            found = _back(level, level.light, _Eye(view, veil), np.float32(unit))
            surfaces += frame.drawn(found, level, glass)
        if glass is not None:
            surfaces *= glass.kept
        if veil is not None:
            _add_far(surfaces, veil, pixels_per_degree)
        peak, wide = _star_image(view, level, lens, frame, star_px)
        return Glimpse(
            extended=surfaces,
            scene=Scene(
                planes=np.broadcast_to(np.float32(0.0), (3, pixels, pixels)),
                pixel_arcsec=frame.pixel_arcsec,
                stars=level.stars,
                crowds=level.crowds,
            ),
            lens=gains.astype(np.float32)[:, :, None, None],
            star_lens=(peak * gains).astype(np.float32)[:, :, None, None],
            spot_arcsec=view.spot_arcsec,
            orientation=view.beam.orientation,
            pixels_per_degree=pixels_per_degree,
            eye_pupil_mm=view.beam.eye_pupil_mm,
            veil=veil,
            white=view.white_of(gains),
            hues="clear" if view.lens_on_planet else view.hues,
            age_years=view.observer.age_years,
            beam_mm=beam_pupil(view.beam.used_pupil_mm),
            draw=partial(_draw_stars, view, frame, level, lens, glass, wide),
            spread=partial(_spread, view, frame, level, lens),
            level_arcsec=level.pixel_arcsec,
            fading=None if glass is None else glass.spread,
        )

    def _level(self, view: View, frame: _Frame) -> tuple[_Level, _Lens]:
        step = math.floor(_STEPS * math.log2(frame.pixel_arcsec))
        pixel = 2.0 ** (step / _STEPS)
        widest = frame.pixels * 2.0 ** (1.0 / _STEPS)
        grid = view.path.grid(pixel)
        size = _size(widest + min(grid.size, _MARGIN))
        path = view.path
        near = round(math.log(view.beam.aperture_mm) / math.log(_NEAR))
        place = (path.scope, path.sky, path.mount, path.engine, near, step, size)
        lens = _lenses.get(place, lambda: _lens(path, grid, size))
        level = _levels.get(
            (self._key, view.target.aimed_arcsec, near, step, size),
            lambda: _made(view, pixel, size, lens.spectrum),
        )
        return level, lens

    def _veil(self, view: View) -> Veil | None:
        """Return the glare from afar at this power, between two powers where it is known."""
        place = _GLARE_STEPS * math.log2(view.beam.power)
        low = math.floor(place)
        unit = view.path.troland_per_cd_m2()
        here, there = self._veil_at(view, low), self._veil_at(view, low + 1)
        if here is None or there is None:
            return None
        share = np.float32(place - low)
        planes = (1.0 - share) * here.planes + share * there.planes
        return replace(
            here,
            planes=planes * np.float32(unit),
            kept=(1.0 - float(share)) * here.kept + float(share) * there.kept,
            pupil_mm=view.beam.used_pupil_mm,
        )

    def _veil_at(self, view: View, step: int) -> Veil | None:
        """Return the glare from afar at one of these powers, for one troland a cd/m2."""
        field = view.beam.apparent_field_deg
        # Its beam is as wide as at that power, too.
        like = 2.0 ** (step / _GLARE_STEPS) / view.beam.power
        pupil = beam_pupil(min(view.beam.exit_pupil_mm / like, view.beam.eye_pupil_mm))
        place = (step, round(field, 1), pupil, view.target.aimed_arcsec)
        if place not in self._veils:
            if len(self._veils) > _MOST_VEILS:
                self._veils.clear()
            # The same view, its object as large as at that power: nothing else matters to glare.
            scale = _GLARE_PX / field
            frame = _Frame(view, scale * like, _GLARE_PX)
            level, _ = self._level(view, frame)
            veil = None
            if level.light is not None:
                veil = veil_of(
                    frame.drawn(_back(level, level.light, _Eye(view, None), 1.0), level, None),
                    pixels_per_degree=scale,
                    field_deg=field,
                    age_years=view.observer.age_years,
                    finest=_GLARE_SCALE,
                    pupil_mm=pupil,
                )
            self._veils[place] = veil
        return self._veils[place]


class _Frame:
    """A picture's pixels, and where they lie on a level's."""

    def __init__(self, view: View, pixels_per_degree: float, pixels: int) -> None:
        self.scale, self.pixels = pixels_per_degree, pixels
        self.pixel_arcsec = 3600.0 / (pixels_per_degree * view.beam.power)

    def drawn(self, planes: Planes, level: _Level, glass: Bending | None) -> Planes:
        """Return a level's planes on this picture's pixels, bent as the eyepiece bends them."""
        step = self.pixel_arcsec / level.pixel_arcsec
        if glass is not None:
            return glass.bent(planes, step)
        from PIL import Image

        first = level.size // 2 + 0.5 - (self.pixels // 2 + 0.5) * step
        box = (first, first, first + self.pixels * step, first + self.pixels * step)
        shape = (self.pixels, self.pixels)
        answer = np.empty((len(planes), *shape), np.float32)

        def draw(p: int) -> None:
            plane = Image.fromarray(planes[p])
            drawn = np.array(plane.resize(shape, Image.Resampling.BICUBIC, box=box))
            # The curve dips below nothing beside an edge: what is cut off there would be won.
            light = float(drawn.sum())
            np.maximum(drawn, 0.0, out=answer[p])
            won = float(answer[p].sum())
            if 0.0 < light < won:
                answer[p] *= np.float32(light / won)

        spread_work(draw, range(len(planes)))
        return answer


def _glass_for(view: View, frame: _Frame) -> Bending | None:
    """Return what the eyepiece's glass does, None where `View.expose` would leave it out."""
    figures = view.glass_figures(frame.scale, frame.pixels, near=_NEAR)
    if figures is None:
        return None
    weights = view.path.shares(GLASS_BANDS)
    dim = view.beam.used_pupil_mm >= view.beam.exit_pupil_mm
    return bending(figures, round(frame.scale, 3), frame.pixels, weights.tobytes(), dim)


class _Eye:
    """The eye's transfer, and its glare close by, by distance from frequency 0."""

    def __init__(self, view: View, veil: Veil | None, *, width_arcsec: float | None = None) -> None:
        self._view, self._veil, self._width = view, veil, width_arcsec or 0.0
        # A width is asked for with stars alone.
        self._path = view.path if width_arcsec is None else view.points_path

    def table(self, frequency: NDArray[np.float64]) -> NDArray[np.float32]:
        """Return the factor at frequencies on the sky, cycles per arcsec."""
        factor = self._path.eye_factor(frequency)
        if self._veil is not None:
            per_degree = frequency * 3600.0 / self._view.beam.power
            close = close_transfer(per_degree, self._veil.age_years, self._veil.pupil_mm)
            factor = factor * (self._veil.kept + close)
        if self._width:
            sigma = self._width / FWHM_PER_SIGMA
            factor = factor * np.exp(-2.0 * (np.pi * sigma * frequency) ** 2)
        return np.asarray(factor, np.float32)


def _size(least: float) -> int:
    size = fast_length(_SIZES * math.ceil(least / _SIZES))
    while size % 2:
        size = fast_length(size + 1)
    return size


@lru_cache(maxsize=24)
def _radii(size: int, pixel_arcsec: float) -> tuple[NDArray[np.float64], NDArray[np.uint16]]:
    """Return frequencies from 0 on, cycles per arcsec, and which of them each sample has."""
    fx = np.fft.rfftfreq(size, pixel_arcsec)[None, :]
    fy = np.fft.fftfreq(size, pixel_arcsec)[:, None]
    away = np.hypot(fx, fy)
    top = float(away.max())
    index = np.rint(away * ((_RADII - 1) / top)).astype(np.uint16)
    return np.linspace(0.0, top, _RADII), index


def _back(level: _Level, spectrum: Spectrum, eye: _Eye, unit: float | np.float32) -> Planes:
    """Return planes on a level's pixels, seen by the eye."""
    frequency, index = _radii(level.size, level.pixel_arcsec)
    factor = (eye.table(frequency) * np.float32(unit)).take(index)
    return rows_of(spectrum * factor, level.size)


def _lens(path: LightPath, grid: Grid, size: int) -> _Lens:
    """Return what air, telescope and mount do on a level's frequencies."""
    waves = band_centres_nm(BANDS)
    fx, fy = grid.frequencies()
    frequency = np.hypot(fx, fy).astype(np.float32)
    shake = shake_transfer(path.mount, fx, fy)
    air = [
        seeing.transfer(
            path.sky,
            wavelength_nm=float(wave),
            frequency=frequency,
            aperture_mm=path.beam.aperture_mm,
        )
        for wave in waves
    ]
    lens = kernels(
        path.spreads(grid, waves),
        [(each * shake).astype(np.float32) for each in air],
        path.weights(waves) / path.troland_per_cd_m2(),
        grid,
        shift_arcsec=refraction.dispersion_arcsec(path.sky, waves),
    )
    kept = min(size, grid.size)
    first = grid.size // 2 - kept // 2
    part = lens[..., first : first + kept, first : first + kept]
    wide = np.zeros((4, 3, size, size), np.float32)
    start = size // 2 - kept // 2
    wide[..., start : start + kept, start : start + kept] = part
    wide = np.roll(wide, (-(size // 2), -(size // 2)), axis=(2, 3))
    gains = part.sum(axis=(2, 3), dtype=np.float64)
    return _Lens(spectrum=spectrum_of(wide, (size, size)), gains=gains)


def _made(view: View, pixel_arcsec: float, size: int, lens: Spectrum) -> _Level:
    scene = view.painted(pixel_arcsec, size)
    light = None
    if scene.planes.any():
        planes = spectrum_of(scene.planes, (size, size))
        light = _through(lens, planes)
        if scene.lines is not None:
            light += _lines(view, scene.lines, lens, planes.shape[1:])
        if view.lens_on_planet:
            light = _own_hue(light, planes, lens, size)
    return _Level(
        pixel_arcsec=pixel_arcsec, size=size, light=light, stars=scene.stars, crowds=scene.crowds
    )


def _own_hue(light: Spectrum, planes: Spectrum, lens: Spectrum, size: int) -> Spectrum:
    """Return a planet's light with the hue of all of it on its disc, as prints have it.

    `simview.eye.ownhue`: here before the eye's own blur, and once for all powers.
    """
    tint = planes[:, 0, 0].real / max(float(planes[1, 0, 0].real), 1e-30)
    point = np.tensordot(lens[:3], tint.astype(np.float32), axes=(1, 0))
    even = rows_of(point * planes[1], size)
    turns = -size / (2.0 * math.pi)
    places = [
        (turns * float(np.angle(part[1, 0])), turns * float(np.angle(part[0, 1]))) for part in point
    ]
    factors = ownhue.lost(even, point[:, 0, 0].real, places)
    factors = np.float32(1.0) + ownhue.on_disc(even[1]) * (factors - np.float32(1.0))
    seen = rows_of(light.copy(), size)
    seen[:3] *= factors
    return spectrum_of(seen, (size, size))


def _through(lens: Spectrum, planes: Spectrum) -> Spectrum:
    """Return the channels' spectra of light of three primaries behind a lens."""
    found = np.empty((len(lens), *planes.shape[1:]), planes.dtype)

    def one(c: int) -> None:
        np.multiply(lens[c, 0], planes[0], out=found[c])
        for p in range(1, len(planes)):
            found[c] += lens[c, p] * planes[p]

    spread_work(one, range(len(lens)))
    return found


def _lines(view: View, lines: Planes, lens: Spectrum, shape: tuple[int, ...]) -> Spectrum:
    """Return by how much a nebula's lines differ from what stands for them on the planes.

    They are imaged as the green primary is.
    """
    middle = np.array([LINES_NM])
    through = float(extinction.transmission(view.sky, middle)[0])
    sharp = lens[1, 1] / lens[1, 1, 0, 0]
    true = (line_response(view.path.filter) * through).astype(np.float32)[:, None, None] * sharp
    stand_in = np.tensordot(lens, np.array(LINES_RGB, np.float32), axes=([1], [0]))
    seen = spectrum_of(lines, (lens.shape[-2], lens.shape[-2]))
    return np.asarray((true - stand_in) * seen)


def _star_image(
    view: View, level: _Level, lens: _Lens, frame: _Frame, star_px: float
) -> tuple[float, float]:
    """Return the middle of a star's image per pixel for a light of 1, and by how much to widen it.

    The width is in arcsec; 0 where the print can show so small a point.
    """
    if not len(level.stars):
        return 0.0, 0.0
    # Every n-th frequency gives the same picture folded to an n-th of its width.
    fewer = _FEWER if level.size % _FEWER == 0 else 2
    luminous = lens.spectrum[1, :, ::fewer, ::fewer].sum(axis=0) / np.float32(lens.gains[1].sum())
    small = level._replace(size=level.size // fewer)

    def image(width_arcsec: float) -> Planes:
        return _back(small, luminous, _Eye(view, None, width_arcsec=width_arcsec), 1.0)

    seen = image(0.0)
    across = 2.0 * math.sqrt(float(np.count_nonzero(seen >= seen.max() / 2.0)) / math.pi)
    wide = 0.0
    if across * level.pixel_arcsec < star_px * frame.pixel_arcsec:
        wide = star_px * frame.pixel_arcsec
        seen = image(wide)
    share = (frame.pixel_arcsec / level.pixel_arcsec) ** 2
    return float(seen.max()) * share, wide


def _draw_stars(  # noqa: PLR0913, PLR0917 - bound once, by `Glide.expose`
    view: View,
    frame: _Frame,
    level: _Level,
    lens: _Lens,
    glass: Bending | None,
    wide_arcsec: float,
    stars: Stars,
    tint: NDArray[np.float64],
) -> Planes:
    dots = star_planes(stars, tint, level.pixel_arcsec, level.size)
    spectrum = _through(lens.spectrum, spectrum_of(dots, dots.shape[1:]))
    eye = _Eye(view, None, width_arcsec=wide_arcsec)
    found = _back(level, spectrum, eye, view.path.troland_per_cd_m2())
    drawn = frame.drawn(found, level, glass)
    if glass is not None:
        drawn *= glass.kept
    return drawn


def _spread(view: View, frame: _Frame, level: _Level, lens: _Lens, planes: Planes) -> Planes:
    """Return light on a level's planes as it falls on the picture's; the eyepiece is left out."""
    spectrum = _through(lens.spectrum, spectrum_of(planes, planes.shape[1:]))
    unit = view.path.troland_per_cd_m2()
    return frame.drawn(_back(level, spectrum, _Eye(view, None), unit), level, None)


def _add_far(surfaces: Planes, veil: Veil, pixels_per_degree: float) -> None:
    """Add glare from afar, by straight lines between its large pixels."""
    n, m = surfaces.shape[-1], veil.planes.shape[-1]
    step = veil.pixels_per_degree / pixels_per_degree
    place = np.clip(veil.middle + (np.arange(n) - n // 2) * step, 0.0, m - 1.0)
    near = slice(math.floor(place[0]), math.ceil(place[-1]) + 1)
    large = np.arange(m)[near]
    weights = np.maximum(1.0 - np.abs(place[:, None] - large), 0.0).astype(np.float32)
    surfaces += weights @ np.ascontiguousarray(veil.planes[:, near, near]) @ weights.T
