"""Finest visible detail against power."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from typer import Option

from simview.cli import parsing
from simview.cli.kits import conditions, naming, read, remarks
from simview.cli.options import (
    EyeOptions,
    KitOptions,
    ReportOptions,
    SheetOptions,
    SkyOptions,
    TargetOptions,
)
from simview.cli.report import Reporter
from simview.cli.slideoptions import SlideOptions
from simview.errors import require_range

if TYPE_CHECKING:
    from simview.picture.finished import Told

EXAMPLES = (
    "demo:toy-refractor-50 --target jupiter",
    "demo:rocker-200 --target moon --seeing 1.2 --size 3840x2160",
    "kit.toml --target castor --age 60",
    "kit.toml --target saturn --powers 30,75,150 --json",
)
DEMO = (
    "demo:toy-refractor-50 --target jupiter --out {folder}/detail-jupiter.png",
    "demo:tabletop-150 --target castor --out {folder}/detail-castor.png",
)

# Most powers that are told in one go.
MOST_POWERS = 200


def command(
    what: TargetOptions,
    powers: Annotated[
        str | None,
        Option(
            metavar="A,B,C",
            help="Magnifications to give figures for, rising; 60 that suit the kit if left out.",
        ),
    ] = None,
    kit: KitOptions = KitOptions(),
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    sheet: SheetOptions = SheetOptions(),
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Plot the finest detail that an eye makes out against power: how much power is enough.

    For a double star the plot tells whether it is split, for a faint nebula or galaxy whether it
    is seen, for a field of stars how faint a star can be seen.
    """
    steps = None if powers is None else _powers(powers)
    file = read(kit.word())
    target = what.build()
    air, observer = conditions([file], target, sky, eye)
    reporter = Reporter(report, stem=f"detail-{target.name}", suffix=slide.suffixes)
    drawn = slide.drawn(sheet)
    drawn.pop("engine")
    from simview.picture.detail.detail_sheet import draw_detail, judge_detail

    with naming(file), reporter.progress() as progress:
        progress(0.0, "looking")
        contents = judge_detail(file.kit, target, powers=steps, sky=air, observer=observer)
        made: Told = (
            draw_detail(contents, **drawn) if reporter.draws else contents.told(drawn["size"])
        )
    reporter.sheet(made, remarks([file], target, sky))


def _powers(text: str) -> tuple[float, ...]:
    values = parsing.numbers(text, option="--powers", example="--powers 30,75,150")
    require_range("--powers", len(values), 1, MOST_POWERS, unit="of them")
    return tuple(require_range("--powers", value, 1.0, 1e5, unit="times") for value in values)
