"""Room three: an advert in, its verdict out; the offered telescope goes onto the table."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any, Final

from simview.advice.corrections import CHOICES, corrected
from simview.advice.listing import Listing
from simview.advice.listingfile import load_listing
from simview.advice.offerkit import offer_kit
from simview.advice.page import html
from simview.advice.request import Wishes, prepare
from simview.advice.verdict import vet
from simview.errors import FileError, SimviewError
from simview.kitfile import kit_text
from simview.live.kits import Table, told
from simview.live.wish import Corrected

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


def judge(raw: bytes, name: str, table: Table, given: Corrected | None = None) -> dict[str, Any]:
    """Return the verdict on an offer as the command tells it, and its telescope for the table."""
    read = listing_of(raw, name)
    listing = corrected(read, facts_of(given or Corrected()))
    verdict = vet(listing)
    made = offer_kit(listing)
    answer: dict[str, Any] = {**verdict.figures(), "name": listing.name, "kit": None}
    answer["readings"] = vet(read).explained()["readings"]
    answer["values"] = values_of(listing)
    answer["choices"] = CHOICES
    answer["sun"] = list(verdict.sun_caution)
    if made is not None:
        answer["kit"] = told(table.add_offer(made.kit), made.kit)
        answer["assumed"] = list(made.assumed)
        answer["kit_file"] = kit_text(made.kit)
    return answer


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


def answer_page(raw: bytes, name: str, given: Corrected | None = None) -> str:
    """Return the answer that the command would write, with its pictures."""
    listing = corrected(listing_of(raw, name), facts_of(given or Corrected()))
    return html(prepare(listing, Wishes())[1])
