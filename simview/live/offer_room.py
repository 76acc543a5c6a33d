"""Room three: an advert in, its verdict out; the offered telescope goes onto the table."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from simview.advice.alternatives import alternatives
from simview.advice.answer import answer
from simview.advice.corrections import CHOICES, corrected
from simview.advice.listing import Listing
from simview.advice.listingfile import load_listing
from simview.advice.offerkit import offer_kit
from simview.advice.page import html
from simview.advice.request import Wishes, prepare
from simview.advice.stock import load_shelf
from simview.advice.verdict import Verdict, vet
from simview.demo import asset
from simview.errors import FileError, SimviewError
from simview.kitfile import kit_text
from simview.live.kit_table import Table, told
from simview.live.wish import Corrected, Means

# More than anything on a shelf costs: without a limit of one's own all of it is ranked.
NO_LIMIT: Final = 1e7

# What a dropped file may be by its name; all else is read as text.
_ENDINGS: Final = (".toml", ".html", ".htm", ".mht", ".mhtml", ".eml", ".txt")


def listing_of(raw: bytes, name: str) -> Listing:
    """Return the offer in pasted text or a dropped file, which is read and never executed.

    Raises
    ------
    SimviewError
        For what cannot be read; speaks of the file by its own name.
    """
    if not raw.strip():
        raise FileError("the offer is empty", remedy="paste its text, or drop a saved page")
    ending = Path(name).suffix.lower()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / f"offer{ending if ending in _ENDINGS else '.txt'}"
        place.write_bytes(raw)
        try:
            return load_listing(place)
        except SimviewError as error:
            raise error.at(Path(name).name or "the offer") from None


def judge(
    raw: bytes,
    name: str,
    table: Table,
    given: Corrected | None = None,
    means: Means | None = None,
) -> dict[str, Any]:
    """Return the verdict on an offer as the command tells it, and its telescope for the table.

    Parameters
    ----------
    raw, name
        The offer's file and its name.
    table
        What stands on the table.
    given
        Values that a person put right; None for none.
    means
        What may be spent; None where that is not said.
    """
    read = listing_of(raw, name)
    listing = corrected(read, facts_of(given or Corrected()))
    verdict = vet(listing, table.shelf)
    made = offer_kit(listing)
    judged: dict[str, Any] = {**verdict.figures(), "name": listing.name, "kit": None}
    judged["readings"] = vet(read).explained()["readings"]
    judged["values"] = values_of(listing)
    judged["choices"] = CHOICES
    judged["sun"] = list(verdict.sun_caution)
    judged["instead"] = instead(verdict, table, means or Means())
    if made is not None:
        judged["kit"] = told(table.add_offer(made.kit), made.kit)
        judged["assumed"] = list(made.assumed)
        judged["kit_file"] = kit_text(made.kit)
    return judged


def instead(verdict: Verdict, table: Table, means: Means) -> dict[str, Any]:
    """Return what the shelf has instead, best first, in the words of the command's answer.

    The demo's shelf stands in for a user's own, and says so; no verdict rests on it.
    """
    shelf = table.shelf or load_shelf(asset("shelf.toml"))
    limit = NO_LIMIT if means.budget is None else means.budget
    found = alternatives(verdict.listing, shelf, budget=limit, leave=verdict.verdict == "leave it")
    if means.budget is None:
        found = replace(found, budget=None)
    words = answer(verdict, instead=found)
    rows = []
    for one, row in zip(found.ranked, words.instead, strict=True):
        kit = one.item.kit
        word = None if kit is None or one.offer else table.add_offer(kit)
        rows.append(
            {
                "name": row.name,
                "price": row.price,
                "amount": one.item.price,
                "finest": row.finest if one.shows else "",
                "faintest": row.faintest if one.shows else "",
                "note": row.note,
                "offer": one.offer,
                "kit": None if kit is None or word is None else told(word, kit),
            }
        )
    return {
        "title": words.instead_title,
        "rows": rows,
        "notes": list(words.instead_notes),
        "shelf": shelf.name,
        "currency": found.currency,
        "own": table.shelf is not None,
    }


def facts_of(given: Corrected) -> dict[str, Any]:
    """Return what was put right, by the names of the offer's own record."""
    told = {key: value for key, value in given.model_dump().items() if value is not None}
    names = {"eyepieces_mm": "eyepieces"}
    return {names.get(key, key): value for key, value in told.items()}


def values_of(listing: Listing) -> dict[str, Any]:
    """Return what the offer is understood to say, ready to be put right; None is not said."""
    return {
        "aperture_mm": listing.aperture_mm,
        "focal_length_mm": listing.focal_length_mm,
        "eyepieces_mm": [one.focal_length_mm for one in listing.eyepieces],
        "amplifiers": [one.factor for one in listing.amplifiers],
        "claimed_powers": list(listing.claimed_powers),
        "layout": listing.layout,
        "mount": listing.mount.kind if listing.mount else None,
        "price": listing.price,
    }


def answer_page(
    raw: bytes,
    name: str,
    table: Table,
    given: Corrected | None = None,
    means: Means | None = None,
) -> str:
    """Return the answer that the command would write, with its pictures.

    Parameters
    ----------
    raw, name, table, given, means
        As in `judge`.
    """
    listing = corrected(listing_of(raw, name), facts_of(given or Corrected()))
    limit = NO_LIMIT if means is None or means.budget is None else means.budget
    wishes = Wishes(shelf=table.shelf, budget=limit if table.shelf else None)
    return html(prepare(listing, wishes)[1])
