"""A film of a power that is turned up and down again: what grows with it, and what fades.

Every frame is a view of its own, under one adaptation for all, so that an image dims here as it
dims at the eyepiece. The air is that of the sheets: nothing boils.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview import budget
from simview.errors import RangeError, SimviewError, require_range
from simview.executor.pieces import pieces
from simview.kit import Kit, Observer, Sky
from simview.picture import captions
from simview.picture import recipe as recipes
from simview.picture.drawing import text
from simview.picture.drawing.panel import field_stop
from simview.picture.drawing.tongue import say
from simview.picture.films.frame import Strip, check_side, composed, draw_strip
from simview.picture.films.motion import MOST_FRAMES
from simview.picture.films.moving import Moving
from simview.picture.finished import STAR_PX
from simview.picture.prints.display import Display
from simview.picture.prints.gliding import FIELD_SCALE, field_pixels
from simview.picture.prints.printing import Exposed, adapt_to, developed, measured, memory_needed
from simview.picture.prints.wanted import Wanted
from simview.picture.recipe import Ingredients
from simview.picture.slides.says import name
from simview.scene.aiming import aimed
from simview.scene.scene import Target
from simview.view import View, follow

Print = NDArray[np.uint8]

# Powers that set the adaptation, besides the two ends.
_BETWEEN = 1


@dataclass(frozen=True, kw_only=True)
class PowerFilm:
    """What is asked for.

    Parameters
    ----------
    kit
        With a telescope.
    power, to_power
        The two ends, times.
    frames, frames_per_second
        From the first power to the second and back.
    whole_field
        True shows the whole field, False a quarter of it across: the middle, four times as large.
    side
        Of the picture in pixels.
    """

    kit: Kit
    target: Target
    sky: Sky
    observer: Observer
    power: float
    to_power: float
    frames: int = 64
    frames_per_second: float = 15.0
    whole_field: bool = False
    side: int = 512

    def __post_init__(self) -> None:
        captions.require_telescope(self.kit)
        check_side(self.side)
        for option, value in (("--power", self.power), ("--to-power", self.to_power)):
            require_range(option, value, 1.0, 1e5, unit="times")
        if max(self.power, self.to_power) < 1.05 * min(self.power, self.to_power):
            raise SimviewError(
                "--to-power", got=f"{self.to_power:g}", allowed=f"a power other than {self.power:g}"
            )
        if not 2 <= self.frames <= MOST_FRAMES:
            raise RangeError("--frames", got=self.frames, allowed=f"2 to {MOST_FRAMES}")
        require_range("--fps", self.frames_per_second, 1.0, 60.0, unit="1/s")

    def power_at(self, frame: int) -> float:
        """Return a frame's power: evenly in octaves, slower at both ends, back to the first."""
        share = 0.5 - 0.5 * math.cos(2.0 * math.pi * frame / self.frames)
        return self.power * float((self.to_power / self.power) ** share)

    @cached_property
    def subject(self) -> Target:
        """The target, painted once for each scale, and pointed at as for the highest power."""
        power = max(self.power, self.to_power)
        look = follow(self.kit, self.target, power=power, sky=self.sky, observer=self.observer)
        return aimed(self.target, 60.0 * look.beam.true_field_arcmin).remembering()

    def at(self, power: float) -> View:
        """Return the view at a power."""
        return follow(self.kit, self.subject, power=power, sky=self.sky, observer=self.observer)

    @cached_property
    def ends(self) -> tuple[View, ...]:
        """The views at both ends, and between them: they set scale and adaptation."""
        steps = np.geomspace(self.power, self.to_power, 2 + _BETWEEN)
        return tuple(self.at(float(power)) for power in steps)

    @cached_property
    def across_deg(self) -> float:
        """The apparent angle across the picture."""
        widest = max(view.beam.apparent_field_deg for view in self.ends)
        return widest if self.whole_field else widest / 4.0

    @property
    def pixels_per_degree(self) -> float:
        """Of apparent angle, alike in every frame."""
        return (self.side - 6.0) / self.across_deg


def power_film(asked: PowerFilm, *, bare: bool = False) -> Moving:
    """Return the film; its frames are computed as they are asked for."""
    low, high = asked.ends[0], asked.ends[-1]
    budget.require(
        f"frames of {asked.side} pixels across, some of them at once",
        memory_needed([_shown(asked, view) for view in asked.ends]),
        remedy="make them smaller (--size)",
    )
    counts = tuple(text.times(_rounded(asked.power_at(n))) for n in range(asked.frames))
    return Moving(
        frames=_frames(asked, counts, bare=bare),
        count=asked.frames,
        frames_per_second=asked.frames_per_second,
        figures={
            "frames": asked.frames,
            "frames_per_second": asked.frames_per_second,
            "target": asked.target.name,
            "across_deg": asked.across_deg,
            "steps": [dict(view.numbers) for view in asked.ends],
        },
        recipe=_recipe(asked, bare=bare),
        title=say(
            "{object} from {low} to {high}",
            object=name(asked.target),
            low=text.times(low.beam.power),
            high=text.times(high.beam.power),
        ),
        counts=counts,
    )


def _rounded(power: float) -> float:
    """Return a power to two figures, so that its sign does not flicker."""
    return float(f"{power:.2g}")


def _frames(asked: PowerFilm, counts: tuple[str, ...], *, bare: bool) -> Iterator[Print]:
    adaptation = adapt_to([each for view in asked.ends for each in _family(asked, view)], Display())

    def frame(number: int) -> Print:
        view = asked.at(asked.power_at(number))
        family = _family(asked, view)
        picture = developed(family[-1], family, adaptation)
        stop = view.beam.apparent_field_deg * asked.pixels_per_degree
        if stop < asked.side:
            picture = field_stop(asked.side, stop)(picture)
        strip = None if bare else draw_strip(_words(asked, counts[number], view), asked.side)
        return composed(picture, strip)

    # Up and down again: a power that was passed on the way up is the same on the way down.
    half = list(range(asked.frames // 2 + 1))
    upwards = []
    for picture in pieces(frame, half):
        upwards.append(picture)
        yield picture
    for number in range(len(half), asked.frames):
        yield upwards[asked.frames - number]


def _family(asked: PowerFilm, view: View) -> list[Exposed]:
    """Expose the whole field coarsely, for its light, then what is shown, under its glare."""
    whole = Wanted(view=view, pixels_per_degree=FIELD_SCALE, pixels=field_pixels(view)).expose()
    return [measured(view, whole), measured(view, _shown(asked, view).expose(whole.veil))]


def _shown(asked: PowerFilm, view: View) -> Wanted:
    return Wanted(
        view=view,
        pixels_per_degree=asked.pixels_per_degree,
        pixels=asked.side,
        star_px=STAR_PX * asked.side / 1080.0,
    )


def _words(asked: PowerFilm, power: str, view: View) -> Strip:
    field = text.angle(60.0 * view.beam.true_field_arcmin)
    return Strip(
        first=f"{asked.target.title.partition(',')[0]}, {power}",
        second=f"{captions.instrument(asked.kit)}: {field} of sky in the field",
    )


def _recipe(asked: PowerFilm, *, bare: bool) -> dict[str, Any]:
    return recipes.write(
        "film",
        [asked.kit],
        asked.target,
        sky=asked.sky,
        observer=asked.observer,
        moving=True,
        of="view",
        power=asked.power,
        to_power=asked.to_power,
        frames=asked.frames,
        frames_per_second=asked.frames_per_second,
        whole_field=asked.whole_field,
        side=asked.side,
        bare=bare,
    )


def power_asked(made: Ingredients) -> PowerFilm:
    """Return what a recipe asks for."""
    further = made.further
    return PowerFilm(
        kit=made.kits[0],
        target=made.target,
        sky=made.sky,
        observer=made.observer,
        power=float(further["power"]),
        to_power=float(further["to_power"]),
        frames=int(further["frames"]),
        frames_per_second=float(further["frames_per_second"]),
        whole_field=bool(further["whole_field"]),
        side=int(further["side"]),
    )
