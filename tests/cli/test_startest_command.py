"""The star test as a whole command: files, figures, wrong input."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from simview.cli.app import run
from simview.kitword import find_kit
from simview.picture.startest.patterns import StarTest, StarViews
from simview.picture.startest.star_layout import Layout
from simview.telescope.faults import parse

TABLE = "demo:tabletop-150"
SMALL = ["--size", "960x540"]
STAR = ["startest", TABLE, "--colour", "550", *SMALL]


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_sheet_is_written_and_its_figures_are_told(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*STAR, "--fault", "coma=0.3", "--fault", "astigmatism=0.2@30"]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[0] == "startest-tabletop-150.png"
    assert any("coma 0.3, astigmatism 0.2" in line for line in told)
    with Image.open(desk / told[0]) as picture:
        assert picture.size == (960, 540)


def test_json_keeps_the_names_that_scripts_lean_on(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*STAR, "--fault", "coma=0.3", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["rows"]
    assert rows[0]["faults"] == {"coma": 0.3}
    for row in rows:
        assert {"faults", "strehl", "rms_waves", "pv_waves", "encircled_airy"} <= set(row)
    assert rows[0]["strehl"] < rows[1]["strehl"] == pytest.approx(1.0, abs=1e-3)
    assert list(desk.iterdir()) == []


def test_picture_made_again_is_the_same_to_the_pixel(desk: Path) -> None:
    arguments = [*STAR, "-f", "zone=0.2,radius=0.4", "--common-brightness", "--power", "200"]
    assert run([*arguments, "--out", "first.png", "-q"]) == 0
    assert run(["redo", "first.png", "--out", "again.png", "-q"]) == 0
    with Image.open("first.png") as first, Image.open("again.png") as second:
        assert np.array_equal(np.asarray(first), np.asarray(second))


def test_fits_file_is_written_beside_the_sheet(desk: Path) -> None:
    assert run([*STAR, "--travel", "2", "--fits", "star.fits", "--out", "s.png", "-q"]) == 0
    assert (desk / "star.fits").read_bytes().startswith(b"SIMPLE  =                    T")
    assert sorted(path.name for path in desk.iterdir()) == ["s.png", "star.fits"]


def test_fits_file_that_is_there_is_kept(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (desk / "star.fits").write_text("mine")
    assert run([*STAR, "--fits", "star.fits"]) == 2
    assert "--force" in capsys.readouterr().err
    assert (desk / "star.fits").read_text() == "mine"
    assert [path.name for path in desk.iterdir()] == ["star.fits"]


def test_poster_carries_its_printed_size(
    desk: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from simview.picture.startest import atlas_cells

    few = {name: cells[:3] for name, cells in atlas_cells.CELLS.items()}
    monkeypatch.setattr(atlas_cells, "CELLS", few)
    arguments = ["startest", "--atlas", "--telescope-type", "cassegrain", "--size", "1290x912"]
    assert run(arguments) == 0
    name, *lines = capsys.readouterr().out.splitlines()
    assert name == "startest-atlas-cassegrain.png"
    assert lines[0].split() == [
        "faults",
        "strehl",
        "strehl_white",
        "rms_waves",
        "pv_waves",
        "encircled_airy",
    ]
    with Image.open(name) as picture:
        # 594 mm wide whatever its pixels.
        assert picture.width / picture.info["dpi"][0] * 25.4 == pytest.approx(594.0, rel=1e-3)


WRONG: list[tuple[list[str], list[str]]] = [
    (["startest"], ["KIT", "--atlas"]),
    (["startest", "none.toml"], ["none.toml", "not found"]),
    (["startest", "demo:naked-eye"], ["a telescope"]),
    ([*STAR, "--fault", "comma=0.3"], ["comma", "'coma'"]),
    ([*STAR, "--fault", "coma"], ["NAME=AMOUNT", "coma=0.3@45"]),
    ([*STAR, "--fault", "coma=nan"], ["coma=nan"]),
    ([*STAR, "--fault", "coma=inf"], ["coma=inf"]),
    ([*STAR, "--fault", "coma=31"], ["coma", "-30 to 30 waves"]),
    ([*STAR, "--fault", "coma=0.3furlong"], ["coma", "furlong"]),
    ([*STAR, "--fault", "coma=0.3,width=2"], ["coma", "width"]),
    ([*STAR, "--fault", "spherical=0.3@20"], ["spherical", "no angle"]),
    ([*STAR, "--fault", "roughness=0.1,seed=-1"], ["roughness seed"]),
    ([*STAR, "--fault", "roughness=0.1,seed=1e12"], ["roughness seed"]),
    ([*STAR, "--fault", "coma=29", "--travel", "40"], ["take --travel 25"]),
    (["startest", "demo:toy-refractor-50", "-f", "back-focus=5"], ["layout", "maksutov"]),
    ([*STAR, "--travel", "0"], ["--travel", "0.2 to 40"]),
    ([*STAR, "--minutes", "-5"], ["cooling", "0 to 600 minutes"]),
    (["startest", "demo:refractor-70", "--minutes", "10"], ["cooling", "a mirror"]),
    (
        [*STAR, "--riddle", "3", "--minutes", "10"],
        ["--riddle and --minutes together", "one of the two", "leave --minutes out"],
    ),
    ([*STAR, "--answer"], ["--answer", "--riddle SEED"]),
    ([*STAR, "--difficulty", "impossible"], ["--difficulty", "hard"]),
    ([*STAR, "--travel", "nan"], ["--travel", "nan"]),
    ([*STAR, "--positions", "0"], ["--positions", "3 to 11"]),
    ([*STAR, "--positions", "4"], ["--positions", "odd"]),
    ([*STAR, "--power", "0"], ["--power", "5 to 5000"]),
    ([*STAR, "--colour", "mauve"], ["--colour", "mauve"]),
    ([*STAR, "--colour", "1000"], ["--colour", "420 to 690"]),
    ([*STAR, "--size", "9x9"], ["size", "9x9"]),
    ([*STAR, "--fits", "star.png"], [".fits"]),
    ([*STAR, "--fits", "none/star.fits"], ["is not there"]),
    ([*STAR, "--out", "star.bmp"], [".png"]),
    (["startest", "--atlas", "--telescope-type", "dobson"], ["--telescope-type", "newtonian"]),
    (["startest", "--atlas", "--fault", "coma=1"], ["--fault", "--atlas"]),
    (["startest", "--atlas", "--fits", "a.fits"], ["--fits", "--atlas"]),
    (["startest", "--atlas", "--size", "100x100"], ["100x100"]),
]


@pytest.mark.parametrize(("arguments", "parts"), WRONG, ids=lambda value: " ".join(value)[-60:])
def test_wrong_input_gives_one_line_and_exit_code_2(
    arguments: list[str], parts: list[str], desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("simview: ")
    assert told.err.count("\n") == 1
    for part in parts:
        assert part in told.err
    assert list(desk.iterdir()) == []


def test_faults_are_completed() -> None:
    from simview.cli.commands.startest import faults

    assert faults("turned") == ["turned-down-edge=", "turned-up-edge="]


def test_riddle_keeps_its_answer_to_itself_until_it_is_asked(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from simview.cli.commands import startest
    from simview.picture.startest import riddle

    assert set(startest.DIFFICULTIES) == set(riddle.DIFFICULTIES)
    asked = [*STAR, "--riddle", "7", "--difficulty", "easy"]
    assert run([*asked, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"riddle": 7}
    assert run([*asked, "--answer", "--json"]) == 0
    first = json.loads(capsys.readouterr().out)["rows"][0]
    assert len(first["faults"]) == 1
    assert run([*asked, "-q"]) == 0
    picture = desk / "startest-tabletop-150-riddle-7.png"
    # Whoever reads the file finds the seed, not the answer; it makes the same picture again.
    from simview.picture.save import read_recipe

    given = read_recipe(picture)
    assert given["riddle"] == 7
    assert "faults" not in given
    name = next(iter(first["faults"]))
    assert name.split()[0].encode() not in picture.read_bytes()
    assert run(["redo", str(picture), "-q", "--out", "again.png"]) == 0
    assert read_recipe(desk / "again.png") == given


def test_riddles_differ_by_seed_and_fit_the_telescope() -> None:
    import simview
    from simview.picture.startest.riddle import riddle

    lens = simview.Telescope(aperture_mm=80.0, focal_length_mm=900.0, objective="achromat")
    names = {riddle(simview.Kit(telescope=lens), seed)[0].name for seed in range(60)}
    assert len(names) > 8
    assert not names & {"miscollimation", "vanes", "secondary", "off-centre-shadow", "defocus"}


def test_travel_that_is_offered_instead_can_be_drawn(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wish = ["startest", TABLE, *SMALL, "--fault", "coma=0.3", "--out", "a.png"]
    assert run([*wish, "--travel", "40"]) == 2
    offered = re.search(r"take --travel (\d+)\s*$", capsys.readouterr().err)
    assert offered
    assert list(desk.iterdir()) == []
    kit, faults = find_kit(TABLE).kit, (parse("coma=0.3"),)
    sizes = Layout.of((960, 540), 7).sizes((960, 540))
    for travel in (float(offered[1]), 4.0):
        test = StarTest(kit=kit, faults=faults, travel_waves=travel)
        StarViews(test=test, sizes=sizes).check()
