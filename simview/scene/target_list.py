"""The list of all targets with their figures, for readers and for filters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from simview.scene.scene import Target, TargetKind
from simview.scene.tables import records
from simview.scene.targets import Entry, entries, find, implied_name, own_targets, target
from simview.units import mag_arcsec2


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A line of the list of targets.

    Parameters
    ----------
    size_arcsec
        Its extent, a double's separation.
    magnitude
        Integrated V, or None.
    mag_arcsec2
        Mean V surface brightness, or None for points.
    season
        Month in whose evenings it stands highest; "by date" for Moon and planets, "any time".
    declination_deg
        None where it has no fixed place.
    source
        Where its figures come from.
    """

    name: str
    title: str
    kind: TargetKind
    aliases: tuple[str, ...]
    size_arcsec: float
    magnitude: float | None
    mag_arcsec2: float | None
    season: str
    declination_deg: float | None
    teaches: str
    source: str


# Months by the right ascension (hours) that stands in the south at 21:30 in their middle: on
# 22 September 0 h culminates at midnight local mean time, two hours of RA a month.
MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def season(ra_deg: float) -> str:
    """Return the month in whose evenings (21:30) a right ascension stands highest."""
    # In mid-January (day 15) the sidereal time at 21:30 is 5.2 h; it gains 2 h a month.
    months = ((ra_deg / 15.0 - 5.2) % 24.0) / 2.0
    return MONTHS[round(months) % 12]


def listed(file: str | Path | None = None) -> list[Record]:
    """Return the list of all targets with their figures; a user's own first."""
    rows = [_own_record(name, told, file) for name, told in own_targets(file).items()]
    return rows + [_record(entry) for entry in entries() if not entry.free]


def _record(entry: Entry) -> Record:
    return _line(target(entry.name), entry, entry.teaches)


def _own_record(name: str, told: Mapping[str, Any], file: str | Path | None) -> Record:
    shown = target(name, file=file)
    base = find(str(told.get("like") or implied_name(told)))
    teaches = str(told.get("teaches", base.teaches))
    line = _line(shown, base, teaches)
    ra_deg = told.get("ra_deg", base.ra_deg)
    return replace(
        line,
        name=name,
        aliases=(),
        season=season(float(ra_deg)) if ra_deg is not None else line.season,
        source=f"own file: {Path(str(file)).name}",
    )


def _line(shown: Target, entry: Entry, teaches: str) -> Record:
    bright = shown.luminance_cd_m2
    fixed = entry.ra_deg is not None or shown.declination_deg != 0.0
    if entry.ra_deg is not None:
        when = season(entry.ra_deg)
    else:
        when = "by date" if shown.kind in ("planet", "moon") else "any time"
    return Record(
        name=entry.name,
        title=entry.title if entry.kind == "chart" else shown.title,
        kind=shown.kind,
        aliases=entry.aliases,
        size_arcsec=shown.size_arcsec,
        magnitude=shown.magnitude,
        mag_arcsec2=None if bright is None else mag_arcsec2(bright),
        season=when,
        declination_deg=shown.declination_deg if fixed else None,
        teaches=teaches,
        source=_source(entry, shown),
    )


def _source(entry: Entry, shown: Target) -> str:
    """Return where a target's figures come from: its table's row, or its first note."""
    for table in ("doubles.csv", "deep_sky.csv"):
        for row in records(table):
            if row["name"] == entry.name:
                return row["source"]
    return shown.notes[0] if shown.notes else ""
