"""Errors of the public functions in Python's words, where the rooms speak the command line's."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import wraps
from typing import Final, ParamSpec, TypeVar

from simview.errors import SimviewError

P = ParamSpec("P")
R = TypeVar("R")

_OPTION: Final = re.compile(r"--([a-z][a-z-]*)")


def speaks_python(**names: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Let a function's errors name its arguments, not the options of the command like it.

    Parameters
    ----------
    **names
        Arguments that are named otherwise than their option: ``size="side"``.
    """

    def around(function: Callable[P, R]) -> Callable[P, R]:
        @wraps(function)
        def called(*args: P.args, **kwargs: P.kwargs) -> R:
            try:
                return function(*args, **kwargs)
            except SimviewError as error:
                told = _translated(error, names)
                if told is None:
                    raise
                raise told from None

        return called

    return around


def _translated(error: SimviewError, names: Mapping[str, str]) -> SimviewError | None:
    """Return the same error without options; None where it names none."""

    def argument(found: re.Match[str]) -> str:
        name = found[1].replace("-", "_")
        return names.get(name, name)

    what, allowed = str(error.what), error.allowed
    remedy = _OPTION.sub(argument, error.remedy)
    if isinstance(allowed, str):
        allowed = _OPTION.sub(argument, allowed)
    if (_OPTION.sub(argument, what), allowed, remedy) == (what, error.allowed, error.remedy):
        return None
    return type(error)(
        _OPTION.sub(argument, what),
        got=error.got,
        allowed=allowed,
        remedy=remedy,
        where=error.where,
    )
