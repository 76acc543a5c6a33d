"""What the C library is told about large arrays, and that none is told where none listens."""

from __future__ import annotations

import ctypes
import gc
import sys
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest

from simview import heap


@pytest.fixture(autouse=True)
def _as_before() -> Iterator[None]:
    before = gc.get_threshold()
    yield
    gc.set_threshold(*before)


def told(monkeypatch: pytest.MonkeyPatch, call: Any) -> dict[int, int]:
    heard: dict[int, int] = {}
    library = SimpleNamespace(mallopt=lambda which, value: heard.update({which: value}))
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(ctypes, "CDLL", lambda name: library)
    call()
    return heard


def test_command_keeps_what_the_page_gives_back(monkeypatch: pytest.MonkeyPatch) -> None:
    # M_TRIM_THRESHOLD -1, M_TOP_PAD -2, M_MMAP_THRESHOLD -3: GNU C library, malloc.h.
    kept, given = (told(monkeypatch, call) for call in (heap.keep, heap.hand_back))
    assert set(kept) == {-1, -2, -3}
    assert all(given[which] < kept[which] for which in kept)


def test_command_looks_for_garbage_seldom_and_the_page_as_usual() -> None:
    usual = gc.get_threshold()
    heap.keep()
    assert gc.get_threshold()[0] >= 100 * usual[0]
    heap.hand_back()
    assert gc.get_threshold() == usual


def test_larger_than_older_libraries_take_is_not_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # HEAP_MAX_SIZE / 2 with 8 bytes a word: GNU C library 2.17 to 2.34, malloc.c.
    assert told(monkeypatch, heap.keep)[-3] <= 32 * 1024 * 1024


@pytest.mark.skipif(sys.platform != "linux", reason="asks the C library of Linux")
def test_this_library_takes_it() -> None:
    function = getattr(ctypes.CDLL(None), "mallopt", None)
    if function is not None:
        assert function(-3, 32 << 20) == 1


def test_other_libraries_are_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(ctypes, "CDLL", lambda name: SimpleNamespace())
    heap.keep()
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(ctypes, "CDLL", lambda name: pytest.fail("asked"))
    heap.keep()
