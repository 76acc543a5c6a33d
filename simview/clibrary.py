"""A function of the C library that Python has no word for, asked where it is there: on Linux."""

from __future__ import annotations

import contextlib
import sys


def ask(name: str, *calls: tuple[int, ...]) -> None:
    """Call a function of the C library, once with each of these, if it is one that has it."""
    if sys.platform != "linux":
        return
    import ctypes

    with contextlib.suppress(OSError, AttributeError):
        function = getattr(ctypes.CDLL(None), name)
        for numbers in calls:
            function(*numbers)
