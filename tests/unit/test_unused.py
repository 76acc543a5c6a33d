"""Modules that stand empty until somebody asks for what is in them."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

from simview import unused

NAME = "put_off_for_this_test"
# Loading it takes as long as a second thread needs to come along.
SOURCE = """
import builtins, time
from {name} import __name__ as itself
builtins.{name}.append(itself)
first = 1
time.sleep(0.1)
if len(builtins.{name}) == {fails}:
    raise OSError("the disk refuses")
second = 2
def __getattr__(name):
    return name.upper()
"""


@pytest.fixture
def loaded(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[list[str]]:
    """Put a module off, and note each time that it is loaded."""
    times: list[str] = []
    monkeypatch.setattr("builtins." + NAME, times, raising=False)
    monkeypatch.setattr(unused, "PUT_OFF", {NAME})
    monkeypatch.setattr(sys, "meta_path", list(sys.meta_path))
    monkeypatch.syspath_prepend(tmp_path)
    (tmp_path / f"{NAME}.py").write_text(SOURCE.format(name=NAME, fails=0))
    unused.put_off()
    yield times
    sys.modules.pop(NAME, None)


def test_module_is_loaded_when_something_in_it_is_asked_for(loaded: list[str]) -> None:
    module = import_module(NAME)
    assert import_module(NAME) is module
    assert module.__name__ == NAME
    assert module.__spec__ is not None
    assert loaded == []
    assert module.second == 2
    assert module.anything == "ANYTHING"
    assert type(module) is ModuleType
    assert loaded == [NAME]


def test_threads_that_ask_at_once_find_it_whole_and_loaded_once(loaded: list[str]) -> None:
    module = import_module(NAME)
    together = threading.Barrier(4)

    def ask(_: int) -> int:
        together.wait()
        return int(module.second)

    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(ask, range(4))) == [2] * 4
    assert loaded == [NAME]


def test_what_fails_to_load_is_tried_again(loaded: list[str], tmp_path: Path) -> None:
    (tmp_path / f"{NAME}.py").write_text(SOURCE.format(name=NAME, fails=1))
    module = import_module(NAME)
    with pytest.raises(OSError, match="refuses"):
        _ = module.second
    assert module.second == 2
    assert loaded == [NAME, NAME]


def test_names_taken_out_of_it_are_there(loaded: list[str]) -> None:
    space: dict[str, object] = {}
    exec(f"from {NAME} import second", space)
    assert space["second"] == 2
