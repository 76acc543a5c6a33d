"""Listings, shelves and letterheads on the command line, and where a verdict goes."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from simview.cli import ledger
from simview.cli.options import ReportOptions
from simview.cli.progress import ProgressBar
from simview.cli.report import Reporter, clean
from simview.cli.reportoptions import QUIET
from simview.demo import PREFIX, asset, assets
from simview.errors import ChoiceError, FileError, SimviewError, nearest, require_range
from simview.executor.pieces import pieces
from simview.kit import Sky
from simview.terminal import json_text, remark, tell, tell_json, visible
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

# Most that standard input may hold, characters: the size of a large advert, several times over.
LARGEST_TEXT: Final = 250_000

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
    """Return where and when an owner will look; without a month, this evening.

    Parameters
    ----------
    month
        "2026-11" for a month at large, "2026-11-27" for one evening.

    Raises
    ------
    SimviewError
        For a month, a day or a place that there is not.
    """
    from simview.advice.request import Evening

    when = month or date.today().isoformat()
    known = re.fullmatch(r"([0-9]{1,4})-([0-9]{1,2})(?:-([0-9]{1,2}))?", when)
    if not (known and 1 <= int(known[2]) <= 12 and _is_day(known)):
        raise SimviewError(
            "--month",
            got=month,
            allowed="YYYY-MM or YYYY-MM-DD",
            remedy="as in --month 2026-11, or --month 2026-11-27",
        )
    return Evening(
        year=int(require_range("--month (year)", int(known[1]), 1900, 2100)),
        month=int(known[2]),
        day=int(known[3]) if known[3] else None,
        latitude_deg=require_range("--lat", lat, -90.0, 90.0, unit="deg"),
        longitude_deg=require_range("--lon", lon, -180.0, 180.0, unit="deg"),
        zone=zone,
    )


def _is_day(known: re.Match[str]) -> bool:
    """Tell whether the day, if one is given, is one of that month."""
    try:
        date(max(int(known[1]), 1), int(known[2]), int(known[3] or 1))
    except ValueError:
        return False
    return True


# Endings that make a single word a file's name, whether the file is there or not.
_FILES: Final = (".txt", ".text", ".md", ".html", ".htm", ".toml")


def is_advert(words: Sequence[str]) -> bool:
    """Tell an advert's own words ("70/700 with a 6 mm") from names of files.

    Several words are an advert unless each is a file or is named like one ("a.txt"); one word is
    one where no file has its name and it holds a space or two numbers with a stroke between.
    """
    if not words or any(word.startswith(PREFIX) for word in words):
        return False
    if all(_is_there(word) or _is_named_like_one(word) for word in words):
        return False
    only = words[0]
    return (
        len(words) > 1 or " " in only.strip() or bool(re.fullmatch(r"\d+(?:mm)?[/x]\d+\S*", only))
    )


def _is_named_like_one(word: str) -> bool:
    return word.lower().endswith(_FILES) and " " not in word


def _is_there(word: str) -> bool:
    try:
        return Path(word).exists()
    except (OSError, ValueError):  # longer than a name may be, or a NUL in it
        return False


class Offers:
    """All offers in files and folders, in the words of the command line, or on standard input.

    Parameters
    ----------
    words
        Files, folders, ``demo:`` and a name, ``-`` for standard input, or the advert's own words.
    """

    def __init__(self, words: Sequence[str]) -> None:
        from simview.advice.listingfile import listing_files

        self.text: str | None = None
        self.files: list[Path] = []
        self.folder = False
        if list(words) == ["-"]:
            if sys.stdin is None:
                raise FileError("standard input is closed")
            try:
                self.text = sys.stdin.read(LARGEST_TEXT + 1)
            except UnicodeDecodeError:
                raise FileError(
                    "standard input is not UTF-8 text", remedy="save it again with encoding UTF-8"
                ) from None
            except OSError as error:
                raise FileError(f"standard input cannot be read ({error.strerror})") from None
            if len(self.text) > LARGEST_TEXT:
                raise FileError(f"standard input is longer than {LARGEST_TEXT} characters")
        elif is_advert(words):
            self.text = " ".join(words)
        else:
            paths = [path_of(word) for word in words]
            self.files = [file for path in paths for file in listing_files(path)]
            self.folder = len(paths) > 1 or any(path.is_dir() for path in paths)

    def read(self, *, fresh: bool = False) -> list[tuple[str, Listing | SimviewError]]:
        """Return each offer with its source; in a folder a file that cannot be read is kept.

        Where answers about an advert are kept beside it, they stand in its place, and that is said.

        Parameters
        ----------
        fresh
            True reads adverts anew all the same.

        Raises
        ------
        SimviewError
            For a single file that cannot be read.
        """
        from simview.advice.listingfile import load_listings
        from simview.advice.reading.assemble import read_advert

        if self.text is not None:
            return [("words", read_advert(self.text))]
        found: list[tuple[str, Listing | SimviewError]] = []
        kept: set[Path] = set()
        for file in self.files:
            try:
                listings = load_listings(file)
            except SimviewError as error:
                if not self.folder:
                    raise
                found.append((file.name, error))
                continue
            several = len(listings) > 1
            if not (several or fresh) and (listing := answered(file, listings[0], kept)):
                found.append((file.name, listing))
                continue
            for place, listing in enumerate(listings, 1):
                found.append((f"{file.name} ({place})" if several else file.name, listing))
        names = {one.name for one in kept}
        return [one for one in found if one[0] not in names] if self.folder else found


def answered(file: Path, listing: Listing, kept: set[Path] | None = None) -> Listing | None:
    """Return an advert as an adviser's answers beside it put it right, and say so; or None.

    Parameters
    ----------
    kept
        Takes the file that holds the answers.
    """
    from simview.advice.listingfile import ADVERT_ENDINGS, checked_beside

    found = checked_beside(file, listing) if file.suffix.lower() in ADVERT_ENDINGS else None
    if found is None:
        return None
    if kept is not None:
        kept.add(found[0])
    if not QUIET.get():
        remark(f"your answers in {found[0]} are used; rename it to read {file.name} anew")
    return found[1]


def run(
    offers: Offers,
    wishes: Wishes,
    report: ReportOptions,
    *,
    explain: bool,
    kit: str = "",
    ask: bool = False,
) -> None:
    """Judge all offers and put the results where they are wanted; write one as a kit to `kit`.

    Parameters
    ----------
    offers, wishes
        What is judged, and what is asked of it.
    report
        Where results go.
    explain
        True shows how the text was read.
    kit
        File for the offer as a kit; empty for none.
    ask
        True asks about doubtful values first.
    """
    out = _checked(report)
    place = require_writable(Path(kit), force=report.force) if kit else None
    suffix = out.suffix.lower() if out is not None else ""
    ledger.plan(*(path for path in (place, out) if path is not None))
    if wishes.pictures and suffix in SHEETS:
        from simview.advice import pictures

        pictures.fetch()
    found = offers.read(fresh=ask)
    table = offers.folder or len(found) > 1 or suffix == TABLE
    if table and suffix in SHEETS:
        raise SimviewError(
            "--out",
            got=str(out),
            allowed="a name that ends in .csv for several offers",
            remedy="ask for one answer sheet at a time",
        )
    reporter = Reporter(ReportOptions(json=report.json, quiet=report.quiet))
    if table and place is not None:
        raise SimviewError("--kit", got=f"{len(found)} offers", allowed="one offer")
    if table and ask:
        raise SimviewError("--ask", got=f"{len(found)} offers", allowed="one offer")
    if table:
        _table(found, wishes, report, reporter, out)
        return
    listing = found[0][1]
    if isinstance(listing, SimviewError):
        raise listing
    if ask:
        from simview.cli.ask import ask_about

        listing = ask_about(listing, offers.files[0] if offers.files else None, reporter)
    if place is not None:
        _write_kit(listing, place, reporter, force=report.force)
    _single(listing, wishes, report, reporter, out, explain=explain)


def _write_kit(listing: Listing, place: Path, reporter: Reporter, *, force: bool) -> None:
    """Write an offer as a kit to look through, and say what had to be assumed.

    Raises
    ------
    SimviewError
        If too little is said to look through it.
    """
    from simview.advice.offerkit import offer_kit
    from simview.kitfile import save_kit

    made = offer_kit(listing)
    if made is None:
        raise SimviewError(
            "--kit",
            got="an offer in which "
            f"{' and '.join(listing.unknown[:2]) or 'sizes'} could not be found",
            allowed="an offer with aperture and focal length, or binoculars such as 10x50",
            remedy="ask the seller, and add the figures to the words",
        )
    with ledger.writing(place):
        save_kit(made.kit, place, force=force)
    if made.assumed:
        reporter.remark(f"assumed in {place}: {'; '.join(f'{one}' for one in made.assumed)}")


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

    judged = ranked(list(pieces(partial(_judge, wishes.shelf), found)))
    table = rows(judged)
    if out is not None and out.suffix.lower() == TABLE:
        with ledger.writing(out):
            write_whole(out, csv_text(table), force=report.force)
    figures = clean({"offers": _figures(judged)})
    if out is not None and out.suffix.lower() != TABLE:
        content = json_text(figures) if out.suffix.lower() == ".json" else visible(_plain(judged))
        with ledger.writing(out):
            write_whole(out, f"{content}\n", force=report.force)
    if report.json:
        tell_json(figures)
        return
    if out is not None:
        tell(out)
    tell(_plain(judged))
    for one in judged:
        if one.error:
            reporter.remark(f"not read: {one.error}")


def _judge(shelf: Shelf | None, one: tuple[str, Listing | SimviewError]) -> Judged:
    from simview.advice.ranking import Judged
    from simview.advice.verdict import vet

    source, listing = one
    if isinstance(listing, SimviewError):
        return Judged(source=source, error=str(listing))
    return Judged(source=source, verdict=vet(listing, shelf))


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
    plain = _told(verdict, answer, explain=explain)
    if out is not None:
        content: str | bytes
        if suffix == ".json":
            content = f"{json_text(clean(figures))}\n"
        else:
            content = f"{visible(plain)}\n" if suffix == ".txt" else _sheet(answer, suffix)
        with ledger.writing(out):
            write_whole(out, content, force=report.force)
    if report.json:
        tell_json(clean(figures))
        return
    if out is not None:
        tell(out)
    tell(plain)
    if explain:
        _tell_marked(verdict.listing)
    if wishes.rescue is not None and answer.rescue is None:
        reporter.remark("too little is said of the telescope to help its owner")


def _tell_marked(listing: Listing) -> None:
    """Show the offer's own text with what was understood marked: coloured at a terminal."""
    if not listing.text:
        return
    from simview.advice.marked import marked_plain, marked_rich

    if sys.stdout.isatty():
        from rich.console import Console

        Console().print(marked_rich(listing))
    else:
        tell(f"\n{marked_plain(listing)}")


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
