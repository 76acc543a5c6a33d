"""Change one thing at a time in the rooms that decide, and see whether any test minds.

By hand, and long: ``python tests/mutants/run.py eye --count 30 --seed 1`` in a clone of its own,
since it writes into the files it changes, with cosmic-ray installed beside the test extra. It
draws changes at random (operators, comparisons, numbers, conditions), runs the tests that hold the
room, the nearest first, and prints each change that all of them let pass.
"""

from __future__ import annotations

import argparse
import ast
import random
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import parso  # noqa: F401 (cosmic-ray's operators fail to load where it is not there before them)
from cosmic_ray.ast import get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

HOME = Path(__file__).parents[2]

# The files of each room, and what holds them: the room's own tests first.
ROOMS: dict[str, tuple[str, list[str]]] = {
    "eye": ("simview/eye/*.py", ["tests/unit/eye", "tests/truth/test_eye*", "tests/property"]),
    "air": (
        "simview/air/*.py",
        ["tests/unit/air", "tests/property/test_*air*", "tests/truth/test_[emrsfgh]*"],
    ),
    "power": (
        "simview/power/*.py",
        [
            "tests/unit/power",
            "tests/property/test_power*",
            "tests/truth/test_[dfpt]*",
            "tests/cli/test_detail*",
        ],
    ),
    "telescope": (
        "simview/telescope/*.py",
        ["tests/unit/telescope", "tests/property", "tests/truth/test_[abdempst]*"],
    ),
    "advice": (
        "simview/advice/rules/*.py",
        ["tests/unit/advice/test_rules*", "tests/unit/advice", "tests/truth/test_trade*"],
    ),
}

# Changes that are no mistake anyone would make, or that change nothing that can be seen; and the
# operators of bits, which raise at once for a float: any test that runs the line would catch them.
DULL = (
    *("NoOp", "RemoveDecorator", "ExceptionReplacer", "VariableInserter", "VariableReplacer"),
    *("BitAnd", "BitOr", "BitXor", "LShift", "RShift", "Invert"),
)

Change = tuple[Path, str, int, int]


def changes(pattern: str) -> Iterator[Change]:
    """Give every change that can be made: file, operator, which of its places, line."""
    for path in sorted(HOME.glob(pattern)):
        still = quiet_lines(path.read_text("utf-8"))
        tree = get_ast(path.read_text("utf-8"))
        for name in operator_names():
            if any(word in name for word in DULL):
                continue
            operator = get_operator(name)()
            for place, line in enumerate(places(tree, operator)):
                if line not in still:
                    yield path, name, place, line


def places(node: object, operator: object) -> Iterator[int]:
    """Give the line of each place where an operator changes something, in its own order."""
    for start, _end in operator.mutation_positions(node):  # type: ignore[attr-defined]
        yield start[0]
    for child in getattr(node, "children", ()):
        yield from places(child, operator)


def quiet_lines(source: str) -> set[int]:
    """Return the lines that only declare: annotations, imports, docstrings, what is raised."""
    quiet: set[int] = set()
    for node in ast.walk(ast.parse(source)):
        held: list[ast.AST] = []
        if isinstance(node, ast.FunctionDef):
            held = [part for part in (node.args, node.returns) if part is not None]
            if node.body:
                quiet.update(range(node.lineno, node.body[0].lineno))
        elif isinstance(node, ast.Import | ast.ImportFrom | ast.Raise) or (
            isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        ):
            held = [node]
        for part in held:
            if hasattr(part, "lineno"):
                quiet.update(range(part.lineno, (part.end_lineno or part.lineno) + 1))
    return quiet


def minded(tests: list[str], seconds: float) -> bool:
    """Run the tests, the first group first; return whether any fails."""
    for group in tests:
        files = sorted(str(path) for path in HOME.glob(group))
        if not files:
            raise SystemExit(f"no tests at {group}")
        words = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
        try:
            done = subprocess.run(
                [*words, *files], cwd=HOME, capture_output=True, timeout=seconds, check=False
            )
        except subprocess.TimeoutExpired:
            return True
        if done.returncode not in (0, 5):
            return True
    return False


def main() -> None:
    """Draw, change, test, put back; tell the survivors and the share that was caught."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("room", choices=ROOMS)
    asked.add_argument("--count", type=int, default=30)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--seconds", type=float, default=400.0)
    given = asked.parse_args()
    pattern, tests = ROOMS[given.room]
    if minded(tests, given.seconds):
        raise SystemExit("the tests fail before anything is changed")
    drawn = random.Random(given.seed).sample(list(changes(pattern)), given.count)
    caught = 0
    for number, (path, name, place, line) in enumerate(drawn, 1):
        before = path.read_text("utf-8")
        after = mutate_code(before, get_operator(name)(), place)
        if not after or after == before:
            continue
        path.write_text(after, "utf-8")
        try:
            found = minded(tests, given.seconds)
        finally:
            path.write_text(before, "utf-8")
        caught += found
        where = f"{path.relative_to(HOME)}:{line}"
        print(f"{number:3} {'caught' if found else 'ALIVE '} {where} {name}", flush=True)
        if not found:
            old, new = before.splitlines(), after.splitlines()
            print(f"      - {old[line - 1].strip()}\n      + {new[line - 1].strip()}", flush=True)
    print(f"{given.room}: {caught} of {given.count} caught", flush=True)


if __name__ == "__main__":
    main()
