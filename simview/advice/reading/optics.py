"""Aperture, focal length, f-ratio and tube length: measures matched to the words beside them.

"60mm aperture 700mm focal length" and "aperture 60mm focal length 700mm" put the same words and
measures in a different order. So words and measures are strung on one line, each may pair with
its neighbour only, and the set of pairs that fits best over the whole line is taken.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from simview.advice.reading.clean import Page
from simview.advice.reading.numbers import NUMBER, Length, lengths, number
from simview.units import MM_PER_INCH

Meaning = Literal["aperture", "focal length", "tube", "piece", "other"]

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
    ("tube", 3.0, r"tube length|tube(?! assembly)|\bota\b"),
    (
        "other",
        3.0,
        r"tube assembly|tripods?"
        r"|height|\btall\b|\blegs?\b|\bbox\b|\bcase\b|package|parcel|dimensions?"
        r"|\bsize\b|weight"
        r"|finder ?scopes?|finders?|viewfinders?|filters?|close focus|eye relief"
        r"|field stop|backpack|\bbag\b"
        r"|secondary|spider|counterweight|extend\w*|stand\b|screen|phones?|smartphones?"
        r"|compass|\blong\b|\bwide\b|length\b|focus range|\bhigh\b",
    ),
    ("piece", 3.0, r"eye ?-?pieces?|oculars?|barlow|barrel|diagonal|prism|focusers?"),
)
_LABEL: Final = re.compile("|".join(f"(?P<g{i}>{word})" for i, (_, _, word) in enumerate(_WORDS)))

# Gaps between a word and a measure that leave no doubt.
_BEFORE: Final = re.compile(
    r"\s{0,2}(?:\((?:d|f|mm|in)\))?\s{0,2}[:=-]?\s{0,3}(?:of|is|approx\.?|about|:|=)?\s{0,2}(?:only|just)?\s{0,3}\(?\s?"
)
_AFTER: Final = re.compile(r"[\s-]{0,3}(?:[(/]\s?¤+\s?\)?|\(\s?)?\s{0,2}(?:clear |large |of )?")
LONGEST_GAP: Final = 36

# What stands between a measure and its own translation; a comma alone also parts two measures.
_APPOSED: Final = re.compile(r"\s?[(/=]\s?(?:or |approx\.? )?|\s?or ")
_LOOSE: Final = re.compile(r"\s{0,2},?\s{0,2}")

# A translation may differ by this part: makers round. A choice.
SAME_MEASURE: Final = 0.06

# What each meaning may measure at all, mm.
_RANGE: Final[dict[Meaning, tuple[float, float]]] = {
    "aperture": (20.0, 3000.0),
    "focal length": (20.0, 12000.0),
    "tube": (100.0, 3000.0),
    "piece": (0.0, 60.0),
    "other": (0.0, 1e9),
}

# What each meaning usually measures in an offer to beginners, mm: common practice.
_LIKELY: Final[dict[Meaning, tuple[float, float]]] = {
    **_RANGE,
    "aperture": (29.0, 310.0),
    "focal length": (190.0, 3600.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A length with the meaning that the words beside it give."""

    meaning: Meaning
    mm: float
    start: int
    end: int
    inches: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Word:
    meaning: Meaning
    sure: float
    start: int
    end: int


def read_measures(page: Page) -> list[Measure]:
    """Return every measure that stands beside a word that explains it, and take it."""
    items: list[_Word | Length] = sorted(
        [*_words(page), *_merged(page, list(lengths(page)))], key=lambda item: item.start
    )
    found = []
    for word, length in _best_pairs(page, items):
        if word.meaning not in ("other", "piece"):
            start, end = min(word.start, length.start), max(word.end, length.end)
            found.append(
                Measure(
                    meaning=word.meaning, mm=length.mm, start=start, end=end, inches=length.inches
                )
            )
        page.take((length.start, length.end))
    return found


def _words(page: Page) -> list[_Word]:
    found = []
    for match in _LABEL.finditer(page.plain):
        meaning, sure, _ = _WORDS[int(str(match.lastgroup)[1:])]
        found.append(_Word(meaning=meaning, sure=sure, start=match.start(), end=match.end()))
    return found


def _merged(page: Page, found: list[Length]) -> list[Length]:
    """Join a measure with its own translation: "70 mm (2.8 in)"."""
    merged: list[Length] = []
    for length in found:
        last = merged[-1] if merged else None
        if last is not None and last.inches != length.inches:
            gap = page.plain[last.end : length.start]
            keep, other = (length, last) if last.inches else (last, length)
            agree = abs(keep.mm / other.mm - 1.0) <= SAME_MEASURE if other.mm else False
            joined = _APPOSED.fullmatch(gap) or (agree and _LOOSE.fullmatch(gap))
            if joined:
                if not agree:
                    _say_translation(page, keep, other)
                merged[-1] = Length(mm=keep.mm, start=last.start, end=length.end)
                continue
        merged.append(length)
    return merged


def _say_translation(page: Page, metric: Length, inch: Length) -> None:
    page.remarks.append(
        f"{page.words(metric.start, metric.end)} is {metric.mm / MM_PER_INCH:.1f} inches, not"
        f" {page.words(inch.start, inch.end)}; the metric figure was taken."
    )


def _best_pairs(page: Page, items: list[_Word | Length]) -> list[tuple[_Word, Length]]:
    """Return the pairs of neighbours with the largest sum of weights, each item used once."""
    best = [0.0, 0.0]
    paired = [False, False]
    for left, right in pairwise(items):
        weight = _weight(page, left, right)
        with_pair = best[-2] + weight
        paired.append(weight > 0.0 and with_pair > best[-1])
        best.append(max(best[-1], with_pair) if weight > 0.0 else best[-1])
    pairs = []
    at = len(best) - 1
    while at >= 2:
        if paired[at]:
            left, right = items[at - 2], items[at - 1]
            word, length = (left, right) if isinstance(left, _Word) else (right, left)
            if isinstance(word, _Word) and isinstance(length, Length):
                pairs.append((word, length))
            at -= 1
        at -= 1
    return pairs[::-1]


def _weight(page: Page, left: _Word | Length, right: _Word | Length) -> float:
    """Return how well two neighbours go together; nothing where they do not."""
    if isinstance(left, _Word) is isinstance(right, _Word) or right.start < left.end:
        return 0.0
    word, length = (left, right) if isinstance(left, _Word) else (right, left)
    if not isinstance(word, _Word) or not isinstance(length, Length):
        return 0.0
    low, high = _RANGE[word.meaning]
    if not low <= length.mm <= (420.0 if word.sure <= 1.0 and word.meaning == "aperture" else high):
        return 0.0
    gap = page.plain[left.end : right.start]
    if len(gap) > LONGEST_GAP:
        return 0.0
    weight = 8.0 + word.sure - 0.12 * len(gap)
    if isinstance(left, _Word):
        weight += 5.0 if _BEFORE.fullmatch(gap) else 0.0
    else:
        weight += 3.0 if _AFTER.fullmatch(gap) else 0.0
    weight -= 4.0 * (not _LIKELY[word.meaning][0] <= length.mm <= _LIKELY[word.meaning][1])
    weight -= 4.0 * ("," in gap) + 7.0 * (";" in gap) + 20.0 * (". " in gap)
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
_FOCAL: Final = re.compile(r"(?<![a-z0-9])f\s?[=:]?\s?(?P<f>\d{3,4})\s?mm\b")
_DIAMETER: Final = re.compile(
    r"(?<![a-z0-9])(?:d\s?[=:]\s?|ø\s?)(?P<d>\d{2,3})\s?(?:mm\b)?(?![\d.])"
)
_RATIO: Final = re.compile(
    rf"(?<![a-z0-9])(?:f\s?/\s?(?P<a>{NUMBER})|f\s?1\s?:\s?(?P<b>{NUMBER})"
    rf"|(?:focal ratio|f[ -]?ratio|öffnungsverhältnis|f-number)\W{{0,4}}(?:of |is "
    rf"|f\s?/?\s?)?(?:1\s?:\s?)?(?P<c>{NUMBER})"
    rf"|f\s?=?\s?(?P<d>\d{{1,2}}(?:[.,]\d{{1,2}})?)(?![\d.,]|\s?mm|\s?x|\s?[/-]))"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Aperture and focal length written together: "70/700"."""

    aperture_mm: float
    focal_length_mm: float
    span: tuple[int, int]
    swapped: bool = False


def read_pair(page: Page) -> Pair | None:
    """Return aperture and focal length where they are written together, and take them."""
    for pattern in (_LETTERED, _PAIR):
        for match in pattern.finditer(page.plain):
            pair = _lettered(match) if pattern is _LETTERED else _plain_pair(match)
            if pair is not None:
                page.take(match.span())
                return pair
    return None


def _lettered(match: re.Match[str]) -> Pair:
    return Pair(
        aperture_mm=float(match["d"] or match["d2"]),
        focal_length_mm=float(match["f"] or match["f2"]),
        span=match.span(),
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
        swapped=float(match["a"]) > float(match["b"]),
    )


def read_letters(page: Page) -> tuple[tuple[float, tuple[int, int]] | None, ...]:
    """Return (aperture, focal length) as single letters give them: "D=60", "F=700mm"."""
    found: list[tuple[float, tuple[int, int]] | None] = []
    for pattern, group in ((_DIAMETER, "d"), (_FOCAL, "f")):
        match = pattern.search(page.plain)
        found.append((float(match[group]), match.span()) if match else None)
        if match:
            page.take(match.span())
    return tuple(found)


def read_ratio(page: Page) -> tuple[float, tuple[int, int]] | None:
    """Return the stated f-ratio and where it stands, and take it."""
    for match in _RATIO.finditer(page.plain):
        value = number(next(group for group in match.groups() if group))
        if 1.5 <= value <= 40.0:
            page.take(match.span())
            return value, match.span()
    return None
