"""Listing files: an advert's text, or TOML; one offer, several in a file, or a folder of them."""

from __future__ import annotations

import glob
import re
from pathlib import Path
from typing import Final

from simview.advice.listing import Listing
from simview.advice.listingtoml import parse_listing
from simview.advice.reading.assemble import read_advert
from simview.advice.reading.markup import is_page
from simview.errors import FileError, SimviewError
from simview.record import require_path
from simview.textfile import require_no_pipe

# Most that one file of adverts may weigh, bytes: some two hundred of them; and most that a saved
# page may, before and after its scripts and pictures are taken out. Guards against the wrong file.
LARGEST_ADVERT: Final = 250_000
LARGEST_PAGE: Final = 12_000_000
LARGEST_WORDS: Final = 600_000

# Most offers in one folder or file: a choice, to stop at a whole disk named by mistake.
MOST_OFFERS: Final = 2000

# Share of zero bytes at every other place in UTF-16 text, and at the places between. A choice.
MOSTLY: Final = 0.4
RARELY: Final = 0.05

# Fewer characters than this say too little of their encoding: a choice.
SHORTEST_UTF16: Final = 8

# What weighs much in a saved page and says nothing.
_HEAVY: Final = re.compile(
    r"<!--.*?-->|<(script|style|svg|noscript)\b.*?</\1\s*>|data:[a-z/+;0-9-]+,[A-Za-z0-9+/=%]{200,}",
    re.S | re.I,
)

# What the name of a listing ends with that keeps an adviser's answers.
CHECKED: Final = "-checked"

ADVERT_ENDINGS: Final = (".txt", ".text", ".md", ".html", ".htm")
_PART: Final = re.compile(r"^[ \t]*(?:-{3,}|={3,}|\*{3,}|_{3,}|#{5,})[ \t]*$", re.M)


def load_listing(path: str | Path) -> Listing:
    """Return the one offer in a file: TOML when the name ends so, else advert text.

    Raises
    ------
    SimviewError
        If there is no such file, it is binary, empty or too large, a key is wrong, or it holds
        several offers (then `load_listings` reads them all).

    Parameters
    ----------
    path
        The file's name.

    Returns
    -------
    Listing
        For `simview.vet`.

    Examples
    --------
    >>> import simview, tempfile, pathlib
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder) / "advert.txt"
    ...     size = path.write_text("Refractor telescope 60/700, tripod, 20 mm eyepiece, 49 euros")
    ...     offer = simview.load_listing(path)
    >>> offer.aperture_mm
    60.0
    """
    found = load_listings(require_path("path", path))
    if len(found) > 1:
        raise SimviewError(
            "listing",
            got=f"{len(found)} offers in one place",
            allowed="one offer",
            remedy="vet them all at once for a ranked table, or put each into a file of its own",
            where=str(path),
        )
    return found[0]


def load_listings(path: str | Path) -> list[Listing]:
    """Return every offer in a file or a folder, in the order of the names.

    In one text file a line of dashes or equals signs separates two offers where both sides read as
    offers.

    Raises
    ------
    SimviewError
        As `load_listing`; for a folder without listings too.
    """
    return [listing for one in listing_files(path) for listing in _from_file(one)]


def listing_files(path: str | Path) -> list[Path]:
    """Return the listing files that a path means: itself, or those in the folder, by name.

    Raises
    ------
    FileError
        For a name that nothing has, a folder without listings, or with more than can be meant.
    """
    place = Path(path)
    try:
        there, is_folder = place.exists(), place.is_dir()
        found = sorted(place.iterdir()) if is_folder else []
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        reason = getattr(error, "strerror", None) or "not a possible file name"
        raise FileError(f"folder cannot be read ({reason})", where=str(path)) from None
    if not there:
        raise _not_found(place)
    if not is_folder:
        return [place]
    kept = [one for one in found if one.suffix.lower() in (".toml", *ADVERT_ENDINGS)]
    kept = [one for one in kept if one.is_file() and not one.name.startswith(".")]
    if not kept:
        wanted = "files that end in .toml or .txt"
        raise FileError("folder holds no listings", allowed=wanted, where=str(path))
    if len(kept) > MOST_OFFERS:
        raise FileError(
            "folder holds too many listings",
            got=len(kept),
            allowed=f"up to {MOST_OFFERS}",
            where=str(path),
        )
    return kept


def _from_file(path: Path) -> list[Listing]:
    text = _read(path)
    if path.suffix.lower() == ".toml":
        return [parse_listing(text, where=str(path))]
    try:
        parts = split_offers(text)
        return [read_advert(part) for part in parts]
    except SimviewError as error:
        raise error.at(str(path)) from None


def checked_beside(path: Path, listing: Listing) -> tuple[Path, Listing] | None:
    """Return the newest listing beside an advert that keeps what was answered about it, or None.

    A listing that keeps other words than the advert's is none of its own.

    Parameters
    ----------
    path
        The advert's file: "advert.txt", beside which "advert-checked.toml" is looked for.
    listing
        The one offer in it, as read.

    Notes
    -----
    Checked by: tests/unit/advice/test_listing_files.py
    """
    stem = f"{path.stem}{CHECKED}"
    found = [path.with_name(f"{stem}.toml"), *path.parent.glob(f"{glob.escape(stem)}-*.toml")]
    for one in sorted(found, key=_number, reverse=True):
        try:
            (kept,) = _from_file(one) if one.is_file() else (None,)
        except SimviewError:
            continue  # somebody's own file of that name: what is wrong with it is told when asked
        if kept is not None and kept.text.split() == listing.text.split():
            return one, kept
    return None


def _number(path: Path) -> int:
    """Return which of several kept listings a file is: "advert-checked-3.toml" is the third."""
    tail = path.stem.rpartition("-")[2]
    return int(tail) if tail.isascii() and tail.isdigit() else 1


def split_offers(text: str) -> list[str]:
    """Return the single offers in a text; usually it is one."""
    parts = _PART.split(text)
    if len(parts) == 1:  # nothing to weigh, and reading takes its time
        return parts
    offers: list[list[str]] = []
    have_one = False
    for part in parts:
        is_one = _is_offer(part)
        if offers and not (is_one and have_one):
            offers[-1].append(part)
            have_one = have_one or is_one
        else:
            offers.append([part])
            have_one = is_one
    return ["\n".join(one) for one in offers]


def _is_offer(text: str) -> bool:
    if not text.strip():
        return False
    listing = read_advert(text)
    return listing.aperture_mm is not None or (
        listing.focal_length_mm is not None and bool(listing.eyepieces)
    )


def _read(path: Path) -> str:
    """Return the text of a file: UTF-8, UTF-16 with or without its mark, or the old code page."""
    raw = _raw(path)
    text = raw.decode(_utf16(raw), errors="replace") if _utf16(raw) else _decoded(raw, path)
    if not text.strip():
        raise FileError(
            "listing is empty", remedy="paste the advert's text into it", where=str(path)
        )
    return _lightened(text, path) if len(raw) > LARGEST_ADVERT else text


def _utf16(raw: bytes) -> str:
    """Return the kind of UTF-16 that bytes are in, or nothing: without a mark every other is 0."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    sample = raw[:4000]
    half = max(len(sample) // 2, 1)
    low, high = sample[1::2].count(0) / half, sample[0::2].count(0) / half
    order = "le" if low > MOSTLY and high < RARELY else "be"
    if order == "be" and not (high > MOSTLY and low < RARELY):
        return ""
    text = sample[: len(sample) // 2 * 2].decode(f"utf-16-{order}", errors="replace")
    words = sum(letter.isprintable() or letter.isspace() for letter in text)
    return f"utf-16-{order}" if len(text) >= SHORTEST_UTF16 and words > 0.9 * len(text) else ""


def _lightened(text: str, path: Path) -> str:
    """Return a large saved page without scripts, styles and pictures written into it."""
    light = _HEAVY.sub(" ", text) if is_page(text) else text
    most = LARGEST_WORDS if is_page(text) else LARGEST_ADVERT
    left = " without scripts and pictures" if is_page(text) else ""
    if len(light) > most:
        raise FileError(
            f"listing holds more than {most // 1000} kB of words",
            got=f"{len(light) // 1000} kB{left}",
            allowed=f"a page of up to {LARGEST_WORDS // 1000} kB, or a text of up to"
            f" {LARGEST_ADVERT // 1000} kB",
            remedy="is it the right file? Paste only the advert's text",
            where=str(path),
        )
    return light


def _not_found(path: Path) -> FileError:
    return FileError("listing not found", remedy="check the name and the folder", where=str(path))


def _raw(path: Path) -> bytes:
    require_no_pipe(path, "listing")
    try:
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_PAGE + 1)
    except FileNotFoundError:
        raise _not_found(path) from None
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        reason = getattr(error, "strerror", None) or "not a possible file name"
        raise FileError(f"listing cannot be read ({reason})", where=str(path)) from None
    if len(raw) > LARGEST_PAGE:
        raise FileError(
            f"listing is larger than {LARGEST_PAGE // 1_000_000} MB",
            remedy="is it the right file? Paste only the advert's text",
            where=str(path),
        )
    return raw


def _decoded(raw: bytes, path: Path) -> str:
    odd = sum(byte < 9 or 13 < byte < 32 for byte in raw)
    if (
        b"\0" in raw
        or raw.startswith((b"%PDF", b"PK\x03\x04", b"\x89PNG"))
        or odd > 0.01 * len(raw) + 2
    ):
        raise FileError(
            "listing holds binary data",
            remedy="copy the advert's words into a text file",
            where=str(path),
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")
