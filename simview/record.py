"""What every record shares: plain numbers inside, short words outside, read-only tables.

Records are ordinary Python: `copy.deepcopy`, `pickle`, `dataclasses.replace` and
`dataclasses.asdict` work on them.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator
from pathlib import Path, PurePath
from typing import Any, NoReturn, cast

from simview.errors import SimviewError


class Record:
    """A frozen dataclass that prints itself in short and holds Python's own numbers.

    Its repr names only what differs from the default, as it would be typed:
    ``Telescope(aperture_mm=150.0, focal_length_mm=750.0)``.
    """

    __slots__ = ()

    def __repr__(self) -> str:
        told = ", ".join(f"{name}={value!r}" for name, value in told_of(self))
        return f"{type(self).__name__}({told})"

    def _settle(self) -> None:
        """Turn numpy's scalars into Python's numbers, so that files, JSON and hashes know them."""
        for spot in dataclasses.fields(cast(Any, self)):
            value = getattr(self, spot.name)
            own = plain_number(value)
            if own is not value:
                object.__setattr__(self, spot.name, own)


class ReadOnly(dict[int, float]):
    """A dictionary that nobody can change, so that the record that holds it can be hashed."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(frozenset(self.items()))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (dict(self),)

    def _refuse(self, *_: Any, **__: Any) -> NoReturn:
        raise TypeError("this table cannot be changed; make a new record with dataclasses.replace")

    __setitem__ = __delitem__ = __ior__ = _refuse
    clear = pop = popitem = setdefault = update = _refuse


def plain_number(value: Any) -> Any:
    """Return Python's own number for one of numpy's; anything else as it is."""
    # Seen by what it can do: numpy itself need not be loaded for that.
    if hasattr(value, "dtype") and getattr(value, "ndim", 1) == 0:
        return value.item()
    return value


def told_of(record: Any) -> Iterator[tuple[str, Any]]:
    """Give name and value of each field that differs from its default."""
    for spot in dataclasses.fields(record):
        value = getattr(record, spot.name)
        usual = spot.default
        if spot.default_factory is not dataclasses.MISSING:
            usual = spot.default_factory()
        if spot.repr and (type(value) is not type(usual) or value != usual):
            yield spot.name, value


def require_type(what: str, value: Any, kind: type | tuple[type, ...], allowed: str) -> None:
    """Check that a part of a record, or an argument, is of its type.

    Raises
    ------
    SimviewError
        Names the part, what was got and what is allowed.
    """
    if not isinstance(value, kind):
        # What was read from a file holds the part beside other things: find_kit(...).kit.
        holds = isinstance(getattr(value, what, None), kind)
        raise SimviewError(what, got=value, allowed=allowed, remedy=f"take its .{what}" * holds)


def require_list(what: str, value: Any, allowed: str) -> tuple[Any, ...]:
    """Return an argument's parts where it is a list of something: neither one thing nor a text.

    Raises
    ------
    SimviewError
        Names the argument, what was got and what is allowed.
    """
    if isinstance(value, str | bytes) or not isinstance(value, Iterable):
        raise SimviewError(what, got=value, allowed=allowed, remedy="put it in [ ]")
    return tuple(value)


def require_path(what: str, value: Any) -> Path:
    """Return a file's name as a path.

    Raises
    ------
    SimviewError
        For anything that names no file.
    """
    if not isinstance(value, str | PurePath) or not str(value):
        raise SimviewError(what, got=value, allowed="a file's name")
    return Path(value)
