"""Which language an advert seems to be written in: counted from its commonest small words."""

from __future__ import annotations

import re
from typing import Final

# The commonest short words of each language that are no words of the others.
_SMALL_WORDS: Final = {
    "English": "the and with for of is are you your this from can to it in on by at or as be",
    "German": "der die das und mit für ist nicht ein eine auf dem von zu auch sie wird bei den im",
    "French": "le les des et avec pour est une du sur dans vous plus votre pas au ce cette aux",
    "Spanish": "el los las y con para es una del por que su al más este como lo muy sus",
    "Italian": "il gli e con per è una del della di che nel anche sono più lo alla questo dei",
    "Dutch": "het een en met voor is van niet op de zijn ook deze bij naar wordt uw dit te",
    "Portuguese": "o os e com para é uma do da não mais por seu ao em este como das dos",
    "Polish": "i z na do jest nie się dla oraz to w przez ze od po jak ten który są",
}
_SETS: Final = {name: frozenset(words.split()) for name, words in _SMALL_WORDS.items()}

# As many small words as these must be found before a language is named at all: a choice.
_ENOUGH: Final = 3


def language(plain: str) -> str:
    """Return the language that most small words of the text belong to.

    Returns
    -------
    str
        Its English name; "" where too few words are there to tell; "another script" where most
        letters are not Latin ones.
    """
    sample = plain[:20000]
    letters = [letter for letter in sample if letter.isalpha()]
    if letters and sum(letter > "\u024f" for letter in letters) > 0.4 * len(letters):
        return "another script"
    words = re.findall(r"[^\W\d_]+", sample)
    counts = {name: sum(word in known for word in words) for name, known in _SETS.items()}
    best = max(counts, key=lambda name: counts[name])
    return (
        best if counts[best] >= _ENOUGH and counts[best] > counts["English"] else _english(counts)
    )


def _english(counts: dict[str, int]) -> str:
    return "English" if counts["English"] >= _ENOUGH else ""
