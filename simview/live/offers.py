"""Room three: an advert in, its verdict out; the offered telescope goes onto the table."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any, Final

from simview.advice.listing import Listing
from simview.advice.listingfile import load_listing
from simview.advice.offerkit import offer_kit
from simview.advice.page import html
from simview.advice.request import Wishes, prepare
from simview.advice.verdict import vet
from simview.errors import FileError, SimviewError
from simview.kitfile import KitFile, kit_text
from simview.live.kits import Table, told

# What a dropped file may be by its name; all else is read as text.
_ENDINGS: Final = (".toml", ".html", ".htm", ".mht", ".mhtml", ".eml", ".txt")

# Under this word the telescope of the last offer stands on the table.
OFFERED: Final = "the offer"


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


def judge(raw: bytes, name: str, table: Table) -> dict[str, Any]:
    """Return the verdict on an offer as the command tells it, and its telescope for the table."""
    listing = listing_of(raw, name)
    verdict = vet(listing)
    made = offer_kit(listing)
    answer: dict[str, Any] = {**verdict.figures(), "name": listing.name, "kit": None}
    answer["readings"] = verdict.explained()["readings"]
    answer["sun"] = list(verdict.sun_caution)
    if made is not None:
        word = table.add(OFFERED, KitFile(kit=made.kit, path=Path(OFFERED)))
        answer["kit"] = told(word, made.kit)
        answer["assumed"] = list(made.assumed)
        answer["kit_file"] = kit_text(made.kit)
    return answer


def answer_page(raw: bytes, name: str) -> str:
    """Return the answer that the command would write, with its pictures."""
    return html(prepare(listing_of(raw, name), Wishes())[1])
