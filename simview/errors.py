"""One tree of errors: everything that a user can put right is a SimviewError.

The command line catches SimviewError, prints its message as one line and exits with code 2.
Anything else that escapes is a fault of the program and keeps its traceback.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any


class SimviewError(ValueError):
    """Something the user gave cannot be used.

    The message says what it is, what was got, what is allowed and what to do. The same four
    travel as attributes, so that a caller can build a sentence of its own.

    Parameters
    ----------
    what
        The quantity or thing, with its unit in the name: ``"aperture_mm"``.
    got
        The value as the user gave it.
    allowed
        The allowed range or choice in words: ``"10 to 1000 mm"``.
    remedy
        What to do about it; may be empty.
    where
        The file (and key) that it was read from; may be empty.
    """

    def __init__(
        self, what: str, *, got: Any = None, allowed: str = "", remedy: str = "", where: str = ""
    ) -> None:
        self.what = what
        self.got = got
        self.allowed = allowed
        self.remedy = remedy
        self.where = where
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """Return the message as one line."""
        head = f"{_shorter(self.where, 200)}: {self.what}" if self.where else self.what
        parts = [head]
        if self.got is not None:
            parts.append(f"got {_short(self.got)}")
        if self.allowed:
            parts.append(f"allowed: {self.allowed}")
        if self.remedy:
            parts.append(self.remedy)
        return "; ".join(parts)

    def __reduce__(self) -> tuple[Any, ...]:
        # As it is, not made anew: some put words of their own between.
        return _unpickled, (type(self), self.args, self.__dict__)

    def at(self, where: str) -> SimviewError:
        """Return the same error with the place (file, key) in front."""
        return type(self)(
            self.what, got=self.got, allowed=self.allowed, remedy=self.remedy, where=where
        )


def _unpickled(
    kind: type[SimviewError], words: tuple[str, ...], told: dict[str, Any]
) -> SimviewError:
    error = kind.__new__(kind, *words)
    error.__dict__.update(told)
    return error


class RangeError(SimviewError):
    """A number lies outside what makes sense, or is not a number at all."""


class ChoiceError(SimviewError):
    """A word is not among those known; the nearest known word is offered."""


class SunError(SimviewError):
    """Somebody wants to look at the Sun: said before everything else is how that blinds."""

    CAUTIONS = (
        "the Sun is never shown here, for it blinds: never look at it through a telescope, a "
        "finder or binoculars without a purpose-made solar filter fixed securely over the front; "
        "never use a filter that screws into an eyepiece; cap or remove the finder; children only "
        "with an adult beside them; when unsure, ask a local astronomy society first"
    )

    def __init__(self, what: str, *, got: Any = None, where: str = "", **_: Any) -> None:
        super().__init__(what, got=got, remedy=self.CAUTIONS, where=where)


class FileError(SimviewError):
    """A file is missing, is not what it should be, or cannot be written."""


class FitError(SimviewError):
    """Two pieces of kit do not go together: a barrel, an adapter, a focal length."""


def _short(value: Any, limit: int = 80) -> str:
    try:
        text = repr(value) if isinstance(value, str) else str(value)
    except (RecursionError, ValueError):  # nested thousands deep; of more digits than Python says
        text = f"an overlong {type(value).__name__}"
    return _shorter(" ".join(text.split()), limit)


def _shorter(text: str, limit: int) -> str:
    if len(text) <= limit:
        return text
    # Both ends tell: a file's name stands at the end of its path.
    head = (limit - 1) // 2
    return f"{text[:head]}…{text[head + 1 - limit :]}"


def require_range(what: str, value: float, low: float, high: float, *, unit: str = "") -> float:
    """Return `value` as a float if it is finite and ``low <= value <= high``.

    Parameters
    ----------
    what, unit
        Names for the message.
    value
        To be looked at.
    low, high
        Least and largest that is allowed, both included.

    Raises
    ------
    RangeError
        Names the quantity, the value, its unit and the allowed range.
    """
    allowed = f"{low:g} to {high:g} {unit}".rstrip()
    try:
        number = math.nan if isinstance(value, bool | str) else float(value)
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if not math.isfinite(number):
        raise RangeError(what, got=value, allowed=allowed, remedy="give a finite number")
    if not low <= number <= high:
        raise RangeError(what, got=f"{number:g} {unit}".rstrip(), allowed=allowed)
    return number


def require_choice(what: str, value: str, known: Iterable[str]) -> str:
    """Return `value` if it is among the `known` words.

    Raises
    ------
    ChoiceError
        Offers the nearest known word.
    """
    words = list(known)
    if value in words:
        return value
    near = nearest(value, words)
    raise ChoiceError(
        what,
        got=value,
        allowed=", ".join(words),
        remedy=f"did you mean {near!r}?" if near else "",
    )


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word most like `word`, or None when nothing is like it."""
    words = {k.lower(): k for k in known}
    import difflib  # here, since most words are right

    found = difflib.get_close_matches(str(word).lower(), list(words), n=1, cutoff=0.5)
    return words[found[0]] if found else None
