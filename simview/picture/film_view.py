"""A film of any view: the object through the telescope, under moving air, on a mount that shakes.

One adaptation for the whole film, from the view as it is on the mean. The air blurs the whole
picture alike at each moment (a small field); the eyepiece's own glass is left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.air import glow, refraction
from simview.errors import require_range
from simview.eye.aided import aid_of
from simview.eye.retina import (
    Exposure,
    Grid,
    Planes,
    convolve,
    kernels,
    widened,
    width_px,
)
from simview.kit import Kit, Mount, Observer
from simview.picture import captions, text, tone
from simview.picture import recipe as recipes
from simview.picture.display import Display
from simview.picture.film_frame import Strip, check_side, composed, draw_strip, enlarged
from simview.picture.motion import Motion, Shaken, in_order, mean
from simview.picture.moving import Moving
from simview.picture.panel import stopped
from simview.scene.scene import Scene, Target
from simview.scene.spectrum import band_centres_nm
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN
from simview.view import View, look

Floats = NDArray[np.float64]
Print = NDArray[np.uint8]

# Bands of light in a film. A choice, half of a still view's: frames blend over time as well.
BANDS: Final = 5

# Computed pixels are this part of wavelength / aperture at 550 nm at most; finer frames are
# enlarged from them.
_SAMPLED: Final = 0.33

# Pixels across the whole field that sets the adaptation.
_WIDE_PX: Final = 360

# Least width of a star, computed pixels; a choice, so that it does not flicker from pixel to pixel.
STAR_PX: Final = 1.7

# Room around a small object, seeing widths: what the air tears it to stays in the picture.
_SEEING_ROOM: Final = 5.0

# A shaking mount may carry the object this many widths of the picture away before it is lost.
_LOST: Final = 1.0

# A mount that does not blur: each frame is a moment.
_FIXED: Final = Mount(kind="fixed")


@dataclass(frozen=True, kw_only=True)
class ViewFilm:
    """What is asked for.

    Parameters
    ----------
    kit, target, observer
        As for a view.
    motion
        What moves; its sky is that of the view.
    eyepiece, power
        As for a view.
    whole_field
        True shows all that the eyepiece shows, False the object with some room around it.
    side
        Of the picture in pixels.
    """

    kit: Kit
    target: Target
    motion: Motion
    observer: Observer
    eyepiece: int = 0
    power: float | None = None
    whole_field: bool = False
    side: int = 512

    def __post_init__(self) -> None:
        check_side(self.side)

    @cached_property
    def view(self) -> View:
        """The view on the mean: long exposure, shake as a blur."""
        sky = self.motion.sky
        air: Literal["long", "none"] = "long" if self.motion.boils else "none"
        return look(
            self.kit,
            self.target.remembering(),
            eyepiece=self.eyepiece,
            power=self.power,
            sky=replace(sky, air=air),
            observer=self.observer,
        )

    @cached_property
    def width_arcsec(self) -> float:
        """The angle across the picture."""
        field = self.view.beam.true_field_arcmin * 60.0
        seeing = self.motion.sky.seeing_arcsec if self.motion.boils else 0.0
        room = captions.patch_arcsec(self.target, [self.view])
        room = max(room, self.target.size_arcsec + _SEEING_ROOM * seeing)
        return field if self.whole_field else min(field, room)

    @property
    def shows_stop(self) -> bool:
        """Whether the field's edge is in the picture."""
        return self.width_arcsec >= self.view.beam.true_field_arcmin * 60.0 * (1.0 - 1e-9)

    @cached_property
    def pixels(self) -> int:
        """Pixels across that are computed, even."""
        unit = ARCSEC_PER_RADIAN * 550e-6 / self.view.beam.aperture_mm
        wanted = 2 * math.ceil(self.width_arcsec / (_SAMPLED * unit) / 2.0)
        return int(min(self.side, max(64, wanted)))

    @property
    def pixel_arcsec(self) -> float:
        """Of a computed picture."""
        return self.width_arcsec / self.pixels

    @property
    def pixels_per_degree(self) -> float:
        """Of apparent angle, of a computed picture."""
        return 3600.0 / (self.pixel_arcsec * self.view.beam.power)


class _Camera:
    """All of a film that stays the same from frame to frame."""

    def __init__(self, asked: ViewFilm) -> None:
        self.asked = asked
        view = asked.view
        self.path = view.path
        # Where the view is turned, the first row and column have no partner: they are cut off.
        self.pixels = asked.pixels + 2
        self.still, self.adaptation = _exposed(asked, self.pixels)
        self.grid: Grid = self.path.grid(asked.pixel_arcsec)
        self.waves = band_centres_nm(BANDS)
        sharp = replace(self.path, sky=replace(self.path.sky, air="none"), mount=_FIXED)
        self.factors = sharp.factors(self.grid, self.waves)
        self.weights = self.path.weights(self.waves)
        self.shift = refraction.dispersion_arcsec(self.path.sky, self.waves)
        self.shaken = Shaken.over(asked.motion, view.beam.aperture_mm)
        reach = float(np.abs(self.shaken.path).max()) / asked.pixel_arcsec
        self.margin = int(min(math.ceil(reach), _LOST * self.pixels))
        side = self.pixels + self.grid.size + 2 * self.margin
        self.scene = view.target.scene(pixel_arcsec=asked.pixel_arcsec, pixels=side)
        # The film's scene is wider than the still's and may hold more stars.
        wider = replace(self.still, scene=self.scene)
        spots = wider.star_spots()
        factors = tone.star_factors(spots, self.adaptation)
        self.star_factors = factors * spots / wider.star_peaks()
        self.veil = self._veil()

    def _veil(self) -> Planes | None:
        """Return what the eye scatters over the picture on the mean, besides what it keeps."""
        if self.still.veil is None:
            return None
        surfaces = convolve(self._window(0, 0).planes, self.still.lens)
        scattered = self.still.veil.over(surfaces, pixels_per_degree=self.asked.pixels_per_degree)
        return np.asarray(scattered - surfaces * np.float32(self.still.veil.kept))

    def _window(self, right: int, up: int) -> Scene:
        """Return the part of the scene that falls on the picture when the object moves so far."""
        right, up = (int(np.clip(step, -self.margin, self.margin)) for step in (right, up))
        size = self.pixels + self.grid.size
        top, left = self.margin + up, self.margin - right
        planes = self.scene.planes[:, top : top + size, left : left + size]
        pixel, stars = self.asked.pixel_arcsec, self.scene.stars
        shown = replace(
            stars,
            x_arcsec=stars.x_arcsec + right * pixel,
            y_arcsec=stars.y_arcsec + up * pixel,
        )
        return replace(self.scene, planes=planes, stars=shown)

    def _spreads(self, number: int) -> NDArray[np.floating]:
        """Return the telescope's point spreads of one frame, the mean of its moments."""
        beam = self.asked.view.beam
        return mean(
            spread_stack(
                self.path.scope,
                wavelengths_nm=self.waves,
                pixel_arcsec=self.grid.fine_arcsec,
                pixels=self.grid.fine_size,
                aperture_mm=beam.aperture_mm,
                obstruction=beam.obstruction,
                screen_nm=screen,
            )
            for screen in self.shaken.screens_nm(number, self.asked.pixel_arcsec)
        )

    def frame(self, number: int) -> Print:
        """Return one frame's picture."""
        moved_px = self.shaken.moved_px(number, self.asked.pixel_arcsec)
        lens = kernels(
            self._spreads(number), self.factors, self.weights, self.grid, shift_arcsec=self.shift
        )
        scene = self._window(*moved_px)
        sky = lens.sum(axis=(1, 2, 3)) * np.float32(glow.luminance_cd_m2(self.path.sky))
        extended = np.empty((4, self.pixels, self.pixels), np.float32)
        extended[:] = sky[:, None, None]
        if scene.planes.any():
            surfaces = convolve(scene.planes, lens)
            if self.still.veil is not None and self.veil is not None:
                surfaces *= np.float32(self.still.veil.kept)
                surfaces += shifted(self.veil, *moved_px)
            extended += surfaces
        exposed = replace(
            self.still,
            extended=extended,
            scene=scene,
            lens=lens,
            star_lens=widened(lens, STAR_PX) if width_px(lens) < STAR_PX else lens,
            glass=None,
        )
        return tone.develop(exposed.retina(self.star_factors), self.adaptation)[1:-1, 1:-1]


def _exposed(asked: ViewFilm, pixels: int) -> tuple[Exposure, tone.Adaptation]:
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
    )
    levels = [tone.levels(wide), tone.levels(still)]
    spots = np.concatenate([wide.star_spots(), still.star_spots()])
    adaptation = tone.adapt(levels, star_peaks_td=spots, reader=reader)
    white = max(level.white_td for level in levels)
    return still, adaptation.for_view(white, levels[0])


def shifted(planes: Planes, right: int, up: int) -> Planes:
    """Return planes (c, ny, nx) moved by whole pixels; the edge goes on where nothing comes in."""
    ny, nx = planes.shape[1:]
    rows = np.clip(np.arange(ny) + up, 0, ny - 1)
    columns = np.clip(np.arange(nx) - right, 0, nx - 1)
    return np.asarray(planes[:, rows[:, None], columns])


def view_film(asked: ViewFilm, *, bare: bool = False) -> Moving:
    """Return the film; its frames are computed as they are asked for.

    Parameters
    ----------
    bare
        Without the strip of words below the picture.

    Raises
    ------
    SimviewError
        Where the kit's pieces do not go together, or a power is absurd.
    """
    motion, view = asked.motion, asked.view
    require_range("picture's width", asked.width_arcsec, 1e-3, 3.6e6, unit="arcsec")
    absent = not view.beam.in_the_box and asked.kit.kind == "telescope"
    remark = f"no piece in the box gives {text.times(view.beam.power)}: an eyepiece is imagined"
    return Moving(
        frames=_frames(asked, bare=bare),
        count=motion.frames,
        frames_per_second=motion.frames_per_second,
        figures=dict(view.numbers)
        | motion.figures(view.beam.aperture_mm)
        | {"target": asked.target.name, "width_arcsec": asked.width_arcsec},
        recipe=_recipe(asked, bare=bare),
        title=f"{asked.target.title} in {captions.instrument(asked.kit)}",
        remarks=(remark,) if absent else (),
    )


def _recipe(asked: ViewFilm, *, bare: bool) -> dict[str, Any]:
    return recipes.write(
        "film",
        [asked.kit],
        asked.target,
        sky=asked.motion.sky,
        observer=asked.observer,
        moving=True,
        of="view",
        eyepiece=asked.eyepiece,
        power=asked.power,
        whole_field=asked.whole_field,
        side=asked.side,
        bare=bare,
        motion=asked.motion.recipe(),
    )


def _frames(asked: ViewFilm, *, bare: bool) -> Iterator[Print]:
    camera = _Camera(asked)
    strip = None if bare else draw_strip(words(asked), asked.side)

    def frame(number: int) -> Print:
        picture = enlarged(camera.frame(number), asked.side)
        if asked.shows_stop:
            picture = stopped(picture, asked.side - 6.0)
        return composed(picture, strip)

    return in_order(frame, range(asked.motion.frames))


def words(asked: ViewFilm) -> Strip:
    """Return the strip below the picture."""
    beam = asked.view.beam
    return Strip(
        first=f"{asked.target.title}, {text.times(beam.power)}",
        second=f"{captions.instrument(asked.kit)}: {asked.motion.says()}",
        pixels_per_arcsec=asked.side / asked.width_arcsec,
    )
