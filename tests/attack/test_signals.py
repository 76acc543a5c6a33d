"""Interrupts: a command stops at once, says what is finished, and leaves nothing half done."""

from __future__ import annotations

import os
import random
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from simview.cli import ledger
from simview.cli.commands.demo import _lines
from simview.textfile import part_of, sweep

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")

FILM = ["film", "demo:tabletop-150", "--frames", "64", "--size", "512", "--out", "frames"]
SHEET = ["ladder", "demo:tabletop-150", "-t", "jupiter", "--powers", "30,75,150,300,500"]
ANSWER = ["vet", "demo:present-450x", "--out", "answer.html"]
# What Python complains of where Ctrl-C strikes while it starts, before any line of ours.
PYTHON_STARTS = ("Fatal Python error: init_", "Could not import runpy module")
# How often each kill is tried; SIMVIEW_KILLS=20 by hand makes a long run of it.
KILLS = int(os.environ.get("SIMVIEW_KILLS", "1"))


@pytest.fixture(autouse=True)
def terminal_that_is_heard() -> Iterator[None]:
    """Have programs hear the terminal's end, also where all these tests are run under nohup."""
    kept = signal.signal(signal.SIGHUP, signal.SIG_DFL)
    yield
    signal.signal(signal.SIGHUP, kept)


def killed(
    arguments: list[str], folder: Path, number: signal.Signals, after_s: float
) -> tuple[int, str]:
    """Start a command in a folder, signal it after a while, and return its code and words."""
    child = subprocess.Popen(
        [sys.executable, "-m", "simview", *arguments],
        cwd=folder,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        child.wait(after_s)
    except subprocess.TimeoutExpired:
        child.send_signal(number)
    _, told = child.communicate(timeout=20)
    return child.returncode, told


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
@pytest.mark.parametrize("arguments", [FILM, SHEET, ANSWER], ids=lambda words: words[0])
def test_signal_leaves_nothing_and_is_told_in_one_line(
    arguments: list[str], number: signal.Signals, tmp_path: Path
) -> None:
    rng = random.Random(f"{arguments}{number}")
    for turn in range(KILLS):
        folder = tmp_path / str(turn)
        folder.mkdir()
        after_s = rng.uniform(0.15, 1.6)
        code, told = killed(arguments, folder, number, after_s)
        for longer in (2.0, 4.0, 8.0):
            if code != -number and not told.startswith(PYTHON_STARTS):
                break
            # On a busy machine Python itself was still starting: nothing of ours can answer then.
            code, told = killed(arguments, folder, number, longer * after_s)
        if code == 0:
            continue  # it was quicker
        assert code == 128 + number, told
        lines = [line for line in told.splitlines() if "stopped" in line]
        assert len(lines) == 1
        assert "Traceback" not in told
        assert not list(folder.glob(".*")), "a part of a file was left"
        for path in folder.iterdir():  # whole ones may be there
            assert path.name in lines[0].partition("not finished")[0]


def test_ctrl_c_stops_the_demo_with_what_is_finished(tmp_path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "simview", "demo", "--out", "evening", "--quiet"],
        cwd=tmp_path,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    # As soon as its first picture lies there.
    for _ in range(1200):
        if list((tmp_path / "evening").glob("*.png")) or child.poll() is not None:
            break
        time.sleep(0.05)
    time.sleep(0.1)
    child.send_signal(signal.SIGINT)
    start = time.monotonic()
    _, told = child.communicate(timeout=20)
    assert time.monotonic() - start < 5.0
    assert child.returncode == 130
    assert told.count("\n") == 1
    made, _, left = told.partition("not finished")
    for path in (tmp_path / "evening").glob("*.*"):
        assert path.name in made
    # All that the demo makes is in that line, named or counted, once.
    planned = {line.partition("--out ")[2].split()[0] for line in _lines(None)}
    assert len(planned) > 12
    assert named(made) >= 1
    assert named(left) >= 1
    assert named(made) + named(left) == len(planned), told


def named(text: str) -> int:
    """Count the files that a part of the line names, and those it only counts."""
    more = re.findall(r"and (\d+) more", text)
    return len(re.findall(r"evening/[\w-]+\.\w+", text)) + sum(map(int, more))


def test_an_interrupt_that_python_drops_is_told_in_one_line_too(tmp_path: Path) -> None:
    # An exception in a finalizer goes nowhere but to standard error.
    code = """
import os, signal, sys
from simview import interrupts
from simview.cli import app
class Late:
    def __del__(self):
        os.kill(os.getpid(), signal.SIGTERM)
        sum(range(100000))
def work(given):
    Late()
    while True:
        pass
app.execute = work
interrupts.listen()
sys.exit(app.run(["view"]))
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 143
    assert done.stderr == "simview: stopped; nothing is finished\n"


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGHUP])
def test_demo_ends_in_one_line_while_its_libraries_load(number: int, tmp_path: Path) -> None:
    # The terminal sends both to all that was started from it.
    child = subprocess.Popen(
        [sys.executable, "-m", "simview", "demo", "--out", "evening", "--quiet"],
        cwd=tmp_path,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    for _ in range(1200):
        if (tmp_path / "evening" / "files").is_dir() or child.poll() is not None:
            break
        time.sleep(0.02)
    time.sleep(0.3)
    os.killpg(child.pid, number)
    try:
        _, told = child.communicate(timeout=30)
    except subprocess.TimeoutExpired:
        os.killpg(child.pid, signal.SIGKILL)
        child.communicate()
        raise
    assert child.returncode == 128 + number
    assert told.count("\n") == 1, told
    assert "nothing is finished" in told


@pytest.mark.parametrize("after_s", [0.0, 0.3, 1.0, 1.6])
def test_ctrl_c_is_how_the_page_ends_also_while_its_first_pictures_are_computed(
    after_s: float,
) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "simview", "live", "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline().startswith("http://")
    time.sleep(after_s)
    child.send_signal(signal.SIGINT)
    _, told = child.communicate(timeout=20)
    # Threads that went on computing while Python was taken down once aborted it.
    assert (child.returncode, told) == (0, "")


@pytest.mark.parametrize("after_s", [0.06, 0.1, 0.2])
def test_ctrl_c_at_the_very_start_is_one_line(after_s: float, tmp_path: Path) -> None:
    for turn, longer in enumerate((1.0, 2.0, 4.0, 8.0)):
        folder = tmp_path / str(turn)
        folder.mkdir()
        code, told = killed(SHEET, folder, signal.SIGINT, longer * after_s)
        # On a busy machine Python itself is still starting, or whoever runs the tests has it
        # ignore Ctrl-C until our first line: nothing of ours can answer then.
        if code not in (0, 1, -signal.SIGINT):
            break
        assert "simview/cli" not in told
    assert not list(folder.iterdir())
    assert code == 130
    assert told.count("\n") == 1


def test_signal_that_was_ignored_at_the_start_stays_ignored(tmp_path: Path) -> None:
    """As under nohup (POSIX): the terminal's end does not end the work."""
    child = subprocess.Popen(
        ["nohup", sys.executable, "-m", "simview", "targets"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    time.sleep(0.1)
    child.send_signal(signal.SIGHUP)
    assert child.wait(30) == 0


# --- the pieces -----------------------------------------------------------------------------------


def test_part_is_swept_when_the_cleaning_up_was_itself_interrupted(tmp_path: Path) -> None:
    parts = part_of(tmp_path / "film")
    part = parts.__enter__()
    part.mkdir()
    (part / "frame.png").write_text("half")
    sweep()
    assert not list(tmp_path.iterdir())
    parts.__exit__(None, None, None)


def test_two_threads_writing_the_same_name_use_parts_of_their_own(tmp_path: Path) -> None:
    with part_of(tmp_path / "a.png") as one, part_of(tmp_path / "a.png") as two:
        assert one != two


def test_line_names_what_is_finished_and_what_is_not() -> None:
    ledger.begin()
    ledger.plan("a.png", "b.png", "c.png")
    with ledger.writing("a.png"):
        pass
    with pytest.raises(KeyboardInterrupt), ledger.writing("b.png"):
        raise KeyboardInterrupt
    assert ledger.line("stopped") == "stopped; finished: a.png; not finished: b.png, c.png"
    ledger.begin()
    assert ledger.line("stopped") == "stopped; nothing is finished"


def test_line_is_told_once_whoever_comes_first() -> None:
    """The main thread, or the watchman where that is held up."""
    from simview import interrupts

    told: list[int] = []
    interrupts.expect(told.append)
    interrupts.tell(15)
    interrupts.tell(15)
    assert told == [15]
