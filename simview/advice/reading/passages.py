"""The languages of a text, passage by passage: a chat or a saved page may hold several."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from simview.advice.reading.trade_words import SHORT, WORD, fold, languages

# How much a small word says of its language against a word of the trade, and by how much the best
# language must lead. Choices.
SMALL: Final = 2.0
LEAD: Final = 1.3

# Longest text that is looked at, characters.
LONGEST: Final = 60_000

_MARKUP: Final = re.compile(
    r"<!--.*?(?:-->|$)|<(script|style)\b.*?(?:</\1\s{0,9}>|$)|</?[a-zA-Z!][^<>]*>", re.S | re.I
)
_LINE: Final = re.compile(r"[^\n]+\n*|\n+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """A stretch of a text in one language, by its English name; empty where it cannot be told."""

    start: int
    end: int
    language: str


@lru_cache(maxsize=1)
def _vocabularies() -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """Return code -> its small words, and all longer words of its trade."""
    return {
        code: (
            one.small,
            frozenset(word for words in one.words for word in words if len(word) >= SHORT),
        )
        for code, one in languages().items()
    }


def language_of(text: str) -> str:
    """Return the English name of a passage's language; empty where none leads clearly."""
    heard = [fold(word) for word in WORD.findall(_MARKUP.sub(" ", text))]
    scores = sorted(
        (
            (sum(SMALL * (word in small) + (word in trade) for word in heard), code)
            for code, (small, trade) in _vocabularies().items()
        ),
        reverse=True,
    )
    (best, code), (second, _) = scores[:2]
    return languages()[code].name if best >= 2.0 and best >= LEAD * second else ""


def spoken(text: str) -> Iterator[Spoken]:
    """Give a text's passages, lines of one language together; an unclear line goes on as before."""
    whole = language_of(text[:LONGEST])
    start, language = 0, ""
    for line in _LINE.finditer(text[:LONGEST]):
        own = language_of(line[0])
        if own and language and own != language:
            yield Spoken(start=start, end=line.start(), language=language)
            start = line.start()
        language = own or language
    if start < len(text):
        yield Spoken(start=start, end=len(text), language=language or whole)


def spoken_in(text: str) -> tuple[str, ...]:
    """Return the English names of a text's languages, the one of most letters first."""
    letters: dict[str, int] = {}
    for one in spoken(text):
        if one.language:
            letters[one.language] = letters.get(one.language, 0) + one.end - one.start
    return tuple(sorted(letters, key=lambda name: -letters[name]))
