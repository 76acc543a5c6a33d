"""Listing files: text, TOML, folders, several offers in one, and everything that is none."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

import simview
from simview.advice.listingfile import (
    LARGEST_ADVERT,
    checked_beside,
    load_listing,
    load_listings,
    split_offers,
)
from simview.advice.listingtoml import parse_listing
from simview.advice.marked import marked_plain
from simview.advice.reading.assemble import read_advert
from simview.advice.speech import Tongue
from simview.advice.understood import marked
from simview.demo import asset
from simview.errors import SimviewError

ADVERT = "Refractor, aperture 60 mm, focal length 700 mm\n"


def written(folder: Path, content: str | bytes, name: str = "advert.txt") -> Path:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def test_public_names_lead_here(tmp_path: Path) -> None:
    verdict = simview.vet(simview.load_listing(written(tmp_path, ADVERT)))
    assert verdict.understood["aperture_mm"] == 60.0


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_usual_encodings_are_read(tmp_path: Path, encoding: str) -> None:
    path = written(tmp_path, f"{ADVERT}Price £49".encode(encoding))
    listing = load_listing(path)
    assert (listing.aperture_mm, listing.price, listing.currency) == (60.0, 49.0, "GBP")


@pytest.mark.parametrize(
    ("content", "part"),
    [
        (b"", "listing is empty"),
        (b" \n\t\n", "listing is empty"),
        (b"\x89PNG\r\n\x1a\n123", "binary data"),
        (b"%PDF-1.7 Telescope", "binary data"),
        (b"Telescope\0\0\0", "binary data"),
        (bytes(range(1, 9)) * 20, "binary data"),
    ],
)
def test_what_is_no_text_is_told(tmp_path: Path, content: bytes, part: str) -> None:
    path = written(tmp_path, content)
    with pytest.raises(SimviewError, match=part) as caught:
        load_listing(path)
    assert str(path) in str(caught.value)


def test_fifty_megabytes_are_refused_without_reading_them_all(tmp_path: Path) -> None:
    path = tmp_path / "huge.txt"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(SimviewError, match="larger than 12 MB"):
        load_listing(path)


# The mark that turns the text after it round, from right to left.
OVERRIDE = chr(0x202E)


def test_utf_16_without_its_mark_is_read(tmp_path: Path) -> None:
    for code in ("utf-16-le", "utf-16-be"):
        path = written(tmp_path, "Refraktor 70/700, Okular 20 mm, für 49 Euro".encode(code))
        listing = load_listing(path)
        assert (listing.aperture_mm, listing.price) == (70.0, 49.0)


def test_large_saved_page_is_read_without_its_scripts(tmp_path: Path) -> None:
    script = f"<script>{'var x = 1234;' * 60_000}</script>"
    page = f"<html><body>{script}<h1>Reflector 114/900</h1><p>Price: £80</p></body></html>"
    listing = load_listing(written(tmp_path, page.encode()))
    assert (listing.aperture_mm, listing.price) == (114.0, 80.0)


def test_million_cells_and_large_plain_text_are_refused(tmp_path: Path) -> None:
    for content in (b"<table>" + b"<td>1</td>" * 1_000_000, b"refractor 60/700 " * 20_000):
        with pytest.raises(SimviewError, match="kB of words"):
            load_listing(written(tmp_path, content))


def test_marks_of_direction_are_shown_and_not_obeyed(tmp_path: Path) -> None:
    path = written(tmp_path, f"Refractor 70/700, {OVERRIDE}price 49 euro".encode())
    listing = load_listing(path)
    assert listing.aperture_mm == 70.0
    assert "‹U+202E›" in marked_plain(listing)
    assert OVERRIDE not in marked_plain(listing)


def test_largest_allowed_text_is_read_in_good_time(tmp_path: Path) -> None:
    line = "Refractor aperture 60 mm focal length 700 mm H20 eyepiece 525x EUR 49 sun filter\n"
    path = written(tmp_path, (line * (LARGEST_ADVERT // len(line)))[: LARGEST_ADVERT - 1])
    assert load_listing(path).aperture_mm == 60.0


def test_missing_file_and_strange_names_are_told(tmp_path: Path) -> None:
    for name in (tmp_path / "none.txt", "a\0b", "x" * 5000):
        with pytest.raises(SimviewError):
            load_listing(name)


def test_folder_gives_all_its_listings_by_name(tmp_path: Path) -> None:
    written(tmp_path, "Refractor 70/700", "b.txt")
    written(tmp_path, "Refractor 60/700", "a.txt")
    written(
        tmp_path, 'name = "C"\n[telescope]\naperture_mm = 90\nfocal_length_mm = 900\n', "c.toml"
    )
    written(tmp_path, "not this", "notes.doc")
    assert [one.aperture_mm for one in load_listings(tmp_path)] == [60.0, 70.0, 90.0]


def test_folder_without_listings_is_told(tmp_path: Path) -> None:
    with pytest.raises(SimviewError, match="holds no listings"):
        load_listings(tmp_path)


def test_line_of_dashes_parts_two_offers(tmp_path: Path) -> None:
    path = written(
        tmp_path, "Refractor 60/700\n-----\nReflector 114/900\n=====\nDobsonian 200/1200"
    )
    assert [one.aperture_mm for one in load_listings(path)] == [60.0, 114.0, 200.0]
    with pytest.raises(SimviewError, match="3 offers in one place"):
        load_listing(path)


def test_line_of_dashes_that_only_adorns_parts_nothing() -> None:
    assert len(split_offers("-----\nGREAT OFFER\n-----\nRefractor 60/700\n-----\nCall me")) == 1


def test_kit_file_is_a_listing_too() -> None:
    listing = load_listing(asset("kits/toy-refractor-50.toml"))
    assert listing.stop_mm is not None
    assert listing.claimed_power == 450.0
    assert listing.mount is not None
    assert listing.mount.tap_arcsec is not None


def test_toml_listing_says_only_what_it_says() -> None:
    listing = parse_listing(
        "[telescope]\naperture_mm = 70\nfocal_length_mm ="
        " 700\n[[eyepieces]]\nfocal_length_mm = 20\n",
        where="x.toml",
    )
    assert listing.eyepieces[0].design == "unknown"
    assert listing.barrel is None
    assert listing.mount is None
    assert listing.objective is None
    for what in ("lens or mirror", "mount", "finder", "price", "design of the eyepieces"):
        assert what in listing.missing


def test_toml_listing_goes_before_the_text_it_holds() -> None:
    listing = parse_listing(
        '[offer]\ntext = "Refractor 60/700, 525x, H20 eyepiece, sun filter"\naperture_mm = 50.0\n',
        where="x.toml",
    )
    assert listing.aperture_mm == 50.0
    assert listing.focal_length_mm == 700.0
    assert listing.claimed_power == 525.0
    assert listing.solar


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("", ("listing is empty",)),
        ("name = 3", ("x.toml", "name", "text in quotes")),
        ("colour = 'red'", ("unknown key colour",)),
        ("[offer]\nfinnder = 'none'", ("[offer]", "did you mean 'finder'?")),
        ("[offer]\nfinder = 'red-dot'", ("red dot",)),
        ("[offer]\nsolar = ['eyepiece']", ("solar", "eyepiece filter")),
        ("[offer]\nfree_play_arcmin = -1", ("free_play_arcmin", "0 to 600 arcmin")),
        ("[telescope]\naperture_mm = 60", ("focal_length_mm is missing",)),
        ("[offer]\naperture_mm = 1e9", ("aperture_mm",)),
        ("[offer]\nclaimed_powers = [0.0]", ("claimed power",)),
        ("name = ", ("not valid TOML",)),
    ],
)
def test_wrong_toml_is_told_with_place_and_remedy(text: str, parts: tuple[str, ...]) -> None:
    with pytest.raises(SimviewError) as caught:
        parse_listing(text, where="x.toml")
    for part in parts:
        assert part in str(caught.value)


def test_newest_answers_beside_an_advert_are_found_and_foreign_ones_are_not(tmp_path: Path) -> None:
    advert = written(tmp_path, ADVERT)
    listing = load_listing(advert)
    assert checked_beside(advert, listing) is None
    for number, aperture in (("", 61), ("-2", 62), ("-10", 63)):
        kept = f"[offer]\ntext = '{ADVERT.strip()}'\naperture_mm = {aperture}.0\n"
        written(tmp_path, kept, f"advert-checked{number}.toml")
    found = checked_beside(advert, listing)
    assert found is not None
    assert (found[0].name, found[1].aperture_mm) == ("advert-checked-10.toml", 63.0)
    advert.write_text("Refractor 80/400, 20 mm eyepiece", encoding="utf-8")  # changed since
    assert checked_beside(advert, load_listing(advert)) is None


@pytest.mark.parametrize("filling", [" ", "- ", "\n", " \n "])
def test_long_runs_of_next_to_nothing_are_read_in_bounded_time(filling: str) -> None:
    began = time.process_time()
    listing = read_advert(filling * (60_000 // len(filling)) + "telescope 70/700")
    shown = marked(listing, Tongue())
    # About 2 s; the patterns that they once met needed minutes (their work grew with the square).
    assert time.process_time() - began < 20.0
    assert listing.aperture_mm == 70.0
    assert shown
