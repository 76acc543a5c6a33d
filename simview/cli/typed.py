"""Values of options that are plain as they were typed, read without pydantic.

typer has pydantic read every option, also those that nobody gave, and loading pydantic takes a
fifth of the time in which a command starts. A plain number, a text, a name of a file that is not
there: these are read here, as pydantic would read them; all others, and all that is wrong, go
typer's own way.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any, Final, get_args, get_origin

from simview.cli.helppages import HelpPage

_NUMBER: Final = re.compile(r"-?(?:0|[1-9][0-9]{0,14})(?:\.[0-9]{1,15})?", re.ASCII)
_WHOLE: Final = re.compile(r"-?(?:0|[1-9][0-9]{0,14})", re.ASCII)

# What stands for "not plain".
_OTHER: Final = object()


class LightCommand(HelpPage):
    """A command whose options are read here first.

    A typer that is built differently from that of 0.29 reads them all itself.
    """

    def get_params(self, ctx: Any) -> list[Any]:
        """Return the options and arguments, that for help with them."""
        found: list[Any] = list(super().get_params(ctx))
        for each in found:
            if getattr(each, "_runtime_param", _OTHER) is None and hasattr(each, "type_descriptor"):
                each._runtime_param = _Plainly(each)
        return found


class _Plainly:
    """Reads one option; what typer would have read it with is made when it is needed."""

    def __init__(self, option: Any) -> None:
        self._kind = option.type_descriptor
        self._whole: Any = None

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the value that the command gets."""
        several = param.multiple or param.nargs == -1
        if value is None:
            return () if several else None
        found = self._read(value, several) if several or param.nargs == 1 else _OTHER
        if found is not _OTHER:
            return found
        if self._whole is None:
            from typer._coercion import build_runtime_param

            self._whole = build_runtime_param(self._kind)
        return self._whole.coerce(value, param=param, ctx=ctx)

    def _read(self, value: Any, several: bool) -> Any:
        kind, about = self._kind.annotation, self._kind.parameter_info
        asked = (about.parser, about.min, about.max, about.clamp, about.path_type)
        if any(each not in (None, False) for each in asked):
            return _OTHER
        if not several:
            return plain(kind, value, about)
        if get_origin(kind) is not list or not isinstance(value, list | tuple):
            return _OTHER
        found = [plain(get_args(kind)[0], each, about) for each in value]
        return _OTHER if any(each is _OTHER for each in found) else found


def plain(kind: Any, value: Any, about: Any) -> Any:  # noqa: PLR0911 (one for each kind)
    """Return a value of a kind that a command wants, `_OTHER` where it is not plain."""
    if kind in (str, float, int) and type(value) is kind and (kind is not str or value.isascii()):
        return value
    if kind is float and type(value) is int:
        return float(value)
    if type(value) is not str:
        return _OTHER
    if kind is float and _NUMBER.fullmatch(value):
        return float(value)
    if kind is int and _WHOLE.fullmatch(value):
        return int(value)
    if kind is Path and value.isascii() and value.isprintable() and _may_be_named(value, about):
        return Path(value)
    return _OTHER


def _may_be_named(path: str, about: Any) -> bool:
    """Return whether nothing speaks against a file's name: it is not there, or may be read."""
    if about.exists or about.resolve_path or about.allow_dash or about.writable:
        return False
    if not (about.file_okay and about.dir_okay):
        return False
    return os.access(path, os.R_OK) or not os.path.lexists(path)
