"""A star, or any view, in motion."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, Final

from typer import Option

from simview.cli import ledger, words
from simview.cli.kits import conditions, naming, read, stem, with_eyepiece
from simview.cli.kits import remarks as said
from simview.cli.options import (
    EyeOptions,
    EyepieceOption,
    KitOptions,
    ReportOptions,
    SkyOptions,
    TargetOptions,
)
from simview.cli.report import Reporter
from simview.cli.slideoptions import SlideOptions
from simview.errors import SimviewError
from simview.kit import Mount, Sky
from simview.terminal import tell
from simview.textfile import free_name

if TYPE_CHECKING:
    from simview.air.wind import Layer
    from simview.kit import Kit, Observer
    from simview.kitfile import KitFile
    from simview.picture.films.motion import Motion
    from simview.picture.films.moving import Moving
    from simview.scene.scene import Target
    from simview.view import View

EXAMPLES = (
    "demo:tabletop-150 --seeing 2",
    "demo:tabletop-150 --travel 5 --fault coma=0.3 --out boiling.webp",
    "demo:toy-refractor-50 --target jupiter --power 90 --touched 0.2 --slow 1 --whole-field",
    "demo:rocker-200 --target moon --power 200 --frames 120 --moments 4 --out frames",
    "demo:toy-refractor-50 --target saturn --power 200 --drift --out drift.mp4",
    "demo:tabletop-150 --focus 4 --fault coma=0.3 --out focus.gif",
    "demo:toy-refractor-50 --target jupiter --power 30 --to-power 450 --for slide --out up.mp4",
)
DEMO = (
    "demo:tabletop-150 --seeing 2 --travel 4 --frames 32 --out {folder}/film-star.webp",
    "demo:toy-refractor-50 --target jupiter --power 90 --touched 0 --slow 1 --whole-field"
    " --frames 45 --out {folder}/film-shaken.webp",
)

# Frames and pace of a film where nothing else is asked for; the longest drift, s. Choices.
_FRAMES: Final = 64
_SLOW: Final = 4.0
_MOST_DRIFT_S: Final = 20.0

_MOTION: Final = "What moves"
_STAR: Final = "The star, where there is no --target"
_OUT: Final = "Results"


@dataclass(frozen=True, kw_only=True)
class StarOptions:
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
            "in deg, and the seconds in which it boils; two typical layers if left out.",
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
            frames=_FRAMES if self.frames is None else self.frames,
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


def command(
    kit: KitOptions = KitOptions(),
    what: TargetOptions = TargetOptions(),
    power: Annotated[
        float | None,
        Option(
            metavar="TIMES",
            help="Magnification; of a star without --target it sets the apparent scale.",
        ),
    ] = None,
    eyepiece: EyepieceOption = "1",
    star: StarOptions = StarOptions(),
    motion: MotionOptions = MotionOptions(),
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    frame: FrameOptions = FrameOptions(),
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show a star or any target in boiling air, on a shaking mount: as a film or as frames."""
    from simview.picture.films.frame import check_side, frame_size
    from simview.picture.films.moving import kind_of, require_memory, require_place, save_moving

    word = kit.word()
    file = read(word)
    if slide.slide:
        side, frame = slide_size(frame, slide)
    else:
        slide.refuse("a film", "it goes with --for slide")
        side = frame_size(check_side(frame.size), bare=frame.bare)
    out = report.out
    if out is None and not report.json:
        out = free_name(f"film-{stem(word)}-{what.target or 'star'}.webp")
    place = None if out is None else require_place(out, force=report.force)
    reporter = Reporter(ReportOptions(json=report.json, quiet=report.quiet))
    named = bool(what.target or what.double or what.image or what.ra is not None)
    with naming(file), reporter.progress() as progress:
        if named:
            star.refuse()
            made, remarks = _view(file, (what, sky, eye), motion, (eyepiece, power), frame)
        else:
            for option, given in (("--drift", motion.drift), ("--to-power", motion.to_power)):
                if given:
                    raise SimviewError(option, got="a star", remedy="it goes with --target")
            made, remarks = _star(file, sky, star, motion, power, frame), said([file])
        made = _as_slide(made, slide, frame)
        if reporter.handed_over(made):
            return
        if place is not None:
            require_memory(made.count, side, kind_of(place))
            with ledger.writing(place):
                save_moving(made, place, force=report.force, progress=progress)
    for remark in (*remarks, *made.remarks):
        reporter.remark(remark)
    if place is not None and not report.json:
        tell(place)
    reporter.figures(made.figures)


def slide_size(frame: FrameOptions, slide: SlideOptions) -> tuple[tuple[int, int], FrameOptions]:
    """Return the size of a film for a slide, and how its picture is then drawn.

    Raises
    ------
    SimviewError
        For a size that slides cannot have, or an odd one, which video programs refuse.
    """
    from simview.picture.slides.moving import picture_side
    from simview.picture.slides.plan import check_slide

    size = check_slide(words.size(frame.slide_size))
    if size[0] % 2 or size[1] % 2:
        raise SimviewError("--slide-size", got=frame.slide_size, allowed="even numbers")
    side = picture_side(size, slide.wish().title or "A title")
    return size, replace(frame, bare=True, size=side)


def _as_slide(made: Moving, slide: SlideOptions, frame: FrameOptions) -> Moving:
    if not slide.slide:
        return made
    from simview.picture.slides.moving import slide_film

    return slide_film(made, slide.wish(), words.size(frame.slide_size))


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
        values = words.numbers(text, option="--layer", example=example)
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


def _star(
    file: KitFile,
    sky: SkyOptions,
    star: StarOptions,
    motion: MotionOptions,
    power: float | None,
    frame: FrameOptions,
) -> Moving:
    from simview.picture.films.star import StarFilm, star_film
    from simview.telescope.faults import parse

    moves = motion.over(sky.over(file.sky or Sky()), file.kit.mount)
    asked = StarFilm(
        kit=replace(file.kit, mount=moves.mount),
        motion=moves,
        faults=tuple(parse(text) for text in star.fault or ()),
        colour=star.colour,
        travel_waves=star.travel,
        power=power,
        side=frame.size,
    )
    return star_film(asked, bare=frame.bare)


def _view(
    file: KitFile,
    seen: tuple[TargetOptions, SkyOptions, EyeOptions],
    motion: MotionOptions,
    choice: tuple[str, float | None],
    frame: FrameOptions,
) -> tuple[Moving, tuple[str, ...]]:
    from simview.picture.films.view import ViewFilm, view_film

    what, sky, eye = seen
    target = what.build()
    air, observer = conditions([file], target, sky, eye)
    chosen, index = with_eyepiece(file.kit, choice[0])
    if motion.to_power is not None:
        return _turned_up(chosen, (target, air, observer), motion, choice[1], frame), ()
    moves = motion.over(air, chosen.mount)
    if motion.drift:
        moves = _drifting(motion, moves, (chosen, target, observer, index, choice[1]))
    asked = ViewFilm(
        kit=replace(chosen, mount=moves.mount),
        target=target,
        motion=moves,
        observer=observer,
        eyepiece=index,
        power=choice[1],
        whole_field=frame.whole_field or motion.drift,
        side=frame.size,
    )
    return view_film(asked, bare=frame.bare), said([file], target, sky)


def _drifting(
    motion: MotionOptions, moves: Motion, seen: tuple[Kit, Target, Observer, int, float | None]
) -> Motion:
    """Return the motion of an object that nothing follows."""
    from simview.view import look

    kit, target, observer, eyepiece, power = seen
    view = look(kit, target, eyepiece=eyepiece, power=power, sky=moves.sky, observer=observer)
    rate, frames = motion.leaving(view)
    moves = replace(moves, drift_arcsec_s=rate)
    return moves if frames is None else replace(moves, frames=frames)


def _turned_up(
    kit: Kit,
    seen: tuple[Target, Sky, Observer],
    motion: MotionOptions,
    power: float | None,
    frame: FrameOptions,
) -> Moving:
    """Return the film of a power that is turned up and down again."""
    from simview.picture.films.power import PowerFilm, power_film

    motion.refuse_with("--to-power")
    if power is None:
        raise SimviewError("--power", got="none", allowed="the power to begin with")
    assert motion.to_power is not None
    target, sky, observer = seen
    asked = PowerFilm(
        kit=kit,
        target=target,
        sky=sky,
        observer=observer,
        power=power,
        to_power=motion.to_power,
        frames=_FRAMES if motion.frames is None else motion.frames,
        frames_per_second=motion.fps,
        whole_field=frame.whole_field,
        side=frame.size,
    )
    return power_film(asked, bare=frame.bare)
