"""A module's name says what is in it, and stands once.

Three names stand in several rooms, because the rooms are built alike; a command's file is called
as the command is typed. Everything else has a name of its own, so that a search finds one file.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import simview

PACKAGE = Path(simview.__file__).parent
GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"

# Name -> what a module of that name holds, in whichever room it stands.
HOUSE_PATTERN = {
    "records": "the frozen records that a room hands on",
    "words": "what a room's sheets say, apart from how they are drawn",
    "again": "from a recipe to what it was made from",
}


def modules():
    """All modules but the maps of folders and the commands, which are called as one types them."""
    commands = PACKAGE / "cli" / "commands"
    return [
        path
        for path in PACKAGE.rglob("*.py")
        if path.name != "__init__.py" and path.parent != commands
    ]


def test_module_names_stand_once_but_for_the_pattern_of_the_house():
    count = Counter(path.stem for path in modules())
    assert {name for name, times in count.items() if times > 1} == set(HOUSE_PATTERN)


def test_developers_are_told_which_names_come_again():
    told = " ".join(GUIDE.read_text(encoding="utf-8").split())
    for name, holds in HOUSE_PATTERN.items():
        assert f"`{name}.py` ({holds})" in told, name
