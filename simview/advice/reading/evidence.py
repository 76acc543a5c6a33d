"""What each measure in a text could be: claims with weights, from which joint.py chooses.

Every number is a candidate for several roles. A claim says: these words would make this number
the aperture (the focal length, the f-ratio, ...), and how strongly they say so. Claims may
contradict one another; nothing is decided here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from simview.advice.reading.clean import Page
from simview.advice.reading.measures import (
    LIKELY,
    Word,
    best_pairs,
    merged,
    pair_weight,
    ratio_matches,
    words_of,
    written_pairs,
)
from simview.advice.reading.models import read_model
from simview.advice.reading.numbers import NUMBER, UNIT, Length, lengths, number

Role = Literal["aperture_mm", "focal_length_mm", "focal_ratio", "tube_length_mm", "other"]

# Weights: choices, in the units of the weights of words beside measures (see measures.py: a word
# beside its measure is worth 12 to 16).
PAIR: Final = {"/": 15.0, "x": 12.0, "-": 9.0, " ": 5.0}
SWAPPED: Final = -2.0
LETTER: Final = 14.0
RATIO: Final = 10.0
MODEL: Final = 3.0
ANOTHER_WORD: Final = -6.0
NO_UNIT: Final = -2.0
SIZE_ALONE: Final = 2.0

# Apertures that telescopes for beginners are sold with, mm: common practice.
APERTURES: Final = frozenset(
    (50, 60, 70, 72, 76, 80, 90, 100, 102, 114, 120, 127, 130, 150, 152, 200, 203, 250, 254)
)

_BARE: Final = re.compile(rf"(?P<number>{NUMBER})(?!\s?(?:{UNIT}|x\b|times|fold|°|%|kg|k\d))")
_BOX: Final = re.compile(
    rf"(?!\d+x )(?:{NUMBER}\s?(?:cm|mm|in|\")?\s?x\s?){{2}}{NUMBER}"
    rf"\s?(?:cm|mm|inch(?:es)?|in\b|\")?"
    rf"|{NUMBER}\s?x\s?{NUMBER}\s?cm\b"
)
_BOASTED: Final = re.compile(r"(?<=¤)\d{2,3}(?![.,]?\d|[/x]|\s?(?:mm|x\b|€|£|eur))")
_SPACED: Final = re.compile(
    r"(?<![\d.,/x])(?P<a>\d{2,3}) (?:(?:on|by|over|auf|sur|op|su|sobre|na|på|x) )?(?P<b>\d{3,4})"
    r"(?![\d.,]*\d|\s?(?:mm|cm|m\b|x|kg|g\b|eur|usd|gbp|pln|czk|sek|kr|[€£$/]))"
)
_SCOPE: Final = r"newtonian|dobsonian|reflector|refractor|maksutov|telescope|ed\b|apo\b"
_NEAR_SCOPE: Final = re.compile(
    rf"(?P<n>\d{{2,3}})\s?-?(?:er\b)?\s?(?:{_SCOPE})"
    rf"|(?:{_SCOPE}) (?:de|of|da|di|von|van|z|av|med|mit|with|à|a) (?P<after>\d{{2,3}})"
    r"(?![\d/x.,]*\d)"
    rf"|(?:maksutov|newtonian|dobsonian|reflector"
    rf"|refractor) (?P<kind>\d{{2,3}})(?=\s?(?:[,;)\n]|/ ?(?!\d)|$))"
    rf"|(?:{_SCOPE}) (?P<then>\d{{2,3}})(?= [a-z(])(?! ?(?:€|£|\$|eur|usd|gbp|quid|pounds?"
    r"|dollars?|mm\b|cm\b|x\b|times|power|ono\b|obo\b|price|posted|delivered|pln|zł|czk|kč|sek"
    r"|kr\b|years|kg|g\b"
    r"|pieces?|photos?|w\b|v\b|on \d))"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One thing that a number could be.

    Parameters
    ----------
    role
        What it would be.
    value
        In mm; a bare number for the f-ratio.
    places
        Where the numbers stand that it uses up.
    span
        All of the words that say so.
    weight
        How strongly.
    pair
        Number of the written pair that it is half of; -1 for none.
    """

    role: Role
    value: float
    places: tuple[tuple[int, int], ...]
    span: tuple[int, int]
    weight: float
    pair: int = -1
    swapped: bool = False
    guess: bool = False
    note: str = ""


def claims_of(page: Page) -> list[Claim]:
    """Return every claim that the words of a page support."""
    return [
        *_pairs(page),
        *_letters(page),
        *_ratios(page),
        *_worded(page),
        *_near_scope(page),
        *_model(page),
    ]


def take_boxes(page: Page) -> None:
    """Take the sizes of boxes: three numbers with crosses, or two in centimetres."""
    for match in list(_BOX.finditer(page.plain)):
        page.take(match.span())


def _inside(span: tuple[int, int], others: Sequence[tuple[int, int]]) -> bool:
    return any(start < span[1] and span[0] < end for start, end in others)


def _pairs(page: Page) -> Iterator[Claim]:
    for at, pair in enumerate(written_pairs(page.plain)):
        weight = LETTER if pair.by == "letters" else PAIR[pair.by]
        weight += SWAPPED * pair.swapped
        note = "written as aperture / focal length, the usual way"
        if pair.swapped:
            note = "swapped: the offer writes the focal length first"
        for role, value in (
            ("aperture_mm", pair.aperture_mm),
            ("focal_length_mm", pair.focal_length_mm),
        ):
            yield Claim(
                role="aperture_mm" if role == "aperture_mm" else "focal_length_mm",
                value=value,
                places=(pair.span,),
                span=pair.span,
                weight=weight,
                pair=at,
                swapped=pair.swapped,
                note=note,
            )


_LETTERED: Final[tuple[tuple[Role, re.Pattern[str]], ...]] = (
    (
        "aperture_mm",
        re.compile(
            r"(?<![a-z0-9])(?:d\s?[=:]\s?|d |ø\s?)(?P<n>\d{2,3})\s?(?:mm\b|(?=[,;\s]))(?![\d.])"
        ),
    ),
    (
        "focal_length_mm",
        re.compile(r"(?<![a-z0-9])f\s?[=:]?\s?(?P<n>\d{3,4})(?:\s?mm\b|(?=[,;\s]|\.(?!\d)|$))"),
    ),
)


def _letters(page: Page) -> Iterator[Claim]:
    """Give "D=60mm" and "F=700mm" that stand alone; the two together are a pair already."""
    pairs = [pair.span for pair in written_pairs(page.plain) if pair.by == "letters"]
    for role, pattern in _LETTERED:
        for match in pattern.finditer(page.plain):
            value = float(match["n"])
            span = match.span()
            if LIKELY[role][0] <= value <= LIKELY[role][1] and not _inside(span, pairs):
                yield Claim(
                    role=role, value=value, places=(match.span("n"),), span=span, weight=LETTER
                )


def _ratios(page: Page) -> Iterator[Claim]:
    for value, span in ratio_matches(page):
        yield Claim(role="focal_ratio", value=value, places=(span,), span=span, weight=RATIO)


def _worded(page: Page) -> Iterator[Claim]:
    """Give measures beside words, the best set of neighbours first; and measures by their size."""
    measures = merged(page, list(lengths(page)))
    known = [(one.start, one.end) for one in measures]
    bare = {span: one for span, one in _bare(page) if not _inside(span, known)}
    items: list[Word | Length] = sorted(
        [*words_of(page), *measures, *bare.values()], key=lambda item: item.start
    )
    chosen = best_pairs(page, items)
    taken = {(word.start, length.start) for word, length in chosen}
    for word, length in chosen:
        yield from _by_word(page, word, length, bare, 0.0)
    for one, other in [*pairwise(items), *((b, a) for a, b in pairwise(items))]:
        fresh = isinstance(one, Word) and (one.start, other.start) not in taken
        if fresh and isinstance(one, Word) and isinstance(other, Length):
            yield from _by_word(page, one, other, bare, ANOTHER_WORD)
    for length in measures:
        yield from _by_size(length)


def _by_word(
    page: Page, word: Word, length: Length, bare: dict[tuple[int, int], Length], less: float
) -> Iterator[Claim]:
    first, second = (word, length) if word.start < length.start else (length, word)
    weight = pair_weight(page, first, second) + less
    if weight <= 0.0:
        return
    span = (length.start, length.end)
    roles: dict[str, Role] = {
        "aperture": "aperture_mm",
        "focal length": "focal_length_mm",
        "tube": "tube_length_mm",
    }
    role = roles.get(word.meaning, "other")
    if role == "other" and less:
        return
    if span in bare:
        if role not in ("aperture_mm", "focal_length_mm"):
            return
        if word.sure < 1.5 or not LIKELY[role][0] <= length.mm <= LIKELY[role][1]:
            return
        weight += NO_UNIT
    whole = (min(word.start, length.start), max(word.end, length.end))
    piece = word.meaning == "piece"
    yield Claim(
        role=role,
        value=length.mm,
        places=(span,),
        span=whole,
        weight=0.5 if piece else weight,
    )


def _by_size(length: Length) -> Iterator[Claim]:
    """Give what a measure with a unit would be by its size alone."""
    span = (length.start, length.end)
    low, high = LIKELY["aperture_mm"]
    if low <= length.mm <= high:
        usual = round(length.mm) in APERTURES or length.inches
        weight = SIZE_ALONE + 0.5 * usual - 1.0 * (length.mm < 48.0)
        yield Claim(
            role="aperture_mm",
            value=length.mm,
            places=(span,),
            span=span,
            weight=weight,
            guess=True,
        )
    low, high = LIKELY["focal_length_mm"]
    if max(low, 400.0 if length.inches else 200.0) <= length.mm <= high:
        weight = SIZE_ALONE + 0.5 * (length.mm % 10.0 == 0.0)
        yield Claim(
            role="focal_length_mm",
            value=length.mm,
            places=(span,),
            span=span,
            weight=weight,
            guess=True,
        )


def _bare(page: Page) -> Iterator[tuple[tuple[int, int], Length]]:
    for match in _BARE.finditer(page.plain):
        before = page.plain[max(0, match.start() - 1) : match.start()]
        value = number(match["number"])
        if not before.isalpha() and 20.0 <= value <= 4000.0:
            span = match.span("number")
            yield span, Length(mm=value, start=span[0], end=span[1])


def _near_scope(page: Page) -> Iterator[Claim]:
    """Give "150er Newton" and "130 reflector": a usual aperture right before the telescope."""
    spaced = [match.start("a") for match in _SPACED.finditer(page.plain)]
    for match in _NEAR_SCOPE.finditer(page.plain):
        if any(match.start() <= place < match.end() for place in spaced):
            continue  # "telescope 70 on 900" says more
        group = next(name for name in ("n", "after", "kind", "then") if match[name])
        value = float(match[group])
        before = page.plain[max(0, match.start() - 1) : match.start()]
        if value in APERTURES and not (before.isalnum() or (before and before in "./,x")):
            yield Claim(
                role="aperture_mm",
                value=value,
                places=(match.span(group),),
                span=match.span(),
                weight=5.0,
            )
    for match in _BOASTED.finditer(page.plain):
        if float(match[0]) in APERTURES:
            yield Claim(
                role="aperture_mm",
                value=float(match[0]),
                places=(match.span(),),
                span=match.span(),
                weight=5.0,
            )
    for match in _SPACED.finditer(page.plain):
        aperture, focal = float(match["a"]), float(match["b"])
        if aperture in APERTURES and focal % 10 == 0 and 3.3 <= focal / aperture <= 16.5:
            for role, value in (("aperture_mm", aperture), ("focal_length_mm", focal)):
                yield Claim(
                    role="aperture_mm" if role == "aperture_mm" else "focal_length_mm",
                    value=value,
                    places=(match.span(),),
                    span=match.span(),
                    weight=PAIR[" "],
                    pair=1000 + match.start(),
                    guess=True,
                    note="two numbers side by side, as aperture and focal length usually are",
                )


def _model(page: Page) -> Iterator[Claim]:
    model = read_model(page)
    if model is None:
        return
    for role, value in (
        ("aperture_mm", model.aperture_mm),
        ("focal_length_mm", model.focal_length_mm),
    ):
        yield Claim(
            role="aperture_mm" if role == "aperture_mm" else "focal_length_mm",
            value=value,
            places=(model.span,),
            span=model.span,
            weight=MODEL,
            pair=100_000,
            guess=True,
            note="guessed from the model number",
        )
