"""Change one thing at a time in the rooms that decide, and see whether any test minds.

By hand, and long: ``python tests/mutants/run.py eye --count 25 --seed 1`` in a clone of its own,
since it writes into the files it changes, with cosmic-ray installed beside the test extra. It
draws changes at random (operators, comparisons, numbers, conditions), runs the tests that call the
changed function (`reach.py` has noted which, and comes first), and prints each change that all of
them let pass.
With ``--constants`` only the named constants change, by a quarter each: of 120 the change to 121,
which is drawn otherwise, is one that nobody would notice.
"""

from __future__ import annotations

import argparse
import ast
import random
import re
from collections.abc import Iterator
from pathlib import Path

import parso  # noqa: F401 (cosmic-ray's operators fail to load where it is not there before them)
import reach
from cosmic_ray.ast import get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names
from made import HOME, fails, instead, preload

# The files of each room.
ROOMS = {
    "eye": "simview/eye/*.py",
    "air": "simview/air/*.py",
    "power": "simview/power/*.py",
    "telescope": "simview/telescope/*.py",
    "advice": "simview/advice/rules/*.py",
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


def run_by(path: Path, line: int) -> set[str]:
    """Return the functions, as `reach` names them, through which a line of a file is asked.

    The one that holds it, its class with it; of what stands outside of all, those that name what is
    set there; and all of the file where none is found.
    """
    source = path.read_text("utf-8")
    file = str(path.relative_to(HOME))
    every = {
        name for known in reach.stored().values() for _, held in known.values() for name in held
    }
    for node in ast.parse(source).body:
        if not node.lineno <= line <= (node.end_lineno or node.lineno):
            continue
        if isinstance(node, ast.FunctionDef):
            return {f"{file}::{node.name}"} & every or _all_of(file, every)
        if isinstance(node, ast.ClassDef):
            held = {one for one in every if one.startswith(f"{file}::{node.name}")}
            for part in node.body:
                inside = part.lineno <= line <= (part.end_lineno or part.lineno)
                if isinstance(part, ast.FunctionDef) and inside:
                    return {f"{file}::{node.name}.{part.name}"} & every or held
            return held
        names = {one.id for one in ast.walk(node) if isinstance(one, ast.Name)}
        return _users(names & _set_by(node), every) or _all_of(file, every)
    return _all_of(file, every)


def set_at(path: Path, line: int) -> set[str]:
    """Return the names that a statement outside of all functions and classes sets on a line."""
    for node in ast.parse(path.read_text("utf-8")).body:
        if node.lineno <= line <= (node.end_lineno or node.lineno):
            return _set_by(node)
    return set()


def _all_of(file: str, every: set[str]) -> set[str]:
    return {one for one in every if one.startswith(f"{file}::")}


def _set_by(node: ast.stmt) -> set[str]:
    """Return the names that a statement sets."""
    aims = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
    return {one.id for aim in aims if aim for one in ast.walk(aim) if isinstance(one, ast.Name)}


def _users(names: set[str], every: set[str]) -> set[str]:
    """Return the functions whose text holds one of these names, in any file."""
    word = re.compile(r"\b(" + "|".join(map(re.escape, names or {"-"})) + r")\b")
    found = set()
    for file in {one.split("::")[0] for one in every}:
        text = (HOME / file).read_text("utf-8") if (HOME / file).exists() else ""
        if not word.search(text):
            continue
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef) and word.search(
                ast.get_source_segment(text, node) or ""
            ):
                found |= {
                    one
                    for one in every
                    if one.startswith(f"{file}::")
                    and one.split("::")[1].split(".")[-1] == node.name
                }
    return found


def asked(path: Path, line: int, seconds: float) -> Iterator[tuple[list[str], float]]:
    """Give lots of tests that may mind a change in a line, the likeliest first, and their seconds.

    First the quick ones that run the changed function, of files that bear its file's name or its
    room's; then the others that run it, the quick ones before the slow, and those that name what is
    set there, until `seconds` are spent; at last the rest of the files whose tests run it, since
    those may have had the function's answers from a cache.
    """
    functions, names = run_by(path, line), set_at(path, line)
    ranked: list[tuple[int, float, str]] = []
    for file, tests in reach.stored().items():
        hits = {test for test, (_, held) in tests.items() if functions & set(held)}
        own = path.stem in Path(file).stem or Path(file).parent.name == path.parent.name
        there = HOME / file
        text = there.read_text("utf-8") if names and there.exists() else ""
        named = any(name in text for name in names)
        for test, (took, _) in tests.items():
            if test in hits and took <= reach.LONGEST:
                ranked.append((0 if own and took < 0.5 else 1 if took < 1.0 else 2, took, test))
            elif (hits or named) and took < 1.0:
                ranked.append((1 if named else 3, took, test))
    lots: dict[int, list[tuple[float, str]]] = {}
    spent = 0.0
    for rank, took, test in sorted(ranked):
        spent += took + 0.01
        if spent > seconds:
            break
        lots.setdefault(rank, []).append((took, test))
    for lot in lots.values():
        # Tests of one file together, so that it is loaded once.
        yield sorted(test for _, test in lot), sum(took for took, _ in lot)


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


def in_a_function(path: Path, line: int) -> bool:
    """Tell whether a line of a file stands within a function's body."""
    return any(
        isinstance(node, ast.FunctionDef) and node.body[0].lineno <= line <= (node.end_lineno or 0)
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
    )


def minded(path: Path, line: int, seconds: float) -> str:
    """Return which test minds the change that stands in a file now; "" for none."""
    within = path if in_a_function(path, line) else None
    for tests, usual in asked(path, line, seconds):
        found = fails(tests, seconds=4.0 * usual + 20.0, within=within)
        if found:
            return found
    return ""


def main() -> None:
    """Draw, change, test, put back; tell the survivors and the share that was caught."""
    words = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    words.add_argument("room", choices=ROOMS)
    words.add_argument("--count", type=int, default=25)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--seconds", type=float, default=60.0, help="of tests, for each change")
    words.add_argument("--constants", action="store_true", help="named constants, by a quarter")
    given = words.parse_args()
    preload()
    made = caught = 0
    for number, (path, line, name, after) in enumerate(drawn_from(given), 1):
        before = path.read_text("utf-8")
        with instead(path, after):
            found = minded(path, line, given.seconds)
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
