"""Which screw moves the dark middle where, and when to stop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

from typer import Option

from simview.cli import ledger
from simview.cli.kits import naming, read, remarks, stem
from simview.cli.options import KitOptions, ReportOptions
from simview.cli.report import Reporter
from simview.cli.slideoptions import SlideOptions
from simview.errors import SimviewError
from simview.terminal import tell

if TYPE_CHECKING:
    from simview.kitfile import KitFile
    from simview.picture.finished import Told

EXAMPLES = (
    "demo:tabletop-150",
    "demo:rocker-200 --animation turning.webp",
    "demo:tabletop-150 --secondary --focuser 45",
    "demo:tabletop-150 --daylight",
    "demo:schmidt-cassegrain-203",
    "demo:tabletop-150 --for slide --out screws.png",
    "kit.toml --screw-circle 110 --pitch 0.8 --first-screw 30 --travel -5",
)
DEMO = (
    "demo:tabletop-150 --fps 8 --out {folder}/collimate.png --animation {folder}/collimate.webp",
)

_SCREWS: Final = "The screws"
_ANIMATION: Final = "The animation"


def command(
    kit: KitOptions = KitOptions(),
    travel: Annotated[
        float | None,
        Option(
            metavar="WAVES",
            help="How far out of focus the star is; negative is inside. 5 if left out, 10 with"
            " --secondary.",
        ),
    ] = None,
    colour: Annotated[
        str, Option(metavar="white|green|red|blue|NM", help="Colour of the star's light.")
    ] = "white",
    screw_circle: Annotated[
        float | None,
        Option(
            metavar="MM",
            help="Diameter of the circle of screws, no wider than their mirror; if left out, 0.7 of"
            " the aperture, or for a secondary 0.4 of its shadow.",
            rich_help_panel=_SCREWS,
        ),
    ] = None,
    pitch: Annotated[
        float | None,
        Option(
            metavar="MM",
            help="How far one turn of a screw moves the mirror (its thread pitch); 1 if left out,"
            " 0.7 at a secondary.",
            rich_help_panel=_SCREWS,
        ),
    ] = None,
    first_screw: Annotated[
        float,
        Option(
            metavar="DEG",
            help="Where the first screw is, anticlockwise from the right, seen along the tube from"
            " behind; also where the sheet draws the screws from the front.",
            rich_help_panel=_SCREWS,
        ),
    ] = 90.0,
    secondary: Annotated[
        bool,
        Option(
            "--secondary",
            help="The three screws of a Newtonian's secondary, the primary collimated.",
            rich_help_panel=_SCREWS,
        ),
    ] = False,
    focuser: Annotated[
        float | None,
        Option(
            metavar="DEG",
            help="With --secondary or --daylight: where the focuser is, anticlockwise from the"
            " right, seen from behind; 0 if left out.",
            rich_help_panel=_SCREWS,
        ),
    ] = None,
    daylight: Annotated[
        bool,
        Option(
            "--daylight",
            help="A Newtonian before the night: the circles that an eye sees through the empty"
            " focuser. Never near the Sun.",
            rich_help_panel=_SCREWS,
        ),
    ] = False,
    animation: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="Also film the screws being turned: .webp, .mp4, .gif, .png (APNG), a new folder.",
            rich_help_panel=_ANIMATION,
        ),
    ] = None,
    off: Annotated[
        float | None,
        Option(
            metavar="MM",
            help="How far off the middle of the field it begins; 3.5 tolerances if left out.",
            rich_help_panel=_ANIMATION,
        ),
    ] = None,
    towards: Annotated[
        float,
        Option(metavar="DEG", help="Direction in which it is off.", rich_help_panel=_ANIMATION),
    ] = 70.0,
    fps: Annotated[
        float,
        Option(
            metavar="N",
            help="Frames a second; more of them run smoother.",
            rich_help_panel=_ANIMATION,
        ),
    ] = 12.0,
    size: Annotated[str, Option(metavar="WxH", help="Size of the sheet, in pixels.")] = "1920x1080",
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show how a star out of focus changes as the collimating screws are turned."""
    from simview.picture.collimation.collimation_asked import collimation
    from simview.picture.collimation.collimation_contents import judge_collimation
    from simview.picture.collimation.collimation_film import animation as filmed
    from simview.picture.collimation.collimation_sheet import draw_collimation
    from simview.picture.films.moving import require_place, save_moving
    from simview.picture.slides.collimation_slide import collimation_slide

    if focuser is not None and not (secondary or daylight):
        raise SimviewError(
            "--focuser",
            got=f"{focuser:g} without --secondary or --daylight",
            allowed="with one of them only, as it is the secondary's",
            remedy="add --secondary, or leave --focuser out",
        )
    word = kit.word()
    file = read(word)
    if daylight:
        if slide.slide or animation is not None or secondary or travel is not None:
            raise SimviewError(
                "--daylight",
                got="with --for slide, --animation, --secondary or --travel",
                allowed="with --focuser, --size and --out: it shows no star",
                remedy="leave the others out",
            )
        slide.require_english("leave --lang out")
        named = f"collimate-daylight-{stem(word)}"
        reporter = Reporter(report, stem=named, suffix=slide.suffixes)
        _by_day(file, focuser or 0.0, slide.sized(size), reporter)
        return
    slide.require_english()
    drawn = slide.sized(size)
    place = None if animation is None else require_place(animation, force=report.force)
    which = "collimate-secondary" if secondary else "collimate"
    reporter = Reporter(report, stem=f"{which}-{stem(word)}", suffix=slide.suffixes)
    if place is not None and reporter.path is not None and _one_file(place, reporter.path):
        raise SimviewError(
            "--animation", got=f"{place}, as --out", remedy="give the film a name of its own"
        )
    with naming(file), reporter.progress() as progress:
        asked = collimation(
            file.kit,
            circle_mm=screw_circle,
            pitch_mm=pitch,
            first_deg=first_screw,
            travel_waves=travel,
            colour=colour,
            focuser_deg=(focuser or 0.0) if secondary else None,
        )
        moving = filmed(asked, off_mm=off, towards_deg=towards, frames_per_second=fps)
        if slide.slide:
            made: Told = collimation_slide(asked, progress=progress, **drawn)
        else:
            contents = judge_collimation(asked)
            made = contents.told(**drawn)
            if reporter.draws:
                made = draw_collimation(contents, progress=progress, **drawn)
        if place is not None:
            with ledger.writing(place):
                save_moving(moving, place, force=report.force, progress=progress)
    reporter.sheet(made, remarks([file]))
    if place is not None and not report.json:
        tell(place)


def _one_file(film: Path, sheet: Path) -> bool:
    """Return whether two names that may not be there yet mean one file on any kind of disk."""
    return str(film.resolve()).casefold() == str(sheet.resolve()).casefold()


def _by_day(file: KitFile, focuser: float, drawn: dict[str, Any], reporter: Reporter) -> None:
    """Draw the circles that are seen by day."""
    from simview.picture.collimation import daylight_sheet

    with naming(file), reporter.progress() as progress:
        asked = daylight_sheet.Daylight(kit=file.kit, focuser_deg=focuser)
        made = daylight_sheet.told(asked, **drawn)
        if reporter.draws:
            made = daylight_sheet.daylight(asked, progress=progress, **drawn)
    reporter.sheet(made, remarks([file]))
