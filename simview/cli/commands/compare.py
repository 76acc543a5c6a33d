"""Several kits or eyepieces side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

from typer import Option

from simview.cli import words
from simview.cli.kits import conditions, eyepiece_index, read
from simview.cli.options import (
    EyeOptions,
    KitArguments,
    ReportOptions,
    SheetOptions,
    SkyOptions,
    TargetOptions,
)
from simview.cli.report import Reporter
from simview.errors import RangeError, SimviewError

if TYPE_CHECKING:
    from simview.kitfile import KitFile

    # One panel: the kit's file, the eyepiece's index or None, the power or None.
    Panel = tuple[KitFile, int | None, float | None]

EXAMPLES = (
    "demo:toy-refractor-50 demo:tabletop-150 demo:rocker-200 --target saturn --powers 100",
    "demo:binoculars-10x50 demo:toy-refractor-50 demo:tabletop-114 --target pleiades",
    "kit.toml --target jupiter --eyepieces 1,2",
    "old.toml new.toml --target castor --powers 90,150 --out castor.png",
)
DEMO = (
    "demo:toy-refractor-50 demo:tabletop-114 demo:rocker-200 --target saturn --powers 100,91,150"
    " --out {folder}/compare-saturn.png",
    "demo:binoculars-10x50 demo:toy-refractor-50 demo:tabletop-150 --target pleiades"
    " --out {folder}/compare-pleiades.png",
)


def command(
    kits: KitArguments,
    what: TargetOptions,
    powers: Annotated[
        str | None,
        Option(metavar="A,B,C", help="Magnifications: one for each kit, or one for all."),
    ] = None,
    eyepieces: Annotated[
        str | None,
        Option(
            metavar="I,J,K",
            help="Eyepieces by their number in the kit, from 1: one for each kit, or one for all.",
        ),
    ] = None,
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    sheet: SheetOptions = SheetOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show several kits, or one kit's eyepieces, on one object at the same apparent scale.

    A single kit with several powers or eyepieces is shown once with each. Kits of one power
    only - binoculars, the naked eye - keep theirs whatever is asked for.
    """
    files = [read(word) for word in kits]
    chosen = panels(files, powers, eyepieces)
    target = what.build()
    air, observer = conditions(files, sky, eye)
    reporter = Reporter(report, stem=f"compare-{target.name}")
    drawn = sheet.drawn()
    from simview.picture import compose

    with reporter.progress() as progress:
        made = compose.compare(
            [(file.kit, index, power) for file, index, power in chosen],
            target,
            sky=air,
            observer=observer,
            progress=progress,
            **drawn,
        )
    reporter.sheet(made)


def panels(files: Sequence[KitFile], powers: str | None, eyepieces: str | None) -> list[Panel]:
    """Return what stands in each panel, from left to right.

    Raises
    ------
    SimviewError
        If there are more or fewer powers or eyepieces than kits, or too many panels.
    """
    if powers is not None and eyepieces is not None:
        raise SimviewError(
            "--powers and --eyepieces", allowed="one of them", remedy="leave one out"
        )
    numbers = None if eyepieces is None else words.counts(eyepieces, option="--eyepieces")
    wanted = None if powers is None else words.powers(powers)
    option, values = ("--powers", wanted) if numbers is None else ("--eyepieces", numbers)
    matched = _matched(files, values or (None,), option)
    if len(matched) > words.MOST_PANELS:
        raise RangeError("kits", got=len(matched), allowed=f"1 to {words.MOST_PANELS}")
    if numbers is None:
        return [(file, None, _own_power(file, value)) for file, value in matched]
    return [
        (file, eyepiece_index(file.kit, int(value or 1), option=option), None)
        for file, value in matched
    ]


def _own_power(file: KitFile, power: float | None) -> float | None:
    return power if file.kit.kind == "telescope" else None


def _matched(
    files: Sequence[KitFile], values: Sequence[float | None], option: str
) -> list[tuple[KitFile, float | None]]:
    """Pair kits with values: one for each, one for all, or all for the one kit."""
    if len(values) == 1:
        return [(file, values[0]) for file in files]
    if len(files) == 1:
        return [(files[0], value) for value in values]
    if len(files) != len(values):
        raise SimviewError(
            option, got=f"{len(values)} values", allowed=f"1 or {len(files)}, as there are kits"
        )
    return list(zip(files, values, strict=True))
