"""A star through focus, with the faults of a telescope."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from typer import Argument, Option

from simview.cli import complete, words
from simview.cli.kits import naming, read
from simview.cli.options import ReportOptions
from simview.cli.report import Reporter
from simview.errors import SimviewError, require_choice
from simview.textfile import require_writable, write_whole

if TYPE_CHECKING:
    from simview.telescope.faults import Fault

EXAMPLES = (
    "demo:tabletop-150 --fault coma=0.3 --fault astigmatism=0.2@30",
    "demo:rocker-200 --fault miscollimation=5arcmin@90 --power 300 --travel 10",
    "kit.toml --fault turned-down-edge=0.5,width=0.1 --colour green --fits star.fits",
    "--atlas --telescope-type refractor --out poster.png",
)
DEMO = (
    "demo:tabletop-150 --fault miscollimation=8arcmin@60 --out {folder}/startest-collimation.png",
    "demo:toy-refractor-50 --out {folder}/startest-toy.png",
    "--atlas --telescope-type newtonian --out {folder}/startest-atlas.png",
)

# What an atlas can be drawn for; simview.picture.startest.atlas describes them.
TYPES: Final = ("newtonian", "refractor", "cassegrain")

_COLOURS: Final = ("white", "green", "red", "blue")
_WHAT: Final = "The star"
_ATLAS: Final = "The poster"


def faults(incomplete: str) -> list[str]:
    """Return the faults that begin like this, ready for an amount."""
    from simview.telescope.catalogue import KINDS

    return [f"{name}=" for name in KINDS if name != "noll" and name.startswith(incomplete)]


def command(
    kit: Annotated[
        str,
        Argument(
            metavar="KIT",
            help="A kit file (TOML), or demo:NAME for one of the demo's kits; not needed for"
            " --atlas.",
            autocompletion=complete.kits,
            show_default=False,
        ),
    ] = "",
    fault: Annotated[
        list[str] | None,
        Option(
            "--fault",
            "-f",
            metavar="NAME=AMOUNT",
            help="A fault in waves peak to valley, or in the unit written behind it, with @ANGLE"
            " and ,OPTION=VALUE; may come again, they add up.",
            autocompletion=faults,
            rich_help_panel=_WHAT,
        ),
    ] = None,
    colour: Annotated[
        str,
        Option(
            metavar="|".join(_COLOURS) + "|NM",
            help="Of the light: white, through a filter, or one wavelength in nm.",
            autocompletion=complete.choices(_COLOURS),
            rich_help_panel=_WHAT,
        ),
    ] = "white",
    power: Annotated[
        float | None,
        Option(
            metavar="TIMES",
            help="Draw the discs as large as this magnification shows them; otherwise they fill"
            " the panels.",
            rich_help_panel=_WHAT,
        ),
    ] = None,
    travel: Annotated[
        float,
        Option(
            metavar="WAVES",
            help="From focus to either end of the strip, in waves.",
            rich_help_panel=_WHAT,
        ),
    ] = 6.0,
    positions: Annotated[
        int, Option(metavar="N", help="Panels of the strip, odd.", rich_help_panel=_WHAT)
    ] = 7,
    common_brightness: Annotated[
        bool,
        Option(
            "--common-brightness",
            help="One exposure for all panels, instead of one for each.",
            rich_help_panel=_WHAT,
        ),
    ] = False,
    fits: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="Also write point spread, images through focus and wavefront as FITS.",
            rich_help_panel="Results",
        ),
    ] = None,
    atlas: Annotated[
        bool,
        Option(
            "--atlas",
            help="A poster of all faults in three strengths, A2 at 150 dpi.",
            rich_help_panel=_ATLAS,
        ),
    ] = False,
    telescope_type: Annotated[
        str,
        Option(
            metavar="|".join(TYPES),
            help="For which the poster is drawn, where no kit is named.",
            autocompletion=complete.choices(TYPES),
            rich_help_panel=_ATLAS,
        ),
    ] = "newtonian",
    size: Annotated[
        str | None,
        Option(
            metavar="WxH",
            help="Of the picture, in pixels; 1920x1080, the poster 3508x2480.",
            rich_help_panel="Results",
        ),
    ] = None,
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show a star through focus: what a telescope's faults do to it, and what to do about them."""
    require_choice("--telescope-type", telescope_type, TYPES)
    if atlas:
        _refuse_with_atlas(fault, fits)
        _atlas(kit, telescope_type, size, report)
        return
    if not kit:
        raise SimviewError("KIT", got="none", allowed="a kit file or demo:NAME, or --atlas")
    file = read(kit)
    fits = None if fits is None else require_writable(fits, force=report.force, suffix=".fits")
    reporter = Reporter(report, stem=f"startest-{_stem(kit)}")
    from simview.picture.drawing.canvas import check_size
    from simview.picture.startest import star_sheet as startest_sheet
    from simview.picture.startest.patterns import StarTest

    wanted = check_size((1920, 1080) if size is None else words.size(size))
    with naming(file), reporter.progress() as progress:
        test = StarTest(
            kit=file.kit,
            faults=_faults(fault or ()),
            colour=colour,
            power=power,
            common=common_brightness,
            travel_waves=travel,
            positions=positions,
        )
        made = startest_sheet.startest(test, size=wanted, progress=progress)
        if fits is not None:
            from simview.picture.startest.fits import fits_bytes

            write_whole(fits, fits_bytes(test), force=report.force)
    reporter.sheet(made)


def _faults(typed: list[str] | tuple[str, ...]) -> tuple[Fault, ...]:
    from simview.telescope.faults import parse

    return tuple(parse(text) for text in typed)


def _stem(kit: str) -> str:
    return Path(kit.rpartition(":")[2]).stem


def _refuse_with_atlas(fault: list[str] | None, fits: Path | None) -> None:
    for option, given in (("--fault", fault), ("--fits", fits)):
        if given:
            raise SimviewError(
                option,
                got="--atlas",
                allowed="one of the two",
                remedy="the poster shows all faults in its own strengths",
            )


def _atlas(kit: str, telescope_type: str, size: str | None, report: ReportOptions) -> None:
    file = read(kit) if kit else None
    reporter = Reporter(report, stem=f"startest-atlas-{_stem(kit) if kit else telescope_type}")
    from simview.picture.drawing.canvas import check_size
    from simview.picture.startest import atlas as startest_atlas

    wanted = startest_atlas.A2 if size is None else check_size(words.size(size))
    subject = startest_atlas.subject(telescope_type) if file is None else file.kit
    with reporter.progress() as progress:
        made = startest_atlas.atlas(subject, size=wanted, progress=progress)
    reporter.sheet(made)
