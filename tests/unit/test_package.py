"""The package as its users meet it: light to import, every public name there, modules short."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import simview

PACKAGE = Path(simview.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))


def test_importing_the_package_loads_no_numerics() -> None:
    code = "import sys, simview; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"numpy", "scipy", "PIL", "pydantic", "typer"}


def test_every_public_name_can_be_had_and_explains_itself() -> None:
    assert [name for name in simview.__all__ if not getattr(simview, name).__doc__] == []


def test_unknown_public_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="lok"):
        _ = simview.lok


def test_modules_fit_in_the_head() -> None:
    # About 400 lines with docstrings; half as much again would be two modules.
    lines = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}
    assert {path.relative_to(PACKAGE).as_posix(): n for path, n in lines.items() if n > 500} == {}


def test_each_test_file_has_a_name_of_its_own() -> None:
    # pytest imports them side by side: a second file of a name hides the first, or stops the run.
    names = [path.name for path in Path(__file__).parents[1].rglob("test_*.py")]
    assert sorted(names) == sorted(set(names))
