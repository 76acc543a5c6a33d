"""A diagnosis made again from the recipe of its sheet and from the same photographs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from simview.diagnosis.diagnose import SIDES, diagnose
from simview.diagnosis.diagnosis_sheet import diagnosis_sheet
from simview.diagnosis.photo_files import fingerprint
from simview.errors import FileError, SimviewError
from simview.kitfile import parse_kit
from simview.picture.finished import Sheet, Size
from simview.picture.prints.printing import Progress
from simview.picture.recipe import WHERE, reading


def again(
    given: Mapping[str, Any],
    photos: Sequence[str | Path],
    *,
    size: Size | None = None,
    progress: Progress | None = None,
) -> Sheet:
    """Make the sheet again.

    Parameters
    ----------
    given
        The recipe; it holds the photographs' fingerprints only.
    photos
        The same photographs, in any order and under any name.

    Raises
    ------
    SimviewError
        Where the recipe is broken, or a photograph is missing or another one.
    """
    with reading():
        (words,) = given["kits"]
        rows = [(str(row["sha256"]), str(row["side"])) for row in given["photographs"]]
        up, mirrored = given["up_deg"], given["mirrored"]
        width, height = (int(side) for side in given["size"])
        if not isinstance(mirrored, bool) or any(side not in SIDES for _, side in rows):
            raise TypeError("photographs")
    found = diagnose(
        _matched([mark for mark, _ in rows], photos),
        parse_kit(str(words), where=WHERE).kit,
        side=[side for _, side in rows],
        up_deg=up,
        mirrored=mirrored,
        progress=progress,
    )
    return diagnosis_sheet(found, size=size or (width, height), progress=progress)


def _matched(marks: Sequence[str], photos: Sequence[str | Path]) -> list[Path]:
    """Return the photographs in the recipe's order."""
    wanted = ", ".join(f"SHA-256 {mark[:12]}" for mark in marks)
    own: dict[str, Path] = {}
    for photo in photos:
        path = Path(photo).expanduser()
        if not path.exists():
            raise FileError("photograph not found", where=str(photo), remedy="check the name")
        mark = fingerprint(path)
        if mark not in marks:
            raise FileError(
                "not one of the photographs in the recipe", where=str(photo), allowed=wanted
            )
        own[mark] = path
    missing = [mark for mark in marks if mark not in own]
    if missing:
        raise SimviewError(
            f"{WHERE}: photographs",
            got=f"{len(own)} of {len(marks)}; their fingerprints alone travel in it ({wanted})",
            remedy="give each of them with --photo FILE",
        )
    return [own[mark] for mark in marks]
