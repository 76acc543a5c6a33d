"""Several kits or eyepieces side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, Any, Final, TypeVar, cast

from typer import Option

from simview.cli import complete, parsing
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
from simview.cli.several import Several, counted, defaults
from simview.cli.slideoptions import SlideOptions
from simview.errors import RangeError, SimviewError, require_choice
from simview.kit import Kit, Sky

if TYPE_CHECKING:
    from simview.kitfile import KitFile
    from simview.picture.finished import Told
    from simview.picture.views.cases import Case, Look

EXAMPLES = (
    "demo:toy-refractor-50 demo:tabletop-150 demo:rocker-200 --target saturn --powers 100",
    "demo:binoculars-10x50 demo:toy-refractor-50 demo:tabletop-114 --target pleiades",
    "kit.toml --target jupiter --eyepieces 1,2",
    "demo:tabletop-150 --target orion-nebula --powers 30 --as photo,eye",
    "kit.toml --target pleiades --eyepieces huygens:20,kellner:20,plossl:20",
    "demo:rocker-200 --target saturn --powers 200 --air long,best,none",
    "demo:tabletop-150 --target orion-nebula --powers 30 --sky-mag 18,21.5 --for slide",
    "demo:tabletop-150 --target jupiter --powers 150 --fault none,coma=0.6 --for slide",
    "demo:tabletop-150 --target saturn --powers 150 --fault cooling=0,cooling=60 --for slide",
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
    what: Several[TargetOptions],
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
    fault: Annotated[
        str,
        Option(
            metavar="none|NAME=WAVES,...",
            help="Faults of the telescope, as for startest, each panel's own: none,coma=0.6;"
            " with + between, several at once.",
            show_default=False,
        ),
    ] = "",
    kits: KitsOptions = KitsOptions(),
    sky: Several[SkyOptions] = defaults(SkyOptions),
    eye: Several[EyeOptions] = defaults(EyeOptions),
    sheet: SheetOptions = SheetOptions(),
    display: DisplayOptions = DisplayOptions(),
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Show several kits, eyepieces or conditions on one object at the same apparent scale.

    A single kit with several powers or eyepieces is shown once with each, and so it is with every
    option on the object, the sky and the eye that is given as a list: --sky-mag 18,21.5. Kits of
    one power only - binoculars, the naked eye - keep theirs whatever is asked for.
    """
    files = [read(word) for word in kits.words()]
    chosen = panels([file.kit for file in files], powers, eyepieces)
    looks: list[Look] = ["eye"] * len(chosen)
    if shown is not None:
        chosen, looks = with_looks(chosen, shown)
    told = Asked(files=files, what=what, sky=sky, eye=eye, faults=_faults(fault))
    cases, noted = told.cases(list(zip(chosen, looks, strict=True)))
    reporter = Reporter(report, stem=f"compare-{cases[0].target.name}", suffix=slide.suffixes)
    reporter.fetch(*(case.target for case in cases))
    drawn = {**slide.drawn(sheet), "display": display.build()}
    with naming(*files):
        show(reporter, cases, noted, slide, drawn)


def show(
    reporter: Reporter,
    cases: list[Case],
    noted: tuple[str, ...],
    slide: SlideOptions,
    drawn: dict[str, Any],
) -> None:
    """Judge the panels, draw them, and report."""
    engine = drawn.pop("engine")
    from simview.picture.drawing.tongue import say
    from simview.picture.fault_words import WARM_MIRROR
    from simview.picture.slides.compare_slide import slide_of_comparison
    from simview.picture.views.comparing import compare_sheet
    from simview.picture.views.judged import judge_cases

    with reporter.progress() as progress:
        judged = judge_cases(cases, engine=engine)
        # A slide's labels are its own, and stand among its figures.
        if slide.slide:
            shown = slide_of_comparison(judged, cases, **drawn, progress=progress)
            warm = f" {say(WARM_MIRROR)}" if _WARM in noted else ""
            made: Told = replace(shown, small_print=f"{shown.small_print}{warm}")
        elif reporter.draws:
            made = compare_sheet(judged, **drawn, progress=progress)
        else:
            made = judged.told()
    reporter.sheet(made, noted)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What was asked for besides kits and powers."""

    files: Sequence[KitFile]
    what: Several[TargetOptions]
    sky: Several[SkyOptions]
    eye: Several[EyeOptions]
    faults: tuple[str, ...] = ()

    def cases(self, chosen: Sequence[tuple[Panel, Look]]) -> tuple[list[Case], tuple[str, ...]]:
        """Return what stands in each panel, and what to say about it.

        Raises
        ------
        SimviewError
            For lists of different lengths, or more of them than panels.
        """
        from simview.picture.slides import says
        from simview.picture.views.cases import Case

        lists = [*self.what.lists, *self.sky.lists, *self.eye.lists]
        if len(self.faults) > 1:
            lists.append(("fault", self.faults))
        count = counted({name: len(values) for name, values in lists})
        targets = [each.build() for each in self.what.each]
        pairs = _paired(chosen, range(count), "lists of conditions", "panels")
        made, noted = [], dict[str, None]()
        for ((kit, index, power), look), number in pairs:
            target = targets[0 if len(targets) == 1 else number]
            height, eye = self.sky.at(number), self.eye.at(number)
            sky, observer = conditions(self.files, target, height, eye)
            noted |= dict.fromkeys(remarks(self.files, target, height))
            words_ = [
                says.conditions(name, target, sky, observer, values[number])
                for name, values in lists
            ]
            fault = self.faults[number if len(self.faults) > 1 else 0] if self.faults else "none"
            kit_, sky = _afflicted(kit, fault, sky)
            noted |= dict.fromkeys([_WARM] if "cooling" in fault else [])
            made.append(
                Case(
                    kit=kit_,
                    eyepiece=index,
                    power=power,
                    look=look,
                    target=target,
                    sky=sky,
                    observer=observer,
                    name=", ".join(words_),
                )
            )
        return made, tuple(noted)


def _faults(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",")) if text else ()


# What a view does not show of a warm mirror.
_WARM: Final = (
    "cooling: the warm air over the mirror blurs as air above would; the plume that it rises in is"
    " left out, and so are faults of a warm lens"
)


def _afflicted(kit: Kit, words_: str, sky: Sky) -> tuple[Kit, Sky]:
    """Return a kit with faults that a kit file can hold, and the air with the telescope's own.

    Layers of air add: widths to the power 5/3 (r0 to the power -5/3, Fried 1966). The sky's width
    holds at the zenith and grows with the air mass to the power 0.6; that in the tube does not.

    Raises
    ------
    SimviewError
        For an unknown fault, or one that only a star test shows.
    """
    if words_ == "none" or kit.telescope is None:
        return kit, sky
    from simview.air.extinction import airmass
    from simview.telescope.faults import apply_faults, parse
    from simview.telescope.terms import Extras, Plume

    faults = [parse(part) for part in words_.split("+")]
    found = apply_faults(kit.telescope, faults, layout=kit.layout)
    warm = any(fault.name == "cooling" for fault in faults)
    terms = tuple(t for t in found.extras.terms if not (warm and isinstance(t, Plume)))
    # A secondary's shadow out of the middle changes a view by nothing that an eye makes out.
    centred = replace(found.extras, shadow_x=0.0, shadow_y=0.0, terms=terms)
    if centred != Extras():
        raise SimviewError(
            "--fault", got=words_, allowed="faults of the wavefront", remedy="startest shows it"
        )
    if found.sky is not None and sky.air != "none":
        own = found.sky.seeing_arcsec / airmass(sky.altitude_deg) ** 0.6
        both = (sky.seeing_arcsec ** (5.0 / 3.0) + own ** (5.0 / 3.0)) ** 0.6
        sky = replace(sky, seeing_arcsec=both)
    return replace(kit, telescope=found.scope), sky


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
    wanted = [None] if powers is None else parsing.powers(powers)
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
    if len(pairs) > parsing.MOST_PANELS:
        raise RangeError("panels", got=len(pairs), allowed=f"1 to {parsing.MOST_PANELS}")
    return pairs
