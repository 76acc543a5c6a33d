"""Several kits or eyepieces side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, TypeVar, cast

from typer import Option

from simview.cli import complete, words
from simview.cli.displayoptions import DisplayOptions
from simview.cli.kits import conditions, naming, read, remarks, with_eyepiece
from simview.cli.options import (
    EyeOptions,
    KitsOptions,
    ReportOptions,
    SheetOptions,
    SkyOptions,
    TargetOptions,
)
from simview.cli.report import Reporter
from simview.errors import RangeError, SimviewError, require_choice
from simview.kit import AIR_KINDS, Air, Kit

if TYPE_CHECKING:
    from simview.picture.views.comparing import Look

EXAMPLES = (
    "demo:toy-refractor-50 demo:tabletop-150 demo:rocker-200 --target saturn --powers 100",
    "demo:binoculars-10x50 demo:toy-refractor-50 demo:tabletop-114 --target pleiades",
    "kit.toml --target jupiter --eyepieces 1,2",
    "demo:tabletop-150 --target orion-nebula --powers 30 --as photo,eye",
    "kit.toml --target pleiades --eyepieces huygens:20,kellner:20,plossl:20",
    "demo:rocker-200 --target saturn --powers 200 --air long,best,none",
    "old.toml new.toml --target castor --powers 90,150 --out castor.png",
)
DEMO = (
    "demo:toy-refractor-50 demo:tabletop-150 demo:rocker-200 --target saturn --powers 100,75,100"
    " --out {folder}/compare-saturn.png",
    "demo:binoculars-10x50 demo:toy-refractor-50 demo:tabletop-150 --target pleiades"
    " --out {folder}/compare-pleiades.png",
    "demo:tabletop-150 --target orion-nebula --powers 30 --as photo,eye"
    " --out {folder}/compare-orion-nebula.png",
)

T = TypeVar("T")
V = TypeVar("V")

# One panel: the kit, the eyepiece's index or None, the power or None.
Panel = tuple[Kit, int | None, float | None]


def command(
    what: TargetOptions,
    powers: Annotated[
        str | None,
        Option(metavar="A,B,C", help="Magnifications: one for each kit, or one for all."),
    ] = None,
    eyepieces: Annotated[
        str | None,
        Option(
            metavar="I,J,K",
            help="Eyepieces: one for each kit, or one for all. By their number in the kit, from 1,"
            " or by design and focal length, as in huygens:20,kellner:20.",
        ),
    ] = None,
    shown: Annotated[
        str | None,
        Option(
            "--as",
            metavar="eye|photo,...",
            help="What each panel shows: what the eye sees, or a long photograph of that field."
            " One for all, one for each, or several of one kit: --as photo,eye.",
            autocompletion=complete.choices(("eye", "photo", "photo,eye")),
            show_default=False,
        ),
    ] = None,
    kits: KitsOptions = KitsOptions(),
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    sheet: SheetOptions = SheetOptions(),
    display: DisplayOptions = DisplayOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show several kits, or one kit's eyepieces, on one object at the same apparent scale.

    A single kit with several powers or eyepieces is shown once with each. Kits of one power
    only - binoculars, the naked eye - keep theirs whatever is asked for.
    """
    files = [read(word) for word in kits.words()]
    chosen = panels([file.kit for file in files], powers, eyepieces)
    looks = None
    if shown is not None:
        chosen, looks = with_looks(chosen, shown)
    airs = None
    if sky.air is not None and "," in sky.air:
        chosen, airs = with_airs(chosen, sky.air)
        sky = replace(sky, air=None)
    target = what.build()
    air, observer = conditions(files, target, sky, eye)
    reporter = Reporter(report, stem=f"compare-{target.name}")
    drawn = {**sheet.drawn(), "display": display.build()}
    from simview.picture.views import compose

    with naming(*files), reporter.progress() as progress:
        made = compose.compare(
            chosen,
            target,
            looks=looks,
            airs=airs,
            sky=air,
            observer=observer,
            progress=progress,
            **drawn,
        )
    reporter.sheet(made, remarks(files, target, sky))


def panels(kits: Sequence[Kit], powers: str | None, eyepieces: str | None) -> list[Panel]:
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
    if eyepieces is not None:
        pairs = _matched(kits, eyepieces.split(","), "--eyepieces")
        named = [with_eyepiece(kit, word, option="--eyepieces") for kit, word in pairs]
        return [(kit, index, None) for kit, index in named]
    wanted = [None] if powers is None else words.powers(powers)
    return [
        (kit, None, power if kit.kind == "telescope" else None)
        for kit, power in _matched(kits, wanted, "--powers")
    ]


def with_looks(chosen: Sequence[Panel], words_: str) -> tuple[list[Panel], list[Look]]:
    """Return panels and what each shows; one panel alone is shown in each way.

    Raises
    ------
    SimviewError
        For an unknown way, or more or fewer of them than panels.
    """
    ways = [word.strip().lower() for word in words_.split(",")]
    for way in ways:
        require_choice("--as", way, ("eye", "photo"))
    pairs = _paired(chosen, ways, "--as", "panels")
    return [panel for panel, _ in pairs], [cast("Look", way) for _, way in pairs]


def with_airs(chosen: Sequence[Panel], words_: str) -> tuple[list[Panel], list[Air]]:
    """Return panels and what each shows of the air; one panel alone is shown with each.

    Raises
    ------
    SimviewError
        For an unknown air, or more or fewer of them than panels.
    """
    airs = [word.strip().lower() for word in words_.split(",")]
    for each in airs:
        require_choice("--air", each, AIR_KINDS)
    pairs = _paired(chosen, airs, "--air", "panels")
    return [panel for panel, _ in pairs], [cast("Air", each) for _, each in pairs]


def _matched(kits: Sequence[Kit], values: Sequence[V], option: str) -> list[tuple[Kit, V]]:
    """Pair kits with values: one for each, one for all, or all for the one kit."""
    return _paired(kits, values, option, "kits")


def _paired(things: Sequence[T], values: Sequence[V], option: str, what: str) -> list[tuple[T, V]]:
    if len(values) == 1:
        pairs = [(thing, values[0]) for thing in things]
    elif len(things) == 1:
        pairs = [(things[0], value) for value in values]
    elif len(things) == len(values):
        pairs = list(zip(things, values, strict=True))
    else:
        raise SimviewError(
            option, got=f"{len(values)} values", allowed=f"1 or {len(things)}, as there are {what}"
        )
    if len(pairs) > words.MOST_PANELS:
        raise RangeError("panels", got=len(pairs), allowed=f"1 to {words.MOST_PANELS}")
    return pairs
