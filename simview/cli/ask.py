"""Ask the adviser about each doubtful value of an offer before the verdict."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from simview.errors import SimviewError
from simview.terminal import visible
from simview.textfile import free_name, write_whole

if TYPE_CHECKING:
    from simview.advice.doubts import Doubt
    from simview.advice.listing import Listing
    from simview.cli.report import Reporter


HOW_TO: Final = (
    "Enter keeps what stands in brackets, a number puts it right, - says that the offer does not"
    " say it; Ctrl-D ends the questions."
)


def ask_about(listing: Listing, beside: Path | None, reporter: Reporter) -> Listing:
    """Return the offer as the adviser confirms or corrects it, kept in a TOML listing.

    Parameters
    ----------
    listing
        As read.
    beside
        The offer's own file; None for words, whose listing goes into this folder.
    reporter
        Tells where the listing is.

    Notes
    -----
    Where the answers end (Ctrl-D), what was not answered yet stays as read.

    Raises
    ------
    SimviewError
        If nobody is there to answer.
    """
    import typer

    from simview.advice.doubts import corrected_toml, doubts
    from simview.advice.listingtoml import parse_listing

    if not sys.stdin.isatty():
        raise SimviewError(
            "--ask",
            got="no terminal to ask at",
            allowed="a terminal",
            remedy="leave --ask out, or write the values into a TOML listing",
        )
    asked = doubts(listing)
    if not asked:
        reporter.remark("nothing in the reading is doubtful")
        return listing
    typer.echo(HOW_TO, err=True)
    answers: dict[str, tuple[float, ...]] = {}
    try:
        for doubt in asked:
            answers[doubt.key] = _answer(doubt)
    except EOFError:
        reporter.remark("the answers end here; what was not answered stays as read")
    if not answers:
        return listing
    text = corrected_toml(listing, answers)
    place = free_name(_place(beside))
    checked = parse_listing(text, where=str(place))
    write_whole(place, text)
    reporter.remark(f"your answers are kept in {place}")
    return checked


def _place(beside: Path | None) -> Path:
    from simview.advice.listingfile import CHECKED

    if beside is None:
        return Path(f"offer{CHECKED}.toml")
    return beside.with_name(f"{beside.stem}{CHECKED}.toml")


def _answer(doubt: Doubt) -> tuple[float, ...]:
    """Ask until the answer can be taken: nothing typed confirms, "-" takes the value away."""
    import typer

    from simview.advice.doubts import answered

    shown = " ".join(f"{value:g}" for value in doubt.values) or "-"
    if doubt.words:
        typer.echo(f"“{visible(doubt.words)}”", err=True)
    if doubt.other:
        typer.echo(f"  could also be: {', '.join(doubt.other)}", err=True)
    while True:
        unit = f", {doubt.unit}" if doubt.unit else ""
        typed = _typed(f"{doubt.name}{unit} [{shown}]: ") or shown
        if typed == "-":
            return ()
        try:
            return answered(doubt, typed)
        except SimviewError as error:
            typer.echo(f"{error}", err=True)


def _typed(question: str) -> str:
    """Return the line that somebody types.

    Raises
    ------
    EOFError
        Where no more comes.
    """
    import typer

    typer.echo(question, err=True, nl=False)
    line = sys.stdin.readline()
    if not line:
        typer.echo("", err=True)
        raise EOFError
    return line.strip()
