"""Room two: a visitor's own photograph of a star, and what ails the telescope that took it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from simview.errors import ChoiceError, FileError, FitError, SimviewError
from simview.live.kit_table import Table

SIDES = ("", "inside", "outside")


def diagnosed(raw: bytes, name: str, word: str, side: str, table: Table) -> dict[str, Any]:
    """Return what the command `simview diagnose` tells of one photograph.

    Parameters
    ----------
    raw, name
        The photograph's file and its name.
    word
        Of the kit that took it.
    side
        "inside" or "outside" of focus; empty where it is not known.
    table
        What stands on the table.

    Raises
    ------
    SimviewError
        For what is no photograph of a star out of focus; speaks of it by its own name.
    """
    from simview.diagnosis.diagnose import diagnose

    kit = table.find(word).kit
    if kit.telescope is None:
        raise FitError("kit", got="no telescope", allowed="a kit with a telescope")
    if side not in SIDES:
        raise ChoiceError("side", got=side, allowed="inside, outside, or nothing")
    own = Path(name).name or "the photograph"
    if not raw:
        raise FileError("the photograph is empty", where=own)
    try:
        found = diagnose([raw], kit, side=(side,) if side else ())
    except SimviewError as error:
        raise error.at(own) from None
    return {**found.figures(), "text": found.text()}
