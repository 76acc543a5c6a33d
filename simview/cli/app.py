"""The program: gathers the commands, and is the one place where errors become exit codes."""

from __future__ import annotations

import os
import pkgutil
import sys
from collections.abc import Iterator, Sequence
from importlib import import_module
from types import ModuleType
from typing import Annotated, Final

import typer

from simview import __version__
from simview.cli import commands
from simview.cli.groups import grouped
from simview.errors import SimviewError

# Exit codes: 2 for wrong input, the shell's own for an interrupt and a closed pipe.
WRONG_INPUT: Final = 2
INTERRUPTED: Final = 130
PIPE_CLOSED: Final = 141

ABOUT: Final = "Computes what an eye really sees through a small telescope, and shows it."

# The order in the list of commands; one that is not named here comes last.
_ORDER: Final = (
    "demo",
    "live",
    "view",
    "ladder",
    "compare",
    "startest",
    "collimate",
    "film",
    "eyepiece",
    "detail",
    "vet",
    "targets",
    "redo",
)


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command line and return its exit code.

    Parameters
    ----------
    arguments
        Without the program's name; None takes those of this process.
    """
    given = sys.argv[1:] if arguments is None else list(arguments)
    try:
        code = app()(given or ["--help"], prog_name="simview", standalone_mode=False)
        sys.stdout.flush()
    except SimviewError as error:
        return _wrong(str(error))
    except typer.TyperException as error:
        return _wrong(_usage(error))
    except (KeyboardInterrupt, typer.Abort):
        return INTERRUPTED
    except BrokenPipeError:
        # Python would complain once more when it flushes at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    return code if isinstance(code, int) else 0


def _wrong(message: str) -> int:
    print(f"simview: {' '.join(message.split())}", file=sys.stderr)
    return WRONG_INPUT


def _usage(error: typer.TyperException) -> str:
    """Return what typer has against the command line as one sentence, with what was got."""
    message = str(getattr(error, "format_message", error.__str__)()).rstrip(".")
    refused = getattr(error.__cause__, "errors", None)  # pydantic's, behind a value of wrong type
    got = f"; got {refused()[0]['input']!r}" if refused else ""
    context = getattr(error, "ctx", None)
    return f"{message}{got}" + (f"; see {context.command_path} --help" if context else "")


def app() -> typer.Typer:
    """Return the program with all of its commands."""
    program = typer.Typer(
        epilog="Begin with `simview demo`. In each command, --help shows examples.",
        no_args_is_help=True,
        context_settings={"help_option_names": ["-h", "--help"]},
        pretty_exceptions_enable=False,
    )
    program.callback(help=ABOUT)(_options)
    for name, module in modules():
        program.command(name, epilog=_examples(name, module))(grouped(module.command))
    return program


def modules() -> Iterator[tuple[str, ModuleType]]:
    """Give every command's name and module, in the order of the list of commands."""
    found = (each.name for each in pkgutil.iter_modules(commands.__path__))
    for name in sorted(found, key=_place):
        if not name.startswith("_"):
            yield name, import_module(f"{commands.__name__}.{name}")


def _place(name: str) -> tuple[int, str]:
    return (_ORDER.index(name) if name in _ORDER else len(_ORDER), name)


def _examples(name: str, module: ModuleType) -> str:
    lines = [f"simview {name} {line}".rstrip() for line in module.EXAMPLES]
    # typer joins single lines; an empty line between keeps each command on its own.
    return "\n\n".join(["Examples:", *lines])


def _tell_version(wanted: bool) -> None:
    if wanted:
        print(f"simview {__version__}")
        raise typer.Exit


def _options(
    version: Annotated[
        bool,
        typer.Option("--version", help="Tell the version.", callback=_tell_version, is_eager=True),
    ] = False,
) -> None:
    """Take the options that stand before a command; each acts by its own callback."""
