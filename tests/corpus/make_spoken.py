"""Write the table of numbers said in words: simview/advice/reading/words/spoken.csv.

Run by hand where a language is added (num2words, a general library, is wanted for it)::

    python tests/corpus/make_spoken.py
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

PLACE: Final = Path(__file__).parents[2] / "simview/advice/reading/words/spoken.csv"
CODES: Final = ("en", "de", "fr", "nl", "es", "it", "pl", "cs", "pt", "sv")

NUMBERS: Final = (
    *range(4, 300), *(one for one in range(300, 1000) if one % 5 == 0 or one % 10 == 9),
    *range(1050, 3001, 50), *range(3100, 10001, 100),
)  # fmt: skip

# Number words that mean something else more often: "neuf" is new, "sei" is "you are".
ELSE: Final = frozenset(("neuf", "sei", "ten", "onze"))

# "Twelve and a half", as it is said: before it the number, after it what makes the half.
HALVES: Final = {
    "en": " and a half", "de": "einhalb", "fr": " et demi", "nl": "enhalf", "es": " y medio",
    "it": " e mezzo", "pl": " i pół", "cs": " a půl", "pt": " e meio", "sv": " och en halv",
}  # fmt: skip

# A number as small as an eyepiece's counts only beside its unit: "quatre millimètres".
UNITS: Final = {
    "en": ("millimetre", "millimetres", "millimeter", "millimeters", "mil"),
    "de": ("millimeter",), "fr": ("millimètre", "millimètres"), "nl": ("millimeter",),
    "es": ("milímetros",), "it": ("millimetri",), "pl": ("milimetry", "milimetrów"),
    "cs": ("milimetry", "milimetrů"), "pt": ("milímetros",), "sv": ("millimeter",),
}  # fmt: skip


def said(number: int, code: str) -> set[str]:
    """Return how a language says a number."""
    from num2words import num2words

    words = num2words(number, lang=code).lower().replace(",", "").replace("-", " ")
    found = {words}
    if code == "en":
        found |= {words.replace(" and ", " ")}
        found |= {one.replace("one ", "a ", 1) for one in found if one.startswith("one ")}
        hundreds, rest = divmod(number, 100)
        if 11 <= hundreds <= 19:
            tail = "" if not rest else f" {num2words(rest, lang='en')}".replace("-", " ")
            head = num2words(hundreds, lang="en")
            found |= {f"{head} hundred{tail}", f"{head} hundred and{tail}" if tail else words}
            found |= {f"{head}{tail}"} if tail else set()
        if 3 <= hundreds <= 9 and rest == 50:  # "six fifty"
            found |= {f"{num2words(hundreds, lang='en')} fifty"}
    if code == "de" and words.startswith(("einhundert", "eintausend")):
        found |= {words.removeprefix("ein")}
    if code == "de" and 4 <= number <= 40:  # "ein Sechser und ein Zwanziger"
        found |= {f"{words}er"}
    if code == "fr":
        swiss = words.replace("soixante dix", "septante").replace("quatre vingt dix", "nonante")
        found |= {swiss} if swiss.endswith(("septante", "nonante")) else set()
    if code == "cs":
        found |= {re.sub(r"\B(set|sta|stě)\b", r" \1", words)}
    if code in OF:
        found |= {declined(words, code)}
    if code == "sv":
        found |= {words.replace("etthundra", "hundra").replace("ettusen", "tusen")}
    return found


# Polish and Czech numbers after "of" and "with", word by word.
OF: Final = {
    "pl": {
        "sto": "stu", "dwieście": "dwustu", "trzysta": "trzystu", "czterysta": "czterystu",
        "dwadzieścia": "dwudziestu", "trzydzieści": "trzydziestu", "czterdzieści": "czterdziestu",
        "dwa": "dwóch", "trzy": "trzech", "cztery": "czterech", "sześć": "sześciu",
        "siedem": "siedmiu", "osiem": "ośmiu", "pięć": "pięciu", "dziewięć": "dziewięciu",
        "dziesięć": "dziesięciu",
    },
    "cs": {"sto": "sta", "tři": "tří", "čtyři": "čtyř"},
}  # fmt: skip


def declined(words: str, code: str) -> str:
    """Return a number as it is said after "of": "siedemdziesięciu", "sedmdesáti"."""
    found = []
    for word in words.split():
        told = OF[code].get(word, word)
        if code == "pl":
            told = re.sub(r"dziesiąt$", "dziesięciu", told)
            told = re.sub(r"(pięć|siedem|osiem|sześć|dziewięć)set$", _hundreds, told)
            told = re.sub(r"naście$", "nastu", told)
        elif told == word and re.search(r"(?:et|át|ět|est|dm|sm|nct)$", word):
            told = f"{word}i"
        found.append(told)
    return " ".join(found)


def _hundreds(match: re.Match[str]) -> str:
    return f"{OF['pl'][match[1]]}set"


def rows() -> Iterator[tuple[str, str, str]]:
    """Give code, digits, words; single hundreds and thousands stand in the languages' own files."""
    from num2words import num2words

    for code in CODES:
        for number in NUMBERS:
            ways = sorted(said(number, code) - (ELSE if number < 13 else set()))
            yield from ((code, f"{number}", words) for words in ways)
        for number in range(2, 16):
            whole = num2words(number, lang=code).lower()
            yield code, f"{number}.5", f"{whole}{HALVES[code]}"
            yield from ((code, f"{number} mm", f"{whole} {unit}") for unit in UNITS[code])


if __name__ == "__main__":
    with PLACE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("code", "digits", "words"))
        writer.writerows(dict.fromkeys(rows()))
