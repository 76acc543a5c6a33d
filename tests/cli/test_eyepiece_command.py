"""simview eyepiece: whole commands, and all kinds of wrong input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from simview.cli.app import run

SCOPE = ["--telescope", "demo:tabletop-150"]
SMALL = ["--size", "960x540"]
MINE = """
title = "Magnifier"
[[surface]]
radius_mm = 20
thickness_mm = 5
glass = "BK7"
clear_mm = 18
[[surface]]
radius_mm = "plane"
clear_mm = 18
"""


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in, with a prescription in it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.toml").write_text(MINE, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("words", "focal_mm"),
    [
        (["kellner", "--focal-length", "20"], 20.0),
        (["H12.5"], 12.5),
        (["Pl10", "--focal-length", "9"], 9.0),
        (["mine.toml"], 38.7),
        (["mine.toml", "--focal-length", "25"], 25.0),
    ],
)
def test_figures_alone_with_json(words, focal_mm, desk, capsys):
    assert run(["eyepiece", *words, *SCOPE, "--json"]) == 0
    told = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert told["focal_length_mm"] == pytest.approx(focal_mm, rel=1e-3)
    assert told["power"] == pytest.approx(750.0 / told["focal_length_mm"])
    assert len(told["field"]) == 5
    assert sorted(path.name for path in desk.iterdir()) == ["mine.toml"]


def test_picture_is_written_and_made_again(desk, capsys):
    assert run(["eyepiece", "ramsden", "--focal-length", "20", *SCOPE, *SMALL]) == 0
    path = desk / "eyepiece-ramsden.png"
    assert capsys.readouterr().out.splitlines()[0] == path.name
    assert run(["redo", path.name, "--out", "twin.png", "--quiet"]) == 0
    with Image.open(path) as one, Image.open(desk / "twin.png") as two:
        assert one.size == (960, 540)
        assert one.tobytes() == two.tobytes()


WRONG = [
    (["foo", "--focal-length", "20", *SCOPE], ["eyepiece", "foo", "kellner"]),
    (["kelner", "--focal-length", "20", *SCOPE], ["kelner", "'kellner'"]),
    (["SWA20", *SCOPE], ["SWA20", "prescription"]),
    (["kellner", *SCOPE], ["--focal-length", "1 to 100 mm"]),
    (["kellner", "--focal-length", "500", *SCOPE], ["focal_length_mm", "1 to 100"]),
    (["kellner", "--focal-length", "nan", *SCOPE], ["focal_length_mm", "nan"]),
    (["kellner", "--focal-length", "20"], ["--telescope"]),
    (["kellner", "--focal-length", "20", "--telescope", "none.toml"], ["none.toml", "not found"]),
    (
        ["kellner", "--focal-length", "20", "--telescope", "demo:binoculars-10x50"],
        ["Binoculars", "a telescope"],
    ),
    (["none.toml", *SCOPE], ["none.toml", "not found"]),
    (["bad.toml", *SCOPE], ["bad.toml", "surface 1 thickness_mm", "-5"]),
    (["glass.toml", *SCOPE], ["surface 1 glass", "BK8", "BK7"]),
    (
        ["plossl", "--focal-length", "20", "--apparent-field", "115", *SCOPE],
        ["surface", "totally reflected"],
    ),
    (["kellner", "--focal-length", "20", "--size", "9x9", *SCOPE], ["9x9"]),
    (["kellner", "--focal-length", "20", "--out", "no/a.png", *SCOPE], ["no/a.png"]),
]


@pytest.mark.parametrize(("words", "says"), WRONG, ids=lambda value: " ".join(value)[:40])
def test_wrong_input_is_told_in_one_line(words, says, desk, capsys):
    (desk / "bad.toml").write_text(MINE.replace("= 5", "= -5"), encoding="utf-8")
    (desk / "glass.toml").write_text(MINE.replace("BK7", "BK8"), encoding="utf-8")
    before = sorted(path.name for path in desk.iterdir())
    assert run(["eyepiece", *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.strip().splitlines()) == 1
    assert told.err.startswith("simview: ")
    for part in says:
        assert part in told.err
    assert sorted(path.name for path in desk.iterdir()) == before
