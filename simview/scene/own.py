"""A user's own targets: a TOML file that names them.

Each ``[[target]]`` has a name, whatever options describe it (``double``, ``ra_deg`` and
``dec_deg``, ``image`` ...), or ``like`` with the name of another target, and may have a title and
``teaches``.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from simview.errors import ChoiceError, SimviewError
from simview.textfile import read_toml

# What a target teaches best, for lists.
TEACHES: Final = (
    "narrow field",
    "empty magnification",
    "faintness",
    "splitting",
    "orientation",
)


def read(file: str | Path) -> dict[str, dict[str, Any]]:
    """Read a file of targets.

    Returns
    -------
    dict
        Options of `simview.scene.targets.target` by each target's own name. Paths of images
        are taken from the file's own folder.

    Raises
    ------
    FileError
        Missing, a folder, too large, or no TOML.
    SimviewError
        No targets in it, a target without a name, or a name twice.
    """
    path = Path(file).expanduser()
    told = read_toml(path, what="targets file")
    rows = told.get("target")
    if not isinstance(rows, list) or not rows:
        raise SimviewError(
            "targets", got="none", allowed="tables named [[target]]", where=str(path)
        )
    extra = [key for key in told if key != "target"]
    if extra:
        raise SimviewError("key", got=extra[0], allowed="tables named [[target]]", where=str(path))
    found: dict[str, dict[str, Any]] = {}
    for row in rows:
        name = row.get("name") if isinstance(row, Mapping) else None
        if not isinstance(name, str) or not name.strip():
            raise SimviewError("target", got="no name", remedy="give it one", where=str(path))
        if name in found:
            raise SimviewError("target", got=f"{name!r} twice", where=str(path))
        found[name] = _options(dict(row), path)
    return found


def _options(row: dict[str, Any], path: Path) -> dict[str, Any]:
    name, teaches = row.pop("name"), row.get("teaches", TEACHES[0])
    where = f"{path}: target {name!r}"
    if teaches not in TEACHES:
        raise ChoiceError("teaches", got=teaches, allowed=", ".join(TEACHES), where=where)
    for key in ("like", "title", "image"):
        if not isinstance(row.get(key, ""), str):
            raise SimviewError(key, got=row[key], allowed="text in quotes", where=where)
    image = row.get("image")
    if isinstance(image, str):
        row["image"] = str(path.parent / Path(image).expanduser())
    return row
