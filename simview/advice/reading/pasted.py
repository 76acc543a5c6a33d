"""Tables pasted with their tabs, and units that stand in a label: "Aperture (mm)"."""

from __future__ import annotations

import re
from typing import Final

from simview.advice.reading.mapped import Mapped, joined, mark

# A figure of a table; numbers.py reads them all.
NUMBER: Final = r"(?<![\w.,])\d{1,5}(?:[.,]\d{1,2})?(?![\w])"

# What a label can say of the figures after it. A ratio's mark goes before its figure.
_AFTER: Final = (
    r"mm|cm|m|in|inch(?:es)?|\"|''|zoll|pouces?|kg|g|€|eur|euros?|£|gbp|\$|us\$|usd|zł|pln|kč|czk|kr|sek"
    r"|chf|x|×|times|fach|fois|°|mal|razy"
)
_BEFORE: Final = r"f/|f|1:"
_FEW: Final = (
    rf"{NUMBER}(?:\s{{0,3}}(?:,\s|;|/|\+|&|-|and|und|et|y|e|en|i|a|och)\s{{0,3}}{NUMBER}){{0,5}}"
)
_LABELLED: Final = re.compile(
    rf"(?P<out>(?:(?<=[^\W\d_])[ \u00a0]{{1,3}}[1-6])?[ \u00a0]{{0,3}}"
    rf"(?:[(\[](?:in )?(?P<unit>{_AFTER}|{_BEFORE})[)\]]"
    rf"|,? in (?P<plain>{_AFTER})(?=\s?[:=\t])))"
    rf"(?P<gap>[ \u00a0]{{0,3}}[:=\t]?[ \t\u00a0]{{0,12}})(?P<few>{_FEW})"
    rf"(?![.,]?\d|\s?(?:{_AFTER})(?![^\W\d_]))",
    re.I,
)
_ONE: Final = re.compile(NUMBER)

# Cells in a row from which on it may be a table's head: a choice.
FEWEST_CELLS: Final = 2


def laid_out(text: Mapped) -> Mapped:
    """Return a text with each label beside its value, and units behind their figures.

    Checked by: tests/unit/advice/test_reading_pasted.py
    """
    return _units(_turned(text))


def _units(text: Mapped) -> Mapped:
    changes: list[tuple[int, int, str]] = []
    for match in _LABELLED.finditer(text.text):
        unit = (match["unit"] or match["plain"]).lower()
        first = bool(re.fullmatch(_BEFORE, unit))
        changes.append((*match.span("out"), ""))
        mark_of_label = match["gap"].strip(" \u00a0")
        changes.append((*match.span("gap"), f"{mark_of_label} "))
        for one in _ONE.finditer(text.text, *match.span("few")):
            at = one.start() if first else one.end()
            changes.append((at, at, "f/" if first else f" {unit}"))
    return text.changed(changes)


def _turned(text: Mapped) -> Mapped:
    """Return a table of two rows, head and values, as one label and value a line."""
    if "\t" not in text.text:
        return text
    rows: list[tuple[int, int]] = [match.span() for match in re.finditer(r"[^\n]*\n?", text.text)]
    parts: list[Mapped] = []
    place = 0
    while place < len(rows):
        head = _cells(text, rows[place])
        body = _cells(text, rows[place + 1]) if place + 1 < len(rows) else []
        if _is_head(text, head, body) and not _goes_on(text, rows, place + 2, len(head)):
            for (a, b), (c, d) in zip(head, body, strict=True):
                parts += [text.part(a, b), mark(": ", _at(text, b)), text.part(c, d)]
                parts.append(mark("\n", _at(text, d)))
            place += 2
            continue
        parts.append(text.part(*rows[place]))
        place += 1
    return joined(parts)


def _at(text: Mapped, place: int) -> int:
    return text.ends[place - 1] if place else 0


def _cells(text: Mapped, row: tuple[int, int]) -> list[tuple[int, int]]:
    start, end = row
    line = text.text[start:end].rstrip("\n")
    return [
        (start + match.start(), start + match.end())
        for match in re.finditer(r"[^\t]+", line)
        if match[0].strip()
    ]


def _is_head(text: Mapped, head: list[tuple[int, int]], body: list[tuple[int, int]]) -> bool:
    """Tell a row of labels above a row of values."""
    if len(head) < FEWEST_CELLS or len(head) != len(body):
        return False
    labels = [text.text[a:b] for a, b in head]
    values = [text.text[a:b] for a, b in body]
    bare = [re.sub(r"[(\[].*?[)\]]", "", label) for label in labels]
    if any(letter.isdigit() for label in bare for letter in label):
        return False
    return sum(any(letter.isdigit() for letter in value) for value in values) >= FEWEST_CELLS


def _goes_on(text: Mapped, rows: list[tuple[int, int]], place: int, cells: int) -> bool:
    """Tell a list of several offers, or of labels and values, from a table of one."""
    return place < len(rows) and len(_cells(text, rows[place])) == cells and cells > 1
