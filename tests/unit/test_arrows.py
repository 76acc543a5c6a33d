"""The rooms import one another in one direction only, and each tells truly what stands in it.

cli -> advice, picture -> view -> power -> eye -> eyepiece -> telescope -> air -> scene -> kit
-> units, errors. Read from the source text, so that an import inside a function counts as well.

A module's name says what is in it and stands once, so that a search finds one file. A few names
stand in several rooms, because the rooms are built alike; a command's file is called as the
command is typed.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import simview

PACKAGE = Path(simview.__file__).parent

# From what stands on nothing to what stands on everything. A room may import its own level's
# own modules and everything lower; rooms of one level do not know each other.
LEVELS = [
    {"clibrary"},
    {
        "banded",
        "bessel",
        "errors",
        "heap",
        "interrupts",
        "late",
        "quantiles",
        "srgb",
        "terminal",
        "transforms",
        "units",
        "unused",
    },
    {"budget", "executor"},
    {"cells", "fitting", "memory", "record", "textfile", "wording"},
    {"table"},
    {"glass", "equipment"},
    {"kit"},
    {"kitfile", "demo", "starters"},
    {"kitword"},
    {"scene"},
    {"air"},
    {"telescope"},
    {"eyepiece"},
    {"eye"},
    {"power"},
    {"view"},
    {"glide"},
    {"picture"},
    {"advice", "diagnosis"},
    {"door"},
    {"live", "talk"},
    {"cli"},
    {"__main__"},
]
LEVEL_OF = {room: number for number, rooms in enumerate(LEVELS) for room in rooms}

# Libraries that load slowly: only inside the functions that need them.
SLOW = {
    "poppy",
    "astropy",
    "pptx",
    "av",
    "matplotlib",
    "scipy.signal",
    "hcipy",
    "colour",
}

# Name -> what a module of that name holds, in whichever room it stands.
HOUSE_PATTERN = {
    "records": "the frozen records that a room hands on",
    "words": "what a room's sheets say, apart from how they are drawn",
    "again": "from a recipe to what it was made from",
}
COMMANDS = PACKAGE / "cli" / "commands"
GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"

# The package's own list of names has a test to itself.
SOURCES = sorted(set(PACKAGE.rglob("*.py")) - {PACKAGE / "__init__.py"})


def room_of(path: Path) -> str:
    """First step below the package: a folder's name or a module's."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(tree: ast.AST, package: str) -> list[tuple[str, int]]:
    """Full dotted names of all that a module imports, wherever the import stands."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, node.lineno) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parts = package.split(".")
                base = ".".join([*parts[: len(parts) - node.level + 1], *([base] if base else [])])
            # "from simview import air" imports a room as well as "from simview.air import x".
            found += [(f"{base}.{alias.name}", node.lineno) for alias in node.names]
    return found


def package_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1])


def room_named(name: str) -> str | None:
    """Room that a dotted name belongs to, or None for a name of the package itself."""
    parts = name.split(".")
    if parts[0] != "simview" or len(parts) < 2:
        return None
    return parts[1] if parts[1] in LEVEL_OF else None


def wrong_arrows(path: Path, source: str) -> list[str]:
    """Sentences about the imports of one module that point the wrong way."""
    room = room_of(path)
    answer = []
    for name, line in imports(ast.parse(source), package_of(path)):
        other = room_named(name)
        if other is None or other == room:
            continue
        if LEVEL_OF[other] >= LEVEL_OF[room]:
            answer.append(f"{path.relative_to(PACKAGE)}:{line} ({room}) imports {name} ({other})")
    return answer


def test_every_room_has_its_place_in_the_order():
    assert {room_of(path) for path in SOURCES} == set(LEVEL_OF)


def test_modules_import_only_rooms_that_the_light_has_passed():
    assert [w for path in SOURCES for w in wrong_arrows(path, path.read_text("utf-8"))] == []


def test_package_itself_imports_no_room_when_it_loads():
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    # What stands under "if TYPE_CHECKING" is for type checkers and never runs.
    running = [node for node in tree.body if not isinstance(node, ast.If)]
    names = [name for node in running for name, _ in imports(node, "simview")]
    assert [name for name in names if name.startswith("simview")] == []


def test_no_modules_import_one_another_in_a_circle():
    """Function-level imports and those of one room included."""
    named = {
        ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts): path for path in SOURCES
    }
    named = {name.removesuffix(".__init__"): path for name, path in named.items()}
    arrows = {
        name: {
            other
            for found, _ in imports(ast.parse(path.read_text(encoding="utf-8")), package_of(path))
            for other in (found, found.rpartition(".")[0])
            if other in named and other != name
        }
        for name, path in named.items()
    }
    # A circle raises CycleError, which names the modules in it.
    order = list(TopologicalSorter(arrows).static_order())
    assert set(order) == set(named)


def test_modules_load_no_slow_library_before_it_is_needed():
    slow = [
        f"{path.relative_to(PACKAGE)}: {name}"
        for path in SOURCES
        for name in at_once(path)
        if any((name + ".").startswith(lib + ".") for lib in SLOW)
    ]
    assert slow == []


def test_module_names_stand_once_but_for_the_pattern_of_the_house():
    own = [path for path in SOURCES if path.name != "__init__.py" and path.parent != COMMANDS]
    count = Counter(path.stem for path in own)
    assert {name for name, times in count.items() if times > 1} == set(HOUSE_PATTERN)


def test_guide_for_developers_says_which_names_come_again():
    told = " ".join(GUIDE.read_text(encoding="utf-8").split())
    for name, holds in HOUSE_PATTERN.items():
        assert f"`{name}.py` ({holds})" in told, name


MAPS = sorted({path.parent for path in SOURCES if path.name == "__init__.py"} - {COMMANDS})


def test_map_of_a_folder_names_every_module_and_no_other():
    wrong = []
    for folder in MAPS:
        said = ast.get_docstring(ast.parse((folder / "__init__.py").read_text(encoding="utf-8")))
        files = set(re.findall(r"[a-z_]+(?=\.py)", said))
        names = files | set(re.findall(r"(?<=`)[a-z_]+(?=`)", said))
        own = {path.stem for path in folder.glob("*.py")} - {"__init__"}
        elsewhere = {path.stem for path in folder.rglob("*.py")}
        place = folder.relative_to(PACKAGE.parent)
        wrong += [f"{place}: {name} is not on the map" for name in own - names]
        wrong += [f"{place}: {name} is not there" for name in files - own - elsewhere]
    assert wrong == []


# From so many arguments on, a function tells of them in a section of its own.
MANY = 5


def functions():
    """Functions with many arguments that other modules may call, and where they stand."""
    for path in SOURCES:
        # A command's options tell what they are in its help.
        if path.parent == COMMANDS or "data" in path.parts:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            given += [each for each in (node.args.vararg, node.args.kwarg) if each]
            names = [each.arg for each in given if each.arg not in ("self", "cls")]
            if len(names) >= MANY:
                place = f"{path.relative_to(PACKAGE)}:{node.lineno} {node.name}"
                yield place, names, ast.get_docstring(node) or ""


def test_functions_with_many_arguments_tell_of_them_and_of_no_other():
    wrong = []
    for place, names, said in functions():
        heads = re.search(r"^Parameters\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", said, re.M | re.S)
        if heads is None:
            wrong.append(f"{place} has no Parameters section")
            continue
        lines = [line for line in heads[1].splitlines() if line and not line.startswith(" ")]
        told = {name.strip(" *") for line in lines for name in line.partition(":")[0].split(",")}
        wrong += [f"{place} has no argument {name}" for name in told - set(names)]
    assert wrong == []


def test_sources_stand_outside_the_sections_on_arguments_and_errors():
    # Where they follow such a section without a heading, the reference prints them as a part of it.
    swallowed = [
        f"{path.relative_to(PACKAGE)}:{node.lineno} {node.name}"
        for path in SOURCES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and re.search(
            r"^(Parameters|Returns|Yields|Raises)\n-+\n(?:(?!^\w[^\n]*\n-+\n)[^\n]*\n)*?"
            r"(Source|Checked by):",
            ast.get_docstring(node) or "",
            re.M,
        )
    ]
    assert swallowed == []


def at_once(path):
    """Full names of what a module imports when it is loaded itself."""
    return [
        name
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name, _ in imports(node, package_of(path))
    ]


@pytest.mark.parametrize(
    ("room", "source", "wrong"),
    [
        ("air", "from simview.telescope.spread import PointSpread", True),
        ("air", "def f():\n    from simview.eye import retina", True),
        ("air", "from simview import view", True),
        ("air", "import simview.picture.drawing.sheet", True),
        ("picture", "from simview.advice import rules", True),
        ("eyepiece", "from simview.telescope.mount import drift_rate_arcsec_s", False),
        ("air", "from simview.kit import Sky", False),
        ("air", "from . import seeing", False),
        ("air", "from ..eye import retina", True),
        ("kit", "def f():\n    from simview.telescope.colour_focus import shifts_mm", True),
        ("kit", "from simview.glass import index", False),
        ("view", "def f():\n    from simview.picture.views.compose import picture_of", True),
        ("kit", "from simview.telescope.spread import point_spread", True),
    ],
)
def test_checker_tells_right_from_wrong(room, source, wrong):
    path = PACKAGE / (f"{room}.py" if room in ("kit", "view") else f"{room}/anything.py")
    assert bool(wrong_arrows(path, source)) is wrong
