"""An advert's text made readable for patterns, character for character.

Mark-up and odd glyphs are overwritten with the same number of plain characters, so that a place
found in the cleaned text is the same place in the text as pasted.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from simview.advice.listing import Reading

# Glyphs that mean the same as a plain one.
_GLYPHS: Final = str.maketrans(
    {
        "\u00a0": " ",
        "\u2007": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\u200b": " ",
        "\ufeff": " ",
        "\t": " ",
        "\r": " ",
        "\u000b": "\n",
        "\u000c": "\n",
        "\u2028": "\n",
        "\u2029": "\n",
        "×": "x",
        "✕": "x",
        "✖": "x",
        "х": "x",  # the Cyrillic letter, as pasted by accident
        "–": "-",
        "—": "-",
        "−": "-",
        "‐": "-",
        "‑": "-",
        "″": '"',
        "”": '"',
        "“": '"',
        "„": '"',
        "′": "'",
        "’": "'",
        "‘": "'",
        "•": "\n",
        "●": "\n",
        "▪": "\n",
        "·": " ",
        "|": "\n",
        "Φ": "ø",
        "φ": "ø",
        "⌀": "ø",
        "＝": "=",
        "：": ":",
        "，": ",",
        "（": "(",
        "）": ")",
    }
)

# Entities that stand in pasted page sources, and the character that each means.
_ENTITIES: Final = {
    "&nbsp;": " ",
    "&quot;": '"',
    "&amp;": "&",
    "&times;": "x",
    "&lt;": "<",
    "&gt;": ">",
    "&#39;": "'",
    "&ndash;": "-",
    "&mdash;": "-",
    "&pound;": "£",
    "&euro;": "€",
    "&deg;": "°",
    "&Oslash;": "ø",
    "&oslash;": "ø",
    "&Prime;": '"',
}
_ENTITY: Final = re.compile("|".join(re.escape(entity) for entity in _ENTITIES))

# Tags of a pasted page source. None is taken for longer than 2000 characters: the limit keeps a
# text of a million "<" from being searched a million times over.
_TAG: Final = re.compile(r"</?(\w{1,20})[^<>]{0,2000}>|<!--.{0,2000}?-->", re.S)
_INLINE: Final = frozenset(
    ("b", "i", "u", "a", "em", "strong", "span", "small", "sub", "sup", "font", "mark", "code")
)


def without_mark_up(text: str) -> str:
    """Return the text with tags, scripts and styles blanked, at the same length."""
    if "<" not in text:
        return text
    for kind in ("script", "style"):
        text = _without(text, kind)
    return _TAG.sub(_blank_tag, text)


def _without(text: str, kind: str) -> str:
    """Blank what stands between <script> and </script>, or <style> and </style>."""
    kept, at = [], 0
    for start in re.finditer(rf"<{kind}\b", text, re.I):
        if start.start() < at:
            continue
        end = _ENDS[kind].search(text, start.end())
        if end is None:
            break
        kept += [text[at : start.start()], " " * (end.end() - start.start())]
        at = end.end()
    return "".join([*kept, text[at:]])


_ENDS: Final = {kind: re.compile(rf"</{kind}\s{{0,9}}>", re.I) for kind in ("script", "style")}


def clean(text: str) -> str:
    """Return the text in small letters, without mark-up, at the same length."""
    text = without_mark_up(text)
    if "&" in text:
        text = _ENTITY.sub(lambda m: _ENTITIES[m[0]].ljust(len(m[0])), text)
    text = text.translate(_GLYPHS)
    return _unwrap("".join(_small(letter) for letter in text))


# A line at least this long that ends in mid-sentence was broken by an editor, not by its author.
WRAPPED: Final = 45


def _unwrap(text: str) -> str:
    """Put a space for a line break that only wraps a sentence; the length stays."""
    lines = text.split("\n")
    parts = [lines[0]]
    for before, line in pairwise(lines):
        soft = len(before) >= WRAPPED and before.rstrip()[-1:] not in ".:;!?"
        soft = soft and line[:1].isalnum() | (line[:1] in '("')
        parts.append(f"{' ' if soft else chr(10)}{line}")
    return "".join(parts)


def _blank_tag(match: re.Match[str]) -> str:
    inline = match[1] is not None and match[1].lower() in _INLINE
    return " " * len(match[0]) if inline else "\n".ljust(len(match[0]))


def _small(letter: str) -> str:
    small = letter.lower()
    return small if len(small) == 1 else letter


@dataclass(slots=True)
class Page:
    """One advert while it is being read.

    Parameters
    ----------
    raw
        As pasted.
    whole
        Cleaned, of the same length.
    plain
        The same, in which readers blank what they have understood.
    readings, remarks
        What has been found so far.
    noted
        Keys and values among the readings.
    """

    raw: str
    whole: str
    plain: str
    readings: list[Reading] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    noted: set[tuple[str, float | str | bool]] = field(default_factory=set)

    @classmethod
    def of(cls, text: str) -> Page:
        """Begin with a text as pasted."""
        whole = clean(text)
        return cls(raw=text, whole=whole, plain=whole)

    def words(self, start: int, end: int) -> str:
        """Return the text as pasted between two places, on one line."""
        return " ".join(self.raw[start:end].split())

    def note(
        self,
        key: str,
        value: float | str | bool,
        span: tuple[int, int],
        *,
        guess: bool = False,
        note: str = "",
    ) -> None:
        """Write down one value with the words that gave it; said again it is not noted again."""
        if (key, value) in self.noted:
            return
        self.noted.add((key, value))
        start, end = span
        self.readings.append(
            Reading(
                key=key,
                value=value,
                words=self.words(start, end),
                start=start,
                end=end,
                guess=guess,
                note=note,
            )
        )

    def take(self, span: tuple[int, int]) -> None:
        """Blank what has been understood, so that no other reader takes it for its own."""
        start, end = span
        self.plain = f"{self.plain[:start]}{'¤' * (end - start)}{self.plain[end:]}"

    def clause(self, start: int, end: int, reach: int = 60) -> str:
        """Return the words around a place, up to the ends of its line."""
        left = max(self.whole.rfind("\n", 0, start) + 1, start - reach)
        stop = self.whole.find("\n", end)
        right = min(stop if stop >= 0 else len(self.whole), end + reach)
        return self.whole[left:right]
