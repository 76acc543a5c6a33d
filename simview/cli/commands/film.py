"""A star, or any view, in motion."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

from typer import Option

from simview.cli import ledger, parsing
from simview.cli.filmoptions import FRAMES, FrameOptions, MotionOptions, StarFilmOptions
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
from simview.kit import Sky
from simview.terminal import tell
from simview.textfile import free_name

if TYPE_CHECKING:
    from simview.kit import Kit, Observer
    from simview.kitfile import KitFile
    from simview.picture.films.motion import Motion
    from simview.picture.films.moving import Moving
    from simview.scene.scene import Target

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
    "demo:tabletop-150 --seeing 2 --travel 4 --frames 16 --size 384 --out {folder}/film-star.webp",
    "demo:toy-refractor-50 --target jupiter --power 90 --touched 0 --slow 1 --whole-field"
    " --frames 20 --fps 10 --size 384 --out {folder}/film-shaken.webp",
)


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
    star: StarFilmOptions = StarFilmOptions(),
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
        slide.require_english()
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
    from simview.picture.slides.film_slide import picture_side
    from simview.picture.slides.plan import check_slide

    size = check_slide(parsing.size(frame.slide_size))
    if size[0] % 2 or size[1] % 2:
        raise SimviewError("--slide-size", got=frame.slide_size, allowed="even numbers")
    side = picture_side(size, slide.wish().title or "A title")
    return size, replace(frame, bare=True, size=side)


def _as_slide(made: Moving, slide: SlideOptions, frame: FrameOptions) -> Moving:
    if not slide.slide:
        return made
    from simview.picture.slides.film_slide import slide_film

    return slide_film(made, slide.wish(), parsing.size(frame.slide_size))


def _star(
    file: KitFile,
    sky: SkyOptions,
    star: StarFilmOptions,
    motion: MotionOptions,
    power: float | None,
    frame: FrameOptions,
) -> Moving:
    from simview.picture.films.star_film import StarFilm, star_film
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
    from simview.picture.films.view_film import ViewFilm, view_film

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
    from simview.view import follow

    kit, target, observer, eyepiece, power = seen
    view = follow(kit, target, eyepiece=eyepiece, power=power, sky=moves.sky, observer=observer)
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
    from simview.picture.films.power_film import PowerFilm, power_film

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
        frames=FRAMES if motion.frames is None else motion.frames,
        frames_per_second=motion.fps,
        whole_field=frame.whole_field,
        side=frame.size,
    )
    return power_film(asked, bare=frame.bare)
