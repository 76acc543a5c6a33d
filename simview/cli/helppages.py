"""How a command's help is laid out: its options in the groups that they are declared in.

It is written as plain text by what typer has for that. Its other way, with frames and colours,
loads a third of what help loads in all, and shows the same words.
"""

from __future__ import annotations

import inspect
from typing import Any, Final

from typer.core import TyperArgument, TyperCommand, TyperGroup

# Most columns of a page of help. A choice: longer lines are harder to read.
WIDEST: Final = 100
_FIRST: Final = ("Arguments", "Options")


class HelpPage(TyperCommand):
    """A command whose help shows its options in groups."""

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write each group under its name: arguments, then options that belong to no group."""
        _write_groups(self, ctx, formatter)


class HelpList(TyperGroup):
    """A program whose help says of each of its commands what it does."""

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write the program's own options, then its commands, each with its first paragraph."""
        _write_groups(self, ctx, formatter)
        found = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        told = [(name, _first_paragraph(each.help or "")) for name, each in found if each]
        with formatter.section("Commands"):
            formatter.write_dl(told)


def _first_paragraph(text: str) -> str:
    return " ".join(inspect.cleandoc(text).partition("\n\n")[0].split())


def _write_groups(command: Any, ctx: Any, formatter: Any) -> None:
    groups: dict[str, list[tuple[str, str]]] = {name: [] for name in _FIRST}
    for each in command.get_params(ctx):
        told = each.get_help_record(ctx)
        if told is not None:  # hidden otherwise
            usual = _FIRST[0] if isinstance(each, TyperArgument) else _FIRST[1]
            groups.setdefault(getattr(each, "rich_help_panel", None) or usual, []).append(told)
    for name, rows in groups.items():
        if rows:
            with formatter.section(name):
                formatter.write_dl(rows)
