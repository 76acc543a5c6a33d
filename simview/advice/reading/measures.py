"""Aperture, focal length, f-ratio and tube length: measures matched to the words beside them.

"60mm aperture 700mm focal length" and "aperture 60mm focal length 700mm" put the same words and
measures in a different order. So words and measures are strung on one line, each may pair with
its neighbour only, and the set of pairs that fits best over the whole line weighs most. Nothing is
decided here: joint.py chooses.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from simview.advice.reading.clean import Page
from simview.advice.reading.numbers import NUMBER, Length, number
from simview.advice.speech import number as number_of
from simview.advice.speech import say
from simview.units import MM_PER_INCH

Meaning = Literal["aperture", "focal length", "tube", "piece", "other", "big", "finder"]

_WORDS: Final[tuple[tuple[Meaning, float, str], ...]] = (
    # Meaning, how sure the word is, the word. "other" words keep a measure from the wrong hands.
    (
        "focal length",
        3.0,
        r"focal[\s-]?(?:length|distance|lenght)|focus (?:length|distance)"
        r"|\bf\.?l\.?(?![a-z])|\bfocal\b"
        r"|brennweite|(?:longueur |distance )focale|distancia focal|lunghezza focale|brandpunts\w+",
    ),
    (
        "aperture",
        3.0,
        r"(?:clear |effective |optical |objective )?aperture|objective(?:[ -]?lens)?(?: diameter)?"
        r"|(?:lens|mirror|objective|optical|main) diameter|(?:primary|main)(?:[ -]mirror)"
        r"|front lens"
        r"|\bobj\.?(?![a-z])|öffnung|objektiv\w*|ouverture|diamètre|apertura|obiettivo"
        r"|objetivo|diafragma",
    ),
    (
        "aperture",
        1.5,
        r"\bdiameter\b|ø|\bmirror\b|\bdia\.?(?![a-z])"
        r"|(?<!barlow )(?<!erecting )(?<!eye )(?<!phone )\blens(?! cap| cloth| clean)\b",
    ),
    (
        "aperture",
        1.0,
        r"refractors?|reflectors?|newtonians?|cassegrains?|maksutovs?|dobsonians?|dobs?\b"
        r"|achromat\w*"
        r"|(?:astronomical |terrestrial )?telescopes?|\bscopes?\b|binoculars?|monoculars?"
        r"|\bobjective\b",
    ),
    ("aperture", 1.5, r"\bsize(?=[ :?]{1,3}\d{1,2}(?:[.,]\d)? ?(?:inch|in\b|\"))"),
    ("tube", 3.0, r"tube length|tube(?! assembly)|\bota\b"),
    (
        "other",
        3.0,
        r"filters?|close focus|eye relief|field stop|secondary|spider|focus range|\bsize\b"
        r"|\blong\b|\bwide\b(?! angle| field)|\bthick\b|length\b|screen|phones?|smartphones?",
    ),
    (
        "big",
        3.0,
        r"tube assembly|tripods?"
        r"|height|\btall\b|\blegs?\b|\bbox\b(?! says| reads| claims)|\bcase\b|package|parcel"
        r"|dimensions?"
        r"|weight|backpack|\bbag\b|counterweight|extend\w*|stand\b|compass|\bhigh\b",
    ),
    ("finder", 3.0, r"finder ?scopes?|finders?|viewfinders?"),
    ("piece", 3.0, r"eye ?-?pieces?|oculars?|barlow|barrel|diagonal|prism|focusers?"),
)
_LABEL: Final = re.compile("|".join(f"(?P<g{i}>{word})" for i, (_, _, word) in enumerate(_WORDS)))

# Gaps between a word and a measure that leave no doubt.
_BEFORE: Final = re.compile(
    r"\s{0,2}(?:\((?:d|f|mm|in)\))?\s{0,2}[:=-]?\s{0,3}(?:of|is|approx\.?|about|:|=)?\s{0,2}(?:only|just)?\s{0,3}\(?\s?"
)
_AFTER: Final = re.compile(r"[\s-]{0,3}(?:[(/]\s?¤+\s?\)?|\(\s?)?\s{0,2}(?:clear |large |of )?")
LONGEST_GAP: Final = 36

# "25 and 10 mm, moon filter": the filter is the next thing in the list, with no measure.
_FILTER: Final = re.compile(r"filter")
_NEXT: Final = re.compile(r"[,;+&]|\b(?:and|plus|with)\b")

# "360mm with tripod": the tripod comes along, it is not so long. A choice.
_BESIDE: Final = re.compile(
    r",? ?(?:with|and|plus|con|mit|avec|met|com|med|z|ze|s|se|\+) (?:\w+ )?"
)
WITH_IT: Final = 10.0

# What stands between a measure and its own translation; a comma alone also parts two measures.
_APPOSED: Final = re.compile(r"\s?[(/=]\s?(?:or |approx\.? )?|\s?or ")
_LOOSE: Final = re.compile(r"\s{0,2},?\s{0,2}")

# A translation may differ by this part: makers round. A choice.
SAME_MEASURE: Final = 0.06

# What each meaning may measure at all, mm.
_RANGE: Final[dict[Meaning, tuple[float, float]]] = {
    "aperture": (20.0, 3000.0),
    "focal length": (20.0, 12000.0),
    "tube": (180.0, 3000.0),
    "piece": (0.0, 60.0),
    "other": (0.0, 1e9),
    "big": (60.0, 1e9),
    "finder": (18.0, 130.0),
}

# What each role usually measures in an offer to beginners, mm: common practice.
LIKELY: Final = {"aperture_mm": (29.0, 310.0), "focal_length_mm": (190.0, 3600.0)}
_LIKELY: Final = {
    "aperture": LIKELY["aperture_mm"],
    "focal length": LIKELY["focal_length_mm"],
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word that gives a measure its meaning, how sure it is, and where it stands."""

    meaning: Meaning
    sure: float
    start: int
    end: int


def words_of(page: Page) -> list[Word]:
    """Return every word that explains a measure, in the order of the text."""
    found = []
    for match in _LABEL.finditer(page.plain):
        meaning, sure, _ = _WORDS[int(str(match.lastgroup)[1:])]
        found.append(Word(meaning=meaning, sure=sure, start=match.start(), end=match.end()))
    return found


def merged(page: Page, found: list[Length]) -> list[Length]:
    """Join a measure with its own translation: "70 mm (2.8 in)"."""
    joined_up: list[Length] = []
    for length in found:
        last = joined_up[-1] if joined_up else None
        if last is not None and last.inches != length.inches:
            gap = page.plain[last.end : length.start]
            keep, other = (length, last) if last.inches else (last, length)
            agree = abs(keep.mm / other.mm - 1.0) <= SAME_MEASURE if other.mm else False
            joined = _APPOSED.fullmatch(gap) or (agree and _LOOSE.fullmatch(gap))
            if joined:
                if not agree:
                    _say_translation(page, keep, other)
                joined_up[-1] = Length(mm=keep.mm, start=last.start, end=length.end)
                continue
        joined_up.append(length)
    return joined_up


def _say_translation(page: Page, metric: Length, inch: Length) -> None:
    page.remarks.append(
        say(
            "{metric} is {inches} inches, not {stated}; the metric figure was taken.",
            metric=page.words(metric.start, metric.end),
            inches=number_of(metric.mm / MM_PER_INCH, 1),
            stated=page.words(inch.start, inch.end),
        )
    )


def best_pairs(page: Page, items: list[Word | Length]) -> list[tuple[Word, Length]]:
    """Return the pairs of neighbours with the largest sum of weights, each item used once."""
    best = [0.0, 0.0]
    paired = [False, False]
    for left, right in pairwise(items):
        weight = pair_weight(page, left, right)
        with_pair = best[-2] + weight
        paired.append(weight > 0.0 and with_pair > best[-1])
        best.append(max(best[-1], with_pair) if weight > 0.0 else best[-1])
    pairs = []
    at = len(best) - 1
    while at >= 2:
        if paired[at]:
            left, right = items[at - 2], items[at - 1]
            word, length = (left, right) if isinstance(left, Word) else (right, left)
            if isinstance(word, Word) and isinstance(length, Length):
                pairs.append((word, length))
            at -= 1
        at -= 1
    return pairs[::-1]


def pair_weight(page: Page, left: Word | Length, right: Word | Length) -> float:
    """Return how well two neighbours go together; nothing where they do not."""
    if isinstance(left, Word) is isinstance(right, Word) or right.start < left.end:
        return 0.0
    word, length = (left, right) if isinstance(left, Word) else (right, left)
    if not isinstance(word, Word) or not isinstance(length, Length):
        return 0.0
    low, high = _RANGE[word.meaning]
    if not low <= length.mm <= (420.0 if word.sure <= 1.0 and word.meaning == "aperture" else high):
        return 0.0
    gap = page.plain[left.end : right.start]
    apart = right is word and _FILTER.match(page.plain, word.start) and _NEXT.search(gap)
    if len(gap) > LONGEST_GAP or apart:
        return 0.0
    if word.meaning == "finder" and "," in gap:
        return 0.0
    weight = 8.0 + word.sure - 0.12 * len(gap)
    if isinstance(left, Word):
        weight += (5.0 if word.sure > 1.0 else 3.0) if _BEFORE.fullmatch(gap) else 0.0
    else:
        weight += 3.0 if _AFTER.fullmatch(gap) else 0.0
    likely = _LIKELY.get(word.meaning, _RANGE[word.meaning])
    weight -= 4.0 * (not likely[0] <= length.mm <= likely[1])
    weight -= 4.0 * ("," in gap) + 7.0 * (";" in gap) + 20.0 * (". " in gap)
    if word.meaning == "big" and length is left and _BESIDE.fullmatch(gap):
        weight -= WITH_IT
    weight -= 7.0 * gap.strip(" :=").count("\n") + 2.0 * ("\n" in gap)
    return weight


_PAIR: Final = re.compile(
    r"(?<![\d.,/x])(?P<a>\d{2,4})\s?(?:mm)?\s?(?P<by>/|x"
    r"|-)\s?(?P<b>\d{2,4})\s?(?:mm\b)?(?![\d.,]*\d|/|\s?x\b|x)"
)
_LETTERED: Final = re.compile(
    r"(?<![a-z0-9])d\s?[=:]?\s?(?P<d>\d{2,3})\s?(?:mm)?\s?[,;/ ]{0,2}"
    r"f\s?[=:]?\s?(?P<f>\d{3,4})(?:\s?mm)?(?![\d.])"
    r"|(?<![a-z0-9])f\s?[=:]?\s?(?P<f2>\d{3,4})\s?(?:mm)?\s?[,;/ ]{0,2}"
    r"d\s?[=:]?\s?(?P<d2>\d{2,3})(?:\s?mm)?(?![\d.])"
)
_RATIO: Final = re.compile(
    rf"(?<![a-z0-9])(?:f\s?/\s?(?:d\s?[:=]?\s?)?(?P<a>{NUMBER})|f\s?1\s?:\s?(?P<b>{NUMBER})"
    rf"|(?:focal ratio|f[ -]?ratio|öffnungsverhältnis|f-number)\W{{0,4}}(?:of |is "
    rf"|f\s?/?\s?)?(?:1\s?[:/]\s?)?(?P<c>{NUMBER})"
    rf"|f\s?=?\s?(?P<d>\d{{1,2}}(?:[.,]\d{{1,2}})?)(?![.,]?\d|\s?mm|\s?x|\s?[/-]\d))"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Aperture and focal length written together: "70/700"."""

    aperture_mm: float
    focal_length_mm: float
    span: tuple[int, int]
    by: str
    swapped: bool = False


def written_pairs(text: str) -> Iterator[Pair]:
    """Give aperture and focal length wherever a text writes them together."""
    for pattern in (_LETTERED, _PAIR):
        for match in pattern.finditer(text):
            pair = _lettered(match) if pattern is _LETTERED else _plain_pair(match)
            if pair is not None:
                yield pair


def _lettered(match: re.Match[str]) -> Pair:
    return Pair(
        aperture_mm=float(match["d"] or match["d2"]),
        focal_length_mm=float(match["f"] or match["f2"]),
        span=match.span(),
        by="letters",
    )


def _plain_pair(match: re.Match[str]) -> Pair | None:
    """Accept two numbers as a telescope's only where their ratio can be a focal ratio."""
    small, large = sorted((float(match["a"]), float(match["b"])))
    mm = "mm" in match[0]
    if match["by"] == "-" and not mm and float(match["a"]) > float(match["b"]):
        return None
    if not (40.0 <= small <= 420.0 and 200.0 <= large <= 4000.0 and 2.8 <= large / small <= 20.0):
        return None
    return Pair(
        aperture_mm=small,
        focal_length_mm=large,
        span=match.span(),
        by=match["by"],
        swapped=float(match["a"]) > float(match["b"]),
    )


def ratio_matches(page: Page) -> Iterator[tuple[float, tuple[int, int]]]:
    """Give every stated f-ratio and where it stands."""
    for match in _RATIO.finditer(page.plain):
        value = number(next(group for group in match.groups() if group))
        if 1.5 <= value <= 40.0:
            yield value, match.span()
