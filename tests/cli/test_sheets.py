"""Whole commands that make pictures: figures, files, and pictures made again."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.cli.app import run

SMALL = ["--size", "960x540"]
TABLE = "demo:tabletop-150"
VIEW = ["view", TABLE, "--target", "jupiter", "--power", "75", *SMALL]
LADDER = ["ladder", "demo:toy-refractor-50", "--target", "jupiter", "--powers", "30,450", *SMALL]
COMPARE = ["compare", "demo:binoculars-10x50", TABLE, "--target", "pleiades", *SMALL]

# Names that scripts and slides rely on.
FIGURES = {
    "power",
    "exit_pupil_mm",
    "true_field_arcmin",
    "apparent_field_deg",
    "drift_seconds",
    "resolution_arcsec",
    "relative_brightness",
    "limiting_magnitude",
    "finest_detail_arcsec",
}


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def figures(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    assert run([*arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out, parse_constant=pytest.fail)


def pixels(path: str | Path) -> np.ndarray:
    with Image.open(path) as image:
        return np.asarray(image.convert("RGB"))


def test_view_tells_the_promised_figures(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = figures(VIEW, capsys)
    assert set(told) >= FIGURES
    assert told["power"] == pytest.approx(75.0)
    # Common practice, no source: the exit pupil is the aperture divided by the power.
    assert told["exit_pupil_mm"] == pytest.approx(150.0 / 75.0)
    assert list(desk.iterdir()) == []


def test_ladder_tells_its_steps_and_both_marks(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = figures(LADDER, capsys)
    assert set(told) >= {"steps", "enough_from", "empty_above"}
    steps = told["steps"]
    assert isinstance(steps, list)
    assert [step["power"] for step in steps] == pytest.approx([30.0, 450.0])
    assert all(set(step) >= {*FIGURES, "empty"} for step in steps)
    # A 50 mm telescope at 450 times is past any rule of the trade (60 times an inch: 120).
    assert steps[1]["empty"] is True


def test_picture_is_written_under_its_name_with_figures_on_the_output(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*LADDER, "--out", "ladder.png"]) == 0
    told = capsys.readouterr()
    assert told.out.startswith("ladder.png\n")
    assert "exit_pupil_mm" in told.out
    assert [path.name for path in desk.iterdir()] == ["ladder.png"]
    assert pixels("ladder.png").shape == (540, 960, 3)


def test_second_picture_gets_a_number_in_its_name(desk: Path) -> None:
    assert run([*VIEW, "--quiet"]) == 0
    first = (desk / "view-jupiter.png").read_bytes()
    assert run([*VIEW, "--quiet"]) == 0
    assert sorted(path.name for path in desk.iterdir()) == [
        "view-jupiter-2.png",
        "view-jupiter.png",
    ]
    assert (desk / "view-jupiter.png").read_bytes() == first


def test_quiet_command_says_nothing_on_the_side(capsys: pytest.CaptureFixture[str]) -> None:
    # 100 times is no power of this kit, which is worth a remark.
    arguments = ["view", TABLE, "--target", "jupiter", "--power", "100", *SMALL, "--out", "v.png"]
    assert run(arguments) == 0
    assert "imagined" in capsys.readouterr().err
    assert run([*arguments, "--quiet", "--force"]) == 0
    assert capsys.readouterr().err == ""


def test_named_file_is_replaced_only_by_force(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (desk / "v.png").write_text("mine")
    assert run([*VIEW, "--out", "v.png"]) == 2
    assert (desk / "v.png").read_text() == "mine"
    assert run([*VIEW, "--out", "v.png", "--force"]) == 0
    assert pixels("v.png").shape == (540, 960, 3)


@pytest.mark.parametrize("arguments", [VIEW, LADDER, COMPARE], ids=lambda words: words[0])
def test_picture_made_again_is_the_same_to_the_pixel(arguments: list[str]) -> None:
    assert run([*arguments, "--air", "moment", "--seed", "7", "--out", "first.png"]) == 0
    assert run(["redo", "first.png", "--out", "again.png"]) == 0
    assert np.array_equal(pixels("first.png"), pixels("again.png"))


def test_another_moment_of_the_air_is_another_picture() -> None:
    for seed in ("1", "2"):
        assert run([*VIEW, "--air", "moment", "--seed", seed, "--out", f"{seed}.png"]) == 0
    assert not np.array_equal(pixels("1.png"), pixels("2.png"))


def test_comparison_keeps_the_power_of_binoculars(capsys: pytest.CaptureFixture[str]) -> None:
    told = figures([*COMPARE, "--powers", "30"], capsys)
    rows = next(value for value in told.values() if isinstance(value, list))
    assert [row["power"] for row in rows] == pytest.approx([10.0, 30.0])
    assert all(set(row) >= FIGURES for row in rows)


def test_options_have_the_last_word_over_the_kit_file(capsys: pytest.CaptureFixture[str]) -> None:
    calm = figures([*VIEW, "--seeing", "0.5"], capsys)
    rough = figures([*VIEW, "--seeing", "6"], capsys)
    assert isinstance(calm["resolution_arcsec"], float)
    assert isinstance(rough["resolution_arcsec"], float)
    assert calm["resolution_arcsec"] < 0.5 * rough["resolution_arcsec"]


@pytest.mark.parametrize("command", ["view", "ladder", "compare"])
def test_interrupt_leaves_nothing_behind(
    command: str, desk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from simview.picture.views import comparing, compose

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    place = comparing if command == "compare" else compose
    monkeypatch.setattr(place, f"{command}_sheet", interrupted)
    arguments = {"view": VIEW, "ladder": LADDER, "compare": COMPARE}[command]
    assert run([*arguments, "--out", "sheet.png"]) == 130
    assert list(desk.iterdir()) == []


def test_full_disk_or_the_like_while_writing_leaves_nothing_behind(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (desk / "sheet.png").mkdir()
    assert run([*VIEW, "--out", "sheet.png", "--force"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert [path.name for path in desk.iterdir()] == ["sheet.png"]


def test_demo_writes_its_share_and_the_scenarios_files(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["demo", "--only", "view"]) == 0
    assert "$ simview view demo:" in capsys.readouterr().out
    assert (desk / "simview-demo/files/kits/tabletop-150.toml").is_file()
    assert list((desk / "simview-demo").glob("*.png"))
    assert run(["demo", "--only", "view", "--json", "--quiet"]) == 0
    told = capsys.readouterr()
    assert told.err == ""
    shown = json.loads(told.out)["demo"]
    assert shown
    assert all(each["command"].startswith("simview view") for each in shown)
    assert (desk / "simview-demo-2").is_dir()


def test_kit_file_of_ones_own_works_as_a_whole_process(desk: Path) -> None:
    (desk / "mine.toml").write_text(
        "[telescope]\naperture_mm = 70\nfocal_length_mm = 700\nobjective = 'achromat'\n"
        "[[eyepieces]]\nfocal_length_mm = 20\n"
    )
    done = subprocess.run(
        [sys.executable, "-m", "simview", "view", "mine.toml", "--target", "saturn", *SMALL],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("view-saturn.png\n")
    assert pixels(desk / "view-saturn.png").shape == (540, 960, 3)
