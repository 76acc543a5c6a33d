"""The words of the trade in every language, and an advert said in the readers' own words.

Each file in ``words/`` is one language: the readers' word, and how people write it there. A text's
words are matched without regard to case, accents, hyphens, runs of white space and line ends; small
misspellings are forgiven (the rapidfuzz library), and compounds are taken apart.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Final

from simview.advice.reading.mapped import Mapped
from simview.advice.reading.spoken import spoken

# One word; "l'éclipse" is two.
WORD: Final = re.compile(r"[^\W\d_]+")

# Phrases of more words than this are not sought: a choice.
LONGEST_PHRASE: Final = 9

# What may stand between the words of one phrase.
_GAP: Final = re.compile(r"[ \n]?-?[ \n]?|\. ?|'")

# Words shorter than this mean something only in their own language, letters.
SHORT: Final = 4

# Misspellings forgiven: none below the first length, one letter up to the second, two above it.
ONE_LETTER_FROM: Final = 6
TWO_LETTERS_FROM: Final = 9

# What people shorten before its figure, in the readers' words.
SHORTENED: Final = frozenset((
    "eyepiece", "eyepieces", "focal length", "aperture", "diameter", "objective", "finder", "mount",
    "refractor", "reflector", "newtonian", "dobsonian", "maksutov", "tripod", "magnification",
))  # fmt: skip

# Languages whose number words are near to few others: "cierto" is near to "ciento".
CLEAR: Final = ("en", "de", "nl", "sv")


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """One language's words.

    Parameters
    ----------
    code, name
        "de", "German".
    small
        Its commonest small words, by which it is known.
    words
        Folded words, as a tuple of single ones -> the readers' word; "" to pass over.
    compounds
        True where words are joined into one.
    damage
        How broken goods are spoken of, as in the file.
    """

    code: str
    name: str
    small: frozenset[str]
    words: dict[tuple[str, ...], str]
    compounds: bool
    damage: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def languages() -> dict[str, Language]:
    """Return every language that has a file, English first."""
    places = list(files("simview.advice.reading").joinpath("words").iterdir())
    found = {}
    for place in sorted(places, key=lambda one: (one.name != "en.toml", one.name)):
        if place.name.endswith(".toml"):
            one = _language(place.name[:-5], tomllib.loads(place.read_text(encoding="utf-8")))
            found[one.code] = one
    return found


def _language(code: str, table: dict[str, object]) -> Language:
    words: dict[tuple[str, ...], str] = {}
    keep = table.get("keep", {})
    kept = keep.get("words", "") if isinstance(keep, dict) else ""
    given, damage = table["words"], table.get("damage")
    assert isinstance(given, dict)
    for meaning, spelled in given.items():
        for one in spelled:
            words.setdefault(_folded_words(one), "" if meaning == "-" else meaning)
    return Language(
        code=code,
        name=str(table["name"]),
        small=frozenset(fold(word) for word in f"{table['small']} {kept}".split()),
        words=words,
        compounds=bool(table.get("compounds", False)),
        damage=tuple(damage["words"]) if isinstance(damage, dict) else (),
    )


@lru_cache(maxsize=65536)
def fold(word: str) -> str:
    """Return a word without case and accents: "Öffnung" -> "offnung"."""
    small = word.casefold().replace("ø", "o").replace("ł", "l").replace("æ", "ae")
    return "".join(
        letter
        for letter in unicodedata.normalize("NFD", small)
        if not unicodedata.combining(letter)
    )


def bare(letter: str, *, lines: bool = False) -> str:
    """Return a letter folded, every letter as one; a line's end as a blank unless it is kept."""
    if letter == "\n":
        return letter if lines else " "
    plain = fold(letter)
    return plain if len(plain) == 1 else letter


def _folded_words(phrase: str) -> tuple[str, ...]:
    return tuple(fold(word) for word in WORD.findall(phrase))


def guessed(text: str) -> tuple[str, ...]:
    """Return the codes of the languages of a text, the surest first; empty where none is clear."""
    heard = [fold(word) for word in WORD.findall(text[:30_000])]
    if not heard:
        return ()
    counts = {
        code: 2.0 * sum(word in one.small for word in heard)
        + sum(len(word) >= SHORT and (word,) in one.words for word in heard)
        for code, one in languages().items()
    }
    best = max(counts.values())
    if best < 1.0:
        return ()
    kept = [code for code, count in counts.items() if count >= max(1.0, 0.45 * best)]
    return tuple(sorted(kept, key=lambda code: -counts[code]))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Book:
    """All phrases that count for one text."""

    phrases: dict[tuple[str, ...], str]
    openings: dict[str, int]
    single: tuple[str, ...]
    numbers: tuple[str, ...]
    full: tuple[str, ...]
    parts: tuple[str, ...]
    vocabulary: frozenset[str]
    compounds: frozenset[str]
    known: frozenset[str]


@lru_cache(maxsize=128)
def _book(codes: tuple[str, ...]) -> _Book:
    """Return the phrases of these languages, and the long words of all others after them."""
    order = [*codes, *(["en"] if "en" not in codes else [])]
    order += [code for code in languages() if code not in order]
    phrases: dict[tuple[str, ...], str] = {}
    known: set[str] = set()
    for code in order:
        one = languages()[code]
        mine = code in codes or code == "en"
        for words, meaning in one.words.items():
            small = len(words) == 1 and words[0] in known  # "a" is "and" in Polish, not in English
            if not small and (mine or len("".join(words)) > SHORT):
                phrases.setdefault(words, meaning)
        known |= one.small if mine else set()
    single = {words[0] for words in phrases if len(words) == 1 and len(words[0]) >= ONE_LETTER_FROM}
    parts = {word for words in phrases if len(words) > 1 for word in words if len(word) > SHORT}
    for code in dict.fromkeys((*codes, "en")):
        for digits, said in spoken(code):
            phrases.setdefault(_folded_words(said), digits)
    tongues = [*(["en"] if "en" not in codes else []), *codes]
    numbers = {
        words[0]
        for code in tongues
        if code in CLEAR
        for _, spelled in spoken(code)
        if len(words := _folded_words(spelled)) == 1 and len(words[0]) >= ONE_LETTER_FROM
    }
    openings: dict[str, int] = {}
    for words in phrases:
        openings[words[0]] = max(openings.get(words[0], 0), len(words))
    joining = [one for one in languages().values() if one.compounds]
    joined = {words[0] for one in joining for words in one.words if len(words) == 1}
    return _Book(
        phrases=phrases,
        openings=openings,
        single=tuple(sorted(single)),
        numbers=tuple(sorted(numbers)),
        full=tuple(sorted(_full_words(tongues, phrases))),
        parts=tuple(sorted(parts)),
        vocabulary=frozenset(word for words in phrases for word in words) | frozenset(known),
        compounds=frozenset(part for part in joined if len(part) >= SHORT),
        known=frozenset(known),
    )


def _full_words(codes: Sequence[str], phrases: dict[tuple[str, ...], str]) -> Iterator[str]:
    """Give the long single words of some languages, which people shorten."""
    for code in codes:
        for words in languages()[code].words:
            long = len(words) == 1 and len(words[0]) >= ONE_LETTER_FROM
            if long and phrases.get(words) in SHORTENED:
                yield words[0]


def translated(text: Mapped, codes: Sequence[str]) -> Mapped:
    """Return a text in the readers' own words; what it does not know stays."""
    book = _book(tuple(codes))
    return text.changed(_changes(text.text, book))


def _changes(text: str, book: _Book) -> Iterator[tuple[int, int, str]]:
    tokens = list(WORD.finditer(text))
    folded = [fold(token[0]) for token in tokens]
    mended = [_mended(word, book) for word in folded]
    at = 0
    while at < len(tokens):
        if tokens[at][0].lower() == "az" and re.match(r"\d(?!\d|x)", text[tokens[at].end() :][:2]):
            at += 1  # "AZ3" is a mount as it stands
            continue
        if _is_az(text, tokens[at]):
            yield *tokens[at].span(), "altazimuth"
            at += 1
            continue
        length, meaning = _longest(text, tokens, folded, at, book)
        if length <= 1 and mended[at : at + 2] != folded[at : at + 2]:
            longer = _longest(text, tokens, mended, at, book)
            length, meaning = longer if longer[0] > 1 else (length, meaning)
        if length == 0:
            word = folded[at]
            near = None if word in book.known else _near(word, book)
            short = _in_full(text, tokens[at], word, book) if near is None else None
            length, meaning = 1, near or short or (tokens[at][0] if near is None else near)
            if short is not None and text[tokens[at].end() : tokens[at].end() + 1] == ".":
                yield tokens[at].start(), tokens[at].end() + 1, f"{short} "
                at += 1
                continue
        start, end = tokens[at].start(), tokens[at + length - 1].end()
        if text[start:end] != meaning and not (
            length == 1 and len(meaning) == end - start and text[start:end].lower() == meaning
        ):
            yield start, end, meaning
        at += length


# Shortened words that stand before figures and are none of the trade's.
_OTHER_SHORT: Final = frozenset(
    [
        "tel",
        "max",
        "min",
        "art",
        "mod",
        "ref",
        "vol",
        "abb",
        "fig",
        "inkl",
        "incl",
        "incluye",
        "exkl",
        "app",
        "res",
        "mob",
        "fon",
        "ges",
    ]
)
_SHORTENED: Final = re.compile(r"\.(?= ?[\dø])|\.(?= [^\W\d_A-Z])|(?= ?(?:[\dø]))|(?= ?[:=] ?\d)")


def _in_full(text: str, token: re.Match[str], word: str, book: _Book) -> str | None:
    """Return what a shortened word before a figure means: "oku 20", "cerc. 6x30"."""
    short = _SHORTENED.match(text, token.end())
    dotted = short is not None and short[0] == "."
    if short is None or word in _OTHER_SHORT or word in book.known:
        return None
    if len(word) < (2 if dotted else 3):
        return None
    meanings = {book.phrases[(one,)].removesuffix("s") for one in book.full if one.startswith(word)}
    return meanings.pop() if len(meanings) == 1 else None


_ALONE: Final = re.compile(r"\s*(?:[,;/.)(\n]|$)")


def _is_az(text: str, token: re.Match[str]) -> bool:
    """Tell the mount from "až", until: by its capitals, or where no figure can follow."""
    after = text[token.end() : token.end() + 3]
    if token[0] == "AZ":
        return not re.match(r"[ -]?\d", after)
    return token[0].lower() == "az" and bool(_ALONE.match(after)) and not after.startswith("-")


def _longest(
    text: str,
    tokens: Sequence[re.Match[str]],
    folded: Sequence[str],
    at: int,
    book: _Book,
) -> tuple[int, str]:
    """Return how many words the longest phrase from here on has, and what it means."""
    most = min(book.openings.get(folded[at], 0), LONGEST_PHRASE, len(tokens) - at)
    reach = 1
    while reach < most and _GAP.fullmatch(
        text[tokens[at + reach - 1].end() : tokens[at + reach].start()]
    ):
        reach += 1
    for length in range(min(reach, most), 0, -1):
        meaning = book.phrases.get(tuple(folded[at : at + length]))
        if meaning is not None:
            return length, meaning
    return 0, ""


def _near(word: str, book: _Book) -> str | None:
    """Return what an unknown word means: a compound, or a known word misspelt."""
    if len(word) >= ONE_LETTER_FROM and (found := _compound(word, book) or _misspelt(word, book)):
        return found
    number = _nearest(word, book.numbers, 1) if len(word) > SHORT else None
    return None if number is None else book.phrases[(number,)]


@lru_cache(maxsize=16384)
def _taken_apart(word: str, parts: frozenset[str]) -> tuple[str, ...]:
    for at in range(len(word) - 3, 3, -1):
        head, tail = word[:at], word[at:]
        if tail not in parts:
            continue
        for joint in ("", "s", "n", "en", "es", "-"):
            base = head.removesuffix(joint) if joint else head
            if base in parts:
                return base, tail
    return ()


def _compound(word: str, book: _Book) -> str | None:
    parts = _taken_apart(word, book.compounds)
    return " ".join(book.phrases.get((part,), part) for part in parts) if parts else None


def _mended(word: str, book: _Book) -> str:
    """Return an unknown word as a word of some phrase that it misspells by a letter, or itself.

    It counts only where the whole phrase then stands there: "focai length".
    """
    if len(word) <= SHORT or word in book.vocabulary:
        return word
    return _nearest(word, book.parts, 1) or word


def _misspelt(word: str, book: _Book) -> str | None:
    found = _nearest(word, book.single, 1 if len(word) < TWO_LETTERS_FROM else 2)
    return None if found is None else book.phrases[(found,)]


def _nearest(word: str, choices: Sequence[str], allowed: int) -> str | None:
    """Return the choice that a word misspells by so many letters, its first one right."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    found = process.extractOne(word, choices, scorer=OSA.distance, score_cutoff=allowed)
    if found is None or found[0][0] != word[0] or abs(len(found[0]) - len(word)) > allowed:
        return None
    return str(found[0])
