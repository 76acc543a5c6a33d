"""Collimation and films as whole commands: files, figures, redo, wrong input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from simview.cli.app import run

TABLE = "demo:tabletop-150"
TOY = "demo:toy-refractor-50"
FILM = ["film", TABLE, "--colour", "550", "--frames", "3", "--size", "128"]
VIEW = ["film", TABLE, "--target", "jupiter", "--power", "120", "--frames", "2", "--size", "128"]
TURN = ["collimate", TABLE, "--colour", "550", "--size", "960x540"]


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_film_of_a_star_is_written_under_a_name_of_its_own(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*FILM, "--fault", "coma=0.3"]) == 0
    assert run(FILM) == 0
    told = capsys.readouterr().out
    assert "film-tabletop-150-star.webp\n" in told
    assert sorted(path.name for path in desk.iterdir()) == [
        "film-tabletop-150-star-2.webp",
        "film-tabletop-150-star.webp",
    ]


@pytest.mark.parametrize("arguments", [FILM, VIEW], ids=["star", "view"])
def test_film_made_again_is_the_same_to_the_bit(arguments: list[str], desk: Path) -> None:
    assert run([*arguments, "--seed", "5", "--out", "first.webp", "-q"]) == 0
    assert run(["redo", "first.webp", "--out", "again.webp", "-q"]) == 0
    assert (desk / "first.webp").read_bytes() == (desk / "again.webp").read_bytes()


def test_film_on_a_still_mount_is_made_again_on_one(desk: Path) -> None:
    arguments = [*FILM, "--still-mount", "--touched", "0", "--air", "none"]
    assert run([*arguments, "--out", "first.png", "-q"]) == 0
    assert run(["redo", "first.png", "--out", "again.png", "-q"]) == 0
    assert (desk / "first.png").read_bytes() == (desk / "again.png").read_bytes()


def test_frames_go_to_a_new_folder(desk: Path) -> None:
    assert run([*FILM, "--out", "frames", "--bare", "-q"]) == 0
    names = sorted(path.name for path in (desk / "frames").iterdir())
    assert names == ["frame-0001.png", "frame-0002.png", "frame-0003.png"]
    with Image.open(desk / "frames/frame-0001.png") as frame:
        assert frame.size == (128, 128)
    assert run(["redo", "frames/frame-0001.png", "--out", "again", "-q"]) == 0
    assert [path.name for path in sorted((desk / "again").iterdir())] == names


def test_json_alone_computes_no_film(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*VIEW, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["frames"] == 2
    assert told["power"] == pytest.approx(120.0)
    assert {"seeing_arcsec", "coherence_ms", "shake_rms_arcsec"} <= set(told)
    assert list(desk.iterdir()) == []


def test_own_layers_of_air_are_taken(capsys: pytest.CaptureFixture[str], desk: Path) -> None:
    def coherence(*more: str) -> float:
        assert run([*FILM, "--json", *more]) == 0
        return float(json.loads(capsys.readouterr().out)["coherence_ms"])

    # Roddier 1981: 0.314 r0 / v; half the wind, twice the time.
    fast = coherence("--layer", "1,10,0")
    assert coherence("--layer", "1,5,90,0.5") == pytest.approx(2.0 * fast, rel=1e-9)


def test_collimation_writes_a_sheet_and_an_animation(
    desk: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from simview.picture.collimation import collimation_film as collimate_film

    monkeypatch.setattr(collimate_film, "_TURN_S", 0.4)
    assert run([*TURN, "--animation", "turn.webp", "--off", "1"]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[0] == "collimate-tabletop-150.png"
    assert told[-1] == "turn.webp"
    with Image.open("turn.webp") as film:
        assert film.n_frames > 8
    assert run(["redo", told[0], "--out", "again.png", "-q"]) == 0


def test_collimation_figures_as_json(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*TURN, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    # f/5: 48 x 125 x 550 nm / 4.
    assert told["tolerance_mm"] == pytest.approx(0.825)
    assert len(told["rows"]) == 4
    assert list(desk.iterdir()) == []


WRONG: list[tuple[list[str], list[str]]] = [
    ([*FILM, "--frames", "0"], ["--frames", "1 to 1800"]),
    ([*FILM, "--frames", "1801"], ["--frames", "1 to 1800"]),
    ([*FILM, "--frames", "-1"], ["--frames"]),
    ([*FILM, "--frames", "many"], ["--frames", "many"]),
    ([*FILM, "--frames", "1800", "--size", "2048"], ["frames", "of 2048x"]),
    ([*FILM, "--fps", "0"], ["--fps", "1 to 60"]),
    ([*FILM, "--fps", "nan"], ["--fps", "nan"]),
    ([*FILM, "--slow", "0"], ["--slow", "0.1 to 1000"]),
    ([*FILM, "--moments", "0"], ["--moments", "1 to 32"]),
    ([*FILM, "--seed", "-1"], ["seed", "-1"]),
    ([*FILM, "--seed", "4294967296"], ["seed", "0 to"]),
    ([*FILM, "--seeing", "nan"], ["seeing_arcsec", "nan"]),
    ([*FILM, "--seeing", "50"], ["seeing_arcsec", "0 to 20"]),
    ([*FILM, "--layer", "1,2"], ["--layer", "0.7,3,20,0.5"]),
    ([*FILM, "--layer", "1,two,3"], ["--layer", "numbers"]),
    ([*FILM, "--layer", "0,3,20"], ["layer share"]),
    ([*FILM, "--layer", "1,300,20"], ["wind_m_s", "0 to 100"]),
    ([*FILM, "--touched", "-1"], ["--touched"]),
    ([*FILM, "--fault", "comma=1"], ["comma", "'coma'"]),
    ([*FILM, "--fault", "coma=nan"], ["coma=nan"]),
    ([*FILM, "--travel", "99"], ["--travel", "-40 to 40"]),
    ([*FILM, "--fault", "turned-down-edge=20,width=0.01"], ["less travel or weaker faults"]),
    ([*FILM, "--power", "nan"], ["--power"]),
    ([*FILM, "--size", "64"], ["--size", "128 to 2048"]),
    ([*FILM, "--size", "255"], ["--size", "even"]),
    ([*FILM, "--out", "film.avi"], [".webp"]),
    ([*FILM, "--out", "none/film.webp"], ["is not there"]),
    ([*FILM, "--out", "."], ["."]),
    (["film", "demo:naked-eye"], ["a telescope"]),
    (["film", "none.toml"], ["none.toml", "not found"]),
    (["film", TABLE, "--drift"], ["--drift", "--target"]),
    (["film", TABLE, "--focus", "90"], ["--focus", "0 to 20"]),
    (["film", TABLE, "--to-power", "90"], ["--to-power", "--target"]),
    (["film", TABLE, "--target", "jupiter", "--to-power", "90"], ["--power", "none"]),
    ([*VIEW, "--to-power", "120"], ["--to-power", "a power other than 120"]),
    ([*VIEW, "--to-power", "300", "--touched", "0"], ["--touched", "--to-power"]),
    (
        ["film", TABLE, "--target", "daytime", "--power", "75", "--drift"],
        ["--drift", "nothing follows"],
    ),
    ([*VIEW, "--fault", "coma=1"], ["--fault", "--target", "kit file"]),
    ([*VIEW, "--travel", "2"], ["--travel", "--target"]),
    (["film", TABLE, "--target", "jupitr"], ["jupitr", "jupiter"]),
    ([*VIEW[:5], "1e9"], ["power"]),
    ([*VIEW, "--eyepiece", "9"], ["--eyepiece"]),
    (["collimate"], ["KIT"]),
    (["collimate", TOY], ["mirror"]),
    (["collimate", TOY, "--secondary"], ["--secondary", "Newtonian"]),
    (["collimate", TABLE, "--focuser", "20"], ["--focuser", "add --secondary"]),
    (["collimate", TABLE, "--secondary", "--focuser", "999"], ["focuser", "999"]),
    (["collimate", "demo:binoculars-10x50"], ["a telescope"]),
    ([*TURN, "--travel", "0"], ["--travel", "1 to 20"]),
    ([*TURN, "--travel", "nan"], ["--travel", "nan"]),
    ([*TURN, "--pitch", "0"], ["screw pitch"]),
    ([*TURN, "--screw-circle", "9999"], ["screw circle"]),
    (
        ["collimate", TABLE, "--secondary", "--screw-circle", "300"],
        ["screw circle", "300 mm", "secondary", "all three screws"],
    ),
    ([*TURN, "--first-screw", "inf"], ["first screw"]),
    ([*TURN, "--animation", "turn.mov"], [".webp"]),
    ([*TURN, "--off", "-1"], ["--off"]),
    ([*TURN, "--towards", "nan"], ["--towards"]),
    ([*TURN, "--fps", "0"], ["--fps"]),
    ([*TURN, "--colour", "puce"], ["--colour", "puce"]),
    (["redo", "none.webp"], ["none.webp", "not found"]),
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


def test_film_cannot_be_made_larger(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*FILM, "--out", "f.webp", "-q"]) == 0
    assert run(["redo", "f.webp", "--size", "960x540"]) == 2
    assert "keeps its size" in capsys.readouterr().err
    assert [path.name for path in desk.iterdir()] == ["f.webp"]


def test_interrupt_leaves_nothing_behind(desk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from simview.picture.films import star_film as film_star

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(film_star, "printed", interrupted)
    for name in ("f.webp", "frames"):
        assert run([*FILM, "--out", name]) == 130
    assert list(desk.iterdir()) == []
