"""The progress bar: silent unless a terminal looks on and the work is long."""

from __future__ import annotations

import io
import sys

import pytest

from simview.cli import progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def shown(patch: pytest.MonkeyPatch, stream: io.StringIO, *, wanted: bool, wait: float) -> str:
    patch.setattr(sys, "stderr", stream)
    patch.setattr(progress, "PATIENCE_S", wait)
    with progress.ProgressBar(wanted=wanted) as bar:
        bar(0.0, "begin [no markup]")
        bar(0.5, "half")
    return stream.getvalue()


def test_bar_shows_on_a_terminal_when_it_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "half" in shown(monkeypatch, Terminal(), wanted=True, wait=0.0)


def test_bar_is_silent_when_the_work_is_short(monkeypatch: pytest.MonkeyPatch) -> None:
    assert shown(monkeypatch, Terminal(), wanted=True, wait=60.0) == ""


def test_bar_is_silent_where_no_terminal_looks_on(monkeypatch: pytest.MonkeyPatch) -> None:
    assert shown(monkeypatch, io.StringIO(), wanted=True, wait=0.0) == ""


def test_bar_is_silent_when_not_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    assert shown(monkeypatch, Terminal(), wanted=False, wait=0.0) == ""
