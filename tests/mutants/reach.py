"""Which tests run which functions of the program: a change is shown to those that may mind it.

By hand: ``python tests/mutants/reach.py`` runs the test files of `KINDS` one by one, each in a copy
of one loaded process, notes which functions each test called and what it took of the processor,
and writes ``reach.json`` beside this script. Words limit it to the test files that hold one,
and leave the rest of what was written as it stands. ``run.py`` picks its tests by it.

A value that an earlier test left in a cache is not noted for a later one; so `run.py` also shows a
change to the other tests of the same files.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest
from made import HOME, PYTEST

STORE = Path(__file__).with_name("reach.json")

KINDS = ("tests/unit/**/test_*.py", "tests/truth/test_*.py", "tests/property/test_*.py")

# Folders whose functions are noted.
ROOMS = ("eye", "air", "power", "telescope", "rules", "advice")

# A test that takes longer, in seconds of the processor, is not asked about single changes.
LONGEST = 20.0


class Watch:
    """What pytest calls around each test."""

    def __init__(self) -> None:
        self.found: dict[str, tuple[float, list[str]]] = {}

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: Any) -> Iterator[None]:
        """Note which functions one test calls, its fixtures included."""
        called: set[CodeType] = set()

        def note(frame: FrameType, _event: str, _arg: object) -> None:
            called.add(frame.f_code)

        start = time.process_time()
        threading.settrace(note)
        sys.settrace(note)
        try:
            yield
        finally:
            sys.settrace(None)
            threading.settrace(None)
        took = time.process_time() - start
        self.found[item.nodeid] = (round(took, 2), sorted(names_of(called)))


def names_of(called: set[CodeType]) -> set[str]:
    """Return the program's functions among those called, as ``file::name``."""
    found = set()
    for code in called:
        path = Path(code.co_filename)
        if path.is_relative_to(HOME / "simview") and path.parent.name in ROOMS:
            name = code.co_qualname.split(".<locals>")[0].split(".<lambda>")[0]
            found.add(f"{path.relative_to(HOME)}::{name}")
    return found


def watched(test: Path) -> dict[str, tuple[float, list[str]]]:
    """Run one test file in a copy of this process; return what its tests called."""
    read, write = os.pipe()
    child = os.fork()
    if not child:
        try:
            os.close(read)
            os.chdir(HOME)
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            watch = Watch()
            pytest.main([*PYTEST, str(test)], plugins=[watch])
            with os.fdopen(write, "w") as told:
                json.dump(watch.found, told)
        finally:
            os._exit(0)
    os.close(write)
    with os.fdopen(read) as told:
        words = told.read()
    os.waitpid(child, 0)
    return json.loads(words) if words else {}


@lru_cache(maxsize=1)
def stored() -> dict[str, dict[str, tuple[float, list[str]]]]:
    """Return what was written: of each test file each test's seconds and what it called."""
    return json.loads(STORE.read_text("utf-8")) if STORE.exists() else {}


def main() -> None:
    """Watch the test files, and write after each what is known."""
    known = stored()
    words = sys.argv[1:]
    for test in sorted({path for kind in KINDS for path in HOME.glob(kind)}):
        name = str(test.relative_to(HOME))
        if words and not any(word in name for word in words):
            continue
        known[name] = watched(test)
        total = sum(took for took, _ in known[name].values())
        print(f"{total:7.1f} s  {len(known[name]):4} tests  {name}", flush=True)
        STORE.write_text(json.dumps(known), "utf-8")


if __name__ == "__main__":
    main()
