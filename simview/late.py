"""Methods of dataclasses, written when somebody first calls them.

Python writes the text of `__init__`, `__eq__`, `__repr__` and others of each dataclass and compiles
them one by one while the class is made: a quarter of a command's start, most of it for methods
that nobody calls. In the program each is a stand-in that puts the compiled method in its own place
at the first call. Where Python writes them otherwise (from 3.13 on it compiles all of a class at
once), all stays as it is.

Checked by: tests/unit/test_late.py
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any, Final

_WRITER: Final = "_create_fn"

_own: Any = getattr(dataclasses, _WRITER, None)


def write_late() -> None:
    """Have dataclasses from here on written late: the program's choice, which no library makes."""
    if callable(_own):
        setattr(dataclasses, _WRITER, _stand_in)


def _stand_in(name: str, *text: Any, **around: Any) -> Callable[..., Any]:
    """Return what compiles a method when it is first called, and takes its place in the class."""
    made: list[Callable[..., Any]] = []

    def first(record: Any, /, *given: Any, **named: Any) -> Any:
        # Threads that call it at once may compile it twice, alike.
        if not made:
            made.append(_own(name, *text, **around))
        for home in type(record).__mro__:
            if home.__dict__.get(name) is first:
                made[0].__qualname__ = first.__qualname__
                setattr(home, name, made[0])
        return made[0](record, *given, **named)

    first.__name__ = name
    return first
