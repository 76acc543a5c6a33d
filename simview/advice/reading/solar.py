"""Everything in an advert that puts the Sun and the telescope together.

A wrong word here can cost an eye, so the doubtful is read as the dangerous: a Sun filter is taken
for one that goes over the front only where its own clause says so.
"""

from __future__ import annotations

import re
from typing import Final

from simview.advice.listing import SolarKind
from simview.advice.reading.clean import Page

_SUN: Final = re.compile(
    r"(?<![a-zäöü-])(?:sun|solar|sunspots?|sun-?filters?|eclipses?|sonnen?\w{0,16}|soleil|solaires?"
    r"|solari?|solare|\bsol|zon|zonnefilters?|słon\w+|słoń\w+)(?![a-zäöü])"
    # ... but not the solar system, nor what only has to do with sunshine.
    r"(?!['’]?s?[ -](?:system|power|panel|charg|cell|batter|lamp|light|shade|shield"
    r"|glass|hood|cream"
    r"|rise|set|burn|time|drenched|day))"
)
# "Mon - Sun", "Sat/Sun": the day of the week.
_WEEKDAY: Final = re.compile(
    r"(?:mon|sat|fri|thu|thurs|tue|tues|wed|saturday|monday)\.?\s?(?:-|/|to|till|&|and|,|\+)\s?$"
)
_SUNDAYS: Final = re.compile(r"sonn(?:tag|abend)\w*|sonnenschein|sonnensystem\w*|sonnenblume\w*")

_FILTER: Final = r"filt(?:ers?|res?|ros?|ry?)"
_AHEAD: Final = re.compile(
    rf"^\s?(?:and|&|/|\+|und|et|y|e)?\s?(?:the )?(?:moon|lunar|mond\w*)?\s?[- ]?{_FILTER}"
)
_BEHIND: Final = re.compile(
    rf"{_FILTER}\s?(?:for|pour|para|per|für|voor)?\s?(?:the|le|el|il|die|de)?\s?$"
)
_EYE_END: Final = re.compile(
    r"eye|ocular|okular|screw|thread|0[.,]965|1[.,]25|(?:^|\W)moon|lunar|mond"
)
_FRONT: Final = re.compile(
    r"full[ -]aperture|\bfront\b|over the (?:tube|aperture|objective|lens|end)|foil"
    r"|film|white[ -]light"
    r"|front[ -]mounted|objective (?:end|filter)"
)
_WARN: Final = re.compile(
    r"\bnever|do not|don't|not be (?:used|pointed)|warning|caution|danger|blind"
    r"|must not|not suitable"
    r"|\bavoid|not for|niemals|jamais|nunca|\bmai\b|nooit"
)

# How far from the word its own clause may reach, characters.
REACH: Final = 80


def read_solar(page: Page) -> tuple[SolarKind, ...]:
    """Return everything that puts the Sun and the telescope together, each kind once."""
    found: list[SolarKind] = []
    for match in _SUN.finditer(page.whole):
        before = page.whole[max(0, match.start() - 12) : match.start()]
        if _SUNDAYS.fullmatch(match[0]) or _WEEKDAY.search(before):
            continue
        kind = _kind(page, match)
        if kind not in found:
            found.append(kind)
            page.note("solar", kind, _clause(page.whole, match))
    # A filter named twice, once without its place, is one filter.
    placed = any(kind in ("eyepiece filter", "front filter") for kind in found)
    return tuple(kind for kind in found if not (kind == "filter" and placed))


def _kind(page: Page, match: re.Match[str]) -> SolarKind:
    clause = page.whole[slice(*_clause(page.whole, match))]
    ahead = page.whole[match.end() : match.end() + 22]
    behind = page.whole[max(0, match.start() - 18) : match.start()]
    if re.search(_FILTER, match[0]) or _AHEAD.search(ahead) or _BEHIND.search(behind):
        if _EYE_END.search(clause):
            return "eyepiece filter"
        return "front filter" if _FRONT.search(clause) else "filter"
    if re.search(r"screen|project|schirm|écran", clause):
        return "screen"
    return "warning" if _WARN.search(page.clause(match.start(), match.end(), 90)) else "use"


def _clause(text: str, match: re.Match[str]) -> tuple[int, int]:
    """Return where the clause begins and ends: between commas, stops and line ends."""
    begin = max(0, match.start() - REACH)
    left = max(text.rfind(mark, begin, match.start()) for mark in (",", ";", "\n", ". ", "! "))
    limit = min(len(text), match.end() + REACH)
    ends = [text.find(mark, match.end(), limit) for mark in (",", ";", "\n", ". ", "! ")]
    return (left + 1 if left >= 0 else begin), min((end for end in ends if end >= 0), default=limit)
