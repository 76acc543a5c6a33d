"""The program: gathers the commands, and is the one place where errors become exit codes."""

from __future__ import annotations

import errno
import os
import pkgutil
import signal
import sys
from collections.abc import Iterator, Sequence
from importlib import import_module
from types import ModuleType
from typing import Annotated, Any, Final

import typer

from simview import __version__, budget, interrupts
from simview.cli import commands, ledger
from simview.cli.groups import grouped
from simview.cli.helppages import WIDEST, HelpList
from simview.cli.typed import LightCommand
from simview.errors import SimviewError, SunError
from simview.terminal import OutputError, remark, safe, tell
from simview.textfile import sweep

# Exit codes: 1 where the results cannot be told, 2 for wrong input, the shell's own for an
# interrupt (128 and the signal's number) and a closed pipe.
NOT_TOLD: Final = 1
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
    "talk",
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
    ledger.begin()
    interrupts.at_end(sweep)
    interrupts.expect(_last_words)
    with safe():
        code = _outcome(given or ["--help"])
        # Some library may have kept the interrupt to itself.
        return _stopped() if code == INTERRUPTED or interrupts.received() else code


def _outcome(given: list[str]) -> int:  # noqa: PLR0911 (one for each way to end)
    try:
        with budget.used():
            code = execute(given)
        if sys.stdout is not None:
            sys.stdout.flush()
    except SunError as error:
        return _wrong(f"{error}. {_in_their_tongue(str(error.got))}")
    except (SimviewError, typer.TyperException) as error:
        return _wrong(usage(error) if isinstance(error, typer.TyperException) else str(error))
    except (KeyboardInterrupt, typer.Abort):
        return INTERRUPTED
    except MemoryError:
        return _wrong("there is not enough memory; make it smaller, or allow more with --memory GB")
    except OSError as error:
        return _output_ended(error)
    except Exception:
        # Python before 3.12 makes an interrupt that strikes while a class is made another error.
        if interrupts.received():
            return INTERRUPTED
        raise
    return code if isinstance(code, int) else 0


# No space, quota, file too large, input/output, bad descriptor.
_OUTPUT_ERRORS: Final = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO, errno.EBADF)


def _stopped() -> int:
    """Say what is finished, and return the shell's exit code for the signal."""
    number = interrupts.received() or signal.SIGINT
    sweep()
    interrupts.tell(number)
    return 128 + int(number)


def _last_words(number: int) -> None:
    remark(ledger.line("stopped by Ctrl-C" if number == signal.SIGINT else "stopped"))


def _output_ended(error: OSError) -> int:
    """Return the exit code for a standard output that takes no more; any other error is raised."""
    if isinstance(error, BrokenPipeError):
        _print_no_more()
        return PIPE_CLOSED
    # Flushing at the end is the first to meet a full disk.
    full = error.filename is None and error.errno in _OUTPUT_ERRORS
    if not (isinstance(error, OutputError) or full):
        raise error
    reason = error.strerror or str(error)
    remark(ledger.line(f"standard output does not take the results: {reason}"))
    _print_no_more()
    return NOT_TOLD


def _print_no_more() -> None:
    # Python would complain once more when it flushes at its end.
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (AttributeError, OSError, ValueError):
        return


def _wrong(message: str) -> int:
    remark(message)
    return WRONG_INPUT


def _in_their_tongue(word: str) -> str:
    """Return the cautions for the Sun once more in the language of the word, where it is known."""
    from simview.advice.rules.sun_rules import SUN_CAUTION
    from simview.advice.speech import Tongue
    from simview.scene.sun_words import language_of

    language = language_of(word)
    if language is None:
        return ""
    return " ".join(Tongue(language=language).word(str(said)) for said in SUN_CAUTION)


def usage(error: typer.TyperException) -> str:
    """Return what typer has against the command line as one sentence, with what was got."""
    message = _short(str(getattr(error, "format_message", error.__str__)()).rstrip("."), 400)
    refused = getattr(error.__cause__, "errors", None)  # pydantic's, behind a value of wrong type
    got = f"; got {_short(repr(refused()[0]['input']), 80)}" if refused else ""
    context = getattr(error, "ctx", None)
    return f"{message}{got}" + (f"; see {context.command_path} --help" if context else "")


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most // 2]}…{text[-most // 2 :]}"


_HELP: Final = {"help_option_names": ["-h", "--help"], "max_content_width": WIDEST}


def app() -> typer.Typer:
    """Return the program with all its commands."""
    program = typer.Typer(
        cls=HelpList,
        rich_markup_mode=None,
        epilog="Begin with `simview demo`. In each command, --help shows examples.",
        no_args_is_help=True,
        context_settings=_HELP,
        pretty_exceptions_enable=False,
    )
    program.callback(help=ABOUT)(_options)
    for name, module in modules():
        _add(program, name, module)
    return program


def alone(name: str) -> typer.Typer:
    """Return one command as a program of its own: it starts sooner, and loads no other."""
    program = typer.Typer(
        context_settings=_HELP,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        add_completion=False,
    )
    _add(program, name, load(name))
    return program


def _add(program: typer.Typer, name: str, module: ModuleType) -> None:
    epilog = _examples(name, module)
    program.command(name, cls=LightCommand, epilog=epilog)(grouped(module.command))


def execute(given: list[str]) -> Any:
    """Run a command line as typer does, and return its exit code; what is wrong is raised."""
    if given and given[0] in names():
        program, called, rest = alone(given[0]), f"simview {given[0]}", given[1:]
    else:
        program, called, rest = app(), "simview", given
    return program(rest, prog_name=called, standalone_mode=False)


def names() -> list[str]:
    """Return the commands' names, in the order of the list of commands."""
    found = (each.name for each in pkgutil.iter_modules(commands.__path__))
    return sorted((name for name in found if not name.startswith("_")), key=_place)


def load(name: str) -> ModuleType:
    """Return a command's module."""
    return import_module(f"{commands.__name__}.{name}")


def modules() -> Iterator[tuple[str, ModuleType]]:
    """Give every command's name and module, in the order of the list of commands."""
    for name in names():
        yield name, load(name)


def _place(name: str) -> tuple[int, str]:
    return (_ORDER.index(name) if name in _ORDER else len(_ORDER), name)


def _examples(name: str, module: ModuleType) -> str:
    lines = [f"simview {name} {line}".rstrip() for line in module.EXAMPLES]
    # Without the first sign typer would join the lines.
    return "\n  ".join(["\b\nExamples:", *lines])


def _tell_version(wanted: bool) -> None:
    if wanted:
        tell(f"simview {__version__}")
        raise typer.Exit


def _options(
    version: Annotated[
        bool,
        typer.Option(
            "--version", help="Print the version and exit.", callback=_tell_version, is_eager=True
        ),
    ] = False,
) -> None:
    """Take the options that stand before a command; each acts by its own callback."""
