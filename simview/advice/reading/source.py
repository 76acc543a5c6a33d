"""From a text as pasted to clean lines: mark-up, broken encodings, odd glyphs, wrapped lines."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Final

from simview.advice.reading.chat import untangled
from simview.advice.reading.mapped import Mapped
from simview.advice.reading.markup import is_page, read_page, without_entities
from simview.advice.reading.pasted import laid_out

# Glyphs that mean the same as a plain one.
_GLYPHS: Final = {
    **dict.fromkeys("\u00a0\u2007\u2009\u202f\t\r\u2002\u2003\u3000", " "),
    **dict.fromkeys("\u000b\u000c\u2028\u2029\u0085", "\n"),
    **dict.fromkeys("•●▪◦‣|", "\n"),
    **dict.fromkeys("×✕✖х", "x"),  # the last is the Cyrillic letter, as pasted by accident
    **dict.fromkeys("–—−‐‑", "-"),
    **dict.fromkeys("″”“„«»", '"'),
    **dict.fromkeys("′’‘´`", "'"),
    **dict.fromkeys("Φφ⌀", "ø"),
    "·": " ", "✓": "\n", "✔": "\n", "✅": "\n", "→": " ", "Ø": "ø",
}  # fmt: skip

# Kept as they are: the readers know them, and their plain form would read as another number.
_KEPT: Final = frozenset("¼½¾⅛⅜⅝⅞²³°")

# No word is so long, characters; what is may be a picture's code, or meant to keep us waiting.
_ENDLESS: Final = re.compile(r"\w{160,}")

# Marks that show or hide text without being text: direction, joining, soft hyphens.
_UNSEEN: Final = re.compile("[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\u061c]")
_COMPOSED: Final = re.compile("[^\\W\\d_][\u0300-\u036f]+")
_BROKEN: Final = re.compile("Ã.|Â.|â€|Å.|Ä[\u0080-\u00bf]|ï¿½")

# Words before a list of other things on the page; only a line of their own begins such a list.
_OTHERS: Final = re.compile(
    r"^[\W_]{0,4}(?:customers? (?:who|also)\b|(?:you (?:may|might) )?also (?:bought|like|viewed)"
    r"|similar (?:items|products|offers)|related (?:items|products|articles)|people also"
    r"|more (?:from|offers by) this seller|kunden (?:kauften|haben) auch|kunden,? die|ähnliche"
    r" (?:artikel|produkte|anzeigen)|das könnte (?:ihnen|dir)|les clients ont (?:aussi|également)"
    r"|produits similaires|vous aimerez|articles similaires|otros clientes|los clientes también"
    r"|productos (?:similares|relacionados)|también te puede|prodotti (?:simili|correlati)"
    r"|chi ha acquistato|potrebbe (?:piacerti|interessarti)|anderen kochten|klanten kochten"
    r"|vergelijkbare"
    r"|gerelateerde|bekijk ook|klienci kupili|podobne (?:oferty|produkty)|zobacz też|zákazníci také"
    r"|podobné (?:produkty|zboží)|mohlo by vás|quem comprou|produtos (?:relacionados|semelhantes)"
    r"|veja também|kunder köpte|andra köpte|liknande (?:produkter|annonser)|relaterade)",
    re.I,
)  # fmt: skip
# The same by what such headings are made of, in any order: "also" or "similar", and what others do
# or what the shop has.
_ALSO: Final = re.compile(
    r"\b(?:also|too|others?|similar|related|recommend\w*|matching|auch|andere|ähnliche\w*|passend\w*"
    r"|empfehl\w*|empfohlen\w*|aussi|également|autres|similaires?|recommand\w*|associés?|también|otros"
    r"|otras|similares|relacionad\w+|recomend\w*|anche|altri|altre|simili|correlati|consigliati|ook"
    r"|anderen|vergelijkbare|gerelateerde|aanbevolen|również|też|także|inne|inni|podobn\w+|powiązan\w+"
    r"|polecan\w+|polecamy|také|taky|jiné|další|souvisej\w+|doporuč\w+|também|outros|outras"
    r"|semelhantes|också|även|andra|liknande|relaterade|rekommend\w+)\b",
    re.I,
)
_SHOWN: Final = re.compile(
    r"\b(?:b(?:ought|uy)|view\w*|look\w*|like|interest\w*|items?|products?|articles?|offers?|ads"
    r"|accessories|gekauft|kauf\w*|angesehen|gefallen|interessier\w*|artikel|produkte?|anzeigen"
    r"|angebote|zubehör|achet\w*|acheté\w*|consult\w*|aim\w+|intéress\w*|produits|annonces|offres"
    r"|compr\w+|visto|vieron|viu|viram|gust\w+|interes\w+|productos|anuncios|acquist\w+|piac\w+"
    r"|prodotti|annunci|offerte|kochten|gekocht|bekeken|bekijk\w*|producten|advertenties|kupi\w+"
    r"|ogląda\w+|zainteres\w+|produkty|ogłoszenia|oferty|koupil\w*|prohlíž\w+|zajím\w+|líbit|zboží"
    r"|inzeráty|nabídky|produtos|ofertas|köpt\w*|tittat|gilla\w*|varor|annonser|produkter)\b",
    re.I,
)
# Words in such a heading at most: a choice.
LONGEST_HEADING: Final = 9


def _is_of_others(line: str) -> bool:
    """Tell the heading of a list of other things."""
    if len(line) >= 90:
        return False
    if _OTHERS.match(line):
        return True
    short = len(line.split()) <= LONGEST_HEADING and not any(one.isdigit() for one in line)
    ends = line.rstrip().endswith((".", "!", ","))
    return short and not ends and bool(_ALSO.search(line) and _SHOWN.search(line))


def read_source(raw: str) -> Mapped:
    """Return a pasted text as clean lines, in its own letters."""
    text = read_page(raw) if is_page(raw) else without_entities(Mapped.of(raw))
    text = text.replaced(_ENDLESS, " ")
    text = laid_out(_repaired(text))
    text = untangled(_plain_glyphs(text))
    text = _misprints(text)
    text = text.replaced(re.compile(r"[^\S\n]+"), " ")
    return _unwrapped(_without_others(text))


def _repaired(text: Mapped) -> Mapped:
    """Repair letters that went through a wrong encoding ("FernglÃ¤ser"), line by line."""
    if not _BROKEN.search(text.text):
        return text
    from ftfy import fix_encoding

    changes = []
    for line in re.finditer(r"[^\n]{1,2000}", text.text):
        if _BROKEN.search(line[0]) and (new := fix_encoding(line[0])) != line[0]:
            changes += [
                (line.start() + start, line.start() + end, words)
                for start, end, words in _differences(line[0], new)
            ]
    return text.changed(changes)


# "Aperture ........ 70 mm"; a run of blanks is tried from its beginning alone.
_LEADER: Final = re.compile(r"(?<![ \u00a0])[ \u00a0]*(?:\.{3,}|_{3,}|…+)[ \u00a0]*(?=[\d\w])")
# Zero and one read as letters by a scanner, and the other way round.
_DIGITS: Final = re.compile(
    r"(?<![^\W\d_])(?:[A-Za-z]{1,2}(?=\d[OolI]+ ?[Mm]))?\d[\dOolI]*[OolI]+[\dOolI]*"
    r"(?=\b|[mM][mM]|[cC][mM]|,-|[xX]\b)"
)
_LETTERS: Final = re.compile(
    r"\b0(?=[^\W\d_]{5})|(?<=[^\W\d_])[01](?=[^\W\d_]{2})|(?<=[^\W\d_]{3})1(?= [^\W\d_])"
)
_RN: Final = re.compile(r"(?<=\d)( ?)r[nr]m\b", re.I)
_HALF: Final = re.compile(
    r"(?<=\d)\s*(?:and\s+a\s+half|einhalb|et\s+demie?|y\s+medi[oa]|e\s+mezz[oa]|e\s+mei[oa]"
    r"|och\s+en\s+halv|i\s+pół|a\s+půl)\b",
    re.I,
)
# "Sonnen-" and "filter" on the next line; not "Sonnen-" and "und Mondfilter".
_SYLLABLES: Final = re.compile(
    r"(?:(?<=[^\W\d_]{3})- ?\r?\n[ \t]*(?=[^\W\d_A-ZÄÖÜ])"
    r"|(?<=[A-ZÄÖÜ]{3})- ?\r?\n[ \t]*(?=[A-ZÄÖÜ]{3}))"
    r"(?!(?i:und|oder|and|or|et|ou|en|of|y|o|e|i|a|och|eller)\b)"
)
# "60e" and "60 E", as people type it on a telephone.
_EURO: Final = re.compile(
    r"(?<=\d\d)(?:(?:[eE]| {1,3}E)(?=\s*(?:$|[\n,.;!)]))| {1,3}e(?=\s*(?:[.;!)]|$)))"
)
# "l2.5 mm", "O.965": a scanner's letter before the figures of a measure.
_LEADING: Final = re.compile(
    r"(?<![^\W_])(?<![.,])(?:[lIL](?=\d?[.,]?\d{1,3} ?(?i:mm|cm|x\b|,-))|[lIL](?=\d[.,]\d)"
    r"|[Oo](?=[.,]\d{3}))"
)
# "ll4 mm", "lO mm", "129,OO €": a whole number read as letters, before its unit.
_UNITS: Final = r"(?= {0,3}(?:(?i:mm|mil+im|cm)|€|£|\$))"
_WHOLE: Final = re.compile(
    rf"(?<![^\W_])(?<![.,])(?=[lILOo\d.,]{{2,6}}{_UNITS})[lILOo\d][lILOo\d.,]*{_UNITS}"
)
# "5S mm", "1B0 mm": letters that a scanner takes for figures.
_ALIKE: Final = re.compile(r"(?<=\d)[SsBZ](?=\d{0,2} ?mm)|(?<![^\W_])[SB](?=\d{1,2} ?mm)")
_AS_DIGIT: Final = str.maketrans("OolILSsBZ", "001115582")


def _misprints(text: Mapped) -> Mapped:
    """Put right what a scanner misreads ("7OO mm", "Foca1 length"), and lines of dots."""
    text = text.replaced(_LEADER, ": ").replaced(_HALF, ".5")
    text = text.replaced(_EURO, "€").replaced(_SYLLABLES, "")
    for pattern in (_DIGITS, _LEADING, _WHOLE, _ALIKE):
        text = text.changed(
            (found.start(), found.end(), found[0].translate(_AS_DIGIT))
            for found in pattern.finditer(text.text)
            if re.search("[OolILSsBZ]", found[0])
        )
    text = text.replaced(_RN, " mm")
    return text.changed(
        (found.start(), found.end(), "l" if found[0] == "1" else "o")
        for found in _LETTERS.finditer(text.text)
    )


def _differences(old: str, new: str) -> list[tuple[int, int, str]]:
    from difflib import SequenceMatcher

    codes = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    return [(a, b, new[c:d]) for what, a, b, c, d in codes if what != "equal"]


def _plain_glyphs(text: Mapped) -> Mapped:
    text = text.replaced(_UNSEEN, "")
    text = text.changed(
        (found.start(), found.end(), unicodedata.normalize("NFC", found[0]))
        for found in _COMPOSED.finditer(text.text)
    )
    changes = []
    for place, letter in enumerate(text.text):
        if letter.isascii():
            if letter in "\t\r\u000b\u000c|`":
                changes.append((place, place + 1, _plain(letter)))
        elif (plain := _plain(letter)) != letter:
            changes.append((place, place + 1, plain))
    return text.changed(changes)


@lru_cache(maxsize=4096)
def _plain(letter: str) -> str:
    if letter in _GLYPHS:
        return _GLYPHS[letter]
    if letter in _KEPT or unicodedata.category(letter) == "So":
        return letter if letter in _KEPT else " "
    plain = unicodedata.normalize("NFKC", letter)
    return "".join(_GLYPHS.get(one, one) for one in plain)


def _without_others(text: Mapped) -> Mapped:
    """Cut off what the page shows of other things: from their heading to the end."""
    at = 0
    for line in text.text.split("\n"):
        if at > 0 and _is_of_others(line):
            return text.part(0, at)
        at += len(line) + 1
    return text


# Lines shorter than this are their author's own, characters: a choice.
NARROWEST: Final = 28
_LABELLED: Final = re.compile(r"[-*+\d]{0,3}\.?\s?[^:\n]{1,32}:(?!\d)|[-*+]\s|\d+[.)]\s|\d+\s?x\s")


def _unwrapped(text: Mapped) -> Mapped:
    """Put a space for a line end that only wraps a sentence."""
    lines = text.text.split("\n")
    changes = []
    at = 0
    for place, line in enumerate(lines[:-1]):
        at += len(line)
        if _is_wrapped(lines, place):
            changes.append((at, at + 1, " "))
        at += 1
    return text.changed(changes)


def _is_wrapped(lines: list[str], place: int) -> bool:
    """Tell a line that broke because the next word had no room any more."""
    line, after = lines[place].strip(), lines[place + 1].strip()
    if line[-1:] == ":" and after[:1].isdigit() and not any(one.isdigit() for one in line):
        return True  # a label above its value
    if not line or not after or line[-1] in ".:;!?" or _LABELLED.match(after):
        return False
    if line[-1] == "," and after[0].isdigit():  # a list that goes on
        return True
    if not (after[0].isalnum() or after[0] in '("'):
        return False
    width = max(len(one.strip()) for one in lines[max(0, place - 6) : place + 7])
    word = after.split(" ")[0]
    return len(line) >= NARROWEST and len(line) + 1 + len(word) > min(width, 110)
