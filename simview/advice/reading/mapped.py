"""Text that remembers where each of its characters stood in the text as pasted."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Mapped:
    """A text, and for each character the piece of the pasted text that it came from.

    Parameters
    ----------
    text
        As it is read.
    starts, ends
        For each character of `text`: where its source begins and ends, characters from 0.
    """

    text: str
    starts: tuple[int, ...]
    ends: tuple[int, ...]

    @classmethod
    def of(cls, text: str, start: int = 0) -> Mapped:
        """Begin with a text as pasted."""
        places = range(start, start + len(text))
        return cls(text=text, starts=tuple(places), ends=tuple(place + 1 for place in places))

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Return where a stretch of this text stands in the pasted one."""
        return self.starts[start], max(self.ends[start:end])

    def part(self, start: int, end: int) -> Mapped:
        """Return a stretch of the text with its places."""
        return Mapped(
            text=self.text[start:end], starts=self.starts[start:end], ends=self.ends[start:end]
        )

    def changed(self, changes: Iterable[tuple[int, int, str]]) -> Mapped:
        """Return the text with stretches exchanged: (start, end, new words), in order."""
        parts: list[str] = []
        starts: list[int] = []
        ends: list[int] = []
        at = 0
        for start, end, new in changes:
            parts += [self.text[at:start], new]
            starts += self.starts[at:start]
            ends += self.ends[at:start]
            if new:
                low, high = self._source(start, end)
                starts += [low] * len(new)
                ends += [high] * len(new)
            at = end
        parts.append(self.text[at:])
        starts += self.starts[at:]
        ends += self.ends[at:]
        return Mapped(text="".join(parts), starts=tuple(starts), ends=tuple(ends))

    def _source(self, start: int, end: int) -> tuple[int, int]:
        if end > start:
            return self.span(start, end)
        place = self.ends[start - 1] if start else (self.starts[0] if self.starts else 0)
        return place, place

    def replaced(self, pattern: re.Pattern[str], new: str) -> Mapped:
        """Return the text with every match of a pattern exchanged for the same words."""
        return self.changed((m.start(), m.end(), new) for m in pattern.finditer(self.text))


def joined(parts: Iterable[Mapped]) -> Mapped:
    """Return several texts as one."""
    kept = list(parts)
    return Mapped(
        text="".join(part.text for part in kept),
        starts=tuple(place for part in kept for place in part.starts),
        ends=tuple(place for part in kept for place in part.ends),
    )


def mark(words: str, place: int) -> Mapped:
    """Return words that stand nowhere in the pasted text, such as a line end made of a tag."""
    return Mapped(text=words, starts=(place,) * len(words), ends=(place,) * len(words))
