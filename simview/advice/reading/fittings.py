"""Parts with a measure of their own: a secondary mirror of 44 mm is no eyepiece of 44 mm.

``fittings.toml`` names them and says how large they are; each language's words say how people write
them. A measure that stands beside such a part, and is one that the part can have, is taken away
before the telescope's own measures are weighed; so is the number of what is counted.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Final

from simview.advice.reading.clean import Page
from simview.advice.reading.numbers import LENGTH, NUMBER, number, unit_mm

# What is only counted has no measure of its own.
NONE: Final = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part.

    Parameters
    ----------
    word
        The readers' word for it.
    low_mm, high_mm
        What it can measure.
    counted
        True where a bare number before it counts it.
    """

    word: str
    low_mm: float
    high_mm: float
    counted: bool = False


@lru_cache(maxsize=1)
def parts() -> tuple[Part, ...]:
    """Return every part of the table."""
    table = tomllib.loads(
        files("simview.advice.reading").joinpath("fittings.toml").read_text("utf-8")
    )
    return tuple(
        Part(
            word=one["word"],
            low_mm=float(one.get("mm", NONE)[0]),
            high_mm=float(one.get("mm", NONE)[1]),
            counted=bool(one.get("counted", False)),
        )
        for one in table["part"]
    )


# Words between a part and its own measure: "secondary mirror: 44 mm (minor axis)".
_OF: Final = (
    r"(?:of|is|are|has|about|only|approx\.?|ca\.?|diameter|dia\.?|ø|width|wide|long|length|size|from|up"
    r"|to|with|at|a|mit|von|bis|de|du|da|di|del|van|av|med|o|z|s|with|ab|auf|sur|su|each|je|outer"
    r"|inner|steel|adjustable|thread|minor axis|mm)"
)
_GAP: Final = re.compile(rf"s?[ :=(]{{0,3}}(?:\b{_OF}\b[ :=()]{{0,2}}){{0,4}}")
_SMALL_WORD: Final = r"[^\W\d_]{1,14}"
_LEAD: Final = re.compile(rf"[ -]{{0,2}}(?:\(?{_SMALL_WORD} ){{0,2}}")
_RANGE: Final = re.compile(rf"(?:{NUMBER})\s?(?:mm|cm)?\s?(?:-|to|and|/|x)\s?$")

# Words that claim the measure beside them for the telescope itself, or for an eyepiece.
_OWN: Final = (
    r"(?:clear |free )?apertures?|objectives?|focal length|focal|eye ?-?pieces?|refractors?"
    r"|reflectors?|newtonians?|maksutovs?|dobsonians?|telescopes?|barlow|plossl|kellner|binoculars?"
)
_CLAIMED_AFTER: Final = re.compile(
    rf"(?: ?(?:[,/&+]|\band\b|\bor\b)? ?{NUMBER} ?(?:mm\b)?){{0,4}}[ -]{{0,2}}(?:{_OWN})\b"
)
_CLAIMED_BEFORE: Final = re.compile(
    rf"(?:\b(?:{_OWN})|\bf|\bfl|\bd)[ :=]{{0,2}}(?:\b(?:of|is|de|von|da|di|mit)\b )?$"
)


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[Part, re.Pattern[str]], ...]:
    return tuple(
        (part, re.compile(rf"\b{re.escape(part.word)}s?\b(?! of the)".replace("ss?", "s?")))
        for part in parts()
    )


def take_parts(page: Page) -> float | None:
    """Take the measures of parts out of a text, and return the secondary mirror's, mm, if named.

    Checked by: tests/corpus/test_reading_parts.py
    """
    secondary: float | None = None
    for part, pattern in _patterns():
        for match in list(pattern.finditer(page.plain)):
            if part.counted:
                _take_count(page, match.start())
            found = _after(page, match.end(), part) or _before(page, match.start(), part)
            if found is None:
                continue
            mm, span = found
            page.take(span)
            if part.word in ("secondary mirror", "minor axis") and secondary is None:
                secondary = mm
    return secondary


_COUNT: Final = re.compile(
    rf"(?<![\w.,/])(\d{{1,3}}) ?(?:x ?)?(?:(?!(?:mm|cm|inch) ){_SMALL_WORD} )?$"
)


def _take_count(page: Page, start: int) -> None:
    """Take "4" of "4 vanes"."""
    begin = max(0, start - 24)
    count = _COUNT.search(page.plain[begin:start])
    if count:
        page.take((begin + count.start(1), begin + count.end(1)))


def _after(page: Page, end: int, part: Part) -> tuple[float, tuple[int, int]] | None:
    """Return the measure that follows a part: "secondary mirror 44 mm"."""
    gap = _GAP.match(page.plain, end)
    at = gap.end() if gap else end
    own = "minor axis" in page.plain[end:at]  # no eyepiece has one
    for begin, length, mm in _measures(page, at, at + 24):
        lead = page.plain[at:begin]
        if lead and not _RANGE.fullmatch(lead):
            break
        claimed = not own and _CLAIMED_AFTER.match(page.plain, length)
        if not part.low_mm <= mm <= part.high_mm or claimed:
            break
        return mm, (at, length)
    return None


def _before(page: Page, start: int, part: Part) -> tuple[float, tuple[int, int]] | None:
    """Return the measure right before a part: "44 mm dovetail", "32 mm steel tripod leg"."""
    for begin, length, mm in reversed(list(_measures(page, max(0, start - 48), start))):
        if not _LEAD.fullmatch(page.plain[length:start]):
            return None
        if _CLAIMED_AFTER.match(page.plain, length):
            return None
        head = page.plain[max(0, begin - 32) : begin]
        if not part.low_mm <= mm <= part.high_mm or _CLAIMED_BEFORE.search(head):
            return None
        span = _RANGE.search(head)
        return mm, (begin - (len(head) - span.start()) if span else begin, length)
    return None


def _measures(page: Page, start: int, stop: int) -> Iterator[tuple[int, int, float]]:
    """Give each measure that begins in a stretch: where it begins and ends, and its length, mm."""
    for match in LENGTH.finditer(page.plain, start):
        if match.start() >= stop:
            return
        yield match.start(), match.end(), number(match["number"]) * unit_mm(match["unit"])
