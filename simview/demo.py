"""The demo scenario's files: found in an installed package and in a checkout alike."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from simview.errors import ChoiceError, FileError, nearest

# Written before a kit's name, this means the demo's own: "demo:tabletop-150".
PREFIX: Final = "demo:"

_PACKAGE: Final = Path(__file__).parent


def folder() -> Path:
    """Return the folder of the demo's files.

    Raises
    ------
    FileError
        If the installation lacks it.
    """
    # The wheel carries the folder inside the package; a checkout has it beside the package.
    for place in (_PACKAGE / "assets_demo", _PACKAGE.parent / "assets_demo"):
        if (place / "README.txt").is_file():
            return place
    raise FileError(
        "the demo's files are missing", remedy="install simview again", where=str(_PACKAGE)
    )


def asset(name: str) -> Path:
    """Return the path of one of the demo's files, such as ``"kits/tabletop-150.toml"``.

    Raises
    ------
    ChoiceError
        If there is none of that name; offers the nearest.
    """
    known = assets()
    if name not in known:
        near = nearest(name, known)
        raise ChoiceError(
            "demo file",
            got=name,
            allowed=", ".join(known),
            remedy=f"did you mean {near!r}?" if near else "",
        )
    return folder() / name


def assets() -> list[str]:
    """Return the names of all of the demo's files, sorted, with forward slashes."""
    home = folder()
    return sorted(path.relative_to(home).as_posix() for path in home.rglob("*") if path.is_file())


def kit_names() -> list[str]:
    """Return the names of the demo's kits, for use after ``demo:``."""
    return [Path(name).stem for name in assets() if name.startswith("kits/")]


def kit_path(word: str) -> Path:
    """Return the path that a word for a kit means: a file's name, or ``demo:`` and a name.

    Raises
    ------
    ChoiceError
        For a demo kit that there is not; offers the nearest.
    """
    if not word.startswith(PREFIX):
        return Path(word)
    name = word.removeprefix(PREFIX)
    known = kit_names()
    if name not in known:
        near = next((each for each in known if each.startswith(name)), nearest(name, known))
        raise ChoiceError(
            "demo kit",
            got=name,
            allowed=", ".join(known),
            remedy=f"did you mean {PREFIX}{near}?" if near else "",
        )
    return asset(f"kits/{name}.toml")
