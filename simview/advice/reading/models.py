"""Model numbers that may hold aperture and focal length: "60700", "F36050".

Such a number is only ever a guess. Common practice, no source: cheap telescopes are often numbered
by their measures run together, in either order.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from simview.advice.reading.clean import Page

_MODEL: Final = re.compile(
    r"(?<![\w.,/$£€])(?<!\d-)(?P<lead>[a-z]{0,4}[ -]?)(?P<digits>\d{5,7})(?P<tail>[a-z]{0,3})"
    r"(?!-\d|[\w.,]*\d|\s?(?:€|£|eur|usd|gbp|dollar|pound|mah))"
)

# Apertures that telescopes for beginners are sold with, mm: common practice.
_APERTURES: Final = frozenset(
    (30, 40, 50, 60, 70, 72, 76, 80, 90, 100, 102, 114, 120, 127, 130, 150, 152, 200, 203, 250)
)
_FOCAL: Final = (250, 2500)
_RATIO: Final = (3.3, 16.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """What a model number may say."""

    aperture_mm: float
    focal_length_mm: float
    span: tuple[int, int]


def read_model(page: Page) -> Model | None:
    """Return the first model number that can be split in one way only into two measures."""
    for match in _MODEL.finditer(page.plain):
        splits = _splits(match["digits"])
        if len(splits) == 1:
            (aperture, focal) = splits[0]
            return Model(aperture_mm=aperture, focal_length_mm=focal, span=match.span())
    return None


def _splits(digits: str) -> list[tuple[float, float]]:
    """Return the ways in which digits part into an aperture and a focal length."""
    found = []
    for at in range(2, len(digits) - 1):
        left, right = digits[:at], digits[at:]
        if left[0] == "0" or right[0] == "0":
            continue
        for aperture, focal in ((int(left), int(right)), (int(right), int(left))):
            likely = aperture in _APERTURES and _FOCAL[0] <= focal <= _FOCAL[1]
            if likely and focal % 5 == 0 and _RATIO[0] <= focal / aperture <= _RATIO[1]:
                found.append((float(aperture), float(focal)))
    return found
