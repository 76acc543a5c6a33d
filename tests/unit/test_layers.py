"""Arrows point one way: each room imports only what the light met before it.

Read from the imports themselves, those inside functions included.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import simview

PACKAGE = Path(simview.__file__).parent

# From the bottom up: a module may import its own layer's and those below.
LAYERS = (
    ("errors",),
    ("units", "wording", "textfile"),
    ("kit", "table"),
    ("kitfile", "demo"),
    ("scene",),
    ("air",),
    ("telescope",),
    ("eyepiece",),
    ("eye",),
    ("view",),
    ("picture",),
    ("advice",),
    ("cli",),
    ("__main__",),
)
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}

# Arrows that point up, inside a function each, said so where they stand: a telescope answers for
# its colour, a view prints itself.
EXCEPTIONS = {("kit", "telescope"), ("view", "picture")}

# What must not load with a module, since it costs 0.3 s or more to start; inside a function it may.
HEAVY = ("poppy", "astropy", "matplotlib", "scipy.signal", "galsim", "hcipy", "colour")

MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")


def name(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute here"
            yield node.module or ""
            yield from (f"{node.module}.{each.name}" for each in node.names)


def rooms_imported(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    parts = (each.split(".") for each in imports(tree))
    return {each[1] for each in parts if each[0] == "simview" and len(each) > 1} & set(RANK)


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_module_imports_only_rooms_that_light_met_before(path: Path) -> None:
    own = room(path)
    assert own in RANK, "give the new room its place in LAYERS"
    for other in rooms_imported(path):
        assert RANK[other] <= RANK[own] or (own, other) in EXCEPTIONS, f"{own} imports {other}"


def test_exceptions_are_still_needed() -> None:
    found = {(room(path), other) for path in MODULES for other in rooms_imported(path)}
    assert found >= EXCEPTIONS


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_heavy_libraries_load_only_inside_functions(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    top = ast.Module(
        body=[node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)],
        type_ignores=[],
    )
    for imported in imports(top):
        assert not any(f"{imported}.".startswith(f"{heavy}.") for heavy in HEAVY), imported


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_module_fits_in_the_head(path: Path) -> None:
    # About 400 lines; half as much again would be two modules.
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 500


def test_importing_the_package_loads_no_numerics() -> None:
    code = "import sys, simview; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"numpy", "scipy", "PIL", "pydantic", "typer"}


@pytest.mark.parametrize("public", simview.__all__)
def test_every_public_name_can_be_had(public: str) -> None:
    assert getattr(simview, public).__doc__
