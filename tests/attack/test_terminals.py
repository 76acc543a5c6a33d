"""What is printed: on any terminal, in any encoding, whoever wrote the words."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simview.advice.ranking import COLUMNS, csv_text
from simview.terminal import isolated, json_text, reordered, said, visible

ADVERT = "Telescope 70/700, eyepieces 20 mm and 4 mm, 525x, with sun filter for the eyepiece"
posix = pytest.mark.skipif(sys.platform == "win32", reason="a shell of POSIX")


def process(arguments: str, **more: str) -> subprocess.CompletedProcess[bytes]:
    """Run a command line in a shell, so that descriptors can be closed and turned."""
    return subprocess.run(
        ["sh", "-c", f'"{sys.executable}" -m simview {arguments}'],
        capture_output=True,
        timeout=60,
        check=False,
        env={**os.environ, **more},
    )


@posix
@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "cp437"])
def test_verdict_is_told_where_the_console_lacks_letters(encoding: str) -> None:
    done = process(f"vet '{ADVERT} αβ 望 1½ inch'", PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert done.returncode == 0, done.stderr
    told = done.stdout.decode(encoding)
    assert "Sun" in told
    assert "Traceback" not in done.stderr.decode(encoding)


@posix
def test_figures_as_json_lose_no_letter_on_an_old_console() -> None:
    spoken = f"vet '{ADVERT}, name αβ 望' --json"
    plain = process(spoken)
    old = process(spoken, PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
    assert json.loads(old.stdout.decode("cp1252")) == json.loads(plain.stdout.decode("utf-8"))


@posix
def test_closed_standard_output_is_one_line_and_no_success() -> None:
    done = process("targets --kind planet >&-")
    assert done.returncode == 1
    assert done.stderr.decode().count("\n") == 1
    assert "standard output" in done.stderr.decode()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("command", ["targets", "--help", "--version"])
def test_full_standard_output_is_one_line_and_no_success(command: str) -> None:
    done = process(f"{command} >/dev/full")
    assert done.returncode == 1
    assert done.stderr.decode().count("\n") == 1
    assert "No space left" in done.stderr.decode()


@posix
def test_closed_standard_error_spoils_nothing() -> None:
    done = process("targets --kind planet 2>&-")
    assert done.returncode == 0
    assert b"jupiter" in done.stdout
    assert process("targets --kind nonsense 2>&-").returncode == 2


@posix
def test_picture_does_not_land_in_a_descriptor_that_was_closed(tmp_path: Path) -> None:
    out = tmp_path / "targets.txt"
    done = process(f"targets --kind planet --out {out} >&- 2>&- <&-")
    assert done.returncode == 1
    assert "jupiter" in out.read_text()


@posix
@pytest.mark.parametrize("stream", ["<&-", "<'{bad}'"])
def test_standard_input_that_is_none_gives_one_line(stream: str, tmp_path: Path) -> None:
    bad = tmp_path / "latin"
    bad.write_bytes(b"caf\xe9 70/700")
    done = process(f"vet - {stream.format(bad=bad)}", PYTHONUTF8="1")
    assert done.returncode in (0, 2)
    assert done.stderr.decode().count("\n") <= 1
    assert b"Traceback" not in done.stderr


@posix
def test_file_name_that_is_not_utf8_gives_one_line(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable.encode(), b"-m", b"simview", b"vet", bytes(tmp_path) + b"/caf\xe9.txt"],
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert b"0xE9" in done.stderr
    assert done.stderr.count(b"\n") == 1


@posix
def test_colours_are_left_out_when_asked(tmp_path: Path) -> None:
    """Source: the convention at no-color.org: set and not empty, no ANSI colour."""
    import pty

    leader, follower = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-m", "simview", "--help"],
        stdout=follower,
        stderr=follower,
        env={**os.environ, "NO_COLOR": "1", "TERM": "xterm-256color"},
    )
    os.close(follower)
    told = b""
    while True:
        try:
            part = os.read(leader, 65536)
        except OSError:  # the other end has gone
            break
        if not part:
            break
        told += part
    child.wait(60)
    os.close(leader)
    assert b"ladder" in told
    import re

    codes = {c for found in re.findall(rb"\x1b\[([0-9;]*)m", told) for c in found.split(b";")}
    colours = {str(n).encode() for n in (*range(30, 50), *range(90, 108))}
    assert not codes & colours


# --- what others wrote ----------------------------------------------------------------------------


ESCAPES = ("\x1b[8m", "\x9b8m", "\x1b]0;title\x07", "\u202e", "\x7f\x08\x08")


def harmless(told: str) -> None:
    """See that what was told commands no terminal, and that it speaks of the Sun."""
    assert not [c for c in told if unicodedata.category(c) in ("Cc", "Cf") and c != "\n"]
    assert "Sun" in told


@pytest.mark.parametrize("words", [[], ["--explain"], ["--json"]], ids="".join)
@pytest.mark.parametrize("text", ESCAPES, ids=ascii)
def test_escapes_in_an_advert_do_not_reach_the_terminal(
    text: str, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """ESC[8m would conceal the caution about the Sun (ECMA-48, SGR 8)."""
    from simview.cli.app import run

    assert run(["vet", f"{ADVERT} {text} name {text}", *words]) == 0
    harmless("".join(capsys.readouterr()))


@posix
@pytest.mark.parametrize("option", ["", "--json"])
def test_escapes_in_an_advert_do_not_pass_through_a_real_descriptor(option: str) -> None:
    done = process(f"vet '{ADVERT} {' name '.join(ESCAPES)}' {option}")
    assert done.returncode == 0
    harmless((done.stdout + done.stderr).decode())


def test_escapes_in_a_name_are_shown_in_an_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from simview.cli.app import run

    kit = tmp_path / "kit.toml"
    kit.write_text('name = "a\\u001b[8mb"\n[telescope]\naperture_mm = "\\u009b31m"\n')
    assert run(["view", str(kit), "--target", "jupiter"]) == 2
    told = capsys.readouterr().err
    assert not [c for c in told if unicodedata.category(c) == "Cc" and c != "\n"]


@given(st.text())
def test_whatever_is_said_commands_nothing(text: str) -> None:
    told = isolated(visible(text))
    controls = {c for c in told if unicodedata.category(c) in ("Cc", "Zl", "Zp")}
    assert controls <= {"\n"}
    # All that stays of the bidirectional marks are whole isolates.
    directions = [c for c in told if unicodedata.bidirectional(c) in _TURNING]
    assert directions == ["\u2067", "\u2069"] * (len(directions) // 2)
    assert isolated(visible(told)) == told


# Explicit formatting characters. Source: Unicode Standard Annex 9, table 4.
_TURNING = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


@given(st.characters())
def test_stand_in_for_any_letter_is_ascii(letter: str) -> None:
    assert said(letter).isascii()


@given(st.recursive(st.text() | st.none() | st.floats(allow_nan=False), st.lists))
def test_json_keeps_every_value_and_holds_no_control(value: object) -> None:
    value = json.loads(json.dumps(value))
    for ascii_only in (False, True):
        text = json_text(value, ascii_only=ascii_only)
        assert json.loads(text) == value
        assert not [c for c in text if unicodedata.category(c) == "Cc" and c != "\n"]


def test_words_from_right_to_left_turn_no_figure_after_them() -> None:
    """The reference is fpdf2's own reordering, tested there with Unicode's conformance file.

    Without the isolate the figure behind the name is drawn before it.
    """
    from fpdf.bidi import BidiParagraph
    from fpdf.enums import TextDirection

    def drawn(text: str) -> str:
        return BidiParagraph(text, base_direction=TextDirection.LTR).get_reordered_string()

    name = "\u05d8\u05dc\u05e1\u05e7\u05d5\u05e4"
    backwards = name[::-1]
    assert drawn(f"Offer {name} 450 mm").replace("  ", " ") == f"Offer 450 {backwards} mm"
    marked = isolated(f"Offer {name} 450 mm")
    plain = drawn(marked).replace("\u2067", "").replace("\u2069", "")
    assert plain == f"Offer {backwards} 450 mm"
    assert reordered(marked, lambda run: run[::-1]) == plain


@pytest.mark.parametrize(
    "start",
    ["=1+1", "+1", "-1", "@A1", "＝1+1", "＋1", "－1", "＠A1", "﹢1", "\t=1", "\r=1", " =1"],
)
def test_cell_that_begins_a_formula_is_text_in_a_spreadsheet(start: str) -> None:
    """Source: OWASP, CSV Injection (signs, tabulator, carriage return and full-width forms)."""
    row = dict.fromkeys(COLUMNS) | {"name": start}
    cell = next(csv.DictReader(io.StringIO(csv_text([row]))))["name"]
    assert cell.startswith("'")
