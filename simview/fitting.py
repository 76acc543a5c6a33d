"""Tables that fit a record as they stand, made into it without pydantic, whose loading takes long.

Nothing is judged here: whatever is not plainly of the type that is wanted is left to
`simview.table`, which says what is wrong with it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from functools import cache
from types import UnionType
from typing import Any, Final, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from simview.errors import SimviewError

Record = TypeVar("Record")

# Larger whole numbers are left to others: the double of this would round.
_LARGEST: Final = 2**53


class _UnlikeError(Exception):
    """Something is not plainly of the type that is wanted."""


def fitted(record: type[Record], table: Mapping[str, Any]) -> Record | None:
    """Return the record that a table describes; None where it does not plainly fit, or is refused.

    Parameters
    ----------
    record, table
        As in `simview.table.build`.
    """
    try:
        return cast(Record, _made(cast(type, record), table))
    except (_UnlikeError, SimviewError):
        return None


@cache
def _hints(record: type) -> dict[str, Any]:
    return get_type_hints(record)


def _made(record: type, table: Any) -> Any:
    spots = dataclasses.fields(record)
    needed = {spot.name for spot in spots if spot.default is spot.default_factory}
    if type(table) is not dict or not needed <= table.keys() <= {spot.name for spot in spots}:
        raise _UnlikeError
    hints = _hints(record)
    return record(**{key: _value(hints[key], value) for key, value in table.items()})


def _value(hint: Any, value: Any) -> Any:
    kind, outer = type(value), get_origin(hint)
    if hint in (str, bool, int, float):
        return _plain(hint, value)
    if dataclasses.is_dataclass(hint):
        return _made(cast(type, hint), value)
    parts = get_args(hint)
    if outer is Literal and any(kind is type(part) and value == part for part in parts):
        return value
    if outer in (Union, UnionType) and len(parts) == 2 and parts[1] is type(None):
        return _value(parts[0], value)
    if outer is tuple and kind is list and parts[1:] == (...,):
        return tuple(_value(parts[0], item) for item in value)
    raise _UnlikeError


def _plain(wanted: type, value: Any) -> Any:
    kind = type(value)
    if wanted is float and kind is int and abs(value) < _LARGEST:
        return float(value)
    if kind is not wanted or (kind is int and abs(value) >= _LARGEST):
        raise _UnlikeError
    if kind is str and not value.isascii() and any("\ud800" <= sign <= "\udfff" for sign in value):
        raise _UnlikeError  # half a letter of UTF-16, which no text holds
    return value
