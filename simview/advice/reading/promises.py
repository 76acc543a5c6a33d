"""What the view is promised to be: colours, the flag on the Moon, photographs, galaxies."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from importlib.resources import files
from typing import Final

from simview.advice.listing import Promise
from simview.advice.reading.clean import Page
from simview.advice.reading.trade_words import bare

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


@lru_cache(maxsize=1)
def _tongues() -> dict[str, re.Pattern[str]]:
    """Return how adverts in ten languages put each promise, in small letters without accents."""
    table = tomllib.loads(files("simview.advice").joinpath("data/promises.toml").read_text("utf-8"))
    return {kind: re.compile("|".join(each["words"])) for kind, each in table.items()}


def read_promises(page: Page, *, photographs: bool) -> tuple[Promise, ...]:
    """Return what the offer promises of the view, unless it denies it in the same breath."""
    found: list[Promise] = []
    own = "".join(bare(letter) for letter in page.lines.text)
    for kind, pattern in _PROMISES:
        match = next(_undenied(pattern, page.whole), None)
        if match is not None:
            page.note("promise", kind, match.span())
        elif kind not in _tongues() or next(_undenied(_tongues()[kind], own), None) is None:
            continue
        found.append(kind)
    box = _tongues()["photographs"]
    if photographs or next(_undenied(box, own), None) is not None:
        found.append("photographs")
    return tuple(found)


def _undenied(pattern: re.Pattern[str], text: str) -> Iterator[re.Match[str]]:
    for match in pattern.finditer(text):
        if not _DENIED.search(text[max(0, match.start() - 30) : match.end()]):
            yield match
