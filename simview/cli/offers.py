"""Listings, shelves and letterheads on the command line, and where a verdict goes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from simview.cli.options import ReportOptions
from simview.cli.progress import ProgressBar
from simview.cli.report import Reporter, clean
from simview.demo import PREFIX, asset, assets
from simview.errors import ChoiceError, FileError, SimviewError, nearest, require_range
from simview.kit import Sky
from simview.textfile import require_writable, write_whole

if TYPE_CHECKING:
    from simview.advice.answer import Answer
    from simview.advice.letterhead import Letterhead
    from simview.advice.listing import Listing
    from simview.advice.ranking import Judged
    from simview.advice.request import Evening, Wishes
    from simview.advice.stock import Shelf
    from simview.advice.verdict import Verdict

SKY: Final = Sky()

SHEETS: Final = (".html", ".htm", ".pdf")
TABLE: Final = ".csv"


def path_of(word: str, homes: tuple[str, ...] = ("adverts/", "kits/")) -> Path:
    """Return the path that a word means: a file's name, or ``demo:`` and a name.

    Parameters
    ----------
    homes
        Where among the demo's files its name is sought: beginnings of their names.

    Raises
    ------
    ChoiceError
        For a demo file that there is not; offers the nearest.
    """
    if not word.startswith(PREFIX):
        return Path(word)
    name = word.removeprefix(PREFIX)
    known = {Path(each).stem: each for each in assets() if each.startswith(homes)}
    if name not in known:
        near = nearest(name, known)
        raise ChoiceError(
            "demo file",
            got=name,
            allowed=", ".join(known),
            remedy=f"did you mean {PREFIX}{near}?" if near else "",
        )
    return asset(known[name])


def shelf(word: str) -> Shelf | None:
    """Return the shelf that a word names, or None for no word."""
    if not word:
        return None
    from simview.advice.stock import load_shelf

    return load_shelf(path_of(word, ("shelf",)))


def letterhead(word: str) -> Letterhead | None:
    """Return the letterhead that a word names, or None for no word."""
    if not word:
        return None
    from simview.advice.letterhead import load_letterhead

    return load_letterhead(path_of(word, ("letterhead",)))


def budget(amount: float | None) -> float | None:
    """Return the budget, checked."""
    return None if amount is None else require_range("--budget", amount, 0.0, 1e7)


def evening(month: str, lat: float, lon: float, zone: str = "") -> Evening:
    """Return where and when an owner will look; without a month, this one.

    Raises
    ------
    SimviewError
        For a month or a place that there is not.
    """
    from simview.advice.request import Evening

    today = date.today()
    year, _, number = month.partition("-") if month else (str(today.year), "-", str(today.month))
    if not (year.isdecimal() and number.isdecimal() and 1 <= int(number) <= 12):
        raise SimviewError("--month", got=month, allowed="YYYY-MM", remedy="as in --month 2026-11")
    return Evening(
        year=int(require_range("--month (year)", int(year), 1900, 2100)),
        month=int(number),
        latitude_deg=require_range("--lat", lat, -90.0, 90.0, unit="deg"),
        longitude_deg=require_range("--lon", lon, -180.0, 180.0, unit="deg"),
        zone=zone,
    )


class Offers:
    """All offers in one file or folder.

    Parameters
    ----------
    word
        A file, a folder, or ``demo:`` and a name.
    """

    def __init__(self, word: str) -> None:
        from simview.advice.listingfile import listing_files

        self.path = path_of(word)
        self.files = listing_files(self.path)
        self.folder = self.path.is_dir()

    def read(self) -> list[tuple[str, Listing | SimviewError]]:
        """Return each offer with its source; in a folder a file that cannot be read is kept.

        Raises
        ------
        SimviewError
            For a single file that cannot be read.
        """
        from simview.advice.listingfile import load_listings

        found: list[tuple[str, Listing | SimviewError]] = []
        for file in self.files:
            try:
                listings = load_listings(file)
            except SimviewError as error:
                if not self.folder:
                    raise
                found.append((file.name, error))
                continue
            several = len(listings) > 1
            for place, listing in enumerate(listings, 1):
                found.append((f"{file.name} ({place})" if several else file.name, listing))
        return found


def run(offers: Offers, wishes: Wishes, report: ReportOptions, *, explain: bool) -> None:
    """Judge all offers and put the results where they are wanted."""
    out = _checked(report)
    suffix = out.suffix.lower() if out is not None else ""
    found = offers.read()
    table = offers.folder or len(found) > 1 or suffix == TABLE
    if table and suffix in SHEETS:
        raise SimviewError(
            "--out",
            got=str(out),
            allowed="a name that ends in .csv for several offers",
            remedy="ask for one answer sheet at a time",
        )
    reporter = Reporter(ReportOptions(json=report.json, quiet=report.quiet))
    if table:
        _table(found, wishes, report, reporter, out)
        return
    listing = found[0][1]
    if isinstance(listing, SimviewError):
        raise listing
    _single(listing, wishes, report, reporter, out, explain=explain)


def _checked(report: ReportOptions) -> Path | None:
    if report.out is None:
        return None
    out = require_writable(report.out, force=report.force)
    if out.suffix.lower() not in (*SHEETS, TABLE, ".json", ".txt"):
        raise FileError(
            "cannot tell what to write",
            allowed="a name that ends in .html, .pdf, .csv, .json or .txt",
            where=str(out),
        )
    return out


def _table(
    found: Sequence[tuple[str, Listing | SimviewError]],
    wishes: Wishes,
    report: ReportOptions,
    reporter: Reporter,
    out: Path | None,
) -> None:
    from simview.advice.ranking import csv_text, ranked, rows

    judged = ranked([_judge(source, listing, wishes) for source, listing in found])
    table = rows(judged)
    if out is not None and out.suffix.lower() == TABLE:
        write_whole(out, csv_text(table), force=report.force)
    text = json.dumps(clean({"offers": _figures(judged)}), indent=2, ensure_ascii=False)
    if out is not None and out.suffix.lower() != TABLE:
        content = text if out.suffix.lower() == ".json" else _plain(judged)
        write_whole(out, f"{content}\n", force=report.force)
    if report.json:
        print(text)
        return
    if out is not None:
        print(out)
    print(_plain(judged))
    for one in judged:
        if one.error:
            reporter.remark(f"not read: {one.error}")


def _judge(source: str, listing: Listing | SimviewError, wishes: Wishes) -> Judged:
    from simview.advice.ranking import Judged
    from simview.advice.verdict import vet

    if isinstance(listing, SimviewError):
        return Judged(source=source, error=str(listing))
    return Judged(source=source, verdict=vet(listing, wishes.shelf))


def _figures(judged: Sequence[Judged]) -> list[dict[str, object]]:
    return [
        {"source": one.source, "error": one.error}
        if one.verdict is None
        else {"source": one.source, **one.verdict.figures()}
        for one in judged
    ]


def _plain(judged: Sequence[Judged]) -> str:
    """Return the ranked table for a terminal: a line for each offer."""
    lines = []
    for place, one in enumerate(judged, 1):
        if one.verdict is None:
            lines.append(f"{place:>3}  {'not read':<10} {one.source}")
            continue
        listing = one.verdict.listing
        price = "" if listing.price is None else f"{listing.price:g} {listing.currency}".strip()
        name = listing.name if len(listing.name) <= 48 else f"{listing.name[:47]}…"
        lines.append(f"{place:>3}  {one.verdict.verdict:<10} {price:<11} {name:<48} {one.source}")
    return "\n".join(lines)


def _single(
    listing: Listing,
    wishes: Wishes,
    report: ReportOptions,
    reporter: Reporter,
    out: Path | None,
    *,
    explain: bool,
) -> None:
    from dataclasses import replace

    from simview.advice.request import prepare

    suffix = out.suffix.lower() if out is not None else ""
    wanted = replace(wishes, pictures=wishes.pictures and suffix in SHEETS)
    with ProgressBar(wanted=not report.quiet and not report.json) as progress:
        verdict, answer = prepare(listing, wanted, progress=progress)
    figures = verdict.figures(wishes.tongue) | answer.figures()
    if explain:
        figures["explain"] = verdict.explained()
    text = json.dumps(clean(figures), indent=2, ensure_ascii=False)
    plain = _told(verdict, answer, explain=explain)
    if out is not None:
        contents = {".json": f"{text}\n", ".txt": f"{plain}\n"}
        content = contents[suffix] if suffix in contents else _sheet(answer, suffix)
        write_whole(out, content, force=report.force)
    if report.json:
        print(text)
        return
    if out is not None:
        print(out)
    print(plain)
    if wishes.rescue is not None and answer.rescue is None:
        reporter.remark("too little is said of the telescope to help its owner")


def _told(verdict: Verdict, answer: Answer, *, explain: bool) -> str:
    from simview.advice.plaintext import explained_text, plain_text

    plain = plain_text(answer)
    return f"{plain}\n\n{explained_text(verdict)}" if explain else plain


def _sheet(answer: Answer, suffix: str) -> str | bytes:
    if suffix == ".pdf":
        from simview.advice.paper import pdf

        return pdf(answer)
    from simview.advice.page import html

    return html(answer)
