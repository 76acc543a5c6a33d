"""Pieces that magnify between objective and eyepiece: Barlow lenses and erecting prisms."""

from __future__ import annotations

import re
from typing import Final

from simview.advice.listing import AmplifierKind, OfferedAmplifier
from simview.advice.reading.clean import Page
from simview.advice.reading.numbers import NUMBER, number

# Barlow lenses multiply by so much at most; more is a power beside the word.
_FEW: Final = r"(?<![\d.,])[1-6](?:[.,]\d{1,2})?(?!\d)"
_BARLOW: Final = re.compile(
    rf"(?:(?P<before>(?:x|times)\s?{_FEW}|{_FEW}\s?-?(?:x|times"
    rf"|fold))\s{{0,2}}-?(?:[a-z]+ ){{0,2}})?"
    r"(?P<word>barlows?)(?:[ -]?lens(?:es)?"
    rf"|linse)?(?P<after>[\s:(=-]{{0,3}}(?:x\s?{NUMBER}|{NUMBER}\s?-?(?:x\b|times"
    r"|fold)))?"
)
_ERECTING: Final = re.compile(
    r"(?:image[- ])?erect(?:ing|or|ion)?(?:[- ]image)?[ -](?:eye ?piece|lens|prism|tube|diagonal)"
    r"|image[ -]erect(?:or|ing)|terrestrial (?:eye ?piece|lens)|amici(?: prism)?"
    r"|correct(?:ed)?[ -]image (?:prism|diagonal)|\berector\b"
)
_FACTOR: Final = re.compile(
    r"(?:x\s?(?P<a>[1-5](?:[.,]\d{1,2})?)\b)"
    r"|(?<![\d.,])(?P<b>[1-5](?:[.,]\d{1,2})?)\s?-?(?:x\b|times)"
)
_NONE: Final = re.compile(r"\b(?:no|without|not included:?|ohne|sans)\s(?:an?\s)?(?:[a-z]+\s)?$")


def read_amplifiers(page: Page) -> tuple[tuple[OfferedAmplifier, ...], bool]:
    """Return Barlows and magnifying prisms, and whether an erecting diagonal is named."""
    pieces: list[OfferedAmplifier] = []
    diagonal = False
    for match in list(_BARLOW.finditer(page.plain)):
        span = match.span()
        if match["before"] and match["after"] and "\n" in page.plain[span[0] : match.start("word")]:
            span = (match.start("word"), span[1])  # the line before has its own piece
        if not _NONE.search(page.plain[: match.start("word")][-24:]):
            factor = _barlow_factor(match, own=span[0] == match.start())
            _add(page, pieces, "barlow", factor, span)
        page.take(span)
    for match in list(_ERECTING.finditer(page.plain)):
        factor, span = _factor_near(page, match)
        if _NONE.search(page.plain[: match.start()][-24:]):
            pass
        elif factor is None and re.search(r"prism|diagonal|amici", match[0]):
            diagonal = True
            page.note("diagonal", "erecting", match.span())
        else:
            _add(page, pieces, "erecting-prism", factor, span)
        page.take(span)
    return tuple(pieces), diagonal


def _barlow_factor(match: re.Match[str], *, own: bool) -> float | None:
    for part in ("before", "after") if own else ("after",):
        digits = re.search(NUMBER, match[part] or "")
        if digits and 1.0 < number(digits[0]) <= 5.0:
            return number(digits[0])
    return None


def _factor_near(page: Page, match: re.Match[str]) -> tuple[float | None, tuple[int, int]]:
    start = max(0, match.start() - 12)
    left = page.plain[start : match.start()]
    right = page.plain[match.end() : match.end() + 12].split("\n")[0]
    behind = list(_FACTOR.finditer(left.split("\n")[-1]))
    if behind:
        offset = match.start() - len(left.split("\n")[-1])
        return _value(behind[-1]), (offset + behind[-1].start(), match.end())
    ahead = _FACTOR.search(right)
    if ahead:
        return _value(ahead), (match.start(), match.end() + ahead.end())
    return None, match.span()


def _value(match: re.Match[str]) -> float:
    return number(match["a"] or match["b"])


def _add(
    page: Page,
    pieces: list[OfferedAmplifier],
    kind: AmplifierKind,
    factor: float | None,
    span: tuple[int, int],
) -> None:
    """Keep each piece once: a title often says again what the list says."""
    piece = OfferedAmplifier(kind=kind, factor=factor)
    same = [one for one in pieces if one.kind == kind]
    if factor is None and same:
        return
    if any(one.factor == factor for one in same):
        return
    pieces[:] = [one for one in pieces if not (one.kind == kind and one.factor is None)]
    pieces.append(piece)
    page.note("amplifier", piece.label, span, note="" if factor else "its strength is not said")
