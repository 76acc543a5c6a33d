"""Rows of figures turned on their side: a figure a line, a row a column, for a terminal.

Loading a library that lays out tables, and laying this one out with it, would take a ladder's
figures a twentieth of a second at its very end.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import Final

_GAP: Final = "  "


def side_by_side(names: Sequence[str], columns: Sequence[Sequence[str]], width: int) -> list[str]:
    """Return lines: each name with its value in every column, at the right of it.

    Sentences are broken to fit, words and numbers never: where these do not fit, lines are longer.

    Parameters
    ----------
    names
        Of the figures.
    columns
        Of each row the values, in the order of the names.
    width
        Most letters of a line.
    """
    first = max(map(len, names), default=0)
    room = width - first - len(_GAP) * len(columns)
    widths = _fitted(columns, room)
    found = []
    for name, *values in zip(names, *columns, strict=True):
        broken = [_broken(value, most) for value, most in zip(values, widths, strict=True)]
        for number, parts in enumerate(zip_longest(*broken, fillvalue="")):
            cells = (f"{part:>{most}}" for part, most in zip(parts, widths, strict=True))
            head = f"{'' if number else name:<{first}}"
            found.append(_GAP.join((head, *cells)).rstrip())
    return found


def _fitted(columns: Sequence[Sequence[str]], room: int) -> list[int]:
    """Return how wide each column is: what it holds, the widest ones less where room is short."""
    whole = [max(map(len, column), default=0) for column in columns]
    words = [[len(word) for value in column for word in value.split()] for column in columns]
    least = [max(found, default=1) for found in words]
    for most in range(max(whole, default=0), 0, -1):
        widths = [max(low, min(most, all_)) for low, all_ in zip(least, whole, strict=True)]
        if sum(widths) <= room:
            return widths
    return least


def _broken(text: str, most: int) -> list[str]:
    """Return a text in lines of so many letters."""
    if len(text) <= most:
        return [text]
    import textwrap  # few tables hold a sentence

    words = " ".join(text.split())
    return textwrap.wrap(words, most, break_long_words=False, break_on_hyphens=False) or [""]
