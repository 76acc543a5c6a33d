"""Cells of tables for spreadsheets: a text never runs as a formula there."""

from __future__ import annotations

import json
import unicodedata
from typing import Any, Final

from simview.terminal import visible

# What spreadsheets take for the start of a formula.
_FORMULA: Final = ("=", "+", "-", "@")


def cell(value: Any) -> Any:
    """Return a value as a cell of a CSV table.

    A text is put on one line, and one that a spreadsheet would run is made text by an apostrophe;
    a list becomes JSON; true and false become yes and no.
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return cell(json.dumps(value, ensure_ascii=False))
    if isinstance(value, str):
        flat = visible(" ".join(value.split()))
        # NFKC turns the full-width signs, which some spreadsheets take as well, into plain ones;
        # a mark that is not seen in front of one is shown by its number, and begins no formula.
        first = unicodedata.normalize("NFKC", flat[:1])
        return f"'{flat}" if first in _FORMULA else flat
    return value
