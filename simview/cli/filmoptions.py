"""Options of films; groups like those of options.py."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

from typer import Option

from simview.cli import parsing
from simview.errors import SimviewError
from simview.kit import Mount, Sky

if TYPE_CHECKING:
    from simview.air.wind import Layer
    from simview.picture.films.motion import Motion
    from simview.view import View

# Frames and pace of a film where nothing else is asked for; the longest drift, s. Choices.
FRAMES: Final = 64
_SLOW: Final = 4.0
_MOST_DRIFT_S: Final = 20.0

_MOTION: Final = "What moves"
_STAR: Final = "The star, where there is no --target"
_OUT: Final = "Results"


@dataclass(frozen=True, kw_only=True)
class StarFilmOptions:
    """The star of a film without a target."""

    fault: Annotated[
        list[str] | None,
        Option(
            "--fault",
            "-f",
            metavar="NAME=AMOUNT",
            help="A fault of the telescope, as for startest; may be repeated.",
            rich_help_panel=_STAR,
        ),
    ] = None
    travel: Annotated[
        float,
        Option(
            metavar="WAVES",
            help="How far out of focus it is; negative is inside.",
            rich_help_panel=_STAR,
        ),
    ] = 0.0
    colour: Annotated[
        str,
        Option(
            metavar="white|green|red|blue|NM",
            help="Colour of the star's light.",
            rich_help_panel=_STAR,
        ),
    ] = "white"

    def refuse(self) -> None:
        """Refuse what goes with a star alone.

        Raises
        ------
        SimviewError
            Names the option.
        """
        given = {
            "--fault": self.fault,
            "--travel": self.travel,
            "--colour": self.colour != "white",
        }
        for option, value in given.items():
            if value:
                raise SimviewError(
                    option,
                    got="--target",
                    allowed="one of the two",
                    remedy="with --target, write the telescope's faults in its kit file",
                )


@dataclass(frozen=True, kw_only=True)
class MotionOptions:
    """What moves, and for how long."""

    frames: Annotated[
        int | None,
        Option(
            metavar="N",
            help="Number of frames; without it 64, or for a drift as many as it takes to "
            "leave the field, up to 20 s.",
            show_default=False,
            rich_help_panel=_MOTION,
        ),
    ] = None
    fps: Annotated[float, Option(metavar="N", help="Frames a second.", rich_help_panel=_MOTION)] = (
        15.0
    )
    slow: Annotated[
        float | None,
        Option(
            metavar="TIMES",
            help="How many times slower than life the film runs; without it 4, or 1 (true "
            "speed) for a drift and for focusing.",
            show_default=False,
            rich_help_panel=_MOTION,
        ),
    ] = None
    drift: Annotated[
        bool,
        Option(
            "--drift",
            help="Let nothing follow the sky: the object drifts out of the field at its own speed.",
            rich_help_panel=_MOTION,
        ),
    ] = False
    focus: Annotated[
        float,
        Option(
            metavar="WAVES",
            help="Turn the focuser from so far inside focus to so far outside and back.",
            rich_help_panel=_MOTION,
        ),
    ] = 0.0
    to_power: Annotated[
        float | None,
        Option(
            metavar="TIMES",
            help="Raise or lower the power from --power to this one and back; nothing else moves.",
            rich_help_panel=_MOTION,
        ),
    ] = None
    moments: Annotated[
        int,
        Option(
            metavar="N",
            help="Each frame is the mean of this many instants, spread over the 0.05 s that "
            "an eye takes in at once; 1 freezes the air.",
            rich_help_panel=_MOTION,
        ),
    ] = 6
    layer: Annotated[
        list[str] | None,
        Option(
            metavar="SHARE,WIND,DEG[,BOIL]",
            help="A layer of air: its share of the turbulence, its wind in m/s and direction "
            "in deg, and the seconds in which it boils; three typical layers if left out.",
            rich_help_panel=_MOTION,
        ),
    ] = None
    touched: Annotated[
        float | None,
        Option(
            metavar="S",
            help="The mount was touched this many seconds before the film begins.",
            rich_help_panel=_MOTION,
        ),
    ] = None
    still_mount: Annotated[
        bool,
        Option(
            "--still-mount", help="Leave out the shaking of the mount.", rich_help_panel=_MOTION
        ),
    ] = False

    def over(self, sky: Sky, mount: Mount, *, drift_arcsec_s: float = 0.0) -> Motion:
        """Return the motion under this sky, on this mount.

        Parameters
        ----------
        drift_arcsec_s
            Of an object that nothing follows.

        Raises
        ------
        SimviewError
            For a value out of range.
        """
        from simview.picture.films.motion import Motion

        return Motion(
            sky=sky,
            mount=Mount(kind="fixed") if self.still_mount else mount,
            frames=FRAMES if self.frames is None else self.frames,
            frames_per_second=self.fps,
            slow=self._pace,
            drift_arcsec_s=drift_arcsec_s,
            focus_waves=self.focus,
            moments=self.moments,
            layers=layers(self.layer or ()),
            touched_s=math.inf if self.touched is None else self.touched,
        )

    @property
    def _pace(self) -> float:
        if self.slow is not None:
            return self.slow
        return 1.0 if self.drift or self.focus else _SLOW

    def leaving(self, view: View) -> tuple[float, int | None]:
        """Return how fast an object drifts, arcsec/s, and the frames until it has left the field.

        Raises
        ------
        SimviewError
            For what does not drift: things on the ground, mounts that follow.
        """
        seconds = view.numbers["drift_seconds"]
        if seconds is None or not math.isfinite(seconds):
            raise SimviewError(
                "--drift",
                got=f"{view.target.title} on this mount",
                allowed="an object in the sky that nothing follows",
                remedy="leave it out",
            )
        field = 60.0 * view.beam.true_field_arcmin
        rate = field / seconds
        until = (0.5 * field + 0.6 * min(view.target.size_arcsec, field)) / rate
        frames = math.ceil(min(until, _MOST_DRIFT_S) * self.fps * self._pace)
        return rate, frames if self.frames is None else None

    def refuse_with(self, option: str) -> None:
        """Refuse what moves where the power alone does.

        Raises
        ------
        SimviewError
            Names the first that was given.
        """
        given = {
            "--drift": self.drift,
            "--focus": self.focus,
            "--touched": self.touched is not None,
            "--layer": self.layer,
            "--slow": self.slow is not None,
        }
        for name, is_given in given.items():
            if is_given:
                raise SimviewError(name, got=option, allowed="one of the two")


@dataclass(frozen=True, kw_only=True)
class FrameOptions:
    """How a frame is drawn."""

    whole_field: Annotated[
        bool,
        Option(
            "--whole-field",
            help="Film the whole field of the eyepiece instead of the object alone.",
            rich_help_panel=_OUT,
        ),
    ] = False
    bare: Annotated[
        bool, Option("--bare", help="No words below the picture.", rich_help_panel=_OUT)
    ] = False
    size: Annotated[
        int, Option(metavar="N", help="Side of the picture, pixels.", rich_help_panel=_OUT)
    ] = 512
    slide_size: Annotated[
        str,
        Option(metavar="WxH", help="Size of a slide with a film, in pixels.", rich_help_panel=_OUT),
    ] = "1280x720"


def layers(typed: list[str] | tuple[str, ...]) -> tuple[Layer, ...]:
    """Return the layers of air that texts such as ``"0.7,3,20,0.5"`` mean; the usual for none.

    Raises
    ------
    SimviewError
        Shows how to write it.
    """
    from simview.air.wind import LAYERS, Layer

    found = []
    for text in typed:
        example = "--layer 0.7,3,20,0.5"
        values = parsing.numbers(text, option="--layer", example=example)
        if len(values) not in (3, 4):
            raise SimviewError(
                "--layer",
                got=text,
                allowed="share, wind in m/s, direction in deg, and seconds to boil or nothing",
                remedy=f"as in {example}",
            )
        boil = values[3] if len(values) == 4 else math.inf
        found.append(
            Layer(share=values[0], wind_m_s=values[1], direction_deg=values[2], boil_s=boil)
        )
    return tuple(found) or LAYERS
