"""`simview diagnose` as a user types it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from star_photos import developed, jpeg, pattern

from simview.cli.app import run
from simview.kit import Telescope
from simview.kitfile import load_kit
from simview.picture.save import read_recipe

TABLE = "demo:tabletop-150"
SCOPE = Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
NOLL = {7: 0.08, 6: 0.03}


@pytest.fixture(scope="module")
def star() -> bytes:
    light = pattern(SCOPE, 5.5, NOLL, pixel_arcsec=0.4, pixels=128, blur_arcsec=0.8)
    return jpeg(developed(light, size=200), 90)


@pytest.fixture
def desk(tmp_path: Path, star: bytes, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "outside.jpg").write_bytes(star)
    return tmp_path


def test_sheet_figures_and_kit_tell_the_same(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["diagnose", "outside.jpg", "--kit", TABLE, "--json", "--size", "960x540"]
    assert run([*line, "--out", "sheet.png", "--kit-out", "mine.toml"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["side_known"] is True
    for j in range(5, 12):
        row = told["noll"][str(j)]
        assert row["low"] <= row["waves"] <= row["high"]
        assert row["waves"] == pytest.approx(NOLL.get(j, 0.0), abs=0.015)
    assert told["faults"][0]["name"] == "miscollimation"
    assert "o'clock" in told["do_first"]
    assert told["pictures"][0]["defocus_waves"] == pytest.approx(5.5, abs=0.3)
    assert told["pictures"][0]["pixel_arcsec"] == pytest.approx(0.4, rel=0.06)
    noll = load_kit(desk / "mine.toml").telescope.wavefront.noll
    assert noll[7] == pytest.approx(told["noll"]["7"]["waves"])
    assert read_recipe(desk / "sheet.png")["command"] == "diagnose"
    with Image.open(desk / "sheet.png") as sheet:
        assert sheet.size == (960, 540)


def test_sheet_is_made_again_from_the_same_photograph(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["diagnose", "outside.jpg", "--kit", TABLE, "--size", "960x540", "--up", "40"]
    assert run([*line, "--out", "sheet.png"]) == 0
    recipe = read_recipe(desk / "sheet.png")
    assert "outside.jpg" not in json.dumps(recipe)
    assert recipe["photographs"][0]["side"] == "outside"
    (desk / "outside.jpg").rename(desk / "renamed.jpg")
    again = ["redo", "sheet.png", "--out", "again.png"]
    capsys.readouterr()
    assert run(again) == 2
    assert "--photo" in capsys.readouterr().err
    Image.new("L", (50, 50)).save(desk / "other.png")
    assert run([*again, "--photo", "other.png"]) == 2
    assert "not one of the photographs" in capsys.readouterr().err
    assert not (desk / "again.png").exists()
    assert run([*again, "--photo", "renamed.jpg"]) == 0
    with Image.open(desk / "sheet.png") as first, Image.open(desk / "again.png") as second:
        assert np.array_equal(np.asarray(first), np.asarray(second))


def test_how_gives_the_numbers_of_the_kit(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["diagnose", "--how", TABLE]) == 0
    words = capsys.readouterr().out
    # 8 F^2 W lambda at f/5 and 6 waves: 0.66 mm (Born & Wolf, section 8.8).
    assert "0.7 mm" in words
    assert "Sun" in words
    assert run(["diagnose", "--how", TABLE, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["travel_mm"] == pytest.approx(0.66)


WRONG = [
    (["diagnose"], ["PHOTO", "--how"]),
    (["diagnose", "outside.jpg"], ["--kit"]),
    (["diagnose", "none.jpg", "--kit", TABLE], ["none.jpg", "not found"]),
    (["diagnose", "outside.jpg", "--kit", "demo:naked-eye"], ["a telescope"]),
    (["diagnose", "outside.jpg", "--kit", TABLE, "--side", "left"], ["left", "outside"]),
    (["diagnose", "outside.jpg", "--kit", TABLE, "--up", "nan"], ["up_deg"]),
    (["diagnose", "black.png", "--kit", TABLE], ["black.png", "no star"]),
    (["diagnose", "text.jpg", "--kit", TABLE], ["text.jpg", "no picture"]),
    (["diagnose", "outside.jpg", "--kit", TABLE, "--out", "a.bmp"], ["a.bmp", ".png"]),
    (["diagnose", "outside.jpg", "--kit", TABLE, "--kit-out", "a.txt"], ["a.txt", ".toml"]),
    (["diagnose", "empty", "--kit", TABLE], ["empty", "without pictures"]),
    (["diagnose", "--how", "demo:naked-eye"], ["a telescope"]),
    (["diagnose", "outside.jpg", "--how", TABLE], ["--how", "one of the two"]),
]


@pytest.mark.parametrize(("line", "says"), WRONG, ids=" ".join)
def test_wrong_input_is_one_line_and_writes_nothing(
    desk: Path, capsys: pytest.CaptureFixture[str], line: list[str], says: list[str]
) -> None:
    Image.fromarray(np.zeros((100, 100, 3), np.uint8)).save(desk / "black.png")
    (desk / "text.jpg").write_text("no picture")
    (desk / "empty").mkdir()
    before = sorted(desk.iterdir())
    assert run(line) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.strip().splitlines()) == 1
    assert all(word in told.err for word in says), told.err
    assert sorted(desk.iterdir()) == before
