"""The same object at rising powers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any, Final

from typer import Option

from simview.cli import parsing
from simview.cli.commands.compare import Asked, show
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
from simview.cli.several import Several, defaults
from simview.cli.slideoptions import SlideOptions
from simview.errors import RangeError

if TYPE_CHECKING:
    from simview.kitfile import KitFile
    from simview.picture.finished import Told

EXAMPLES = (
    "demo:toy-refractor-50 --target jupiter --powers 30,90,150,300,450",
    "demo:toy-refractor-50 --target jupiter --powers 45,450 --for slide",
    "kit.toml --target castor --powers 40,80,160,320 --seeing 1.5 --size 3840x2160",
    "kit.toml --target saturn --powers 30,75,150 --json",
    "kit.toml --target saturn --powers 50,150 --seeing 1,4 --for slide",
)
DEMO = (
    "demo:toy-refractor-50 --target jupiter --powers 30,45,100,150,300,450"
    " --out {folder}/ladder-jupiter.png",
)


def command(
    what: Several[TargetOptions],
    powers: Annotated[
        str,
        Option(metavar="A,B,C", help="Magnifications, separated by commas.", show_default=False),
    ],
    kit: KitOptions = KitOptions(),
    sky: Several[SkyOptions] = defaults(SkyOptions),
    eye: Several[EyeOptions] = defaults(EyeOptions),
    sheet: SheetOptions = SheetOptions(),
    display: DisplayOptions = DisplayOptions(),
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show one object at rising powers, and mark where magnification turns empty.

    An option on the object, the sky or the eye that is given as a list, as in --seeing 1,4, shows
    all powers under each: powers times conditions are up to six panels of a comparison.
    """
    steps = parsing.powers(powers)
    file = read(kit.word())
    if what.lists or sky.lists or eye.lists:
        drawn = {**slide.drawn(sheet), "display": display.build()}
        asked = Asked(files=[file], what=what, sky=sky, eye=eye)
        _under_each(file, steps, asked, slide, drawn, report)
        return
    target = what.first.build()
    reporter = Reporter(report, stem=f"ladder-{target.name}", suffix=slide.suffixes)
    reporter.fetch(target)
    air, observer = conditions([file], target, sky.first, eye.first)
    drawn = {**slide.drawn(sheet), "display": display.build()}
    engine = drawn.pop("engine")
    from simview.picture.views.judged import judge_ladder

    draw: Callable[..., Told]
    if slide.slide:
        from simview.picture.slides.view_slide import slide_of_ladder

        draw = slide_of_ladder
    else:
        from simview.picture.views.compose import ladder_sheet

        draw = ladder_sheet

    with naming(file), reporter.progress() as progress:
        judged = judge_ladder(
            file.kit, target, powers=steps, sky=air, observer=observer, engine=engine
        )
        made = draw(judged, **drawn, progress=progress) if reporter.draws else judged.told()
    reporter.sheet(made, remarks([file], target, sky.first))


# Panels of a comparison, on a sheet and on a slide.
_MOST: Final = 6


def _under_each(
    file: KitFile,
    powers: Sequence[float],
    asked: Asked,
    slide: SlideOptions,
    drawn: dict[str, Any],
    report: ReportOptions,
) -> None:
    """Show all powers under each condition, as a comparison.

    Raises
    ------
    SimviewError
        For a kit of one power, or more panels than a sheet holds.
    """
    from simview.picture import captions
    from simview.picture.drawing import text

    captions.require_telescope(file.kit)
    told = [asked.cases([((file.kit, None, power), "eye")]) for power in sorted(powers)]
    count = sum(len(cases) for cases, _ in told)
    if count > _MOST:
        raise RangeError(
            "panels",
            got=f"{len(told)} powers under {count // len(told)} conditions",
            allowed=f"up to {_MOST}",
            remedy="take fewer powers",
        )
    cases = [case for under in zip(*(cases for cases, _ in told), strict=True) for case in under]
    if slide.slide:
        # A sheet writes the power by itself.
        cases = [replace(c, name=f"{text.times(c.power or 0.0)}, {c.name}") for c in cases]
    reporter = Reporter(report, stem=f"ladder-{cases[0].target.name}", suffix=slide.suffixes)
    with naming(file):
        show(reporter, cases, told[0][1], slide, drawn)
