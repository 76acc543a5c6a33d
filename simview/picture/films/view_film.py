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

from simview.air import level
from simview.air.wind import LAYERS
from simview.errors import require_range
from simview.executor.pieces import pieces
from simview.kit import Kit, Observer, Telescope
from simview.picture import captions
from simview.picture import recipe as recipes
from simview.picture.drawing import text
from simview.picture.drawing.panel import field_stop
from simview.picture.drawing.tongue import say
from simview.picture.films.camera import Camera
from simview.picture.films.frame import Strip, check_side, composed, draw_strip, enlarged
from simview.picture.films.motion import Motion
from simview.picture.films.moving import Moving
from simview.picture.slides.says import name
from simview.scene.scene import Target
from simview.units import ARCSEC_PER_RADIAN, focus_shift_mm
from simview.view import View, follow

Floats = NDArray[np.float64]
Print = NDArray[np.uint8]

# Computed pixels are this part of wavelength / aperture at 550 nm at most; finer frames are
# enlarged from them.
_SAMPLED: Final = 0.42

# Room around a small object, seeing widths: what the air tears it to stays in the picture.
_SEEING_ROOM: Final = 5.0


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
        return follow(
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
        unit = ARCSEC_PER_RADIAN * 550e-6 / self.view.beam.aperture_mm
        disc = 8.0 * self.motion.focus_waves * unit
        room = max(room, self.target.size_arcsec + _SEEING_ROOM * seeing + 1.1 * disc)
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
    if asked.target.level is not None:
        asked = replace(asked, motion=_on_the_ground(asked))
    motion, view = asked.motion, asked.view
    require_range("picture's width", asked.width_arcsec, 1e-3, 3.6e6, unit="arcsec")
    absent = not view.beam.in_the_box and asked.kit.kind == "telescope"
    remarks = [f"no piece in the box gives {text.times(view.beam.power)}: an eyepiece is imagined"]
    remarks = remarks if absent else []
    if asked.target.level is not None and motion.boils:
        remarks.append(_AS_ONE)
    return Moving(
        frames=_frames(asked, bare=bare),
        count=motion.frames,
        frames_per_second=motion.frames_per_second,
        figures=dict(view.numbers)
        | motion.figures(view.beam.aperture_mm)
        | {"target": asked.target.name, "width_arcsec": asked.width_arcsec}
        | _focus(motion, asked.kit.telescope),
        recipe=_recipe(asked, bare=bare),
        title=say(
            "{object} in {kit}", object=name(asked.target), kit=captions.instrument(asked.kit)
        ),
        remarks=tuple(remarks),
    )


def _focus(motion: Motion, scope: Telescope | None) -> dict[str, float]:
    """Return how far the focuser travels to either side; {} where it stands still."""
    if not motion.focus_waves or scope is None:
        return {}
    return {"focus_travel_mm": abs(focus_shift_mm(motion.focus_waves, scope.focal_ratio))}


# Said of films of things on the ground.
_AS_ONE: Final = "the whole picture trembles as one; before the eye each part does so on its own"


def _on_the_ground(asked: ViewFilm) -> Motion:
    """Return the motion of the air before a thing on the ground: its own seeing, its own wind."""
    motion = asked.motion
    layers = level.LAYERS if motion.layers == LAYERS else motion.layers
    return replace(motion, sky=level.sky_before(asked.target, motion.sky), layers=layers)


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
    camera = Camera(asked)
    strip = None if bare else draw_strip(words(asked), asked.side)
    cut = field_stop(asked.side, asked.side - 6.0)

    def frame(number: int) -> Print:
        picture = enlarged(camera.frame(number), asked.side)
        return composed(cut(picture) if asked.shows_stop else picture, strip)

    return pieces(frame, range(asked.motion.frames))


def words(asked: ViewFilm) -> Strip:
    """Return the strip below the picture."""
    beam = asked.view.beam
    return Strip(
        first=f"{asked.target.title}, {text.times(beam.power)}",
        second=f"{captions.instrument(asked.kit)}: {asked.motion.says()}",
        pixels_per_arcsec=asked.side / asked.width_arcsec,
    )
