"""`simview vet` as a whole command."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest

import simview
from simview.cli.app import run
from simview.demo import asset

ADVERT = str(asset("adverts/present-450x.txt"))
SHELF = str(asset("shelf.toml"))


def vet(*words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    code = run(["vet", *words])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_offer_to_leave_still_exits_with_0(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = vet(ADVERT, capsys=capsys)
    assert code == 0
    assert "Our advice: leave it" in out
    assert out.index("The Sun: read this first") < out.index("Our advice")
    assert err == ""


def test_json_has_the_fixed_names_and_nothing_else_on_standard_output(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = vet(ADVERT, "--json", capsys=capsys)
    figures = json.loads(out)
    assert code == 0
    keys = ["verdict", "findings", "understood", "missing", "numbers", "read", "unread"]
    assert list(figures) == keys
    assert figures["verdict"] == "leave it"
    assert set(figures["findings"][0]) == {"rule", "grade", "says", "source"}
    assert figures["numbers"]["useful_power_high"] == pytest.approx(120.0)


def test_explanation_shows_words_and_places(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = vet(ADVERT, "--explain", capsys=capsys)
    assert re.search(r"aperture_mm +50\.0 +50 mm objective +\d+-\d+", out)
    _, out, _ = vet(ADVERT, "--explain", "--json", capsys=capsys)
    assert json.loads(out)["explain"]["readings"]


def test_demo_words_stand_for_demo_files(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = vet("demo:lens-90-900", "--shelf", "demo:shelf", capsys=capsys)
    assert code == 0
    assert "Our advice: sound" in out
    code, _, err = vet("demo:lens-90", capsys=capsys)
    assert code == 2
    assert "did you mean demo:lens-90-900?" in err


def test_budget_ranks_the_shelf(capsys: pytest.CaptureFixture[str]) -> None:
    words = (ADVERT, "--shelf", SHELF, "--budget", "150", "--currency", "EUR")
    _, out, _ = vet(*words, capsys=capsys)
    assert out.index("Tabletop reflector 114/456") < out.index("Star wheel and a red torch")


def test_json_tells_alternatives_and_rescue_where_they_are_asked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = (ADVERT, "--shelf", SHELF, "--budget", "150", "--currency", "EUR", "--json")
    instead = json.loads(vet(*words, capsys=capsys)[1])["instead"]
    assert [one["name"] for one in instead["ranked"]][:2] == [
        "Tabletop reflector 114/456",
        "Binoculars 10x50",
    ]
    assert instead["ranked"][0]["faintest_mag"] > instead["offer"]["faintest_mag"]
    words = (ADVERT, "--rescue", "--month", "2026-01", "--lat", "52", "--json")
    rescue = json.loads(vet(*words, capsys=capsys)[1])["rescue"]
    assert rescue["pieces"][0]["keep"]
    assert len(rescue["objects"]) == 10


def test_answer_is_one_page_with_pictures_inside(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # Small pictures: this test is about the page, tests/pictures looks at what is in them.
    monkeypatch.setattr("simview.advice.pictures.SIDE_PX", 128)
    out = tmp_path / "answer.html"
    code, told, _ = vet(
        ADVERT, "--shelf", SHELF, "--budget", "150", "--currency", "EUR", "--out", str(out),
        "--letterhead", "demo:letterhead", capsys=capsys,
    )  # fmt: skip
    page = out.read_text(encoding="utf-8")
    assert code == 0
    assert told.splitlines()[0] == str(out)
    # Three objects: the offer as promised, as it is, and two things from the shelf.
    assert page.count("data:image/png;base64,") == 12
    assert page.count("<img") == len(re.findall(r"<img[^>]* alt=\"[^\"]{20,}\"", page)) == 12
    assert "450× as promised" in page


def test_answer_as_pdf_for_an_owner(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "rescue.pdf"
    code, told, _ = vet(
        ADVERT, "--rescue", "--month", "2026-11", "--lat", "52", "--no-pictures",
        "--out", str(out), capsys=capsys,
    )  # fmt: skip
    assert code == 0
    assert out.read_bytes().startswith(b"%PDF-")
    assert "Ten things to look at first" in told
    assert "latitude 52° north" in told


def test_figures_and_text_can_be_written_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    vet(ADVERT, "--out", str(tmp_path / "v.json"), capsys=capsys)
    vet(ADVERT, "--out", str(tmp_path / "v.txt"), capsys=capsys)
    assert json.loads((tmp_path / "v.json").read_text(encoding="utf-8"))["verdict"] == "leave it"
    assert "Our advice: leave it" in (tmp_path / "v.txt").read_text(encoding="utf-8")


def test_folder_gives_a_ranked_table_and_csv_and_loses_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    offers = tmp_path / "offers"
    offers.mkdir()
    (offers / "good.txt").write_text("Achromatic refractor 70/1000, Plössl eyepiece 25 mm, dobson")
    (offers / "poor.txt").write_text("Refractor 50/600, 450x, H6 eyepiece")
    (offers / "broken.txt").write_bytes(b"\x00\x01")
    table = tmp_path / "table.csv"
    code, out, err = vet(str(offers), "--out", str(table), capsys=capsys)
    assert code == 0
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert [row["source"] for row in rows] == ["good.txt", "poor.txt", "broken.txt"]
    assert rows[2]["verdict"] == "not read"
    assert "binary data" in err
    assert "not read" in out
    code, out, _ = vet(str(offers), "--json", capsys=capsys)
    assert [one["source"] for one in json.loads(out)["offers"]][:2] == ["good.txt", "poor.txt"]


def test_several_offers_in_one_file_are_ranked_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "many.txt"
    path.write_text("Refractor 50/600, 450x\n-----\nRefractor 70/1000, 35x\n", encoding="utf-8")
    code, out, _ = vet(str(path), capsys=capsys)
    assert code == 0
    assert "many.txt (1)" in out
    assert "many.txt (2)" in out


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("none.txt",), "listing not found"),
        (("none.txt", "nor-this.txt"), "listing not found"),
        ((ADVERT, "--shelf", "none.toml"), "shelf file not found"),
        ((ADVERT, "--letterhead", "none.toml"), "letterhead file not found"),
        ((ADVERT, "--budget", "-5"), "--budget"),
        ((ADVERT, "--rescue", "--month", "November"), "--month"),
        ((ADVERT, "--rescue", "--month", "2026-13"), "--month"),
        ((ADVERT, "--rescue", "--month", "2026-11", "--lat", "91"), "--lat"),
        ((ADVERT, "--out", "answer.docx"), "cannot tell what to write"),
        (("{folder}", "--out", "answer.html"), "one answer sheet at a time"),
        ((ADVERT, "--seeing", "99"), "seeing_arcsec"),
    ],
)
def test_wrong_words_are_told_in_one_line_with_code_2(
    words: tuple[str, ...],
    part: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    spelled = [
        str(asset("adverts/present-450x.txt").parent) if w == "{folder}" else w for w in words
    ]
    code, out, err = vet(*spelled, capsys=capsys)
    assert code == 2
    assert out == ""
    assert part in err
    assert err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"\x89PNG\r\n\x1a\n\x00", b"a" * 300_000])
def test_what_is_no_advert_is_told(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "advert.txt"
    path.write_bytes(content)
    code, out, err = vet(str(path), capsys=capsys)
    assert (code, out) == (2, "")
    assert str(path) in err


def test_file_that_is_there_is_not_replaced_unasked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "v.json"
    out.write_text("mine")
    code, _, err = vet(ADVERT, "--out", str(out), capsys=capsys)
    assert code == 2
    assert "file is there already" in err
    assert out.read_text() == "mine"
    assert vet(ADVERT, "--out", str(out), "--force", capsys=capsys)[0] == 0


def test_hostile_advert_leaves_standard_output_valid(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hostile = Path(__file__).parents[1] / "unit/advice/hostile_advert.txt"
    code, out, _ = vet(str(hostile), "--json", "--explain", capsys=capsys)
    assert code == 0
    assert json.loads(out)["understood"]["aperture_mm"] == 70.0


def test_words_standard_input_and_files_are_offers_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = "70/700 with 20 and 6 mm, tripod"
    told = [json.loads(vet(words, "--json", capsys=capsys)[1])]
    told.append(json.loads(vet(*words.split(), "--json", capsys=capsys)[1]))
    monkeypatch.setattr("sys.stdin", io.StringIO(words))
    told.append(json.loads(vet("-", "--json", capsys=capsys)[1]))
    (tmp_path / "offer.txt").write_text(words)
    told.append(json.loads(vet(str(tmp_path / "offer.txt"), "--json", capsys=capsys)[1]))
    assert all(one == told[0] for one in told)
    assert [one["focal_length_mm"] for one in told[0]["understood"]["eyepieces"]] == [20.0, 6.0]
    for one in told[0]["read"]:
        assert words[one["start"] : one["end"]] == one["text"]
        assert 0.0 < one["sure"] <= 1.0


def test_offer_becomes_a_kit_to_look_through(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "kit.toml"
    code, _, err = vet("refractor 70/700 with a 6 mm", "--kit", str(place), capsys=capsys)
    kit = simview.load_kit(place)
    assert code == 0
    assert kit.telescope is not None
    assert (kit.telescope.aperture_mm, kit.telescope.focal_length_mm) == (70.0, 700.0)
    assert [piece.focal_length_mm for piece in kit.eyepieces] == [6.0]
    assert "assumed" in err
    code, _, err = vet("a telescope, some eyepieces", "--kit", str(tmp_path / "n"), capsys=capsys)
    assert code == 2
    assert "--kit" in err
    assert not (tmp_path / "n").exists()
