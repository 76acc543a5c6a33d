"""`simview detail` as a whole command."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.cli.app import run

TOY = "demo:toy-refractor-50"
SMALL = ["--size", "960x540"]


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    assert run(["detail", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out, parse_constant=pytest.fail)


def test_json_holds_the_promised_names_and_no_nan(capsys: pytest.CaptureFixture[str]) -> None:
    figures = told([TOY, "--target", "jupiter"], capsys)
    assert {"powers", "finest_detail_arcsec", "enough_from", "empty_above"} <= set(figures)


def test_observers_faults_cost_detail_at_low_power_only(
    capsys: pytest.CaptureFixture[str],
) -> None:
    powers = ["demo:rocker-200", "--target", "moon", "--powers", "50,800"]
    good = told(powers, capsys)["finest_detail_arcsec"]
    bad = told([*powers, "--cylinder", "2", "--cylinder-axis", "30"], capsys)
    faulty = bad["finest_detail_arcsec"]
    assert isinstance(good, list)
    assert isinstance(faulty, list)
    assert faulty[0] > 1.5 * good[0]
    assert faulty[1] == pytest.approx(good[1], rel=0.01)


def test_sheet_is_written_and_made_again_to_the_pixel() -> None:
    # Each power of a pair is searched by itself, which takes time: five show what sixty would.
    asked = [TOY, "--target", "castor", "--powers", "12,25,50,100,200"]
    assert run(["detail", *asked, *SMALL, "--out", "d.png", "--quiet"]) == 0
    assert run(["redo", "d.png", "--out", "again.png", "--quiet"]) == 0
    with Image.open("d.png") as first, Image.open("again.png") as again:
        assert np.array_equal(np.asarray(first), np.asarray(again))


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--age", "12"], "age_years"),
        (["--pupil", "30"], "pupil_mm"),
        (["--sky-mag", "30"], "sky_mag_arcsec2"),
        (["--cylinder", "50"], "cylinder_dioptre"),
        (["--powers", "90,30"], "powers"),
        (["--powers", "lots"], "--powers"),
        (["--powers", "nan"], "--powers"),
    ],
)
def test_wrong_input_is_told_in_one_line(
    options: list[str], says: str, desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["detail", TOY, "--target", "jupiter", *options]) == 2
    message = capsys.readouterr().err
    assert message.count("\n") == 1
    assert says in message
    assert list(desk.iterdir()) == []
