"""Slides and lists of conditions on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from simview.cli.app import run

SMALL = ["--size", "960x540"]
ONE = ["compare", "demo:tabletop-150", "--target", "jupiter", "--powers", "100", *SMALL]


def panels(words: list[str], capsys: pytest.CaptureFixture[str]) -> list[dict[str, object]]:
    assert run([*words, "--json"]) == 0
    found: list[dict[str, object]] = json.loads(capsys.readouterr().out)["panels"]
    return found


def test_each_value_of_a_list_is_a_panel(capsys: pytest.CaptureFixture[str]) -> None:
    made = panels([*ONE, "--seeing", "1,4", "--for", "slide"], capsys)
    assert [p["label"] for p in made] == ["Steady air, 1″", "Very restless air, 4″"]
    steady, restless = (p["resolution_air_arcsec"] for p in made)
    assert steady < restless  # type: ignore[operator]


def test_lists_go_together_panel_by_panel(capsys: pytest.CaptureFixture[str]) -> None:
    made = panels([*ONE, "--age", "20,75", "--altitude", "60,12"], capsys)
    assert [p["label"] for p in made] == [
        "High up, 60°, At the age of 20",
        "Just above the roofs, 12°, At the age of 75",
    ]


def test_fault_of_one_panel_spoils_only_that(capsys: pytest.CaptureFixture[str]) -> None:
    made = panels([*ONE, "--fault", "none,coma=0.8"], capsys)
    good, bad = (p["finest_detail_arcsec"] for p in made)
    assert good < bad  # type: ignore[operator]


def test_setting_of_a_target_can_be_a_list(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["compare", "demo:tabletop-150", "--target", "venus", "--powers", "75", *SMALL]
    made = panels([*words, "--set", "phase_deg=30,150", "--for", "slide"], capsys)
    assert [p["label"] for p in made] == ["Phase 30°", "Phase 150°"]


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (["--seeing", "1,fog"], ["--seeing", "1,fog", "numbers with commas"]),
        (["--seeing", "1,2", "--age", "20,40,60"], ["--age", "as many of each"]),
        (["--seeing", "1,99"], ["seeing_arcsec", "0 to 20 arcsec"]),
        (["--air", "long,fog"], ["fog"]),
        (["--fault", "none,cosma=1"], ["cosma"]),
        (["--for", "hall"], ["--for", "study, slide"]),
        (["--title", "x"], ["--title", "--for slide"]),
        (["--for", "slide", "--size", "200x200"], ["size", "540 to 7680"]),
        (["--for", "slide", "--ground", "pink"], ["--ground", "dark, white"]),
        (["--for", "slide", "--logo", "none.png"], ["logo not found"]),
        (["--for", "slide", "--seeing", "1,2", "--labels", "a|b|c"], ["--labels", "one for each"]),
        (["--for", "slide", "--out", "x.gif"], [".png"]),
        (["--out", "x.pdf"], [".png"]),
    ],
)
def test_wrong_wish_is_one_clear_line(
    words: list[str],
    parts: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run([*ONE, *words]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    for part in parts:
        assert part in told
    assert list(tmp_path.iterdir()) == []


def test_upright_slide_and_pdf_are_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    upright = tmp_path / "upright.png"
    words = ["view", "demo:tabletop-150", "--target", "jupiter", "--power", "75", "--for", "slide"]
    assert run([*words, "--size", "720x1080", "--out", str(upright), "--footer", "My club"]) == 0
    with Image.open(upright) as image:
        assert image.size == (720, 1080)
    page = tmp_path / "page.pdf"
    assert run([*words, "--size", "960x540", "--out", str(page), "--ground", "white"]) == 0
    assert page.read_bytes().startswith(b"%PDF-")
    again = tmp_path / "again.png"
    assert run(["redo", str(upright), "--out", str(again)]) == 0
    with Image.open(upright) as first, Image.open(again) as second:
        assert first.tobytes() == second.tobytes()
