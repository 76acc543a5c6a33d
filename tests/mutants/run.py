"""Change one thing at a time in the rooms that decide, and see whether any test minds.

By hand, and long: ``python tests/mutants/run.py eye --count 25 --seed 1`` in a clone of its own,
since it writes into the files it changes, with cosmic-ray installed beside the test extra. It
draws changes at random (operators, comparisons, numbers, conditions), runs the tests that are
nearest to the changed file for some seconds, and prints each change that all of them let pass.
With ``--constants`` only the named constants change, by a quarter each: of 120 the change to 121,
which is drawn otherwise, is one that nobody would notice.
"""

from __future__ import annotations

import argparse
import ast
import random
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import parso  # noqa: F401 (cosmic-ray's operators fail to load where it is not there before them)
from cosmic_ray.ast import get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names
from made import HOME, RAN_OUT, fails, instead

# The files of each room.
ROOMS = {
    "eye": "simview/eye/*.py",
    "air": "simview/air/*.py",
    "power": "simview/power/*.py",
    "telescope": "simview/telescope/*.py",
    "advice": "simview/advice/rules/*.py",
}

# Tests that may mind, beside the room's own of `unit/`.
EVERYWHERE = ("tests/truth/test_*.py", "tests/property/test_*.py", "tests/unit/*/test_*.py")

# Changes that are no mistake anyone would make, or that change nothing that can be seen; and the
# operators of bits, which raise at once for a float: any test that runs the line would catch them.
DULL = (
    *("NoOp", "RemoveDecorator", "ExceptionReplacer", "VariableInserter", "VariableReplacer"),
    *("BitAnd", "BitOr", "BitXor", "LShift", "RShift", "Invert"),
)

# Through which the tests of the rules ask them.
BOOK = "simview.advice.rules.book"

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


def constants(pattern: str) -> Iterator[tuple[Path, int, str]]:
    """Give every named constant's numbers, each larger by a quarter: file, line, text."""
    for path in sorted(HOME.glob(pattern)):
        source = path.read_text("utf-8")
        for node in ast.parse(source).body:
            if not (isinstance(node, ast.AnnAssign) and "Final" in ast.unparse(node.annotation)):
                continue
            for part in ast.walk(node.value) if node.value else ():
                if isinstance(part, ast.Constant) and type(part.value) in (int, float):
                    yield path, part.lineno, larger(source, part)


def larger(source: str, part: ast.Constant) -> str:
    """Return a source with one of its numbers larger by a quarter, a whole one by 1 at least."""
    value = part.value
    assert isinstance(value, int | float)
    more = value + max(1, value // 4) if isinstance(value, int) else 1.25 * value or 0.25
    lines = source.encode().splitlines(keepends=True)
    line = lines[part.lineno - 1]
    lines[part.lineno - 1] = b"".join(
        (line[: part.col_offset], repr(more).encode(), line[part.end_col_offset :])
    )
    return b"".join(lines).decode()


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


@lru_cache(maxsize=1)
def imports() -> dict[Path, set[str]]:
    """Return which modules of the program each of its files and each test imports."""
    found = {}
    for pattern in ("simview/**/*.py", *EVERYWHERE):
        for path in HOME.glob(pattern):
            held: set[str] = set()
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.ImportFrom) and node.module:
                    held |= {node.module, *(f"{node.module}.{one.name}" for one in node.names)}
                elif isinstance(node, ast.Import):
                    held |= {one.name for one in node.names}
            found[path] = held
    return found


def name_of(path: Path) -> str:
    """Return a file's name as a module."""
    return ".".join(path.relative_to(HOME).with_suffix("").parts)


def nearest(path: Path) -> list[Path]:
    """Return test files in order: those that import a module, the room's, and users' users."""
    name = name_of(path)
    users = {name_of(one) for one, held in imports().items() if name in held}
    tests = [one for one in imports() if one.is_relative_to(HOME / "tests")]

    def far(test: Path) -> int:
        held = imports()[test]
        if name in held and path.stem in test.stem:
            return -1
        # The rules are asked through their book.
        if name in held or ("rules" in path.parts and BOOK in held):
            return 0
        if test.parent.name == path.parent.name:
            return 1
        return 2 if held & users else 3

    # Quick ones first: those of the room itself, then the shorter files.
    ranked = sorted(
        (far(test), "unit" not in str(test), test.stat().st_size, test) for test in tests
    )
    return [test for rank, _, _, test in ranked if rank < 3]


def drawn_from(given: argparse.Namespace) -> Iterator[tuple[Path, int, str, str]]:
    """Give what is changed, drawn at random: file, line, kind, new text."""
    pattern, draw = ROOMS[given.room], random.Random(given.seed)
    if given.constants:
        every = list(constants(pattern))
        for path, line, after in draw.sample(every, min(given.count, len(every))):
            yield path, line, "constant", after
        return
    for path, name, place, line in draw.sample(list(changes(pattern)), given.count):
        before = path.read_text("utf-8")
        after = mutate_code(before, get_operator(name)(), place)
        if after and after != before:
            yield path, line, name, after


def main() -> None:
    """Draw, change, test, put back; tell the survivors and the share that was caught."""
    asked = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    asked.add_argument("room", choices=ROOMS)
    asked.add_argument("--count", type=int, default=25)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument(
        "--seconds", type=float, default=40.0, help="of the processor, for each change"
    )
    asked.add_argument("--constants", action="store_true", help="named constants, by a quarter")
    given = asked.parse_args()
    made = caught = 0
    for number, (path, line, name, after) in enumerate(drawn_from(given), 1):
        before = path.read_text("utf-8")
        tests = [str(test.relative_to(HOME)) for test in nearest(path)]
        with instead(path, after):
            # The nearest few first: to load many costs more than to run them.
            found = fails(tests[:3], seconds=given.seconds / 2.0)
            if found in ("", RAN_OUT):
                found = fails(tests[3:10], seconds=given.seconds / 2.0)
        # A change that lets the program run on for ever counts as let pass: it may be a slow test.
        found = "" if found == RAN_OUT else found
        made += 1
        caught += found != ""
        where = f"{path.relative_to(HOME)}:{line}"
        print(f"{number:3} {'caught' if found else 'ALIVE '} {where} {name} {found}", flush=True)
        if not found:
            old, new = before.splitlines(), after.splitlines()
            first = next(
                k for k, pair in enumerate(zip(old, new, strict=False)) if len(set(pair)) > 1
            )
            print(f"      - {old[first].strip()}\n      + {new[first].strip()}", flush=True)
    print(f"{given.room}: {caught} of {made} caught (seed {given.seed})", flush=True)


if __name__ == "__main__":
    main()
