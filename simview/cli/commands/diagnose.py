"""From photographs of a star to what ails the telescope."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Final

from typer import Argument, Option

from simview.cli import complete, ledger, parsing
from simview.cli.kits import naming, read
from simview.cli.options import ReportOptions
from simview.cli.report import Reporter
from simview.errors import SimviewError
from simview.terminal import tell
from simview.textfile import require_writable, write_whole

EXAMPLES = (
    "inside.jpg outside.jpg --kit demo:tabletop-150",
    "inside.mp4 outside.mp4 --kit kit.toml --kit-out mine.toml",
    "star.jpg --kit kit.toml --side outside --up 120 --json",
    "--how demo:tabletop-150",
)

# As simview.diagnosis.diagnose has them.
SIDES: Final = ("inside", "outside", "unknown")

_HOW: Final = "Taking the pictures"
_HELD: Final = "How the pictures were taken"


def command(
    photo: Annotated[
        list[str] | None,
        Argument(
            metavar="PHOTO...",
            help="Photographs of a star out of focus (JPEG, PNG, TIFF, HEIC, FITS), short films, or"
            " folders of frames; ideally one on each side of focus.",
            show_default=False,
        ),
    ] = None,
    kit: Annotated[
        str,
        Option(
            metavar="KIT",
            help="What they were taken with: a kit file (TOML), or demo:NAME.",
            autocompletion=complete.kits,
            show_default=False,
        ),
    ] = "",
    side: Annotated[
        list[str] | None,
        Option(
            metavar="|".join(SIDES),
            help="Side of focus of each photograph, in their order; if left out, the files' "
            "names decide.",
            autocompletion=complete.choices(SIDES),
            rich_help_panel=_HELD,
        ),
    ] = None,
    up: Annotated[
        float | None,
        Option(
            metavar="DEG",
            help="Direction in the photograph that is up at the telescope seen from behind, degrees"
            " anticlockwise from the right; 90 is the top.",
            rich_help_panel=_HELD,
        ),
    ] = None,
    right: Annotated[
        float | None,
        Option(
            metavar="DEG",
            help="The same for what is right at the telescope; with --up it tells whether the"
            " photographs are mirrored.",
            rich_help_panel=_HELD,
        ),
    ] = None,
    mirrored: Annotated[
        bool,
        Option(
            "--mirrored",
            help="Left and right are exchanged in the photographs; a star diagonal in the kit says"
            " so too.",
            rich_help_panel=_HELD,
        ),
    ] = False,
    how: Annotated[
        str,
        Option(
            metavar="KIT",
            help="Explain how to take the pictures instead, with the numbers for this kit.",
            autocompletion=complete.kits,
            show_default=False,
            rich_help_panel=_HOW,
        ),
    ] = "",
    kit_out: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="Also write the kit with the faults that were found, for all other commands.",
            rich_help_panel="Results",
        ),
    ] = None,
    size: Annotated[str, Option(metavar="WxH", help="Of the sheet, in pixels.")] = "1920x1080",
    report: ReportOptions = ReportOptions(),
) -> None:
    """Say from photographs of a star what is wrong with a telescope, and what to do about it."""
    if how:
        _tell_how(how, photo, report)
        return
    if not photo:
        raise SimviewError(
            "PHOTO",
            got="none",
            allowed="photographs of a star out of focus",
            remedy="simview diagnose --how KIT tells how to take them",
        )
    if not kit:
        raise SimviewError("--kit", got="none", allowed="a kit file or demo:NAME")
    file = read(kit)
    place = (
        None if kit_out is None else require_writable(kit_out, force=report.force, suffix=".toml")
    )
    reporter = Reporter(report, stem=f"diagnose-{Path(photo[0]).stem}")
    from simview.diagnosis.diagnose import diagnose
    from simview.diagnosis.diagnosis_sheet import diagnosis_sheet
    from simview.kitfile import save_kit
    from simview.picture.drawing.canvas import check_lying

    wanted = check_lying(parsing.size(size))
    with naming(file), reporter.progress() as progress:
        found = diagnose(
            photo,
            file.kit,
            side=side or (),
            up_deg=up,
            right_deg=right,
            mirrored=True if mirrored else None,
            progress=progress,
        )
        made = None
        if reporter.path is not None:
            made = diagnosis_sheet(found, size=wanted, progress=progress)
    if place is not None:
        with ledger.writing(place):
            save_kit(found.kit_found(), place, force=report.force)
    if made is None:
        reporter.figures(found.figures(), words=found.text())
    else:
        reporter.sheet(made, words=found.text())
    if place is not None and not report.json:
        tell(place)


def _tell_how(word: str, photo: list[str] | None, report: ReportOptions) -> None:
    from simview.diagnosis.howto import how

    if photo:
        raise SimviewError("--how", got="photographs", allowed="one of the two")
    file = read(word)
    with naming(file):
        told = how(file.kit)
    reporter = Reporter(report, suffix=".txt")
    lines = "\n".join(f"{n}. {step}" for n, step in enumerate(told.steps(), 1))
    if reporter.path is not None:
        with ledger.writing(reporter.path):
            write_whole(reporter.path, lines + "\n", force=reporter.force)
    reporter.figures(told.figures(), words=lines)
