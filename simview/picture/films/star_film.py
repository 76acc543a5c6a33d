"""A film of a star: in focus or out of it, under moving air, on a mount that shakes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import RangeError, require_range
from simview.executor.pieces import pieces
from simview.kit import Kit, Telescope
from simview.kitfile import kit_text
from simview.picture import captions
from simview.picture.drawing import text
from simview.picture.drawing.tongue import say
from simview.picture.films.frame import Strip, check_side, composed, draw_strip, enlarged
from simview.picture.films.motion import Motion, Shaken, mean
from simview.picture.films.moving import Moving
from simview.picture.startest.patterns import in_users_terms, telescope_of
from simview.picture.startest.star_figures import by_name
from simview.picture.startest.starlight import (
    StarColour,
    coloured,
    printed,
    star_colour,
    white_level,
)
from simview.picture.startest.words import in_words
from simview.picture.views.single import READER_HEIGHTS
from simview.telescope.exposure import exposure
from simview.telescope.faults import Afflicted, Fault, apply_faults
from simview.telescope.opening import REFERENCE_NM, samples_for, stop_for
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN, focus_shift_mm

Floats = NDArray[np.float64]
Print = NDArray[np.uint8]

# Bands of white light in a film at least: rings blend over the frames as well.
BANDS: Final = 5

# Computed pixels are this part of wavelength / aperture, at the shortest wavelength, at most;
# finer frames are enlarged from them.
_SAMPLED: Final = 0.36

# Width of a frame: the star with its rings, its disc out of focus, what the air does to it.
_RINGS: Final = 22.0
_SEEING_WIDTHS: Final = 5.0

# Frames that set the exposure, and the share of their peaks that still prints below white.
_TRIED: Final = 7
_SHARE: Final = 0.75

# Bytes of those frames that are kept until they are shown. A choice.
_KEPT_BYTES: Final = 64_000_000


@dataclass(frozen=True, kw_only=True)
class StarFilm:
    """What is asked for.

    Parameters
    ----------
    kit
        Its telescope.
    motion
        What moves.
    faults, colour
        As in a star test.
    travel_waves
        0 is in focus; negative inside, positive outside.
    power
        Sets the apparent scale for a reader at the sheet's life-size distance; None fits.
    side
        Of the picture in pixels.
    """

    kit: Kit
    motion: Motion
    faults: tuple[Fault, ...] = ()
    colour: str = "white"
    travel_waves: float = 0.0
    power: float | None = None
    side: int = 512

    def __post_init__(self) -> None:
        telescope_of(self.kit)
        check_side(self.side)
        require_range("--travel", self.travel_waves, -40.0, 40.0, unit="waves")
        if self.power is not None:
            require_range("--power", self.power, 5.0, 5000.0, unit="times")
        star_colour(self.colour)

    @property
    def scope(self) -> Telescope:
        """The kit's telescope."""
        return telescope_of(self.kit)

    @cached_property
    def afflicted(self) -> Afflicted:
        """The telescope with all faults."""
        return apply_faults(self.scope, self.faults, layout=self.kit.layout)

    @cached_property
    def light(self) -> StarColour:
        """The star's light."""
        return star_colour(self.colour, defocus_waves=self._farthest_waves, least=BANDS)

    @cached_property
    def aperture_mm(self) -> float:
        """The aperture in use."""
        return stop_for(self.afflicted.scope, extras=self.afflicted.extras).aperture_mm

    @cached_property
    def width_arcsec(self) -> float:
        """The angle across the picture."""
        if self.power is not None:
            # A frame seen from so many of its own heights away.
            return math.degrees(2.0 * math.atan(0.5 / READER_HEIGHTS)) * 3600.0 / self.power
        unit = self._unit_arcsec
        seeing = self.motion.sky.seeing_arcsec if self.motion.boils else 0.0
        shake = 4.0 * float(np.abs(self.motion.path()).max())
        disc = (8.0 * self._farthest_waves * 1.3 + _RINGS) * unit
        return float(max(disc, _SEEING_WIDTHS * seeing + 8.0 * unit) + min(shake, 3.0 * disc))

    @property
    def _farthest_waves(self) -> float:
        """How far out of focus it gets."""
        return abs(self.travel_waves) + self.motion.focus_waves

    @property
    def _unit_arcsec(self) -> float:
        return REFERENCE_NM * 1e-6 / self.aperture_mm * ARCSEC_PER_RADIAN

    @cached_property
    def pixels(self) -> int:
        """Pixels across that are computed, even."""
        shortest = float(self.light.wavelengths_nm.min()) / REFERENCE_NM
        finest = _SAMPLED * self._unit_arcsec * shortest
        return int(min(self.side, max(64, 2 * math.ceil(self.width_arcsec / finest / 2.0))))

    @property
    def pixel_arcsec(self) -> float:
        """Of a computed picture."""
        return self.width_arcsec / self.pixels

    def check(self) -> None:
        """Refuse what cannot be sampled before any work is done.

        Raises
        ------
        RangeError
            In the user's terms.
        """
        found = self.afflicted
        stop = stop_for(found.scope, extras=found.extras)
        taken = exposure(
            found.scope, stop, self.light.wavelengths_nm, self._farthest_waves, extras=found.extras
        )
        half = self.width_arcsec / 2.0 / float(taken.unit_arcsec.min())
        try:
            samples_for(half, taken.slope())
        except RangeError as error:
            raise in_users_terms(error) from None

    def planes(self, shaken: Shaken, frame: int) -> Floats:
        """Return one frame's star in X, Y, Z."""
        screens = shaken.screens_nm(frame, self.pixel_arcsec)
        stack = mean(
            spread_stack(
                self.afflicted.scope,
                wavelengths_nm=self.light.wavelengths_nm,
                pixel_arcsec=self.pixel_arcsec,
                pixels=self.pixels,
                defocus_waves=self.travel_waves + self.motion.travel_waves(frame),
                screen_nm=screen,
                extras=self.afflicted.extras,
            )
            for screen in screens
        )
        image = coloured(stack, self.light)
        return moved(image, *shaken.moved_px(frame, self.pixel_arcsec))


def moved(image: NDArray[Any], right: int, up: int) -> NDArray[Any]:
    """Return an image (ny, nx, ...) moved by whole pixels; what comes in is dark."""
    answer = np.zeros_like(image)
    ny, nx = image.shape[:2]
    if abs(right) >= nx or abs(up) >= ny:
        return answer
    rows, columns = slice(max(0, -up), ny - max(0, up)), slice(max(0, right), nx + min(0, right))
    from_rows = slice(max(0, up), ny + min(0, up))
    from_columns = slice(max(0, -right), nx - max(0, right))
    answer[rows, columns] = image[from_rows, from_columns]
    return answer


def star_film(asked: StarFilm, *, bare: bool = False) -> Moving:
    """Return the film; its frames are computed as they are asked for.

    Parameters
    ----------
    bare
        Without the strip of words below the picture.

    Raises
    ------
    SimviewError
        Where a fault does not go with the telescope, or cannot be sampled.
    """
    asked.check()
    motion = asked.motion
    return Moving(
        frames=_frames(asked, bare=bare),
        count=motion.frames,
        frames_per_second=motion.frames_per_second,
        figures=motion.figures(asked.aperture_mm)
        | {"target": "star", "width_arcsec": asked.width_arcsec, "faults": by_name(asked.faults)}
        | _focus(asked),
        recipe=recipe(asked, bare=bare),
        title=say("A star in {kit}", kit=captions.instrument(asked.kit)),
    )


def _focus(asked: StarFilm) -> dict[str, float]:
    waves = asked.motion.focus_waves
    return {"focus_travel_mm": abs(focus_shift_mm(waves, asked.scope.focal_ratio))} if waves else {}


def recipe(asked: StarFilm, *, bare: bool) -> dict[str, Any]:
    """Return what makes the film again."""
    return {
        "command": "film",
        "moving": True,
        "of": "star",
        "kits": [kit_text(asked.kit, sky=asked.motion.sky)],
        "faults": [str(fault) for fault in asked.faults],
        "colour": asked.colour,
        "travel_waves": asked.travel_waves,
        "power": asked.power,
        "side": asked.side,
        "bare": bare,
        "motion": asked.motion.recipe(),
    }


def _frames(asked: StarFilm, *, bare: bool) -> Iterator[Print]:
    shaken = Shaken.over(asked.motion, asked.aperture_mm)
    white, there = _exposed(asked, shaken)
    strip = None if bare else draw_strip(words(asked), asked.side)

    def frame(number: int) -> Print:
        planes = there.get(number)
        image = printed(asked.planes(shaken, number) if planes is None else planes, white)
        return composed(enlarged(image, asked.side), strip)

    return pieces(frame, range(asked.motion.frames))


def _exposed(asked: StarFilm, shaken: Shaken) -> tuple[float, dict[int, Floats]]:
    """Return one exposure for the whole film, from some of its frames, and those of them to keep.

    They are taken without the mount's motion, which may carry a star out of the picture; where
    nothing moves it they are the film's own.
    """
    still = replace(shaken, path=np.zeros_like(shaken.path))
    tried = np.unique(np.linspace(0, asked.motion.frames - 1, _TRIED).astype(int))
    levels, kept, room = [], {}, _KEPT_BYTES
    for number in map(int, tried):
        planes = asked.planes(still, number)
        levels.append(white_level(planes[..., 1]))
        if planes.nbytes <= room and not shaken.path[number].any():
            kept[number] = planes
            room -= planes.nbytes
    return float(np.quantile(levels, _SHARE)), kept


def words(asked: StarFilm) -> Strip:
    """Return the strip below the picture."""
    faults = in_words(asked.faults)
    where = "in focus"
    if asked.travel_waves:
        mm = abs(focus_shift_mm(asked.travel_waves, asked.scope.focal_ratio))
        side = "outside" if asked.travel_waves > 0 else "inside"
        where = f"{abs(asked.travel_waves):g} waves ({text.figure(mm)} mm) {side} focus"
    power = "" if asked.power is None else f", {text.times(asked.power)}"
    return Strip(
        first=f"{captions.instrument(asked.kit)}{f', {faults}' if faults else ''}{power}",
        second=f"A star {where}: {asked.motion.says()}",
        pixels_per_arcsec=asked.side / asked.width_arcsec,
    )
