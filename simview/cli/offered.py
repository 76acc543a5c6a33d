"""An offer where a command expects a kit: an advert's own words, its file, or a TOML listing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from simview.cli.offers import answered, is_advert, path_of
from simview.cli.reportoptions import QUIET
from simview.demo import PREFIX, kit_names
from simview.errors import FileError, SimviewError
from simview.terminal import remark
from simview.textfile import parse_toml, read_text

if TYPE_CHECKING:
    from simview.advice.listing import Listing
    from simview.kitfile import KitFile

# Kinds of the Sun's findings that make an offer dangerous.
DANGEROUS: Final = ("eyepiece filter", "eclipse glasses", "filter", "look")


def offered_kit(word: str) -> KitFile | None:
    """Return the kit of an offer, or None where the word names a kit file.

    What had to be assumed is said on standard error.

    Parameters
    ----------
    word
        An advert's own words, a text file, a page or a TOML listing with an ``[offer]``, or
        ``demo:`` and the name of an advert.

    Raises
    ------
    SimviewError
        If too little is said to look through it.
    """
    listing = _listing(word)
    if listing is None:
        return None
    from simview.advice.offerkit import offer_kit
    from simview.kitfile import KitFile

    made = offer_kit(listing)
    if made is None:
        raise SimviewError(
            "offer",
            got=f"nothing readable of its {' or its '.join(listing.unknown[:2]) or 'sizes'}",
            allowed="an offer with aperture and focal length, or binoculars such as 10x50",
            remedy="ask the seller, and add the figures to the words",
            where=_short(word),
        )
    if any(kind in DANGEROUS for kind in listing.solar):
        _say(
            "Sun: what this offer says of the Sun blinds. Ask vet before anyone uses it",
            always=True,
        )
    if made.assumed:
        _say(f"assumed of “{_short(word)}”: {'; '.join(f'{one}' for one in made.assumed)}")
    return KitFile(kit=made.kit, path=Path(_short(word)))


def _listing(word: str) -> Listing | None:
    if is_advert([word]):
        from simview.advice.reading.assemble import read_advert

        return read_advert(word)
    if word.startswith(PREFIX):
        if word.removeprefix(PREFIX) in kit_names() or not _is_demo_advert(word):
            return None
        word = str(path_of(word, ("adverts/",)))
    from simview.advice.listingfile import ADVERT_ENDINGS, load_listing

    suffix = Path(word).suffix.lower()
    if suffix in ADVERT_ENDINGS or (suffix == ".toml" and _has_offer(word)):
        listing = load_listing(word)
        return answered(Path(word), listing) or listing
    return None


def _is_demo_advert(word: str) -> bool:
    try:
        path_of(word, ("adverts/",))
    except SimviewError:
        return False
    return True


def _has_offer(word: str) -> bool:
    """Tell a listing from a kit file: its own table [offer]. What is wrong is told by the kit."""
    try:
        return "offer" in parse_toml(read_text(word, what="kit file"), where=word, what="kit file")
    except FileError:
        return False


def _short(word: str) -> str:
    words = " ".join(word.split())
    return words if len(words) <= 60 else f"{words[:59]}…"


def _say(text: str, *, always: bool = False) -> None:
    """Say something that is no result, unless the command was asked to be quiet."""
    if always or not QUIET.get():
        remark(text)
