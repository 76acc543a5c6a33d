"""Retyping an advert changes nothing that is read: spaces, lines, case, order, units, dashes."""

from __future__ import annotations

import os
import re
import textwrap
from collections.abc import Callable
from functools import lru_cache
from typing import Any, Final

import measure
import pytest

from simview.advice.reading.assemble import read_advert

# Every fifth of them, as they are of all kinds in turn; all by hand, which takes minutes.
HALVES: Final = ("seen", "fresh", "third", "fourth", "fifth", "sixth")
SEEN: Final = [one for half in HALVES for one in measure.adverts(half)][
    :: 1 if os.environ.get("SIMVIEW_LONG") else 5
]

# What a person's retyping does to an advert without changing what it says.
RETYPED: Final[dict[str, Callable[[str], str]]] = {
    "two spaces": lambda text: text.replace(" ", "  "),
    "hard spaces": lambda text: text.replace(" ", "\u00a0"),
    "line ends of another system": lambda text: text.replace("\n", "\r\n"),
    "narrow lines": lambda text: "\n".join(
        "\n".join(textwrap.wrap(line, 64, break_on_hyphens=False)) for line in text.split("\n")
    ),
    "a space before the unit": lambda text: re.sub(r"(\d)(mm|MM)\b", r"\1 \2", text),
    "no space before the unit": lambda text: re.sub(r"(\d) (mm|MM)\b", r"\1\2", text),
    "unit in full": lambda text: re.sub(r"(\d) ?mm\b", r"\1 millimetres", text),
    "long dashes": lambda text: re.sub(r"(?<=\d)-(?=\d)", "–", text),
    "typographer's marks": lambda text: text.replace("'", "’").replace("...", "…"),
    "a full stop at the end": lambda text: f"{text.rstrip(' .')}.",
    "blank lines around": lambda text: f"\n\n{text}\n\n",
}

# Case is part of a few markings (H20, K9), so capitals change designs but no other value.
CASES: Final[dict[str, Callable[[str], str]]] = {"capitals": str.upper, "small letters": str.lower}


@lru_cache(maxsize=1024)
def read(text: str) -> dict[str, Any]:
    listing = read_advert(text)
    return measure.values(listing) | {
        "sun": measure.sun_grade(listing),
        "about": listing.about_telescope,
    }


def is_source(text: str) -> bool:
    """Tell a page's source, whose tags no person retypes."""
    return "<" in text


@pytest.mark.parametrize("how", RETYPED)
def test_retyping_changes_no_value(how: str) -> None:
    changed = {}
    for advert in SEEN:
        text = advert["text"]
        if is_source(text) and how not in ("blank lines around", "line ends of another system"):
            continue
        before, after = read(text), read(RETYPED[how](text))
        if before != after:
            changed[advert["id"]] = {
                k: (before[k], after[k]) for k in before if before[k] != after[k]
            }
    assert changed == {}


@pytest.mark.parametrize("how", CASES)
def test_case_changes_no_value(how: str) -> None:
    changed = {}
    for advert in SEEN:
        text = advert["text"]
        if is_source(text):
            continue
        before, after = read(text), read(CASES[how](text))
        if before != after:
            changed[advert["id"]] = {
                k: (before[k], after[k]) for k in before if before[k] != after[k]
            }
    assert changed == {}


def test_order_of_a_tables_lines_changes_no_value() -> None:
    changed = {}
    for advert in SEEN:
        lines = advert["text"].split("\n")
        table = len(lines) > 3 and sum(
            ":" in line or "\t" in line or "..." in line for line in lines
        )
        if (
            is_source(advert["text"])
            or not table
            or table < len(lines) - 1
            or "?" in advert["text"]
        ):
            continue
        before, after = read(advert["text"]), read("\n".join(reversed(lines)))
        if before != after:
            changed[advert["id"]] = {
                k: (before[k], after[k]) for k in before if before[k] != after[k]
            }
    assert changed == {}


@pytest.mark.parametrize("half", HALVES)
def test_what_was_tuned_on_is_read_as_a_careful_reader_does(half: str) -> None:
    tally = measure.measure(half)
    # The words and weights were tuned on this half: nothing in it may be lost again.
    assert tally.errors == {}
    assert tally.sun_stops == tally.sun_wanted


def test_unseen_half_keeps_the_sun_rule() -> None:
    # Counts only: what the adverts are is not shown, so that nobody tunes on them.
    tally = measure.measure("unseen")
    assert tally.sun_stops == tally.sun_wanted
    assert not tally.errors.get("sound undeserved")
