"""What the view is promised to be: colours, the flag on the Moon, photographs, galaxies."""

from __future__ import annotations

import re
from typing import Final

from simview.advice.listing import Promise
from simview.advice.reading.clean import Page

_DEEP: Final = r"(?:galax(?:y|ies)|nebulae?|nebulas)"
_COLOUR: Final = r"(?:colou?r\w*|technicolou?r)"
_DENIED: Final = re.compile(
    r"\bno\b|\bnot\b|n't\b|\bnever|without|\bkeine?\b|nicht|\bpas\b|\bsin\b|senza|geen|niet|bez"
    r"|\bnie\b|sem\b|não|inte\b|grey|gray"
)
_PROMISES: Final[tuple[tuple[Promise, re.Pattern[str]], ...]] = (
    (
        "colour",
        re.compile(
            rf"{_DEEP}[^.!?\n]{{0,60}}{_COLOUR}|{_COLOUR}[^.!?\n]{{0,40}}{_DEEP}"
            rf"|full[ -]{_COLOUR}|in (?:all|their|full|vivid) (?:\w+ )?{_COLOUR}"
        ),
    ),
    ("flag", re.compile(r"\bflags?\b[^.!?\n]{0,50}\bmoon|\bmoon[^.!?\n]{0,50}\bflags?\b")),
    ("galaxies", re.compile(r"distant galax\w+|galax\w+[^.!?\n]{0,30}(?:close|detail|as never)")),
)


def read_promises(page: Page, *, photographs: bool) -> tuple[Promise, ...]:
    """Return what the offer promises of the view, unless it denies it in the same breath."""
    found: list[Promise] = []
    for kind, pattern in _PROMISES:
        for match in pattern.finditer(page.whole):
            start = max(0, match.start() - 30)
            if not _DENIED.search(page.whole[start : match.end()]):
                found.append(kind)
                page.note("promise", kind, match.span())
                break
    return (*found, "photographs") if photographs else tuple(found)
