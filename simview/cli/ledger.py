"""What a command has finished and what not, for the one line that an interrupt gets."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

# Names that one line still holds. A choice.
MOST_NAMES: Final = 6

_work: dict[str, bool] = {}


def begin() -> None:
    """Forget the work of an earlier command."""
    _work.clear()


def plan(*names: str | Path) -> None:
    """Note what is going to be made: files' names, or commands'."""
    for name in names:
        _work.setdefault(str(name), False)


def finish(name: str | Path) -> None:
    """Note that something is there, whole."""
    _work[str(name)] = True


def share() -> float:
    """Return the fraction of what was planned that is there: 0 to 1."""
    return sum(_work.values()) / len(_work) if _work else 0.0


@contextmanager
def writing(name: str | Path | None) -> Iterator[None]:
    """Plan a file, and note it as finished when the work within has ended well."""
    if name is None:
        yield
        return
    plan(name)
    yield
    finish(name)


def line(how: str) -> str:
    """Return how far the work got, in one line.

    Parameters
    ----------
    how
        What happened: ``"stopped by Ctrl-C"``.
    """
    done = [name for name, finished in _work.items() if finished]
    left = [name for name, finished in _work.items() if not finished]
    if not done:
        return f"{how}; nothing is finished" + (f": not {_named(left)}" if left else "")
    return f"{how}; finished: {_named(done)}; not finished: {_named(left) or 'nothing'}"


def _named(names: list[str]) -> str:
    shown = names if len(names) <= MOST_NAMES else names[: MOST_NAMES - 1]
    more = len(names) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")
