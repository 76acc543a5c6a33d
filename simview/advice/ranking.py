"""Many offers at once: a ranked table, and the same as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from simview.advice.verdict import Verdict
from simview.cells import cell

_ORDER: Final = {"sound": 0, "with care": 1, "leave it": 2}

COLUMNS: Final = (
    "rank",
    "name",
    "source",
    "verdict",
    "price",
    "currency",
    "aperture_mm",
    "focal_length_mm",
    "claimed_power",
    "useful_power_high",
    "stops",
    "cautions",
    "first_reason",
    "missing",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One offer with the place it came from; `error` stands where it could not be read."""

    source: str
    verdict: Verdict | None = None
    error: str = ""


def ranked(offers: Sequence[Judged]) -> list[Judged]:
    """Return the offers best first: by verdict, then by fewest stops and cautions, then aperture.

    What could not be read comes last; nothing is lost.
    """
    return sorted(offers, key=_key)


def _key(one: Judged) -> tuple[int, int, int, float, str]:
    if one.verdict is None:
        return 9, 0, 0, 0.0, one.source
    grades = [finding.grade for finding in one.verdict.findings]
    aperture = one.verdict.listing.aperture_mm or 0.0
    return (
        _ORDER[one.verdict.verdict],
        grades.count("stop"),
        grades.count("caution"),
        -aperture,
        one.source,
    )


def rows(offers: Sequence[Judged]) -> list[dict[str, Any]]:
    """Return one plain row for each offer, in the order given."""
    return [_row(place, one) for place, one in enumerate(offers, 1)]


def _row(place: int, one: Judged) -> dict[str, Any]:
    row: dict[str, Any] = dict.fromkeys(COLUMNS)
    row |= {"rank": place, "source": one.source}
    verdict = one.verdict
    if verdict is None:
        return row | {"verdict": "not read", "first_reason": one.error}
    listing = verdict.listing
    grades = [finding.grade for finding in verdict.findings]
    first = verdict.findings[0].says if verdict.findings else ""
    return row | {
        "name": listing.name,
        "verdict": verdict.verdict,
        "price": listing.price,
        "currency": listing.currency or None,
        "aperture_mm": listing.aperture_mm,
        "focal_length_mm": verdict.numbers.get("focal_length_mm"),
        "claimed_power": listing.claimed_power,
        "useful_power_high": verdict.numbers.get("useful_power_high"),
        "stops": grades.count("stop"),
        "cautions": grades.count("caution"),
        "first_reason": first,
        "missing": "; ".join(verdict.listing.unknown),
    }


def csv_text(table: Sequence[dict[str, Any]]) -> str:
    """Return the rows as CSV; a cell that a spreadsheet would run as a formula is made text."""
    stream = io.StringIO()
    writer = csv.DictWriter(stream, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for row in table:
        writer.writerow(
            {
                key: cell(f"{value:g}" if isinstance(value, float) else value)
                for key, value in row.items()
            }
        )
    return stream.getvalue()
