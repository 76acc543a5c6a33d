"""Numbers said in words, as a voice on the telephone says them: "seventy seven hundred"."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from functools import lru_cache
from importlib.resources import files
from typing import Final

# Apertures and focal lengths that telescopes for beginners are sold with, mm, and the focal ratios
# between them: common practice.
APERTURES: Final = (50, 60, 70, 76, 80, 90, 100, 102, 114, 120, 127, 130, 150, 200)
FOCAL_LENGTHS: Final = (
    300, 350, 360, 400, 450, 500, 600, 650, 700, 750, 800, 900, 910, 1000, 1200, 1250,
)  # fmt: skip
RATIOS: Final = (3.3, 16.5)


@lru_cache(maxsize=1)
def _table() -> dict[str, dict[str, list[str]]]:
    """Return language -> digits -> the ways to say them."""
    text = files("simview.advice.reading").joinpath("words/spoken.csv").read_text("utf-8")
    found: dict[str, dict[str, list[str]]] = {}
    for row in csv.DictReader(io.StringIO(text)):
        found.setdefault(row["code"], {}).setdefault(row["digits"], []).append(row["words"])
    return found


def spoken(code: str) -> Iterator[tuple[str, str]]:
    """Give digits and words of a language: numbers, and aperture with focal length in one breath.

    Source: words/spoken.csv, written by tests/corpus/make_spoken.py from num2words, a general
    library.
    Checked by: tests/unit/advice/test_reading_spoken.py
    """
    numbers = _table().get(code, {})
    for aperture in APERTURES:
        for focal in FOCAL_LENGTHS:
            if RATIOS[0] <= focal / aperture <= RATIOS[1]:
                for first in numbers.get(f"{aperture}", ()):
                    for second in numbers.get(f"{focal}", ()):
                        yield f"{aperture}/{focal}", f"{first} {second}"
    for digits, ways in numbers.items():
        yield from ((digits, words) for words in ways)
