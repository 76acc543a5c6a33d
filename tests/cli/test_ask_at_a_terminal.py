"""--ask on a real terminal: questions are asked, answers are taken, nothing is lost."""

from __future__ import annotations

import json
import os
import select
import sys
import time
import tomllib
from pathlib import Path

import pytest

from simview.cli.app import run

pty = pytest.importorskip("pty", reason="pseudo-terminals are a thing of Unix")

PATIENCE_S = 60.0


def conversation(words: list[str], answers: list[str], folder: Path) -> tuple[int, str]:
    """Run the program on a terminal of its own; give one answer to each question."""
    place = [sys.executable, "-m", "simview", *words]
    child, terminal = pty.fork()
    if child == 0:  # pragma: no cover - another process
        os.chdir(folder)
        os.execve(place[0], place, {**os.environ, "LANG": "C.UTF-8", "TERM": "dumb"})
    told = b""
    left = list(answers)
    until = time.monotonic() + PATIENCE_S
    try:
        while time.monotonic() < until:
            ready, _, _ = select.select([terminal], [], [], 0.5)
            if not ready:
                continue
            try:
                got = os.read(terminal, 4096)
            except OSError:  # the program has closed its end
                break
            if not got:
                break
            told += got
            # A question ends with its default in brackets and a colon.
            if left and told.rstrip(b"\x1b[K ").endswith(b"]:"):
                os.write(terminal, f"{left.pop(0)}\n".encode())
                told += b"\n"
    finally:
        os.close(terminal)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status), told.decode("utf-8", "replace")


def test_doubtful_values_are_asked_and_the_answers_are_judged_and_kept(tmp_path: Path) -> None:
    advert = tmp_path / "advert.txt"
    advert.write_text("70mm 400mm travel set, eyepieces 10mm 25mm, 60 EUR", encoding="utf-8")
    answers = ["80", "much too long", "500"]  # the second cannot be taken, and is asked again
    code, told = conversation(["vet", "advert.txt", "--ask", "--quiet"], answers, tmp_path)
    assert code == 0, told
    assert "aperture, mm" in told
    assert "much too long" in told
    kept = tomllib.loads((tmp_path / "advert-checked.toml").read_text(encoding="utf-8"))
    assert kept["offer"]["aperture_mm"] == 80.0
    assert kept["offer"]["focal_length_mm"] == 500.0
    assert advert.read_text(encoding="utf-8").startswith("70mm 400mm")
    assert "80 mm" in told.split("What the offer says")[1]


def test_entering_nothing_confirms_and_a_stroke_takes_away(tmp_path: Path) -> None:
    words = ["vet", "70mm 400mm travel set, eyepieces 10mm 25mm, 60 EUR", "--ask", "--quiet"]
    code, told = conversation(words, ["", "-"], tmp_path)
    assert code == 0, told
    kept = tomllib.loads((tmp_path / "offer-checked.toml").read_text(encoding="utf-8"))
    assert kept["offer"]["aperture_mm"] == 70.0
    assert kept["offer"]["unsaid"] == ["focal_length_mm"]


def test_kept_answers_are_used_the_next_time_and_that_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    advert = tmp_path / "advert.txt"
    advert.write_text("70mm 400mm travel set, eyepieces 10mm 25mm, 60 EUR", encoding="utf-8")
    code, told = conversation(["vet", "advert.txt", "--ask", "--quiet"], ["80", "500"], tmp_path)
    assert code == 0, told
    assert run(["vet", str(advert), "--json"]) == 0
    out = capsys.readouterr()
    assert json.loads(out.out)["understood"]["aperture_mm"] == 80.0
    assert "advert-checked.toml are used" in out.err
    # In a folder they stand in the advert's place, once.
    assert run(["vet", str(tmp_path), "--json"]) == 0
    offers = json.loads(capsys.readouterr().out)["offers"]
    assert [one["understood"]["aperture_mm"] for one in offers] == [80.0]
