"""Kit files: TOML to the records of kit.py and back.

A kit file is kit.py written out: every key is a field there, with the same name, unit, default
and range (docs/kit-files.md shows one). [sky] and [observer] may stand in it as the defaults for
this kit's pictures; the command line overrides them.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from simview.errors import FileError, FitError
from simview.kit import Kit, Observer, Sky
from simview.table import build, plain
from simview.textfile import parse_toml, read_text, write_whole


@dataclass(frozen=True, slots=True, kw_only=True)
class KitFile:
    """What one kit file holds.

    Parameters
    ----------
    kit
        The instrument and its pieces.
    sky, observer
        What the file names as usual for it; None where it says nothing.
    path
        Where it was read from.
    """

    kit: Kit
    sky: Sky | None = None
    observer: Observer | None = None
    path: Path


def load_kit(path: str | Path) -> Kit:
    """Return the kit in a TOML file.

    Raises
    ------
    SimviewError
        Names file and key, what was got and what is allowed.
    """
    return load_kit_file(path).kit


def load_kit_file(path: str | Path) -> KitFile:
    """Return the kit in a TOML file, with the sky and the observer that it names.

    Raises
    ------
    SimviewError
        Names file and key, what was got and what is allowed.
    """
    return parse_kit(read_text(path, what="kit file"), where=str(path))


def parse_kit(text: str, *, where: str) -> KitFile:
    """Return the kit in TOML text; `where` stands for the file's name in messages.

    Raises
    ------
    SimviewError
        Names place and key, what was got and what is allowed.
    """
    table = parse_toml(text, where=where, what="kit file")
    if not table:
        raise FileError("kit file is empty", remedy='begin with name = "..."', where=where)
    page: Any = build(_Page, table, where=where)
    kit = Kit(**{name: getattr(page, name) for name in _KIT_KEYS})
    if kit.kind != "telescope" and kit.eyepieces:
        raise FitError(
            "[[eyepieces]] without a [telescope]",
            remedy="describe the telescope, or leave the eyepieces out",
            where=where,
        )
    return KitFile(kit=kit, sky=page.sky, observer=page.observer, path=Path(where))


def save_kit(
    kit: Kit,
    path: str | Path,
    *,
    sky: Sky | None = None,
    observer: Observer | None = None,
    force: bool = False,
) -> Path:
    """Write a kit file whole, or not at all; `load_kit_file` gives equal records back.

    Parameters
    ----------
    kit, sky, observer
        What to write; what equals its default is left out.
    path
        Where to.
    force
        True replaces a file that is there.

    Raises
    ------
    FileError
        If the file is there already, or cannot be written.
    """
    return write_whole(path, kit_text(kit, sky=sky, observer=observer), force=force)


def kit_text(kit: Kit, *, sky: Sky | None = None, observer: Observer | None = None) -> str:
    """Return the TOML text of a kit file."""
    from tomli_w import dumps

    table = plain(kit)
    # A kit of defaults alone would leave nothing, and an empty file is no kit.
    table.setdefault("name", kit.name)
    pieces = {key: table.pop(key) for key in ("eyepieces", "amplifiers") if key in table}
    for heading, record in (("sky", sky), ("observer", observer)):
        if record is not None:
            table[heading] = plain(record)
    # Each piece under a heading of its own, as people write it; dumps would set them in a row.
    headed = [f"\n[[{key}]]\n{dumps(piece)}" for key, row in pieces.items() for piece in row]
    return dumps(table) + "".join(headed)


_KIT_KEYS: Final = tuple(spot.name for spot in dataclasses.fields(Kit))

# The whole page as one record: a kit's keys, and the two that may stand beside them.
_Page: Final = dataclasses.make_dataclass(
    "Page",
    [("sky", Sky | None, None), ("observer", Observer | None, None)],
    bases=(Kit,),
    frozen=True,
    kw_only=True,
)
