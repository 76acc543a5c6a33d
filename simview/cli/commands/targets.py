"""What can be shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, cast

from typer import Option

from simview.cli import complete
from simview.cli.kits import naming, read
from simview.cli.options import EyeOptions, ReportOptions, SheetOptions, SkyOptions
from simview.cli.report import Reporter
from simview.cli.slideoptions import SlideOptions
from simview.errors import RangeError, SimviewError, require_choice
from simview.kit import Observer, Sky

if TYPE_CHECKING:
    from simview.picture.views.cases import Look
    from simview.scene.target_list import Record

EXAMPLES = (
    "",
    "--kind double --brighter 4",
    "--season october --teaches faintness --out october.png",
    "--named cluster --json",
    "--targets mine.toml",
    "--kind moon --kit demo:toy-refractor-50 --out moon.png",
    "--named cluster --for slide --out clusters.png",
    "--named veil --filter oxygen --out veil.png",
)
DEMO = ("--season january --brighter 6 --out {folder}/targets-january.png",)

# Kinds of target.
KINDS: Final = (
    "planet",
    "moon",
    "double",
    "stars",
    "deep-sky",
    "chart",
    "photo",
    "daytime",
)

# What a picture can show.
_LOOKS: Final = ("eye", "photo")

_PICTURES: Final = "Pictures, with --out FILE.png or FILE.pdf"


def command(
    kind: Annotated[str | None, Option(metavar="KIND", help=", ".join(KINDS) + ".")] = None,
    season: Annotated[
        str | None,
        Option(
            metavar="MONTH", help="Only objects that stand highest in the evening in this month."
        ),
    ] = None,
    teaches: Annotated[
        str | None, Option(metavar="WORD", help="What it teaches: faintness, splitting ...")
    ] = None,
    brighter: Annotated[
        float | None, Option(metavar="MAG", help="Only objects of this V magnitude or brighter.")
    ] = None,
    named: Annotated[
        str | None,
        Option(metavar="TEXT", help="Only objects whose name or title contains this text."),
    ] = None,
    targets: Annotated[
        Path | None,
        Option(metavar="FILE", help="Also list the targets in a TOML file of your own."),
    ] = None,
    kit: Annotated[
        str,
        Option(
            metavar="KIT",
            help="What the pictures are seen through.",
            autocompletion=complete.kits,
            rich_help_panel=_PICTURES,
        ),
    ] = "demo:tabletop-150",
    shown: Annotated[
        str,
        Option(
            "--as",
            metavar="eye|photo",
            help="What each picture shows: what the eye sees, or a long photograph.",
            autocompletion=complete.choices(_LOOKS),
            rich_help_panel=_PICTURES,
        ),
    ] = "eye",
    page: Annotated[
        int,
        Option(metavar="N", help="Which page of the pictures.", rich_help_panel=_PICTURES),
    ] = 1,
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    sheet: SheetOptions = SheetOptions(),
    slide: SlideOptions = SlideOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """List what there is to look at, with size, light, season and what it teaches.

    With --out FILE.png or FILE.pdf, also a sheet of small pictures, with --for slide a slide of up
    to six; with another ending, the list as a file.
    """
    from simview.scene import targets as scene
    from simview.scene.own import TEACHES
    from simview.scene.target_list import MONTHS, listed

    if kind is not None:
        require_choice("--kind", kind, KINDS)
    ending = "" if report.out is None else report.out.suffix.lower()
    pictures = slide.slide or ending in slide.suffixes
    if not pictures:
        slide.refuse("a list", "it goes with --out FILE.png or FILE.pdf")
    stem = "targets" if slide.slide else ""
    reporter = Reporter(report, stem=stem, suffix=slide.suffixes if pictures else "")
    records = listed(targets)
    known = len(records)
    _require_part("--season", season, (*MONTHS, "any time", "by date"), start=True)
    _require_part("--teaches", teaches, TEACHES)
    found = [
        record
        for record in records
        if (kind is None or record.kind == kind)
        and (season is None or record.season.lower().startswith(season.lower()))
        and (teaches is None or teaches.lower() in record.teaches.lower())
        and (brighter is None or (record.magnitude is not None and record.magnitude <= brighter))
        and (named is None or named.lower() in _words(record))
    ]
    if not found:
        raise SimviewError("targets", got=f"none of {known}", remedy="leave a filter out")
    if pictures:
        from simview.picture.views.page_words import page_title

        seasons = list(dict.fromkeys(record.season for record in found)) if season else []
        # On a slide stands what an audience understands.
        filters = () if slide.slide else (teaches, named and f"“{named}”")
        title = page_title(kind, seasons, filters, None if slide.slide else brighter)
        asked = Wish(targets, kit, shown, page, title, slide)
        _pictures(reporter, found, asked, (sky, eye), slide.drawn(sheet))
        return
    reporter.rows("targets", _full(found) if report.json else _short(found))
    free = ", ".join(entry.name for entry in scene.entries() if entry.free)
    reporter.remark(f"{len(found)} of {known}; with options also: {free}")


@dataclass(frozen=True)
class Wish:
    """What the pictures shall be."""

    file: Path | None
    kit: str
    shown: str
    page: int
    title: str
    slide: SlideOptions


def _require_part(
    what: str, word: str | None, known: Sequence[str], *, start: bool = False
) -> None:
    """Raise where no known word begins with, or holds, the word asked for."""
    if word is None:
        return
    asked = word.lower()
    if not any(k.lower().startswith(asked) if start else asked in k.lower() for k in known):
        require_choice(what, word, known)


def _pictures(
    reporter: Reporter,
    found: Sequence[Record],
    wish: Wish,
    conditions: tuple[SkyOptions, EyeOptions],
    drawn: dict[str, Any],
) -> None:
    """Make one page of pictures and tell how many there are."""
    sky, eye = conditions
    require_choice("--as", wish.shown, _LOOKS)
    file = read(wish.kit)
    from simview.picture.slides import targets_slide as slides
    from simview.picture.views import contact_contents, contact_sheet, page_words
    from simview.scene.targets import target

    most = slides.MOST_PANELS if wish.slide.slide else contact_contents.MOST
    pages = -(-len(found) // most)
    if not 1 <= wish.page <= pages:
        raise RangeError("--page", got=wish.page, allowed=f"1 to {pages}")
    items = [
        contact_contents.Item(
            target=target(each.name, file=wish.file),
            name=each.name,
            season=each.season,
            teaches=each.teaches,
        )
        for each in found[(wish.page - 1) * most : wish.page * most]
    ]
    title = page_words.paged(wish.title, wish.page, pages)
    with naming(file), reporter.progress() as progress:
        made = (slides.targets_slide if wish.slide.slide else contact_sheet.contact_sheet)(
            items,
            file.kit,
            shown=cast("Look", wish.shown),
            title=title,
            sky=sky.over(file.sky or Sky()),
            observer=eye.over(file.observer or Observer()),
            progress=progress,
            **drawn,
        )
    further = [f"page {wish.page} of {pages}, {len(items)} of {len(found)} targets; --page N"]
    reporter.sheet(made, further if pages > 1 else ())


def _words(record: Record) -> str:
    return " ".join([record.name, record.title, *record.aliases]).lower()


def _full(records: Sequence[Record]) -> list[dict[str, Any]]:
    import dataclasses

    return [dataclasses.asdict(record) for record in records]


def _short(records: Sequence[Record]) -> list[dict[str, Any]]:
    """Return the columns of a list for readers; they fit a terminal of 100 characters."""
    return [
        {
            "name": record.name,
            "kind": record.kind,
            "size": _angle(record.size_arcsec),
            "magnitude": "-" if record.magnitude is None else f"V {record.magnitude:.1f}",
            "surface": "-" if record.mag_arcsec2 is None else f'{record.mag_arcsec2:.1f}/"2',
            "season": record.season,
            "teaches": record.teaches,
        }
        for record in records
    ]


def _angle(arcsec: float) -> str:
    if arcsec < 100.0:
        return f'{arcsec:.3g}"'
    return f"{arcsec / 60.0:.3g}'" if arcsec < 6000.0 else f"{arcsec / 3600.0:.2g} deg"
