"""What an offer says of damage: broken, cracked, mouldy, loose, for parts."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from simview.advice.reading.clean import Page, shown
from simview.advice.reading.trade_words import bare, fold, languages

# Before the word, in its own clause: "no scratches", "nichts kaputt".
_DENIED: Final = re.compile(
    r"\b(?:no|not|never|nothing|without|free (?:of|from)|isn't|kein\w*|ohne|nicht|nichts|frei von"
    r"|pas|sans|aucun\w*|rien|jamais|sin|ni|ningun\w*|nada|senza|nessun\w*|non|niente|mai|niet"
    r"|niets|geen|zonder|bez|nie|nic|zadn\w*|ani|ne|neni|sem|nao|nenhum\w*|inte|inget|inga|ingen"
    r"|utan|if|falls|wenn|sollte\w*|si|als|jezeli|jesli|pokud|om)\b"
)
_EDGE: Final = re.compile(r"[,;:.!?(\n]")

# More of them are not quoted: a choice.
MOST: Final = 3
# Of a long clause no more than so many letters on either side are quoted: a choice.
AROUND: Final = 24


@lru_cache(maxsize=64)
def _words(codes: tuple[str, ...]) -> re.Pattern[str]:
    """Return the words of some languages as one pattern for a folded text."""
    said = {word for code in dict.fromkeys((*codes, "en")) for word in languages()[code].damage}
    each = [
        " ".join(re.escape(fold(part)) for part in word.rstrip("*").split())
        + (r"\w*" if word.endswith("*") else "")
        for word in sorted(said, key=len, reverse=True)
    ]
    return re.compile(rf"(?<!\w)(?:{'|'.join(each)})(?!\w)")


def read_damage(page: Page) -> tuple[str, ...]:
    """Return the offer's own words for what is damaged, each clause once.

    Parameters
    ----------
    page
        The offer.
    """
    return tuple(dict.fromkeys(_clauses(page)))[:MOST]


def _clauses(page: Page) -> Iterator[str]:
    text = page.lines.text
    own = "".join(bare(letter, lines=True) for letter in text)
    for match in _words(page.codes).finditer(own):
        begin = max((edge.end() for edge in _EDGE.finditer(own, 0, match.start())), default=0)
        if _DENIED.search(own, begin, match.start()):
            continue
        after = _EDGE.search(own, match.end())
        end = after.start() if after else len(own)
        low, high = max(begin, match.start() - AROUND), min(end, match.end() + AROUND)
        while low > begin and low < match.start() and own[low - 1].isalnum():
            low += 1
        while high < end and high > match.end() and own[high].isalnum():
            high -= 1
        start, stop = page.lines.span(low, high)
        yield shown(page.raw[start:stop])
