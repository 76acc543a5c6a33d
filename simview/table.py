"""From a table of text - a kit, a listing, a price list - to the project's own records.

`build` takes a frozen dataclass as the description of what may be written: pydantic checks the
shape (keys, types) where that is not plain to see (`simview.fitting`), the record then checks its
own values. So every key, default and range is
declared once, where the record is. What goes wrong becomes a SimviewError that names the file,
the table, the key, what was got, what is allowed and, where there is one, the remedy.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from functools import cache
from types import UnionType
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    Literal,
    TypeVar,
    Union,
    cast,
    get_args,
    get_origin,
    get_type_hints,
)

from simview.errors import ChoiceError, SimviewError, nearest
from simview.fitting import fitted
from simview.wording import key_remedy, value_remedy

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError
    from pydantic_core import ErrorDetails

Record = TypeVar("Record")
Place = tuple[int | str, ...]


def build(record: type[Record], table: Mapping[str, Any], *, where: str) -> Record:
    """Return the record that a table describes.

    Parameters
    ----------
    record
        A keyword-only dataclass. Its fields may be numbers, texts, truth values, Literal
        choices, other such dataclasses, tuples of them, and mappings from whole numbers.
    table
        Key to value, as read from TOML or JSON; a key left out takes the record's default.
    where
        Where it was read from: the file's name, for messages.

    Raises
    ------
    SimviewError
        For an unknown or missing key, a value of the wrong type, or one that the record refuses.
    """
    if (made := fitted(record, table)) is not None:
        return made
    from pydantic import ValidationError

    try:
        shaped = _model(cast(type, record)).model_validate(table)
    except ValidationError as error:
        raise _first_fault(error, record, where) from None
    return cast(Record, _make(record, shaped, where, ()))


def plain(record: Any) -> dict[str, Any]:
    """Return a record as nested plain values, leaving out what equals its default.

    `build` on the answer gives an equal record.
    """
    table = {}
    for spot in dataclasses.fields(record):
        value = getattr(record, spot.name)
        if value is not None and value != _default(spot):
            table[spot.name] = _plain_value(value)
    return table


def _plain_value(value: Any) -> Any:
    if dataclasses.is_dataclass(value):
        return plain(value)
    if isinstance(value, tuple):
        return [_plain_value(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): item for key, item in value.items()}
    return value


def _default(spot: dataclasses.Field[Any]) -> Any:
    if spot.default_factory is not dataclasses.MISSING:
        return spot.default_factory()
    return spot.default


# --- the shape, as pydantic sees it -----------------------------------------------------------


@cache
def _model(record: type) -> type[BaseModel]:
    """Return the pydantic model with the record's keys and types, no key beyond them."""
    from pydantic import ConfigDict, create_model

    hints = get_type_hints(record)
    keys: dict[str, Any] = {
        spot.name: (_strict(hints[spot.name]), ... if _required(spot) else None)
        for spot in dataclasses.fields(record)
    }
    config = ConfigDict(extra="forbid", protected_namespaces=())
    return create_model(record.__name__, __config__=config, **keys)


def _required(spot: dataclasses.Field[Any]) -> bool:
    return spot.default is spot.default_factory is dataclasses.MISSING


def _strict(hint: Any) -> Any:
    """Return the type that takes no text for a number, no number for a text."""
    from pydantic import BeforeValidator, Strict

    if hint in (float, int, bool, str):
        return Annotated[hint, Strict()]
    if dataclasses.is_dataclass(hint):
        return _model(cast(type, hint))
    inner = tuple(_strict(part) for part in get_args(hint) if get_origin(hint) is not Literal)
    if get_origin(hint) in (Union, UnionType):
        return Union[inner]  # noqa: UP007 - built from a tuple
    if get_origin(hint) is tuple:
        return tuple[inner[0], ...]  # type: ignore[valid-type]
    if get_origin(hint) is Mapping:
        # TOML and JSON know only texts for keys.
        return Annotated[dict[inner[0], inner[1]], BeforeValidator(_whole_keys)]  # type: ignore[valid-type]
    return hint


def _whole_keys(table: Any) -> Any:
    if not isinstance(table, Mapping):
        return table
    return {int(key) if str(key).isdecimal() else key: value for key, value in table.items()}


def _make(record: type, shaped: BaseModel, where: str, place: Place) -> Any:
    """Make the record bottom up, so that a refused value is named with its own table."""
    hints = get_type_hints(record)
    given = {
        key: _make_value(hints[key], getattr(shaped, key), where, (*place, key))
        for key in shaped.model_fields_set
    }
    try:
        return record(**given)
    except SimviewError as error:
        raise error.at(_spot(where, place)) from None


def _make_value(hint: Any, value: Any, where: str, place: Place) -> Any:
    from pydantic import BaseModel

    if isinstance(value, BaseModel):
        return _make(_record_in(hint), value, where, place)
    if isinstance(value, tuple):
        inner = get_args(hint)[0]
        return tuple(_make_value(inner, item, where, (*place, n)) for n, item in enumerate(value))
    return value


def _record_in(hint: Any) -> type:
    """Return the dataclass in a hint such as ``Telescope | None``."""
    parts = get_args(hint) or (hint,)
    return cast(type, next(part for part in parts if dataclasses.is_dataclass(part)))


# --- what went wrong, in words ----------------------------------------------------------------


def _first_fault(error: ValidationError, record: type, where: str) -> SimviewError:
    """Return one fault: an unknown key first, since it often explains a missing one."""
    faults = error.errors(include_url=False)
    fault = min(faults, key=lambda f: f["type"] != "extra_forbidden")
    place = tuple(part for part in fault["loc"] if part != "[key]")
    *table, key = place
    spot = _spot(where, tuple(table))
    if fault["type"] == "extra_forbidden":
        return _unknown_key(record, place, fault["input"], spot)
    if fault["type"] == "missing":
        return SimviewError(f"{key} is missing", remedy=f"add a line {key} = ...", where=spot)
    return _wrong_type(fault, place, spot)


def _unknown_key(record: type, place: Place, value: Any, spot: str) -> SimviewError:
    *table, key = place
    known = _keys(record, tuple(table))
    return ChoiceError(
        f"unknown key {_shown(key)}",
        got=value,
        allowed=", ".join(known),
        remedy=key_remedy(str(key), value, known, dict(_homes(record))),
        where=spot,
    )


# pydantic's name of a fault -> what is wanted, in words.
_WANTED = {
    "float_type": "a number",
    "int_type": "a whole number",
    "bool_type": "true or false",
    "string_type": "a text in quotes",
    "dict_type": "a table of whole numbers = values",
}


def _shown(key: int | str) -> str:
    """Return a key as written, in quotes if it holds more than letters, digits and _."""
    return str(key) if str(key).isascii() and str(key).isidentifier() else repr(str(key))


def _wrong_type(fault: ErrorDetails, place: Place, spot: str) -> SimviewError:
    value, kind, key = fault["input"], fault["type"], _shown(place[-1])
    if kind == "literal_error":
        words = str(fault["ctx"]["expected"])
        choices = [word.strip(" '") for word in words.replace(" or ", ",").split(",")]
        near = nearest(str(value), choices)
        remedy = f"did you mean {near!r}?" if near else ""
        return ChoiceError(key, got=value, allowed=", ".join(choices), remedy=remedy, where=spot)
    if kind == "tuple_type":
        wanted, remedy = "a list of tables", f"write [[{key}]] with two brackets, once for each"
    elif kind == "model_type":
        heading = ".".join(str(part) for part in place)
        wanted, remedy = "a table", f"write [{heading}] on a line of its own, its keys below"
    else:
        wanted = _WANTED.get(kind, fault["msg"])
        remedy = value_remedy(key, value, text=kind == "string_type")
    return SimviewError(key, got=value, allowed=wanted, remedy=remedy, where=spot)


def _spot(where: str, place: Place) -> str:
    """Return file and table as they are written in TOML, entries counted from 1."""
    names = ".".join(str(part) for part in place if isinstance(part, str))
    counts = [part + 1 for part in place if isinstance(part, int)]
    if not names:
        return where
    return f"{where}: [[{names}]] {counts[0]}" if counts else f"{where}: [{names}]"


def _keys(record: type, table: Place) -> list[str]:
    for part in table:
        if isinstance(part, str):
            hint = get_type_hints(record)[part]
            record = _record_in(get_args(hint)[0] if get_origin(hint) is tuple else hint)
    return [spot.name for spot in dataclasses.fields(record)]


def _homes(record: type) -> Iterator[tuple[str, str]]:
    """Give every key with the heading that it belongs under, those of the top first."""
    for spot in dataclasses.fields(record):
        yield spot.name, "no heading, at the top of the file"
    for name, hint in get_type_hints(record).items():
        several = get_origin(hint) is tuple
        inner = get_args(hint)[0] if several else hint
        for part in get_args(inner) or (inner,):
            if dataclasses.is_dataclass(part):
                heading = f"[[{name}]]" if several else f"[{name}]"
                yield from ((spot.name, heading) for spot in dataclasses.fields(part))
