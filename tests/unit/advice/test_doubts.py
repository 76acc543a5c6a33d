"""Doubtful values, what an adviser answers, and the listing that keeps it; the marked text."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from simview.advice.doubts import answered, corrected_toml, doubts
from simview.advice.listingtoml import parse_listing
from simview.advice.marked import marked_plain, marked_rich, passages
from simview.advice.reading.assemble import read_advert
from simview.cli import ask
from simview.cli.report import Reporter
from simview.cli.reportoptions import ReportOptions
from simview.errors import SimviewError

UNSURE = '70mm 400mm travel set, 10mm 25mm, "say \\ no" $60'


def test_only_what_is_unsure_or_unsaid_is_asked() -> None:
    asked = {one.key: one for one in doubts(read_advert(UNSURE))}
    assert asked["aperture_mm"].values == (70.0,)
    assert asked["eyepieces"].values == (25.0, 10.0)
    plain = read_advert("Refractor, aperture 70 mm, focal length 700 mm, eyepiece 20 mm, 40 EUR")
    assert doubts(plain) == ()
    unsaid = {one.key: one.values for one in doubts(read_advert("an old refractor, 40 EUR"))}
    assert unsaid == {"aperture_mm": (), "focal_length_mm": (), "eyepieces": ()}
    assert doubts(read_advert("Binoculars 10x50, tripod, 40 EUR")) == ()


def test_answers_are_kept_and_read_again() -> None:
    listing = read_advert(UNSURE)
    answers = {"aperture_mm": (72.0,), "focal_length_mm": (), "eyepieces": (20.0, 6.5)}
    text = corrected_toml(listing, {**answers, "price": (55.0,)})
    again = parse_listing(text, where="offer-checked.toml")
    assert again.text == UNSURE
    assert (again.aperture_mm, again.focal_length_mm) == (72.0, None)
    assert [one.focal_length_mm for one in again.eyepieces] == [20.0, 6.5]
    assert (again.price, again.currency) == (55.0, "USD")
    assert "focal length" in again.missing
    assert doubts(again)[0].key == "focal_length_mm"


@pytest.mark.parametrize("typed", ["seventy", "1e9", "70 80", "-5"])
def test_wrong_answer_is_told(typed: str) -> None:
    (doubt, *_) = doubts(read_advert(UNSURE))
    with pytest.raises(SimviewError, match="aperture"):
        answered(doubt, typed)


def test_adviser_is_asked_again_after_a_wrong_answer_and_nothing_is_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answering(monkeypatch, "wide", "80", "400", "25 10", "60")
    kept = tmp_path / "advert-checked.toml"
    kept.write_text("mine", encoding="utf-8")
    listing = ask.ask_about(
        read_advert(UNSURE), tmp_path / "advert.txt", Reporter(ReportOptions(quiet=True))
    )
    assert listing.aperture_mm == 80.0
    assert kept.read_text(encoding="utf-8") == "mine"
    assert (tmp_path / "advert-checked-2.toml").is_file()


def test_questions_that_end_early_keep_what_was_answered_until_then(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    quiet = Reporter(ReportOptions(quiet=True))
    answering(monkeypatch, "80")  # and then Ctrl-D
    listing = ask.ask_about(read_advert(UNSURE), tmp_path / "advert.txt", quiet)
    assert (listing.aperture_mm, listing.focal_length_mm) == (80.0, 400.0)
    assert (tmp_path / "advert-checked.toml").is_file()
    answering(monkeypatch)
    assert ask.ask_about(read_advert(UNSURE), tmp_path / "b.txt", quiet).aperture_mm == 70.0
    assert not (tmp_path / "b-checked.toml").exists()


def answering(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    """Let somebody type these lines at a terminal, and then end."""
    stream = io.StringIO("".join(f"{line}\n" for line in lines))
    monkeypatch.setattr(stream, "isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stdin", stream)


def test_nobody_at_the_terminal_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    with pytest.raises(SimviewError, match="--ask"):
        ask.ask_about(read_advert(UNSURE), None, Reporter(ReportOptions(quiet=True)))


def test_marked_text_is_the_text_with_what_was_understood() -> None:
    listing = read_advert("Refractor 70/700, Plössl 25 mm, £40")
    assert "".join(one.text for one in passages(listing)) == listing.text
    told = marked_plain(listing)
    assert "[70/700: aperture 70.0 mm, focal length 700.0 mm]" in told
    assert "70/700 aperture 70.0 mm" in marked_rich(listing).plain
