"""A whole talk from one file."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Sequence
from functools import lru_cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, get_args, get_origin

import typer
from typer import Argument, Option

import simview
from simview.cli import ledger
from simview.cli.groups import grouped
from simview.cli.report import Reporter, taking
from simview.cli.reportoptions import ReportOptions
from simview.demo import PREFIX, asset
from simview.errors import FileError, SimviewError
from simview.terminal import remark
from simview.textfile import alone_in, require_writable, write_whole

if TYPE_CHECKING:
    from simview.picture.slides.records import SlideSheet, Wish
    from simview.talk.making import Folder, Job, Outcome
    from simview.talk.records import Drawn, Known, Talk, TalkSlide

EXAMPLES = (
    "--new mine.toml",
    "mine.toml --out mine",
    "demo:talk --out what-a-telescope-shows",
)

# Commands that can make a slide.
MAKERS: Final = (
    "view",
    "ladder",
    "compare",
    "detail",
    "startest",
    "film",
    "targets",
    "eyepiece",
    "collimate",
)

# Where the demo's own talk lies.
_DEMO: Final = {"talk": "talk.toml"}


def command(
    file: Annotated[
        str,
        Argument(metavar="FILE", help="The talk's file (TOML), or demo:talk.", show_default=False),
    ] = "",
    new: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="Write a commented talk to start from, and stop.",
            show_default=False,
        ),
    ] = None,
    report: ReportOptions = ReportOptions(),
) -> None:
    """Make slides, a page that runs as slides, and a handout from one file.

    They go to the folder that --out names: talk.pptx, talk.html, handout.pdf and pictures. Made
    again, only what has changed is computed anew.
    """
    if new is not None:
        if file:
            raise SimviewError(
                "--new",
                got=f"{new} and {file}",
                allowed="one of them",
                remedy="leave the other out",
            )
        _start(new, report)
        return
    from simview.talk.making import Folder, make
    from simview.talk.talk_file import read_talk

    place = _file(file)
    known = options_of(MAKERS)
    talk = read_talk(place, known)
    if report.out is None:
        raise SimviewError("--out", got="none", allowed="a folder", remedy="--out my-talk")
    new_folder = not report.out.exists()
    with alone_in(report.out):
        folder = Folder.at(report.out, force=report.force)
        _program_itself()
        reporter = Reporter(ReportOptions(json=report.json, quiet=report.quiet))
        ledger.plan(*(slide.name for slide in talk.slides))
        with reporter.progress() as progress:
            jobs = [_job(slide, talk, known, report) for slide in talk.slides]
            try:
                outcome = make(
                    talk,
                    folder,
                    jobs,
                    program=_program(),
                    progress=lambda part, text: progress(0.8 * part, text),
                )
            except BaseException:  # stopped: what is there stays, an empty folder does not
                folder.leave_none(itself=new_folder)
                raise
            progress(0.85, "slides, page, handout")
            if outcome.made:
                _write(talk, folder, outcome)
        folder.forget_others(talk.slides)
        if not outcome.made:
            folder.leave_none(itself=new_folder)
        _tell(talk, folder, outcome, reporter, json=report.json)


def _start(new: Path, report: ReportOptions) -> None:
    place = require_writable(new, force=report.force, suffix=".toml")
    home = Path(simview.__file__).parent / "talk" / "starter.toml"
    write_whole(place, home.read_text(encoding="utf-8"), force=report.force)
    reporter = Reporter(ReportOptions(json=report.json, quiet=report.quiet))
    reporter.figures({"talk": str(place)})
    reporter.remark(f"change it, then: simview talk {place} --out {place.stem}")


def _file(word: str) -> Path:
    if not word:
        raise SimviewError(
            "FILE",
            got="none",
            allowed="a talk's file, or demo:talk",
            remedy="--new FILE starts one",
        )
    if not word.startswith(PREFIX):
        return Path(word)
    name = word.removeprefix(PREFIX)
    if name not in _DEMO:
        raise SimviewError("demo talk", got=word, allowed="demo:talk")
    return asset(_DEMO[name])


def _program() -> str:
    from simview.talk.making import program_fingerprint

    return program_fingerprint(Path(simview.__file__).parent)


def options_of(commands: Sequence[str]) -> Known:
    """Return the options of commands by the keys that a talk's file uses."""
    from simview.talk.records import Option as Takes

    known: dict[str, dict[str, Takes]] = {}
    for name in commands:
        module = import_module(f"simview.cli.commands.{name}")
        parameters = inspect.signature(grouped(module.command)).parameters
        taken = [_takes(key, parameter.annotation) for key, parameter in parameters.items()]
        known[name] = {each.key: each for each in taken if each is not None}
    return known


def _takes(key: str, annotation: Any) -> Any:
    from simview.talk.records import Option as Takes

    if get_origin(annotation) is not Annotated:
        return None
    kind, declared = get_args(annotation)[:2]
    if isinstance(declared, typer.models.ArgumentInfo):
        return Takes(flag="", key=key, again="list[" in str(kind))
    if not isinstance(declared, typer.models.OptionInfo):
        return None
    # Within Annotated, typer's first declaration stands where a default would.
    spelled = [declared.default, *(declared.param_decls or ())]
    flags = [flag for flag in spelled if isinstance(flag, str) and flag.startswith("--")]
    return Takes(
        flag=flags[0] if flags else "--" + key.replace("_", "-"),
        key=(flags[0][2:] if flags else key).replace("-", "_"),
        again="list[" in str(kind),
        switch=kind is bool,
        is_file="Path" in str(kind),
    )


def _job(slide: TalkSlide, talk: Talk, known: Known, report: ReportOptions) -> Job:
    from simview.talk import plain
    from simview.talk.making import Job
    from simview.talk.spelling import spelled

    if slide.command:
        try:
            words = tuple(spelled(slide, talk, known))
        except SimviewError as error:
            raise error.at(f"{talk.file}, {slide.place}") from None
        # What holds for the whole run holds for each slide's command within it.
        further = {"--jobs": report.jobs, "--memory": report.memory}
        typed = [w for flag, value in further.items() if value for w in (flag, f"{value:g}")]
        return Job(slide=slide, words=words, draw=lambda: _run([*words, *typed]))
    wish = _wish(talk)
    draw = plain.words_slide if slide.lines else plain.own_picture
    return Job(slide=slide, words=(), draw=lambda: draw(slide, talk, wish))


def _wish(talk: Talk) -> Wish:
    from simview.cli.slideoptions import read_logo
    from simview.picture.slides.records import Wish

    logo = None if talk.logo is None else read_logo(talk.logo)
    return Wish(footer=talk.footer, paper=talk.paper, logo=logo)


@lru_cache(maxsize=1)
def _program_itself() -> Any:
    """Return the program, built once and before any thread needs it."""
    import simview.picture.films.star_film
    import simview.picture.films.view_film
    import simview.picture.slides.compare_slide
    import simview.picture.slides.view_slide  # noqa: F401
    from simview.cli.app import app

    return typer.main.get_command(app())


def _run(words: Sequence[str]) -> Drawn:
    """Run one slide's command within this process and thread; return what it makes.

    Raises
    ------
    SimviewError
        As the command, and for words that it does not take.
    """
    from simview.cli.app import usage
    from simview.picture.films.moving import Moving
    from simview.picture.slides.records import SlideSheet

    with taking() as made:
        try:
            _program_itself().main([*words, "--quiet"], prog_name="simview", standalone_mode=False)
        except typer.TyperException as error:
            raise SimviewError(usage(error)) from None
    last = made[-1] if made else None
    if isinstance(last, Moving):
        return _film(last)
    if isinstance(last, SlideSheet):
        return _picture(last)
    raise SimviewError("slide", got=" ".join(words[:1]), allowed=", ".join(MAKERS))


def _picture(sheet: SlideSheet) -> Drawn:
    from simview.picture.save import png_bytes
    from simview.talk.records import Drawn

    png = png_bytes(sheet.image, recipe=sheet.recipe, figures=sheet.figures)
    return Drawn(files={".png": png}, tells=sheet.tells, small_print=sheet.small_print)


def _film(moving: Any) -> Drawn:
    """Return a film's first frame and the film, as MP4 where that can be written, else as GIF."""
    import io
    import tempfile
    from dataclasses import replace

    from PIL import Image

    from simview.picture.films.moving import kind_of, require_memory, save_moving
    from simview.talk.records import Drawn

    ending = ".mp4" if find_spec("av") is not None else ".gif"
    width, height = moving.recipe["slide_size"]
    require_memory(moving.count, (width, height), kind_of(f"film{ending}"))
    first: list[Any] = []

    def watched() -> Any:
        for frame in moving.frames:
            if not first:
                first.append(frame)
            yield frame

    with tempfile.TemporaryDirectory(prefix="simview-") as home:
        place = save_moving(replace(moving, frames=watched()), Path(home) / f"film{ending}")
        film = place.read_bytes()
    stream = io.BytesIO()
    Image.fromarray(first[0]).save(stream, "PNG", compress_level=3)
    return Drawn(files={".png": stream.getvalue(), ending: film}, tells=moving.tells)


def _write(talk: Talk, folder: Folder, outcome: Outcome) -> None:
    """Write the finished talks."""
    from simview.talk import deck, handout, live_links, webpage
    from simview.talk.making import write_outputs

    made = live_links.linked(outcome.made, folder.live_key)
    folder.live_kits = live_links.kits(talk)
    writers: dict[str, Callable[[], bytes]] = {
        "talk.pptx": lambda: deck.pptx(talk, made),
        "talk.html": lambda: webpage.page(talk, made),
        "handout.pdf": lambda: handout.pdf(talk, made),
    }
    key = {
        "live": [
            (each.slide.name, live_links.state(each.slide)) for each in made if each.slide.live
        ],
        "program": _program(),
        "talk": [talk.title, talk.author, talk.language, talk.footer, talk.paper, talk.per_page],
        "size": talk.size,
        "sources": talk.sources,
        "slides": [(each.slide.name, each.slide.title, each.slide.notes) for each in made],
    }
    write_outputs(folder, key, writers)


def _tell(talk: Talk, folder: Folder, outcome: Outcome, reporter: Reporter, *, json: bool) -> None:
    """Tell what was made; broken slides together.

    Raises
    ------
    SimviewError
        Where a slide is broken.
    """
    names = [] if not outcome.made else ["talk.pptx", "talk.html", "handout.pdf"]
    films = [made for made in outcome.made if made.film is not None and made.film.suffix == ".gif"]
    if films:
        reporter.remark("films are GIF: for MP4, pip install 'simview[video]'")
    told: dict[str, Any] = {
        "slides": len(outcome.made),
        "made_now": outcome.fresh,
        "broken": len(outcome.broken),
        "files": [str(folder.path / name) for name in names],
    }
    if json:
        told["names"] = [made.slide.name for made in outcome.made]
    reporter.figures(told)
    for slide, wrong in outcome.broken:
        # What went wrong is told even to who wants no remarks.
        remark(f"{slide.place}: {wrong}")
    if outcome.broken:
        names_ = ", ".join(f"{slide.number} {slide.name!r}" for slide, _ in outcome.broken)
        raise FileError(
            f"{len(outcome.broken)} of {len(talk.slides)} slides could not be made",
            got=names_,
            remedy=("the others are there; " if outcome.made else "")
            + "mend these and run it again",
            where=str(talk.file),
        )
