"""Numbers and lengths as adverts write them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from simview.advice.reading.clean import Page
from simview.units import MM_PER_INCH

_VULGAR: Final = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875}

# One number: with thousands in groups, with a decimal point or comma, or with a fraction. No
# digits run on at either side, and a decimal point is not taken for the end of a sentence.
NUMBER: Final = (
    r"(?<![\d.,])(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?"
    r"|\d{1,7}(?:[.,]\d{1,4})?(?:[ -]\d/\d{1,2}(?!\d)|[¼½¾⅛⅜⅝⅞])?"
    r"|[.]\d{1,4}|[¼½¾])(?!\d)"
)

# Units of length -> mm.
_UNITS: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
UNIT: Final = (
    r"(?P<unit>in\.(?= [a-z(])|mm\b|millimet(?:er|re)s?\b|cm\b|centimet(?:er|re)s?\b|m\b(?!')"
    r"|met(?:er|re)s?\b"
    r"|inch(?:es)?\b|''|\"|in\b(?!\s+(?:\d|stock|the|an?|this|total|one|our|your|use"
    r"|box|all|any|new"
    r"|good|it|which|each|store|store|and out|working|very|great|mint|hand)\b))"
)
# "1.250 mm" and "1 250 mm": nobody measures thousandths of a millimetre here.
THOUSANDS: Final = r"(?<![\w.,/])(?<!eq )(?<!az )[1-3][. ]\d{3}(?=\s?(?:mm\b|millim))"
LENGTH: Final = re.compile(rf"(?P<number>{THOUSANDS}|{NUMBER})[ -]{{0,12}}{UNIT}")
_GROUPED: Final = re.compile(r"[1-3][. ]\d{3}")

# Nothing in such an offer is longer, mm: a choice.
LONGEST_MM: Final = 20000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """One measure in the text: its value in mm, whether it was given in inches, and where."""

    mm: float
    start: int
    end: int
    inches: bool = False


def number(text: str) -> float:
    """Return the value of a number that NUMBER has matched."""
    text = text.strip()
    whole, _, fraction = text.replace("-", " ").partition(" ")
    if fraction:
        top, _, bottom = fraction.partition("/")
        return number(whole) + float(top) / max(float(bottom), 1.0)
    if text[-1] in _VULGAR:
        return (number(text[:-1]) if text[:-1] else 0.0) + _VULGAR[text[-1]]
    # A comma before exactly three digits parts thousands, unless a zero stands before it.
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", text):
        return float(text.replace(",", ""))
    return float(text.replace(",", "."))


def unit_mm(unit: str) -> float:
    """Return how many mm a unit that UNIT has matched is."""
    if unit.startswith(("mm", "milli")):
        return _UNITS["mm"]
    if unit.startswith(("cm", "centi")):
        return _UNITS["cm"]
    return _UNITS["m"] if unit.startswith("m") else _UNITS["in"]


def lengths(page: Page) -> Iterator[Length]:
    """Give every measure of length that no reader has taken yet."""
    for match in LENGTH.finditer(page.plain):
        unit = match["unit"]
        told = match["number"]
        if unit_mm(unit) == 1.0 and _GROUPED.fullmatch(told):
            told = told.replace(".", "").replace(" ", "")
        mm = number(told) * unit_mm(unit)
        if mm > LONGEST_MM:  # "36050M" is a model, no length
            continue
        yield Length(
            mm=mm,
            start=match.start(),
            end=match.end(),
            inches=unit_mm(unit) == MM_PER_INCH,
        )
