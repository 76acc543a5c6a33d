"""What can be shown."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

from typer import Option

from simview.cli.options import ReportOptions
from simview.cli.report import Reporter
from simview.errors import SimviewError, require_choice

if TYPE_CHECKING:
    from simview.scene.listing import Record

EXAMPLES = (
    "",
    "--kind double --brighter 4",
    "--season october --teaches faintness",
    "--named cluster --json",
    "--targets mine.toml",
)

KINDS: Final = ("planet", "moon", "double", "stars", "deep-sky", "chart", "photo", "daytime")


def command(
    kind: Annotated[str | None, Option(metavar="KIND", help=", ".join(KINDS) + ".")] = None,
    season: Annotated[
        str | None, Option(metavar="MONTH", help="Highest in the evenings of this month.")
    ] = None,
    teaches: Annotated[
        str | None, Option(metavar="WORD", help="What it teaches: faintness, splitting ...")
    ] = None,
    brighter: Annotated[
        float | None, Option(metavar="MAG", help="Of this V magnitude, or brighter.")
    ] = None,
    named: Annotated[
        str | None, Option(metavar="TEXT", help="With this text in a name or title.")
    ] = None,
    targets: Annotated[
        Path | None,
        Option(metavar="FILE", help="Lists the targets of a TOML file of your own too."),
    ] = None,
    report: ReportOptions = ReportOptions(),
) -> None:
    """List what can be looked at, with size, light, season and what it teaches."""
    from simview.scene import targets as scene

    if kind is not None:
        require_choice("--kind", kind, KINDS)
    reporter = Reporter(report, suffix="")
    known = len(scene.names(targets))
    found = [
        record
        for record in scene.catalogue(targets)
        if (kind is None or record.kind == kind)
        and (season is None or record.season.lower().startswith(season.lower()))
        and (teaches is None or teaches.lower() in record.teaches.lower())
        and (brighter is None or (record.magnitude is not None and record.magnitude <= brighter))
        and (named is None or named.lower() in _words(record))
    ]
    if not found:
        raise SimviewError("targets", got=f"none of {known}", remedy="leave a filter out")
    reporter.rows("targets", _full(found) if report.json else _short(found))
    free = ", ".join(entry.name for entry in scene.entries() if entry.free)
    reporter.remark(f"{len(found)} of {known}; with options also: {free}")


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
