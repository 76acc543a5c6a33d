"""What an offer speaks of although no value could be read: before it is said to be silent.

"The offer does not say what it stands on" is a hard word, and a wrong one where it does say so in
words that are not in our tables. So every word of the trade in every language, shortened to its
stem, is looked for again, at the end of a compound too and misspelt; so is every figure that
nothing explains and that could be the thing's, and for the price every amount of money. Where one
stands, the offer speaks of the thing, and its own words are quoted instead.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from simview.advice.listing import Unread
from simview.advice.reading.clean import Page, shown
from simview.advice.reading.evidence import APERTURES
from simview.advice.reading.numbers import LENGTH, lengths, number, unit_mm
from simview.advice.reading.trade_words import WORD, fold, languages
from simview.units import MM_PER_INCH

# What may be unsaid -> the readers' words that speak of it.
_MEANINGS: Final = {
    "aperture": ("aperture", "objective", "diameter", "mirror diameter", "aperture diameter"),
    "focal length": ("focal length", "focal ratio"),
    "lens or mirror": (
        "refractor", "reflector", "newtonian", "dobsonian", "maksutov", "cassegrain",
        "catadioptric", "achromatic", "apochromatic", "mirror", "doublet",
    ),
    "eyepieces": ("eyepiece", "eyepieces"),
    "mount": (
        "mount", "equatorial", "altazimuth", "tripod", "tabletop tripod", "rocker box",
        "fork mount", "single arm mount", "dobsonian",
    ),
    "finder": ("finder", "red dot finder"),
    "price": ("price", "euro", "pln", "czk", "sek"),
    "power": ("magnification", "times"),
    "currency": ("euro", "pln", "czk", "sek"),
    "barrel size of the eyepieces": ("barrel",),
}  # fmt: skip

# Stems beside those of the tables, of words too loose to be read by themselves.
_STEMS: Final = {
    "mount": (
        "stand", "stands", "legs", "pied", "pedestal", "gestell", "statyw", "base", "basis",
        "sockel", "standfu", "beine", "poten", "podst", "gambe", "patas", "pernas", "nohy",
        "column", "pier", "saule", "colonn", "goto", "go-to", "tabletop", "table-top", "desktop",
        "sobremesa", "dreifu", "dreib", "driepo", "trojno", "trojni", "stoja", "support",
        "soporte", "supporto", "suporte", "uchwyt do", "trepi", "tripi", "trebens", "traben",
        "stalben", "threeleg", "three-leg",
    ),
    "lens or mirror": (
        "lens", "objectiv", "objektiv", "obiektyw", "obiettiv", "objetiv", "objectief", "linse",
        "lentil", "lente", "soczew", "cocka", "cocky", "cocko", "lins", "achro", "fraunhof",
        "doubl", "dublet", "triplet", "galile", "refra", "refle", "rifra", "rifle", "schmidt",
        "katad", "catad", "spyglass", "longue-vue", "catalej", "anteojo",
    ),
    "eyepieces": (
        "eyep", "okula", "ocula",
    ),
    "finder": (
        "pointer", "pointeur", "puntator", "peil", "vizier", "visier", "visor", "collimat",
        "kolimat", "crosshair", "red-dot", "reddot", "rdf", "raci", "leuchtpunkt", "rotpunkt",
        "star point", "sight", "aiming", "laser", "guidescope", "guide scope", "sucher", "ziel",
        "visee", "mirino", "celow", "hleda", "sokar",
    ),
    "price": (
        "price", "cost", "asking", "quid", "bucks", "euro", "dollar", "pound", "gratis",
        "free to", "verschenk", "offert", "swap", "tausch", "echang", "kron", "korun", "zlot",
        "ocken",
    ),
    "focal length": (
        "focal", "fokal", "focus of", "brennw", "brenw", "brandp", "ognisk", "ohnisk",
    ),
    "currency": (
        "quid", "bucks", "euro", "dollar", "pound", "kron", "korun", "zlot", "eur", "franc",
    ),
}  # fmt: skip

# A stem keeps a word's beginning: all but so many letters, at least so many. Choices.
ENDING: Final = 2
SHORTEST: Final = 5

# Stems so long are sought at the end of compounds too, letters: "Puntzoeker", "Reisestativ".
AT_THE_END: Final = 6

# Misspellings forgiven: one letter in words so long, two in longer ones. Choices.
ONE_LETTER_FROM: Final = 5
TARGETS_FROM: Final = 6
TWO_LETTERS_FROM: Final = 7

# Different words of a text that are looked at for misspellings.
MOST_WORDS: Final = 2500

# How far the quoted passage reaches on both sides, characters: a choice.
AROUND: Final = 28

# Unexplained measures that may be an aperture, a focal length or an eyepiece, mm.
_SIZES: Final = {
    "aperture": (30.0, 420.0),
    "focal length": (200.0, 4000.0),
    "eyepieces": (3.0, 42.0),
}
_APERTURE: Final = re.compile(
    rf"(?<![\w.,/¤€£$-])(?:{'|'.join(f'{mm}' for mm in sorted(APERTURES))})(?![\w.,/%]|\s?[€£$])"
)
_ENDING_NUMBER: Final = re.compile(
    r"(?<![\w.,/¤-])\d{1,3}(?:[ .,]?\d{3})?(?:[.,]\d{2})?(?=\W*$|[.!;]?\s*\n|[.!;]\s)"
    r"|(?<![\w./])\d{2,5}(?:[.,:]-| ?:-)"
)
# "5x24", and a bare "700": what could be a finder's, or a focal length.
_SMALL_PAIR: Final = re.compile(r"(?<![\d.,/x])(?:[3-9]|10) ?x ?[2-5]\d(?![\d.,]*\d)")
_BARE_FOCAL: Final = re.compile(
    r"(?<![\w.,/¤€£$-])(?:[3-9]\d0|1\d\d0|[2-9]50)(?![\w.,/%:-]|\s?(?:[€£$]|eur|usd|gbp|pln|zł|czk|kč|sek"
    r"|kr|euro|times|x\b|g\b|kg|m\b|w\b))"
)
# Any amount of money, and any number that nothing explains and no unit follows.
_MONEY: Final = re.compile(
    r"(?:[€£$¥₹]|r\$|zł|kč)\s?\d|\d\s?(?:[€£$¥₹]|eur|usd|gbp|pln|zł|zl\b|czk|kč|kc\b|sek|kr\b|chf|brl|aud"
    r"|cad|quid|pound|dollar|buck|euro)"
)
_CLAUSE_END: Final = re.compile(
    r"(?<![\w.,/¤x:-])(?!(?:19|20)\d\d\b)[1-9]\d{1,3}(?:[.,]\d{2})?(?![\w/:%°\"'-]|[.,]\d"
    r"| ?(?:mm|cm|m|km|kg|g|lbs?|oz|x|ft|yds?|inch\w*|years?|times|°|hours?|min|watts?|volts?"
    r"|photos?|pages?"
    r"|stars?|objects|pieces|stk|stück|km)\b)"
)
# Whole and half inches that mirrors come in, mm.
_INCHES: Final = frozenset(MM_PER_INCH * half / 2.0 for half in range(4, 25))
_FOCAL: Final = re.compile(
    r"(?<![a-z0-9])f ?[=:/]? ?\d{2,4}(?!\d)|(?<![\d.,x])[2-9]\d\d ?mm\b|(?<![\d.,x])(?:1[2-9]"
    r"|[2-5]\d)(?:[.,]\d)? ?(?:inch|in\b|\"|'')"
)
_TIMES: Final = re.compile(r"\d ?x\b|x ?\d|\d ?(?:times|fold|power)\b")
_MOUNTS: Final = re.compile(r"\b(?:eq|az|gem|altaz)[- ]?\d?\b")
_BARREL: Final = re.compile(
    r"1[.,]25|1 ?1/4|31[.,]7|24[.,]5|50[.,]8|0?[.,]965|(?<!\d)2 ?(?:\"|inch|zoll)|barrel"
)
_DESIGNS: Final = re.compile(
    r"pl[oö]s+l|kellner|huygen|ramsden|orthos|erfle|wide[ -]?angle|weitwink"
)
# What is "not included" is said, too.
_WITHOUT: Final = re.compile(
    r"(?:\b(?:no|without|not|excluding|lacks?|missing|minus)\s(?:an?\s|any\s|the\s)?"
    r"(?:[^\W\d_]+,?\s(?:and\s|or\s)?){0,2})$"
)
_NOT_THERE: Final = re.compile(
    r"s?[ :-]{1,3}(?:is |are )?(?:not included|not supplied|sold separately|missing|lost|none|no\b)"
)
# A lens of something else tells nothing of the telescope's kind; nor do lenses that are counted.
_OF_OTHERS: Final = re.compile(r"barlow|erect|umkehr|eye|cap\b|cloth|\b(?:[2-9]|two|three) ", re.I)
# An eyepiece that a Sun filter goes on is named for the filter's sake.
_OF_FILTERS: Final = re.compile(r"filt|eclips|\bnd ?-?\d", re.I)
# Bare numbers that could be eyepieces': usual sizes in a list.
_BARE_EYEPIECES: Final = re.compile(
    r"(?<![\w.,/¤:-])(?:4|6|6[.,][35]|9|10|12|12[.,]5|15|17|18|20|23|25|26|28|30|32|40)"
    r"(?![\w:%°\"'-]|[.,]\d| ?(?:cm|kg|g|x|years?|times|°|€|£|inch\w*|pieces|years|%)(?!\w))"
)
# What is named at the end of compounds, where nothing else is meant by it.
COMPOUND: Final = ("mount", "finder", "eyepieces", "focal length")
EXCLUDABLE: Final = ("mount", "eyepieces")


def traces(page: Page, lacking: tuple[str, ...]) -> tuple[Unread, ...]:
    """Return where an offer speaks of what could not be read of it.

    Parameters
    ----------
    page
        With what was understood blanked.
    lacking
        What no value was read of, as `conflicts.lacking` names it.

    Notes
    -----
    Checked by: tests/unit/advice/test_reading_traces.py
    """
    return tuple(found for what in lacking if (found := _trace(page, what)) is not None)


def _trace(page: Page, what: str) -> Unread | None:
    if what in EXCLUDABLE and (left_out := _left_out(page, what)) is not None:
        return left_out
    for start, end in [*_places(page, what), *_misspelt(page, what)]:
        text = page.lines.text
        if _means_else(page, what, text[start:end]):
            continue
        if what == "eyepieces" and _OF_FILTERS.search(text[max(0, start - 60) : end + 8]):
            continue
        if what == "lens or mirror" and _OF_OTHERS.search(text[max(0, start - 18) : end + 12]):
            continue
        low, high = page.lines.span(start, end)
        return Unread(what=what, words=_passage(page, low, high))
    for start, end in _figures(page, what):
        low, high = page.source.span(start, max(end, start + 1))
        return Unread(what=what, words=_passage(page, low, high))
    return None


def _means_else(page: Page, what: str, word: str) -> bool:
    """Tell a word that the text's own languages know for something else: "mira", look."""
    folded = (fold(word),)
    for code in page.codes:
        language = languages()[code]
        meaning = language.words.get(folded)
        if meaning is not None or folded[0] in language.small:
            own = {*" ".join(_MEANINGS[what]).split(), *_STEMS.get(what, ())}
            own |= {"objective", "lens"} if what == "lens or mirror" else set()
            return not own & set((meaning or "").split())
    return False


def _left_out(page: Page, what: str) -> Unread | None:
    """Return the words by which an offer leaves a thing out: "without mount"."""
    words = "|".join(re.escape(word) for word in (*_MEANINGS[what], "tube only", "ota only"))
    for match in re.finditer(rf"\b(?:{words})s?\b", page.whole):
        alone = match[0].endswith("only") and what == "mount"
        before = page.whole[max(0, match.start() - 40) : match.start()].split("\n")[-1]
        if alone or _WITHOUT.search(before) or _NOT_THERE.match(page.whole, match.end()):
            low, high = page.source.span(*match.span())
            return Unread(what=what, words=_passage(page, low, high), left_out=True)
    return None


def _places(page: Page, what: str) -> Iterator[tuple[int, int]]:
    """Give where a stem of the thing's words stands, in the text's own letters."""
    pattern = _pattern(what)
    if pattern is not None:
        for match in pattern.finditer(_folded(page.lines.text)):
            yield match.span()


def _figures(page: Page, what: str) -> Iterator[tuple[int, int]]:
    """Give figures that nothing else explains and that could be the thing's."""
    if what in _SIZES:
        low, high = _SIZES[what]
        for one in lengths(page):
            if low <= one.mm <= high:
                yield one.start, one.end
    if what == "price":
        for match in _MONEY.finditer(page.whole):
            yield match.span()
    if what == "aperture":
        for match in LENGTH.finditer(page.whole):
            mm = number(match["number"]) * unit_mm(match["unit"])
            if round(mm) in APERTURES or (unit_mm(match["unit"]) > 20.0 and mm in _INCHES):
                yield match.span()
    if what == "eyepieces":
        for match in _BARE_EYEPIECES.finditer(page.plain):
            yield match.span()
    patterns = {
        "price": (_ENDING_NUMBER, _CLAUSE_END),
        "power": (_TIMES,),
        "mount": (_MOUNTS,),
        "aperture": (_APERTURE,),
        "finder": (_SMALL_PAIR,),
        "focal length": (_BARE_FOCAL, _FOCAL),
        "barrel size of the eyepieces": (_BARREL,),
        "design of the eyepieces": (_DESIGNS,),
    }
    for pattern in patterns.get(what, ()):
        left = what in ("price", "aperture", "focal length")
        text = page.plain if left else page.whole
        for match in pattern.finditer(text):
            yield match.span()


def _misspelt(page: Page, what: str) -> Iterator[tuple[int, int]]:
    """Give words that are near to one of the thing's words, in whatever language."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    known = _vocabulary(what)
    if not known:
        return
    ordinary, seen = _ordinary(), set()
    for match in WORD.finditer(page.lines.text):
        word = fold(match[0])
        if len(word) < ONE_LETTER_FROM or word in ordinary or word in seen:
            continue
        seen.add(word)
        if len(seen) > MOST_WORDS:
            return
        allowed = 1 if len(word) < TWO_LETTERS_FROM else 2
        found = process.extractOne(word, known, scorer=OSA.distance, score_cutoff=allowed)
        if found is not None:
            yield match.span()


@lru_cache(maxsize=32)
def _vocabulary(what: str) -> tuple[str, ...]:
    """Return the long single words of a thing in every language, folded."""
    meanings = _MEANINGS.get(what, ())
    return tuple(
        sorted(
            {
                words[0]
                for language in languages().values()
                for words, meaning in language.words.items()
                if meaning in meanings and len(words) == 1 and len(words[0]) >= TARGETS_FROM
            }
        )
    )


@lru_cache(maxsize=1)
def _ordinary() -> frozenset[str]:
    """Return every word that the tables know; one of them is no misspelling of another."""
    found = {word for one in languages().values() for word in one.small}
    for one in languages().values():
        found |= {words[0] for words in one.words if len(words) == 1}
    return frozenset(found)


@lru_cache(maxsize=32)
def _pattern(what: str) -> re.Pattern[str] | None:
    """Return the stems of a thing's words in every language, as they may begin or end a word."""
    meanings = _MEANINGS.get(what)
    if meanings is None:
        return None
    words = {fold(one) for one in meanings if " " not in one}
    for language in languages().values():
        for spelled, meaning in language.words.items():
            if meaning in meanings and len(spelled) == 1:
                words.add(spelled[0])
    stems = {word[: max(SHORTEST, len(word) - ENDING)] for word in words if len(word) >= SHORTEST}
    stems |= {word for word in words if 3 <= len(word) < SHORTEST}
    exact = {stem for stem in stems if len(stem) < SHORTEST}
    begun = "|".join(re.escape(one) for one in sorted({*stems, *_STEMS.get(what, ())} - exact))
    whole = "|".join(re.escape(one) for one in sorted(exact)) or "(?!)"
    number = r"(?=[^\n]{0,40}(?:\d|mil+[iy]m))" if what == "aperture" else ""
    last = {stem for stem in stems if len(stem) >= AT_THE_END} if what in COMPOUND else set()
    ended = "|".join(re.escape(one) for one in sorted(last)) or "(?!)"
    return re.compile(
        rf"(?<![^\W\d_])(?:(?:{begun})\w{{0,24}}|(?:{whole})(?![^\W\d_])"
        rf"|[^\W\d_]{{3,16}}(?:{ended})[^\W\d_]{{0,{ENDING + 1}}}(?![^\W\d_])){number}"
    )


@lru_cache(maxsize=2)
def _folded(text: str) -> str:
    """Return a text without case and accents, each letter at its place."""
    return "".join(folded if len(folded := fold(letter)) == 1 else letter for letter in text)


def _passage(page: Page, low: int, high: int) -> str:
    """Return the words around a place of the pasted text, cut at blanks, on one line."""
    raw = page.raw
    start = max(raw.rfind("\n", 0, low) + 1, low - AROUND)
    stop = raw.find("\n", high)
    stop = min(stop if stop >= 0 else len(raw), high + AROUND)
    while start < low and start > 0 and not raw[start - 1].isspace():
        start += 1
    while stop > high and stop < len(raw) and not raw[stop].isspace():
        stop -= 1
    return shown(raw[start:stop]).strip(" ,;.-")
