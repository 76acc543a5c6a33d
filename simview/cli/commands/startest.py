"""A star through focus, with the faults of a telescope."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from typer import Option

from simview.cli import complete, parsing
from simview.cli.kits import naming, read, remarks, stem
from simview.cli.options import KitOptions, ReportOptions
from simview.cli.report import Reporter
from simview.cli.slideoptions import SlideOptions
from simview.errors import SimviewError, require_choice
from simview.textfile import require_writable, write_whole

if TYPE_CHECKING:
    from simview.kit import Kit
    from simview.picture.finished import Told
    from simview.picture.startest.patterns import StarTest

EXAMPLES = (
    "demo:tabletop-150 --fault coma=0.3 --fault astigmatism=0.2@30",
    "demo:rocker-200 --fault miscollimation=5arcmin@90 --power 300 --travel 10",
    "kit.toml --fault turned-down-edge=0.5,width=0.1 --colour green --fits star.fits",
    "demo:rocker-200 --minutes 20",
    "demo:tabletop-150 --riddle 7 --difficulty easy",
    "--atlas --telescope-type refractor --out poster.png",
    "demo:maksutov-127 --atlas --paper a4 --out page.png",
)
DEMO = (
    "demo:tabletop-150 --fault miscollimation=8arcmin@60 --out {folder}/startest-collimation.png",
    "demo:toy-refractor-50 --out {folder}/startest-toy.png",
    "--atlas --telescope-type newtonian --paper a4 --out {folder}/startest-atlas.png",
)

# What an atlas can be drawn for; simview.picture.startest.atlas describes them.
TYPES: Final = ("newtonian", "refractor", "cassegrain")

# As simview.picture.startest.atlas_page has them.
PAPERS: Final = ("a2", "a4", "letter")

_COLOURS: Final = ("white", "green", "red", "blue")
_WHAT: Final = "The star"
_ATLAS: Final = "The poster"
_RIDDLE: Final = "Guess it"

# As simview.picture.startest.riddle has them.
DIFFICULTIES: Final = ("easy", "fair", "hard")


def faults(incomplete: str) -> list[str]:
    """Return the faults that begin like this, ready for an amount."""
    from simview.telescope.fault_kinds import KINDS

    return [f"{name}=" for name in KINDS if name != "noll" and name.startswith(incomplete)]


@dataclass(frozen=True, kw_only=True)
class StarOptions:
    """The star and its telescope's faults."""

    fault: Annotated[
        list[str] | None,
        Option(
            "--fault",
            "-f",
            metavar="NAME=AMOUNT",
            help="A fault in waves peak to valley, or in its own unit (off-centre-shadow: %,"
            " seeing: arcsec), with @ANGLE and ,OPTION=VALUE; can be given several times.",
            autocompletion=faults,
            rich_help_panel=_WHAT,
        ),
    ] = None
    minutes: Annotated[
        float | None,
        Option(
            metavar="MIN",
            help="The mirror came out of a warm room this many minutes ago; --fault "
            "cooling=MIN,difference=K says more.",
            rich_help_panel=_WHAT,
        ),
    ] = None
    colour: Annotated[
        str,
        Option(
            metavar="|".join(_COLOURS) + "|NM",
            help="Colour of the star's light: white, through a filter, or one wavelength in nm.",
            autocompletion=complete.choices(_COLOURS),
            rich_help_panel=_WHAT,
        ),
    ] = "white"
    power: Annotated[
        float | None,
        Option(
            metavar="TIMES",
            help="Draw the discs as large as this magnification shows them; otherwise they fill"
            " the panels.",
            rich_help_panel=_WHAT,
        ),
    ] = None
    travel: Annotated[
        float,
        Option(
            metavar="WAVES",
            help="How far the strip reaches on either side of focus, in waves.",
            rich_help_panel=_WHAT,
        ),
    ] = 6.0
    positions: Annotated[
        int, Option(metavar="N", help="Number of panels in the strip; odd.", rich_help_panel=_WHAT)
    ] = 7
    common_brightness: Annotated[
        bool,
        Option(
            "--common-brightness",
            help="One exposure for all panels, instead of one for each.",
            rich_help_panel=_WHAT,
        ),
    ] = False


@dataclass(frozen=True, kw_only=True)
class RiddleOptions:
    """A fault to guess."""

    riddle: Annotated[
        int | None,
        Option(
            metavar="SEED",
            help="Hide one fault, chosen by this number, for others to guess.",
            rich_help_panel=_RIDDLE,
        ),
    ] = None
    difficulty: Annotated[
        str,
        Option(
            metavar="|".join(DIFFICULTIES),
            help="How strong the hidden fault is.",
            autocompletion=complete.choices(DIFFICULTIES),
            rich_help_panel=_RIDDLE,
        ),
    ] = "fair"
    answer: Annotated[
        bool,
        Option("--answer", help="Reveal the answer to the riddle.", rich_help_panel=_RIDDLE),
    ] = False


@dataclass(frozen=True, kw_only=True)
class PosterOptions:
    """The poster."""

    atlas: Annotated[
        bool,
        Option(
            "--atlas",
            help="A poster of all faults, on the paper that --paper names.",
            rich_help_panel=_ATLAS,
        ),
    ] = False
    telescope_type: Annotated[
        str,
        Option(
            metavar="|".join(TYPES),
            help="Kind of telescope to draw the poster for when no kit is named.",
            autocompletion=complete.choices(TYPES),
            rich_help_panel=_ATLAS,
        ),
    ] = "newtonian"
    paper: Annotated[
        str,
        Option(
            metavar="|".join(PAPERS),
            help="a2: landscape, for a wall, three strengths of each fault; a4 and letter: "
            "portrait, one strength.",
            autocompletion=complete.choices(PAPERS),
            rich_help_panel=_ATLAS,
        ),
    ] = "a2"
    dark: Annotated[
        bool,
        Option("--dark", help="Light words on a dark ground.", rich_help_panel=_ATLAS),
    ] = False


def command(
    kit: KitOptions = KitOptions(),
    star: StarOptions = StarOptions(),
    guess: RiddleOptions = RiddleOptions(),
    poster: PosterOptions = PosterOptions(),
    fits: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="Also write point spread, images through focus and wavefront as FITS.",
            rich_help_panel="Results",
        ),
    ] = None,
    size: Annotated[
        str | None,
        Option(
            metavar="WxH",
            help="Size of the picture, in pixels; without it 1920x1080, for the poster 3508x2480.",
            rich_help_panel="Results",
        ),
    ] = None,
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show a star through focus: what a telescope's faults do to it, and what to do about them."""
    require_choice("--telescope-type", poster.telescope_type, TYPES)
    require_choice("--difficulty", guess.difficulty, DIFFICULTIES)
    if poster.atlas:
        _refuse_together("--atlas", ("--fault", star.fault), ("--fits", fits))
        _refuse_together("--atlas", ("--minutes", star.minutes is not None))
        _refuse_together("--atlas", ("--riddle", guess.riddle is not None))
        _refuse_together("--atlas", ("--for slide", slide.slide), *slide.given())
        slide.require_english()
        _atlas(kit.word(needed=False), poster, size, report)
        return
    if guess.answer and guess.riddle is None:
        raise SimviewError(
            "--answer", got="no --riddle", allowed="--riddle SEED --answer", remedy="name the seed"
        )
    if guess.riddle is not None:
        _refuse_together("--riddle", ("--fault", star.fault), ("--fits", fits))
        _refuse_together("--riddle", ("--minutes", star.minutes is not None))
    word = kit.word(also=", or --atlas")
    file = read(word)
    place = None if fits is None else require_writable(fits, force=report.force, suffix=".fits")
    reporter = Reporter(report, stem=_named(word, guess), suffix=slide.suffixes)
    from simview.picture.drawing.canvas import check_size
    from simview.picture.slides.plan import check_slide
    from simview.picture.slides.star_slide import star_slide
    from simview.picture.startest.star_contents import judge_startest
    from simview.picture.startest.star_sheet import draw_startest

    wished = (1920, 1080) if size is None else parsing.size(size)
    wanted = check_slide(wished) if slide.slide else check_size(wished)
    with naming(file), reporter.progress() as progress:
        test = _test(file.kit, star, guess)
        if slide.slide:
            made: Told = star_slide(test, wish=slide.wish(), size=wanted)
        else:
            progress(0.0, "figures")
            contents = judge_startest(test, wanted)
            made = contents.told()
            if reporter.draws:
                made = draw_startest(contents, size=wanted, progress=progress)
        if place is not None:
            from simview.picture.startest.fits import fits_bytes

            write_whole(place, fits_bytes(test), force=report.force)
    reporter.sheet(made, remarks([file]))


def _test(kit: Kit, star: StarOptions, guess: RiddleOptions) -> StarTest:
    """Return the star test that was asked for."""
    from simview.picture.startest.patterns import StarTest
    from simview.picture.startest.riddle import riddle
    from simview.telescope.faults import parse

    if guess.riddle is None:
        typed = [*(star.fault or ())]
        if star.minutes is not None:
            typed.append(f"cooling={star.minutes:g}")
        faults = tuple(parse(text) for text in typed)
    else:
        faults = riddle(kit, guess.riddle, guess.difficulty)
    return StarTest(
        kit=kit,
        faults=faults,
        colour=star.colour,
        power=star.power,
        common=star.common_brightness,
        travel_waves=star.travel,
        positions=star.positions,
        riddle=None if guess.answer else guess.riddle,
        difficulty=guess.difficulty,
    )


def _named(kit: str, guess: RiddleOptions) -> str:
    """Return the stem of the sheet's name."""
    what = "answer" if guess.answer else "riddle"
    more = "" if guess.riddle is None else f"-{what}-{guess.riddle}"
    return f"startest-{stem(kit)}{more}"


def _refuse_together(option: str, *others: tuple[str, object]) -> None:
    remedies = {
        "--atlas": "the poster shows all faults in its own strengths",
        "--riddle": "a riddle chooses the fault by itself",
    }
    for other, given in others:
        if given:
            raise SimviewError(
                f"{option} and {other} together",
                allowed="one of the two",
                remedy=f"leave {other} out: {remedies[option]}",
            )


def _atlas(kit: str, poster: PosterOptions, size: str | None, report: ReportOptions) -> None:
    file, telescope_type = read(kit) if kit else None, poster.telescope_type
    require_choice("--paper", poster.paper, PAPERS)
    reporter = Reporter(report, stem=f"startest-atlas-{stem(kit) if kit else telescope_type}")
    from simview.picture.drawing.canvas import check_size
    from simview.picture.startest import atlas as startest_atlas

    wanted = None if size is None else check_size(parsing.size(size))
    subject = startest_atlas.subject(telescope_type) if file is None else file.kit
    with reporter.progress() as progress:
        made = startest_atlas.atlas(
            subject, size=wanted, paper=poster.paper, dark=poster.dark, progress=progress
        )
    reporter.sheet(made)
