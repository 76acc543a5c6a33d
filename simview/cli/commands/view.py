"""One eyepiece view."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

from typer import Option

from simview.cli.displayoptions import DisplayOptions
from simview.cli.kits import conditions, naming, read, remarks, with_eyepiece
from simview.cli.options import (
    EyeOptions,
    EyepieceOption,
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
    "demo:tabletop-150 --target jupiter --power 75",
    "demo:tabletop-150 --target saturn --power 150 --for slide --title 'As you will see it'",
    "kit.toml --double 2.3,45,5.2,6.1 --eyepiece 2 --seeing 1.5",
    "kit.toml --image moon.jpg --width-arcmin 31 --mag-arcsec2 5 --power 60 --out moon.png",
)
DEMO = ("demo:tabletop-150 --target saturn --power 150 --out {folder}/view-saturn.png",)


def command(
    what: TargetOptions,
    power: Annotated[
        float | None,
        Option(
            metavar="TIMES", help="Magnification; the kit's own pieces are used where they give it."
        ),
    ] = None,
    eyepiece: EyepieceOption = "1",
    kit: KitOptions = KitOptions(),
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    sheet: SheetOptions = SheetOptions(),
    display: DisplayOptions = DisplayOptions(),
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show one view: the whole field, and its middle at life size."""
    file = read(kit.word())
    target = what.build()
    reporter = Reporter(report, stem=f"view-{target.name}", suffix=slide.suffixes)
    reporter.fetch(target)
    air, observer = conditions([file], target, sky, eye)
    drawn = {**slide.drawn(sheet), "display": display.build()}
    chosen, index = with_eyepiece(file.kit, eyepiece)
    engine = drawn.pop("engine")
    from simview.picture.views.judged import look_once

    draw: Callable[..., Told]
    if slide.slide:
        from simview.picture.slides.view_slide import slide_of_view

        draw = slide_of_view
    else:
        from simview.picture.views.compose import view_sheet

        draw = view_sheet

    with naming(file), reporter.progress() as progress:
        looked = look_once(
            chosen,
            target,
            eyepiece=index,
            power=power,
            sky=air,
            observer=observer,
            engine=engine,
        )
        made = draw(looked, **drawn, progress=progress) if reporter.draws else looked.whole.told()
    reporter.sheet(made, remarks([file], target, sky))
