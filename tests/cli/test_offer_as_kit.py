"""An offer in place of a kit: from a sentence to a picture in one command."""

from __future__ import annotations

import json
from pathlib import Path
from urllib.parse import parse_qs

import pytest

from simview.cli.app import run
from simview.cli.kits import read
from simview.demo import asset
from simview.live.kit_table import Table
from simview.talk.live_links import state
from simview.talk.records import TalkSlide


def ran(*words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    code = run(list(words))
    told = capsys.readouterr()
    return code, told.out, told.err


def test_words_of_an_offer_are_looked_through(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = ran(
        "detail", "70/700 with a 6 mm", "--target", "jupiter", "--json", capsys=capsys
    )
    assert code == 0
    assert json.loads(out)["enough_from"] > 0
    assert "assumed of “70/700 with a 6 mm”" in err


def test_advert_file_and_listing_give_the_power_of_their_pieces(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    advert = tmp_path / "advert.txt"
    advert.write_text("Refraktor 70/700, Okular 10 mm, 49 Euro", encoding="utf-8")
    listing = tmp_path / "listing.toml"
    listing.write_text('[offer]\ntext = "Refractor 70/700, 10 mm eyepiece"\n', encoding="utf-8")
    for word in (str(advert), str(listing)):
        code, out, _ = ran("view", word, "--target", "moon", "--json", capsys=capsys)
        assert code == 0
        assert json.loads(out)["power"] == pytest.approx(70.0)  # 700 mm / 10 mm


@pytest.mark.parametrize(
    ("word", "part"),
    [
        ("a nice old telescope", "nothing readable of its aperture"),
        ("missing.txt", "missing.txt"),
        ("nothing.toml", "nothing.toml"),
    ],
)
def test_what_cannot_be_looked_through_is_told_in_one_line(
    word: str, part: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = ran("view", word, "--target", "moon", capsys=capsys)
    assert code == 2
    assert out == ""
    assert part in err
    assert len(err.strip().splitlines()) == 1


def test_dangerous_words_about_the_sun_are_told_even_when_quiet(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = "60/700 with a 20 mm eyepiece and a sun filter for the eyepiece"
    code, out, err = ran("detail", words, "--target", "moon", "--quiet", "--json", capsys=capsys)
    assert code == 0
    assert json.loads(out)
    assert err.startswith("simview: Sun:")


def test_demo_advert_can_be_looked_through(capsys: pytest.CaptureFixture[str]) -> None:
    assert asset("adverts/present-450x.txt").is_file()
    code, out, _ = ran("view", "demo:present-450x", "--target", "moon", "--json", capsys=capsys)
    assert code == 0
    assert json.loads(out)["power"] > 0


def test_what_is_assumed_of_an_offer_is_told_unless_it_is_to_be_quiet(
    capsys: pytest.CaptureFixture[str],
) -> None:
    asked = ("detail", "70/700 with a 6 mm", "--target", "moon", "--json")
    code, _, err = ran(*asked, capsys=capsys)
    assert (code, "assumed of" in err) == (0, True)
    code, _, err = ran(*asked, "--quiet", capsys=capsys)
    assert (code, err) == (0, "")


def test_page_in_the_browser_takes_an_offer_in_place_of_a_kit() -> None:
    word = "70/700 with 20, 6 mm"
    table = Table.laid([word], read=read)
    assert table.first() == word
    assert [one.focal_length_mm for one in table.find(word).kit.eyepieces] == [20.0, 6.0]


def test_live_slide_of_a_talk_leads_to_an_offers_own_words() -> None:
    slide = TalkSlide(
        name="a",
        number=1,
        line=2,
        title="One",
        command="view",
        options={"kit": "70/700 with 20, 6 mm", "target": "moon"},
        live=True,
    )
    assert parse_qs(state(slide))["kit"] == ["70/700 with 20, 6 mm"]
