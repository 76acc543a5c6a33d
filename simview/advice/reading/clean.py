"""One advert while it is being read: in the readers' words, every place kept in the pasted text."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, field, replace
from typing import Final

from simview.advice.listing import Reading
from simview.advice.reading.mapped import Mapped
from simview.advice.reading.source import read_source
from simview.advice.reading.trade_words import guessed, translated
from simview.terminal import visible

# Tags and comments within words that are shown to people.
_MARKS: Final = re.compile(r"<!--.{0,2000}?-->|</?[a-zA-Z][^<>]{0,2000}>", re.S)


# "Twelve point five", after its numbers have been put in figures.
_SPOKEN_POINT: Final = re.compile(
    r"(?<=\d) (?:point|komma|virgule|coma|virgola|przecinek|čárka|celá|vírgula) (?=\d)", re.I
)


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
    lines
        Clean, in its own language.
    source
        In the readers' words, with the place of every character.
    whole
        The same in small letters.
    plain
        The same, in which readers blank what they have understood.
    codes
        Languages of the text, the surest first.
    readings, remarks
        What has been found so far.
    noted
        Keys and values among the readings.
    """

    raw: str
    lines: Mapped
    source: Mapped
    whole: str
    plain: str
    codes: tuple[str, ...] = ()
    readings: list[Reading] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    noted: set[tuple[str, float | str | bool]] = field(default_factory=set)

    @classmethod
    def of(cls, text: str) -> Page:
        """Begin with a text as pasted."""
        lines = read_source(text)
        codes = guessed(lines.text)
        source = translated(lines, codes).replaced(_SPOKEN_POINT, ".")
        whole = "".join(_small(letter) for letter in source.text)
        return cls(raw=text, lines=lines, source=source, whole=whole, plain=whole, codes=codes)

    @property
    def cased(self) -> str:
        """The readers' words with the capitals of the text."""
        return self.source.text

    def words(self, start: int, end: int) -> str:
        """Return the text as pasted between two places, on one line and without mark-up."""
        if end <= start:
            return ""
        low, high = self.source.span(start, end)
        return shown(self.raw[low:high])

    def note(
        self,
        key: str,
        value: float | str | bool,
        span: tuple[int, int],
        *,
        guess: bool = False,
        note: str = "",
        sure: float = 0.95,
        other: tuple[str, ...] = (),
    ) -> None:
        """Write down one value with the words that gave it; said again it is not noted again.

        Parameters
        ----------
        key
            Which of a listing's fields.
        value
            As the listing has it.
        span
            Where the words stand, first and past the last character.
        guess
            True where it is taken for likely, not said.
        note
            What a reader should know of it.
        sure, other
            How sure it is, 0 to 1, and what else it could be.
        """
        if (key, value) in self.noted:
            return
        self.noted.add((key, value))
        while span[0] < span[1] - 1 and self.source.text[span[0]].isspace():
            span = (span[0] + 1, span[1])
        start, end = self.source.span(*span)
        end = start + len(self.raw[start:end].rstrip())
        self.readings.append(
            Reading(
                key=key,
                value=value,
                words=shown(self.raw[start:end]),
                start=start,
                end=end,
                guess=guess,
                note=note,
                sure=min(sure, 0.6) if guess else sure,
                other=other,
            )
        )

    def correct(self, key: str, value: float | str | bool) -> None:
        """Put another value to the words that have been noted for a key."""
        self.readings[:] = [
            replace(one, value=value) if one.key == key else one for one in self.readings
        ]

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


def shown(words: str) -> str:
    """Return pasted words as people read them: on one line, without mark-up."""
    if "<" in words:
        words = _MARKS.sub(" ", words)
    return visible(" ".join(html.unescape(words).split()))
