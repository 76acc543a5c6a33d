"""Promised powers and power ranges, and the two numbers of a binocular."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from simview.advice.reading.clean import Page
from simview.advice.reading.numbers import number

_N: Final = r"(?<![\d.,])(?:\d{1,3},\d{3}|\d{1,5}(?:[.,]\d{1,2})?)(?!\d)"
_TIMES: Final = (
    r"\s?-?(?:x(?![a-z0-9])|times\b|fold\b|power\b|-?fache?n?r?\b|fois\b|aumentos\b|volte\b)"
)

# "10x50", "5x24", "20-60x80": power and aperture of a finder, binocular or spotting scope.
_CROSSED: Final = re.compile(
    r"(?<![\d.,/x])(?P<low>\d{1,3})\s?(?:-\s?(?P<high>\d{1,3})\s?)?x\s?(?P<mm>\d{2,3})(?:\s?mm\b)?(?![\d.,]*\d|\s?x)"
)
_RANGE: Final = re.compile(
    rf"(?P<low>{_N})(?:{_TIMES})?\s?(?:-|to|until|up to|~|bis|à|a)\s?(?P<high>{_N}){_TIMES}"
)
_LISTED: Final = re.compile(
    rf"(?:{_N}(?:{_TIMES})?\s?(?:,|/|&|\+|and|und|et|,\s?and|or)\s?){{1,8}}{_N}{_TIMES}"
)
_SINGLE: Final = re.compile(
    rf"(?<![a-z])(?:(?P<a>{_N}){_TIMES}|x\s?(?P<b>\d{{2,4}})\b(?!\s?(?:mm|cm|\d)))"
)
_LABELLED: Final = re.compile(
    r"(?:magnif\w*|magnying power|(?<!digital )\bpower|vergrößerung\w*|grossissements?"
    r"|aumentos?|ingrandiment[oi]"
    r"|vergroting)(?P<gap>[^\d\n.;]{0,24})(?P<list>"
    rf"{_N}(?:\s?(?:,|/|-|and|&|to)\s?{_N}){{0,8}})(?!\s?(?:mm|cm|kg|%|°|x|\"|'|\d|in\b|inch))"
)
# Words after a number and "x" that make it a count: "2 x eyepieces".
_COUNT: Final = re.compile(
    r"\s{0,2}(?:an?\s)?(?:eye|lens\b|lenses|tripod|barlow|star|finder|filter|batter"
    r"|aa\b|aaa\b|manual|instruction|carry"
    r"|phone|smart|optical tube|adapter|cap\b|dust|cleaning|moon|telescope|¤|mount"
    r"|user|backpack|cloth|h\d|sr|k\d|pl)"
)
_NO_CLAIM: Final = re.compile(r"(?:digital|camera|optical)\s?(?:zoom)?\s?(?:of )?$")
_PER_SIZE: Final = re.compile(
    r"\s?(?:digital|optical|camera)|\s?(?:per|/|each|for every)\s?(?:mm|inch|millim"
    r"|\")|\s?the naked eye"
    r"|\s?(?:faster|more light|brighter|larger|bigger)"
)
# A seller who states the useful limit makes no claim with it.
_USEFUL: Final = re.compile(
    r"(?:useful|usable|practical|sensible|theoretical|recommended)[^\d\n]{0,40}$"
)
_LOWEST: Final = re.compile(r"(?:lowest|minimum|min\.)[^\d\n]{0,30}$")

HIGHEST: Final = 1e5
_FINDER: Final = re.compile(r"finder|guide ?scope|viewfinder|sucher|chercheur|buscador|cercatore")


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossed:
    """Two numbers with a cross: power (or its range) and aperture."""

    power: float
    highest: float | None
    aperture_mm: float
    span: tuple[int, int]
    finder: bool


def read_crossed(page: Page) -> list[Crossed]:
    """Return every "10x50", telling the finder's from the instrument's."""
    found = []
    for match in list(_CROSSED.finditer(page.plain)):
        low, mm = float(match["low"]), float(match["mm"])
        if not (2.0 <= low <= 200.0 and 15.0 <= mm <= 150.0) or mm <= low * 0.2:
            continue
        around = page.plain[max(0, match.start() - 28) : match.end() + 24]
        found.append(
            Crossed(
                power=low,
                highest=float(match["high"]) if match["high"] else None,
                aperture_mm=mm,
                span=match.span(),
                finder=bool(_FINDER.search(around.replace("\n", " "))),
            )
        )
        page.take(match.span())
    return found


# "525x76": a boast of power before the aperture; such a number is nobody's focal length.
_BOAST: Final = re.compile(
    r"(?<![\d.,/x])(?P<power>\d{3})\s?x\s?(?=(?:50|60|70|76|80|90|114|130)(?:\s?mm\b|(?![.,]?\d|[/x])))"
)


def read_boasts(page: Page) -> tuple[float, ...]:
    """Return the powers that stand before an aperture, and take them; a focal length is none."""
    found = []
    for match in list(_BOAST.finditer(page.plain)):
        power = float(match["power"])
        if power >= 150.0 and power % 10.0 == 5.0:
            found.append(power)
            page.note("claimed_power", power, match.span("power"))
            page.take(match.span())
    return tuple(dict.fromkeys(found))


def read_powers(page: Page) -> tuple[tuple[float, ...], float | None]:
    """Return the promised powers in the text's order, and the useful limit where one is stated."""
    spans: list[tuple[int, int, list[float], str]] = []
    for pattern in (_RANGE, _LISTED, _SINGLE, _LABELLED):
        for match in list(pattern.finditer(page.plain)):
            values = _values(match)
            start = match.start("list") if "list" in match.groupdict() else match.start()
            if not values or _is_no_power(page, match, start, values):
                continue
            spans.append((start, match.end(), values, page.plain[max(0, start - 44) : start]))
            page.take((start, match.end()))
    return _sorted_out(page, sorted(spans, key=lambda span: span[0]))


def _values(match: re.Match[str]) -> list[float]:
    text = match.groupdict().get("list") or match[0]
    values = [number(one) for one in re.findall(_N, text)]
    return [value for value in values if 2.0 < value <= HIGHEST]


def _is_no_power(page: Page, match: re.Match[str], start: int, values: list[float]) -> bool:
    before, after = page.plain[max(0, start - 24) : start], page.plain[match.end() :][:28]
    counts = len(values) == 1 and values[0] <= 9 and bool(_COUNT.match(after))
    return counts or bool(_NO_CLAIM.search(before)) or bool(_PER_SIZE.match(after))


def _sorted_out(
    page: Page, spans: list[tuple[int, int, list[float], str]]
) -> tuple[tuple[float, ...], float | None]:
    claims: list[float] = []
    useful: float | None = None
    for start, end, values, before in spans:
        if _USEFUL.search(before):
            if not _LOWEST.search(before):
                useful = max(values)
                page.note("stated_useful_power", useful, (start, end))
            continue
        for value in values:
            if value not in claims:
                claims.append(value)
        key = "power_range" if len(values) > 1 else "claimed_power"
        text = " to ".join(f"{value:g}" for value in values) if len(values) == 2 else _list(values)
        page.note(key, text if len(values) > 1 else values[0], (start, end))
    return tuple(claims), useful


def _list(values: list[float]) -> str:
    return ", ".join(f"{value:g}" for value in values)
