"""The program as a whole process: help, version, lists, completion, pipes, interrupts."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from simview import __version__, interrupts
from simview.cli.app import modules, run

COMMANDS = [name for name, _ in modules()]

# What takes long to load, and helps nobody who asks for help.
HEAVY = {"numpy", "scipy", "PIL", "pydantic", "poppy", "astropy", "matplotlib", "av"}


def process(*arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "simview", *arguments],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        env={**os.environ, **more},
    )


def test_help_names_every_command_and_loads_no_numerics() -> None:
    code = "import sys; from simview.cli.app import run; run(['--help']); print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    for name in COMMANDS:
        assert name in done.stdout
    loaded = set(done.stdout.splitlines()[-1].split())
    assert not loaded & HEAVY


def test_help_of_a_command_loads_no_other_and_no_numerics() -> None:
    code = (
        "import sys; from simview.cli.app import run; run(['view', '--help']); print(*sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    home = "simview.cli.commands."
    loaded = done.stdout.splitlines()[-1].split()
    assert [name for name in loaded if name.startswith(home)] == [f"{home}view"]
    assert not (HEAVY | {"concurrent.futures"}) & set(loaded)


def test_nothing_asked_for_shows_the_help() -> None:
    done = process()
    assert done.returncode == 0
    assert "ladder" in done.stdout


# What is done at the end of a process, by whom: what a library asks for, whoever writes at its end
# what was run, and Python, which takes down what is left.
ENDING = """
import atexit, sys

class Left:
    def __del__(self):
        print("taken down")

from simview import __main__ as program
if "traced" in sys.argv:
    sys.argv.remove("traced")
    sys.settrace(lambda *what: None)
run, sys.modules["left"] = program.main, Left()

def main():
    atexit.register(print, "asked for")
    run()

program.main = main
program.start()
"""


@pytest.mark.parametrize(("words", "code"), [(["--version"], 0), (["view", "none.toml"], 2)])
def test_process_ends_once_all_is_done_that_libraries_ask_for(words: list[str], code: int) -> None:
    def ended(*more: str) -> tuple[int, list[str]]:
        done = subprocess.run(
            [sys.executable, "-c", ENDING, *words, *more],
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        return done.returncode, done.stdout.splitlines()[-2:]

    found, last = ended()
    assert (found, last[-1]) == (code, "asked for")
    found, last = ended("traced")
    assert (found, last[-2:]) == (code, ["asked for", "taken down"])


def test_threads_take_short_turns_in_the_program_and_not_where_it_is_a_library() -> None:
    code = (
        "import sys\n"
        "from simview import __main__, look\n"
        "usual = sys.getswitchinterval()\n"
        "try:\n    __main__.main()\nexcept SystemExit:\n    pass\n"
        "print(usual, sys.getswitchinterval())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "--version"],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    usual, ours = map(float, done.stdout.split()[-2:])
    assert usual == pytest.approx(0.005)  # Python's own: sys.getswitchinterval's documentation
    assert ours <= 0.001 + 1e-9


def test_version_is_told() -> None:
    done = process("--version")
    assert (done.returncode, done.stdout) == (0, f"simview {__version__}\n")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_takes_the_common_options_and_shows_examples(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    assert run([name, "--help"]) == 0
    shown = capsys.readouterr().out
    # The page writes no file and tells no figures: it has nothing to put anywhere.
    for option in () if name == "live" else ("--out", "--json", "--quiet", "--force"):
        assert option in shown
    assert "Examples:" in shown
    assert f"simview {name}" in shown.partition("Examples:")[2]


def test_help_shows_options_in_groups_and_examples_as_they_are_typed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    from simview.cli.commands import view

    assert run(["view", "--help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    groups = [line for line in lines if line[:1].strip() and line.endswith(":")]
    assert groups == [
        "Arguments:",
        "Options:",
        "What to look at:",
        "Air and sky:",
        "The eye:",
        "Results:",
        "Who does the work:",
    ]
    there = lines.index("What to look at:"), lines.index("Air and sky:")
    assert any("-t, --target NAME" in line for line in lines[slice(*there)])
    # Longer than a page is wide, yet on a line of its own, to be copied.
    assert all(f"    simview view {line}" in lines for line in view.EXAMPLES)


def test_help_says_of_every_command_what_it_does(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    listed = capsys.readouterr().out.partition("Commands:")[2]
    told = " ".join(listed.split())
    for name, module in modules():
        first = module.command.__doc__.partition("\n\n")[0]
        assert f"{name} {' '.join(first.split())}" in told


def test_targets_are_listed_as_text_and_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    from simview.scene.targets import entries

    # What stands for anything of its kind has no figures of its own; a remark names it.
    names = [entry.name for entry in entries() if not entry.free]
    assert run(["targets"]) == 0
    told = capsys.readouterr()
    assert [line.split()[0] for line in told.out.splitlines()] == names
    assert all(entry.name in told.err for entry in entries() if entry.free)
    assert run(["targets", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)["targets"]
    assert [each["name"] for each in listed] == names


@pytest.mark.parametrize(
    ("filters", "holds"),
    [
        (["--kind", "double"], lambda each: each["kind"] == "double"),
        (["--brighter", "2"], lambda each: each["magnitude"] <= 2.0),
        (["--season", "oct"], lambda each: each["season"] == "October"),
        (["--teaches", "splitting"], lambda each: "splitting" in each["teaches"]),
        (["--named", "cluster"], lambda each: "luster" in f"{each['title']} {each['aliases']}"),
    ],
)
def test_filters_leave_only_the_targets_that_they_name(
    filters: list[str], holds: Callable[[dict[str, Any]], bool], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["targets", "--json", *filters]) == 0
    listed = json.loads(capsys.readouterr().out)["targets"]
    assert 0 < len(listed) < 170
    assert all(holds(each) for each in listed)


def test_own_targets_are_listed_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "mine.toml"
    own.write_text('[[target]]\nname = "my pair"\ndouble = [3.1, 40.0, 4.0, 5.0]\n')
    assert run(["targets", "--json", "--targets", str(own)]) == 0
    assert json.loads(capsys.readouterr().out)["targets"][0]["name"] == "my pair"


@pytest.mark.parametrize(
    "wrong", [["--kind", "dubble"], ["--teaches", "xyz"], ["--targets", "none.toml"]]
)
def test_targets_answer_a_wrong_filter_with_one_line(
    wrong: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["targets", *wrong]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.count("\n")) == ("", 1)


def test_targets_can_be_written_to_a_file(tmp_path: Path) -> None:
    assert run(["targets", "--json", "--out", str(tmp_path / "t.json")]) == 0
    assert json.loads((tmp_path / "t.json").read_text())["targets"]


def test_wrong_input_leaves_one_line_and_code_2_from_the_process() -> None:
    done = process("view", "none.toml", "--target", "jupiter")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("simview la", "ladder"),
        ("simview view demo:tabletop-1", "demo:tabletop-150"),
        ("simview view demo:naked-eye --target jup", "jupiter"),
        ("simview view demo:naked-eye --air sh", "short"),
        ("simview view demo:naked-eye --engine po", "poppy"),
    ],
)
def test_tab_completes_commands_kits_targets_and_choices(words: str, expected: str) -> None:
    done = process(
        _SIMVIEW_COMPLETE="complete_bash",
        COMP_WORDS=words,
        COMP_CWORD=str(len(words.split()) - 1),
    )
    assert expected in done.stdout.split()


def test_tab_completes_kit_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from simview.cli.complete import kits

    (tmp_path / "mine.toml").write_text("")
    (tmp_path / "mine.txt").write_text("")
    (tmp_path / "minor").mkdir()
    monkeypatch.chdir(tmp_path)
    assert kits("min") == ["mine.toml", "minor/"]
    assert kits(f"{tmp_path}/mi") == [f"{tmp_path}/mine.toml", f"{tmp_path}/minor/"]
    assert kits("none/") == []


def test_closed_pipe_is_no_complaint() -> None:
    done = subprocess.run(
        f"{sys.executable} -m simview targets | true",
        shell=True,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.stderr == ""


def test_interrupt_ends_with_the_shells_own_code(monkeypatch: pytest.MonkeyPatch) -> None:
    from simview.scene import targets

    def interrupted() -> None:
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(targets, "entries", interrupted)
    # Whoever runs the tests in the background has them ignore Ctrl-C.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        assert run(["targets"]) == 130
    finally:
        signal.signal(signal.SIGINT, before)


def test_interrupt_is_heard_though_a_library_makes_it_another_error(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from simview.scene import targets

    def interrupted() -> None:
        # As Python 3.11 does where the signal strikes while a class is made.
        monkeypatch.setattr(interrupts, "_received", int(signal.SIGINT))
        raise RuntimeError("Error calling __set_name__") from KeyboardInterrupt()

    monkeypatch.setattr(targets, "entries", interrupted)
    assert run(["targets"]) == 130


def test_fault_of_the_program_keeps_its_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    from simview.scene import targets

    def broken() -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(targets, "entries", broken)
    with pytest.raises(ZeroDivisionError):
        run(["targets"])
