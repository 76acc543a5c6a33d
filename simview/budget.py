"""How much memory work may take: estimated before it begins, refused in one line.

A library's caller decides for itself: without a budget nothing is refused. The command line sets
one, `BUDGET_GB` unless `--memory` or `SIMVIEW_MEMORY` says otherwise, so that no picture, and no
recipe from anyone, fills a small computer.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from simview.errors import RangeError, SimviewError, require_range

# What a command may take where nobody says otherwise, GB (1e9 bytes). A choice: a quarter of what
# the smallest computers have.
BUDGET_GB: Final = 1.0
LEAST_GB: Final = 0.25
MOST_GB: Final = 1024.0

# What the program and its libraries take before any picture, bytes. Measured: 0.09 to 0.15 GB.
PROGRAM: Final = 150_000_000

# How far past its budget a process may go before the system refuses it more: estimates are no
# promises. Room for threads' stacks and libraries that reserve more than they use, bytes.
_SLACK: Final = 1_000_000_000

_budget: float | None = None


def bytes_allowed() -> float:
    """Return what may be taken now, bytes; infinite where nobody set a budget."""
    return math.inf if _budget is None else _budget


@contextmanager
def used(gigabytes: float | None = None) -> Iterator[None]:
    """Set the budget for one block.

    Parameters
    ----------
    gigabytes
        0.25 to 1024 GB; None takes `SIMVIEW_MEMORY`, else `BUDGET_GB`.

    Raises
    ------
    RangeError
        If it is out of range.
    """
    global _budget  # noqa: PLW0603 (the one budget of the process)
    before, _budget = _budget, 1e9 * _checked(gigabytes)
    try:
        yield
    finally:
        _budget = before


def _checked(gigabytes: float | None) -> float:
    what, value = "--memory", gigabytes
    if value is None:
        told = os.environ.get("SIMVIEW_MEMORY", "").strip()
        if not told:
            return BUDGET_GB
        what = "SIMVIEW_MEMORY"
        try:
            value = float(told)
        except ValueError:
            raise RangeError(
                what, got=told, allowed=f"{LEAST_GB:g} to {MOST_GB:g} GB", remedy="give a number"
            ) from None
    return require_range(what, value, LEAST_GB, MOST_GB, unit="GB")


def fits(bytes_needed: float) -> bool:
    """Return whether work of that size may be done, beside the program itself."""
    return bytes_needed + PROGRAM <= bytes_allowed()


def at_once(most: int, bytes_each: float, besides: float = 0.0) -> int:
    """Return how many pieces of work may be under way at the same time: at least one.

    Parameters
    ----------
    most
        As many as there are threads for.
    bytes_each
        What one of them takes.
    besides
        What they take together, however many they are.
    """
    fitting = (count for count in range(most, 1, -1) if fits(besides + count * bytes_each))
    return next(fitting, 1)


def require(what: str, bytes_needed: float, *, remedy: str) -> None:
    """Refuse work that would take more memory than there may be; called before it begins.

    Parameters
    ----------
    what
        What would be made, with its size: ``"a picture of 7680x4320 pixels"``.
    bytes_needed
        Of the work itself, without the program.
    remedy
        What would take less: ``"a smaller --size"``.

    Raises
    ------
    SimviewError
        Says how much it would take, how much there may be, and how to allow more.
    """
    if not fits(bytes_needed):
        whole = bytes_needed + PROGRAM
        wanted = math.ceil(whole / 1e8) / 10.0
        raise SimviewError(
            "memory",
            got=f"{what}, which takes about {wanted:g} GB",
            allowed=f"{bytes_allowed() / 1e9:g} GB",
            remedy=f"{remedy}, or allow more with --memory {wanted:g}",
        )


@contextmanager
def wall(gigabytes: float | None = None) -> Iterator[None]:
    """Have the system itself refuse this process more for one block, where it can.

    Without a number it stands where `used` would set the budget; a wrong `SIMVIEW_MEMORY` is told
    there. The limit before is put back at the end: who calls the program from Python keeps theirs.
    """
    try:
        most = _checked(gigabytes)
    except RangeError:
        most = BUDGET_GB
    before = _limited(int(2.0 * 1e9 * most) + _SLACK)
    try:
        yield
    finally:
        if before is not None:
            _limited(before)


def _limited(most: int) -> int | None:
    """Set the soft limit of this process's data, bytes; return what it was, None where it stays."""
    try:
        import resource
    except ImportError:  # Windows has no such limit
        return None
    try:
        soft, hard = resource.getrlimit(resource.RLIMIT_DATA)
        if hard != resource.RLIM_INFINITY and (most > hard or most < 0):
            return None
        resource.setrlimit(resource.RLIMIT_DATA, (most, hard))
    except (OSError, ValueError):
        return None
    return soft
