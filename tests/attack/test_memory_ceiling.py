"""Memory: estimated before the work, refused in one line, and really below its budget."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
import time
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from simview import budget
from simview.cli.app import run
from simview.errors import SimviewError
from simview.picture.save import RECIPE_KEY, read_recipe, save_png

KIT = "demo:tabletop-150"
LONG = bool(os.environ.get("SIMVIEW_LONG"))
posix = pytest.mark.skipif(sys.platform == "win32", reason="no resource module")


def peak_mb(arguments: list[str], folder: Path) -> tuple[int, float]:
    """Run a command in a process of its own; return its exit code and the most memory it had."""
    code = (
        "import resource, subprocess, sys\n"
        "done = subprocess.run([sys.executable, '-m', 'simview', *sys.argv[1:]],"
        " stdout=subprocess.DEVNULL)\n"
        "print(done.returncode, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    told = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
    ).stdout.split()
    per_mb = 1e6 if sys.platform == "darwin" else 1e3  # bytes there, kilobytes elsewhere
    return int(told[0]), int(told[1]) / per_mb


# What passed a gigabyte or crashed before grids followed what the naked eye resolves.
WIDE = ["castor"] + (["uranus", "neptune", "pi-aquilae", "meissa", "iota-cassiopeiae"] * LONG)


@posix
@pytest.mark.parametrize("target", WIDE)
def test_naked_eye_beside_a_telescope_stays_below_a_gigabyte(target: str, tmp_path: Path) -> None:
    code, peak = peak_mb(["compare", "demo:naked-eye", KIT, "-t", target, "--quiet"], tmp_path)
    assert code == 0
    assert peak < 1000.0


@posix
@pytest.mark.skipif(not LONG, reason="long: SIMVIEW_LONG=1")
@pytest.mark.parametrize("target", ["moon", "pleiades", "jupiter", "orion-nebula"])
@pytest.mark.parametrize("size", ["1920x1080", "3840x2160"])
def test_estimate_is_not_passed(
    target: str, size: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from simview.demo import kit_path
    from simview.kitfile import load_kit
    from simview.picture.prints import printing
    from simview.picture.views import compose
    from simview.scene.targets import target as build

    estimates = []

    def told(wanted: list[printing.Wanted], **_: object) -> None:
        estimates.append(printing.memory_needed(wanted) + budget.PROGRAM)
        raise SimviewError("enough")

    wide, high = map(int, size.split("x"))
    monkeypatch.setattr(compose, "develop_all", told)
    with pytest.raises(SimviewError, match="enough"):
        compose.view(load_kit(kit_path(KIT)), build(target), eyepiece=0, size=(wide, high))
    code, peak = peak_mb(["view", KIT, "-t", target, "--size", size, "--quiet"], tmp_path)
    assert code == 0
    assert peak < estimates[0] / 1e6


@pytest.mark.parametrize(
    "arguments",
    [
        ["view", KIT, "-t", "moon", "--size", "7680x4320"],
        ["ladder", KIT, "-t", "jupiter", "--powers", "30,60,90", "--size", "7680x4320"],
        ["compare", KIT, KIT, "-t", "saturn", "--size", "7680x4320"],
        ["film", KIT, "--frames", "1000", "--size", "512"],
        ["view", KIT, "-t", "moon", "--memory", "0.25"],
    ],
    ids=lambda words: f"{words[0]} {words[-1]}",
)
def test_what_would_take_more_is_refused_in_one_line_before_it_is_computed(
    arguments: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(arguments) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "memory" in told
    assert "--memory" in told
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("value", ["0", "nan", "-1", "1e9", "much"])
def test_budget_that_is_none_is_refused(value: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["view", KIT, "-t", "jupiter", "--memory", value]) == 2
    assert "--memory" in capsys.readouterr().err


def test_environment_sets_the_budget(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SIMVIEW_MEMORY", "2")
    with budget.used():
        assert budget.bytes_allowed() == 2e9
        with budget.used(3.0):
            assert budget.bytes_allowed() == 3e9
    monkeypatch.setenv("SIMVIEW_MEMORY", "plenty")
    with pytest.raises(SimviewError, match="SIMVIEW_MEMORY"), budget.used():
        pass


def test_library_has_no_budget_unless_one_is_set() -> None:
    budget.require("a picture", 1e15, remedy="a smaller one")


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """A small view's file with its recipe."""
    place = tmp_path / "view.png"
    assert run(["view", KIT, "-t", "jupiter", "--size", "960x540", "--out", str(place)]) == 0
    return place


def test_recipe_that_asks_for_too_much_is_refused(
    sheet: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recipe = read_recipe(sheet) | {"size": [7680, 4320]}
    with Image.open(sheet) as opened:
        evil = save_png(opened, tmp_path / "evil.png", recipe=recipe, figures={})
    capsys.readouterr()
    assert run(["redo", str(evil), "--out", str(tmp_path / "again.png")]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "--memory" in told
    assert not (tmp_path / "again.png").exists()


@pytest.mark.parametrize(
    "change", [{"frames": 100_000}, {"side": 100_000}, {"moments": 10**9}, {"frames": -1}]
)
def test_film_whose_recipe_was_changed_is_refused(
    change: dict[str, int], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    film = tmp_path / "film.png"
    made = ["film", KIT, "--frames", "2", "--size", "128", "--bare", "--out", str(film)]
    assert run(made) == 0
    with Image.open(film) as opened:
        opened.load()
        first, whole = opened.convert("RGB"), json.loads(opened.info[RECIPE_KEY])

    def changed(told: object) -> object:
        if isinstance(told, dict):
            return {key: change.get(key, changed(value)) for key, value in told.items()}
        return told

    recipe = changed(whole["recipe"])
    assert recipe != whole["recipe"]
    evil = save_png(first, tmp_path / "e.png", recipe=recipe, figures={})
    capsys.readouterr()
    assert run(["redo", str(evil), "--out", str(tmp_path / "again.webp")]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert not (tmp_path / "again.webp").exists()


def test_photograph_is_weighed_before_it_is_decoded(tmp_path: Path) -> None:
    from simview.scene.photo import read_linear

    place = tmp_path / "large.png"
    Image.new("L", (7000, 7000)).save(place)
    with budget.used(0.3), pytest.raises(SimviewError, match=r"large\.png of 7000x7000"):
        read_linear(place)


@posix
def test_a_caller_keeps_its_own_limit_of_memory() -> None:
    import resource

    from simview.cli.app import run

    before = resource.getrlimit(resource.RLIMIT_DATA)
    assert run(["targets", "--memory", "0.25", "--quiet", "--json"]) == 0
    assert resource.getrlimit(resource.RLIMIT_DATA) == before


def test_a_sheet_of_an_eyepiece_keeps_to_the_budget(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["eyepiece", "plossl", "--focal-length", "25", "--telescope", KIT]
    assert run([*words, "--size", "7680x4320", "--memory", "1", "--out", "never.png"]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "7680x4320" in told
    assert "smaller --size" in told
    assert not Path("never.png").exists()


def test_no_more_is_under_way_at_once_than_fits() -> None:
    assert budget.at_once(8, 1e12) == 8  # a library's caller decides for itself
    with budget.used(1.0):
        # 850 MB are left beside the program.
        assert budget.at_once(8, 400e6) == 2
        assert budget.at_once(8, 100e6, besides=150e6) == 7
        assert budget.at_once(3, 1e6) == 3
        assert budget.at_once(8, 5e9) == 1


@pytest.mark.parametrize(("gigabytes", "most"), [(1.0, 2), (0.5, 1), (2.0, 4)])
def test_talk_on_a_machine_of_many_cores_makes_no_more_slides_at_once_than_fit(
    gigabytes: float, most: int, tmp_path: Path
) -> None:
    from simview.executor.pieces import used
    from simview.talk.making import Folder, Job, make
    from simview.talk.records import Drawn, Talk, TalkSlide

    lock, under_way, seen = threading.Lock(), 0, 0

    def draw() -> Drawn:
        nonlocal under_way, seen
        with lock:
            under_way += 1
            seen = max(seen, under_way)
        time.sleep(0.05)
        with lock:
            under_way -= 1
        return Drawn(files={".png": b"slide"})

    slides = tuple(TalkSlide(name=f"s{k}", number=k, line=k, title="") for k in range(1, 9))
    talk = Talk(file=tmp_path / "t.toml", title="", slides=slides, day=date(2027, 3, 12))
    jobs = [Job(slide=slide, words=(), draw=draw) for slide in slides]
    folder = Folder.at(tmp_path / "talk", force=False)
    with budget.used(gigabytes), used(jobs=8):
        made = make(talk, folder, jobs, program="", progress=lambda part, text: None)
    assert made.fresh == 8
    assert seen == most


@posix
@pytest.mark.skipif(not LONG, reason="long: SIMVIEW_LONG=1")
def test_talk_of_twelve_slides_stays_below_a_gigabyte(tmp_path: Path) -> None:
    code, peak = peak_mb(["talk", "demo:talk", "--out", "talk", "--quiet"], tmp_path)
    assert code == 0
    assert peak < 1000.0
