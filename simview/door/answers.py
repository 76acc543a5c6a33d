"""The answer to a buyer: an offer judged, and what can be sent, printed or shown of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from simview.advice import page, paper, plaintext
from simview.advice.answer import Answer
from simview.advice.listing import Listing
from simview.advice.listingfile import load_listing
from simview.advice.request import Wishes, prepare
from simview.advice.speech import tongue_of
from simview.advice.stock import Shelf, load_shelf
from simview.advice.verdict import Verdict
from simview.kit import Observer, Sky


@dataclass(frozen=True, kw_only=True)
class Written:
    """An answer, ready to be sent; `simview.answer` gives it.

    Parameters
    ----------
    verdict
        What `simview.vet` finds.
    """

    verdict: Verdict
    _answer: Answer = field(repr=False)

    @property
    def figures(self) -> dict[str, Any]:
        """Everything in it as plain values, as `simview vet --json` prints them."""
        return self.verdict.figures() | self._answer.figures()

    def text(self) -> str:
        """Return it for a terminal or a letter."""
        return plaintext.plain_text(self._answer)

    def html(self) -> str:
        """Return it as one page that needs no other file."""
        return page.html(self._answer)

    def pdf(self) -> bytes:
        """Return it as a document to print, A4 or letter by its land."""
        return paper.pdf(self._answer)

    def _repr_html_(self) -> str:
        """Return what a notebook shows: the text as it stands."""
        from html import escape

        return f"<pre>{escape(self.text())}</pre>"


def answer(  # noqa: PLR0913 - the public door takes all that an answer needs
    offer: Listing | str | Path,
    *,
    shelf: Shelf | str | Path | None = None,
    budget: float | None = None,
    currency: str = "",
    language: str = "en",
    pictures: bool = True,
    sky: Sky | None = None,
    observer: Observer | None = None,
    progress: Callable[[float, str], None] | None = None,
) -> Written:
    """Judge an offer and put the answer together: reasons, pictures, what to do instead.

    Parameters
    ----------
    offer
        What `simview.load_listing` gives, or the name of its file.
    shelf
        What could be had instead: a TOML file's name.
    budget, currency
        Most to spend; without it the offer's own price.
    language
        "en", "de", "fr" or "es", with a land where it matters: "en-US" puts inches first.
    pictures
        False leaves the pictures out, which take some seconds.
    sky, observer
        The air, the sky and the eye of its pictures and figures; None for usual ones.
    progress
        Called with the fraction done, 0 to 1, and a word on what comes next.

    Returns
    -------
    Written
        Its `text()`, `html()`, `pdf()` and `figures`.

    Raises
    ------
    SimviewError
        For an offer or a shelf that cannot be read, or a language without a catalogue.

    Examples
    --------
    >>> import simview, tempfile, pathlib
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder) / "advert.txt"
    ...     size = path.write_text("60/700 refractor, up to 525x, 20 and 4 mm, tripod, 89 euros")
    ...     told = simview.answer(path, language="de", pictures=False)
    >>> told.verdict.verdict
    'leave it'
    >>> "525" in told.text()
    True
    """
    listing = offer if isinstance(offer, Listing) else load_listing(offer)
    wishes = Wishes(
        shelf=shelf if shelf is None or isinstance(shelf, Shelf) else load_shelf(shelf),
        budget=budget,
        currency=currency,
        pictures=pictures,
        tongue=tongue_of(language),
        sky=Sky() if sky is None else sky,
        observer=Observer() if observer is None else observer,
    )
    verdict, made = prepare(listing, wishes, progress=progress)
    return Written(verdict=verdict, _answer=made)
