"""Text on the command line to values: powers, sizes, double stars.

Each function raises a SimviewError that names the option and shows how to write it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from typing import Any, Final

from simview.errors import RangeError, SimviewError, require_range
from simview.picture.drawing.papers import PAPERS

# Panels that still can be told apart on one sheet. A choice.
MOST_PANELS: Final = 8


def numbers(text: str, *, option: str, example: str) -> tuple[float, ...]:
    """Return the numbers of a text such as ``"30,75,150"``; a trailing x or × is allowed."""
    values = []
    for part in text.split(","):
        try:
            values.append(float(part.strip().rstrip("x×")))
        except ValueError:
            raise SimviewError(
                option, got=text, allowed="numbers with commas between", remedy=f"as in {example}"
            ) from None
    return tuple(values)


def powers(text: str, *, option: str = "--powers") -> tuple[float, ...]:
    """Return the powers of ``"30,75,150"``: at most `MOST_PANELS`, each from 1 to 100000 times.

    Whether a telescope can give them is the eyepiece room's question.
    """
    values = numbers(text, option=option, example=f"{option} 30,75,150")
    if len(values) > MOST_PANELS:
        raise RangeError(option, got=f"{len(values)} powers", allowed=f"1 to {MOST_PANELS}")
    return tuple(require_range(option, value, 1.0, 1e5, unit="times") for value in values)


def size(text: str) -> tuple[int, int]:
    """Return width and height of ``"1920x1080"`` or of a paper, ``"a4"``, at 300 dots an inch.

    The picture room says which are possible.
    """
    if text.strip().lower() in PAPERS:
        return PAPERS[text.strip().lower()]
    found = re.fullmatch(r"\s*(\d{1,6})\s*[x×X]\s*(\d{1,6})\s*", text)
    if not found:
        raise SimviewError(
            "--size",
            got=text,
            allowed=f"WIDTHxHEIGHT in pixels, or {', '.join(PAPERS)}",
            remedy="as in --size 1920x1080",
        )
    return int(found[1]), int(found[2])


def double(text: str) -> tuple[float, float, float, float]:
    """Return separation (arcsec), position angle (deg) and the two magnitudes of a double star."""
    values = numbers(text, option="--double", example="--double 2.3,45,5.2,6.1")
    if len(values) != 4:
        raise SimviewError(
            "--double",
            got=text,
            allowed="separation in arcsec, position angle in deg, two magnitudes",
            remedy="as in --double 2.3,45,5.2,6.1",
        )
    return values


def settings(texts: Iterable[str], taken: Collection[str]) -> dict[str, Any]:
    """Return the keys and values of texts such as ``"phase_deg=120"``.

    Parameters
    ----------
    texts
        A key, an equals sign, a value: a number, true, false, or any other text.
    taken
        Keys that have an option of their own.
    """
    found: dict[str, Any] = {}
    for text in texts:
        key, equals, value = (part.strip() for part in text.partition("="))
        if not (key and equals and value):
            raise SimviewError(
                "--set", got=text, allowed="KEY=VALUE", remedy="as in --set phase_deg=120"
            )
        if key in found or key in taken:
            remedy = "say it once" if key in found else "it has an option of its own"
            raise SimviewError("--set", got=key, remedy=remedy)
        found[key] = _value(value)
    return found


def _value(text: str) -> Any:
    if text in ("true", "false"):
        return text == "true"
    for number in (int, float):
        try:
            return number(text)
        except ValueError:
            continue
    return text
