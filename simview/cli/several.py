"""Options that may be lists: `--sky-mag 18,21.5` asks for one panel under each sky.

A command that takes `Several[SkyOptions]` gets the group once for each value. Options with lists
must have as many values each; an option with one value holds for all.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import UnionType
from typing import Any, Final, Generic, TypeVar, Union, get_args, get_origin

from simview.errors import RangeError, SimviewError

Group = TypeVar("Group")

# Panels that still can be told apart on one sheet, see `simview.cli.parsing.MOST_PANELS`.
_MOST: Final = 8

# Options whose own values hold commas.
_WHOLE: Final = frozenset({"double"})


@dataclass(frozen=True, kw_only=True)
class Several(Generic[Group]):
    """A group of options, once for each value of those that are lists.

    Parameters
    ----------
    each
        At least one.
    lists
        For each option that was given as a list its field's name, and the values as written.
    """

    each: tuple[Group, ...]
    lists: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def first(self) -> Group:
        """The group with the first value of every list."""
        return self.each[0]

    def at(self, index: int) -> Group:
        """Return the group for one panel."""
        return self.each[0 if len(self.each) == 1 else index]

    def says(self, index: int) -> list[tuple[str, str]]:
        """Return what varies, and its value in one panel."""
        return [(name, values[index]) for name, values in self.lists]


def plain_type(annotation: Any) -> Any:
    """Return what an option holds, without "or None"."""
    kinds = [each for each in get_args(annotation) if each is not type(None)]
    return kinds[0] if get_origin(annotation) in (Union, UnionType) and kinds else annotation


def typed(annotation: Any) -> Any:
    """Return the type under which typer reads an option that may be a list of numbers."""
    return str | None if plain_type(annotation) in (float, int) else annotation


def gathered(group: type, kinds: Mapping[str, Any], values: Mapping[str, Any]) -> Several[Any]:
    """Return the group for each value of the lists among `values`.

    Raises
    ------
    SimviewError
        For a value that is no number where one is wanted, or lists of different lengths.
    """
    given = {name: _read(name, plain_type(kinds[name]), value) for name, value in values.items()}
    lists = {name: value for name, value in given.items() if isinstance(value, _Listed)}
    count = counted({name: len(value.values) for name, value in lists.items()})
    each = tuple(
        group(
            **{
                name: value.values[index] if isinstance(value, _Listed) else value
                for name, value in given.items()
            }
        )
        for index in range(count)
    )
    told = tuple((name, value.words) for name, value in lists.items())
    return Several(each=each, lists=told)


def counted(lengths: Mapping[str, int]) -> int:
    """Return how many panels lists of these lengths ask for.

    Raises
    ------
    SimviewError
        Where they do not agree, or are too many.
    """
    found = set(lengths.values()) or {1}
    if len(found) > 1:
        options = " and ".join(map(option, lengths))
        raise SimviewError(
            options,
            got=" and ".join(str(length) for length in lengths.values()) + " values",
            allowed="as many of each: they go together, panel by panel",
        )
    count = found.pop()
    if count > _MOST:
        raise RangeError(option(next(iter(lengths))), got=f"{count} values", allowed="1 to 8")
    return count


@dataclass(frozen=True)
class _Listed:
    values: tuple[Any, ...]
    words: tuple[str, ...]


def option(field: str) -> str:
    """Return an option as it is typed."""
    return "--" + field.replace("_", "-")


def _read(name: str, kind: Any, value: Any) -> Any:
    if name == "set" and value:
        return _settings(value)
    if not isinstance(value, str) or kind is Path or name in _WHOLE:
        return value
    parts = tuple(part.strip() for part in value.split(","))
    if kind in (float, int):
        read: tuple[Any, ...] = tuple(_number(name, kind, part, value) for part in parts)
    else:
        read = parts
    return read[0] if len(parts) == 1 else _Listed(read, parts)


def _number(name: str, kind: Any, part: str, whole: str) -> float | int:
    try:
        return int(part) if kind is int else float(part)
    except ValueError:
        raise SimviewError(
            option(name), got=whole, allowed="a number, or numbers with commas between"
        ) from None


def _settings(texts: Sequence[str]) -> Any:
    """Return `--set KEY=A,B` as lists of settings, one for each value."""
    split = [(text.partition("=")[0], text.partition("=")[2].split(",")) for text in texts]
    longest = counted({f"set {key}": len(v) for key, v in split if len(v) > 1})
    if longest == 1:
        return list(texts)
    rows = tuple(
        [f"{key}={(v[index] if len(v) > 1 else v[0]).strip()}" for key, v in split]
        for index in range(longest)
    )
    words = tuple(
        ", ".join(f"{key}={v[index].strip()}" for key, v in split if len(v) > 1)
        for index in range(longest)
    )
    return _Listed(rows, words)


def defaults(group: type) -> Several[Any]:
    """Return a group whose options were all left out."""
    assert dataclasses.is_dataclass(group)
    return Several(each=(group(),))
