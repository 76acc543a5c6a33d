"""The same object at rising powers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from typer import Option

from simview.cli import parsing
from simview.cli.displayoptions import DisplayOptions
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

if TYPE_CHECKING:
    from simview.picture.finished import Told

EXAMPLES = (
    "demo:toy-refractor-50 --target jupiter --powers 30,90,150,300,450",
    "demo:toy-refractor-50 --target jupiter --powers 45,450 --for slide",
    "kit.toml --target castor --powers 40,80,160,320 --seeing 1.5 --size 3840x2160",
    "kit.toml --target saturn --powers 30,75,150 --json",
)
DEMO = (
    "demo:toy-refractor-50 --target jupiter --powers 30,45,100,150,300,450"
    " --out {folder}/ladder-jupiter.png",
)


def command(
    what: TargetOptions,
    powers: Annotated[
        str,
        Option(metavar="A,B,C", help="Magnifications, separated by commas.", show_default=False),
    ],
    kit: KitOptions = KitOptions(),
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    sheet: SheetOptions = SheetOptions(),
    display: DisplayOptions = DisplayOptions(),
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show one object at rising powers, and mark where magnification turns empty."""
    steps = parsing.powers(powers)
    file = read(kit.word())
    target = what.build()
    air, observer = conditions([file], target, sky, eye)
    reporter = Reporter(report, stem=f"ladder-{target.name}", suffix=slide.suffixes)
    drawn = {**slide.drawn(sheet), "display": display.build()}
    engine = drawn.pop("engine")
    from simview.picture.slides.view_slide import slide_of_ladder
    from simview.picture.views.compose import ladder_sheet
    from simview.picture.views.judged import judge_ladder

    with naming(file), reporter.progress() as progress:
        judged = judge_ladder(
            file.kit, target, powers=steps, sky=air, observer=observer, engine=engine
        )
        draw = slide_of_ladder if slide.slide else ladder_sheet
        made: Told = draw(judged, **drawn, progress=progress) if reporter.draws else judged.told()
    reporter.sheet(made, remarks([file], target, sky))
