"""Everything, on the demo scenario."""

from __future__ import annotations

import json
import shlex
import shutil
import time
from collections.abc import Generator, Iterable, Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

from typer import Exit, Option

from simview.cli import ledger
from simview.cli.options import ReportOptions
from simview.cli.report import Reporter
from simview.demo import folder as demo_folder
from simview.errors import FileError, require_choice
from simview.terminal import pass_on, tell
from simview.textfile import free_name, part_of

if TYPE_CHECKING:
    from simview.cli.side_by_side import Ran

# Begun last, however they stand: what takes two seconds or less, so that nothing long is left alone
# at the end with half of the machine idle (docs/performance.md).
_QUICK: Final = ("vet {folder}", "detail ", "eyepiece ")

EXAMPLES = ("", "--only ladder", "--out evening")


def command(
    only: Annotated[
        str | None, Option(metavar="COMMAND", help="Run only this command's part of the demo.")
    ] = None,
    report: ReportOptions = ReportOptions(),
) -> None:
    """Run every command on the demo's kits: an evening at an invented lending library.

    The pictures go to a new folder, simview-demo or what --out names. Each command line is
    printed, ready to be changed and run again.
    """
    lines = list(_lines(only))
    reporter = Reporter(ReportOptions(json=report.json, quiet=report.quiet))
    folder = _new_folder(report.out, force=report.force)
    _copy_files(folder)
    spelled_out = [line.format(folder=shlex.quote(str(folder))) for line in lines]
    ledger.plan(*map(_what, spelled_out))
    first = _begin_with(lines)
    with closing(_outcomes(spelled_out, first, report, reporter)) as outcomes:
        shown = [
            {"command": f"simview {spelled}", "figures": _told(spelled, done, report)}
            for spelled, done in zip(spelled_out, outcomes, strict=True)
        ]
    if report.json:
        reporter.figures({"demo": shown})
    reporter.remark(f"the demo's kits and adverts are in {folder / 'files'}, to be changed")


def _copy_files(folder: Path) -> None:
    """Copy the demo's kits and adverts into its folder, all of them or none."""
    files, given = folder / "files", demo_folder()
    names = [path.relative_to(given) for path in sorted(given.rglob("*")) if path.is_file()]
    try:
        with part_of(files) as part:
            for name in names:
                (part / name).parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(given / name, part / name)
            for name in names:
                (files / name).parent.mkdir(parents=True, exist_ok=True)
                (part / name).replace(files / name)
    except OSError as error:
        with suppress(OSError):  # what holds anything stays
            folder.rmdir()
        reason = error.strerror or "the disk refuses"
        raise FileError(f"folder cannot be written ({reason})", where=str(folder)) from None


def _what(spelled: str) -> str:
    """Return what a command line makes: its file's name, or the command's where it has none."""
    words = shlex.split(spelled)
    return words[words.index("--out") + 1] if "--out" in words else words[0]


def _words(spelled: str, report: ReportOptions) -> list[str]:
    """Return a command line's words, with the options that are meant for all of the demo."""
    flags = {"--json": report.json, "--quiet": report.quiet, "--force": report.force}
    given = [flag for flag, wanted in flags.items() if wanted]
    values = {"--memory": report.memory, "--cluster": report.cluster or None}
    given += [f"{name}={value}" for name, value in values.items() if value is not None]
    return [*shlex.split(spelled), *given]


def _begin_with(lines: list[str]) -> list[int]:
    """Return the numbers of all lines in the order in which they are begun."""

    def quick(number: int) -> int:
        return next((i for i, each in enumerate(_QUICK, 1) if lines[number].startswith(each)), 0)

    return sorted(range(len(lines)), key=quick)


def _outcomes(
    spelled_out: list[str], first: list[int], report: ReportOptions, reporter: Reporter
) -> Generator[Ran]:
    """Run the command lines; give their outcomes in order, with a bar while none is there."""
    from simview.cli.side_by_side import ran  # here, since help needs no processes

    def note(number: int, done: Ran) -> None:
        if done.code == 0:
            ledger.finish(_what(spelled_out[number]))

    lines = [_words(spelled, report) for spelled in spelled_out]
    bar = reporter.progress()
    began_ns = time.time_ns()
    try:
        with closing(
            ran(
                lines,
                first=first,
                ended=note,
                waiting=lambda: bar(ledger.share(), "the demo"),
            ),
        ) as outcomes:
            for _ in lines:
                # It has ended before anything is told to standard output, which would stand in it.
                with reporter.progress() as bar:
                    done = next(outcomes)
                yield done
    finally:
        _note_what_is_there(map(_what, spelled_out), began_ns)


def _note_what_is_there(made: Iterable[str], began_ns: int) -> None:
    """Note each file that is there, also those whose command was ended in its last moments."""
    for name in made:
        with suppress(OSError):  # it is not there
            if Path(name).stat().st_mtime_ns >= began_ns:
                ledger.finish(name)


def _told(spelled: str, done: Ran, report: ReportOptions) -> Any:
    """Print what a command told; return its figures if they are asked for.

    Raises
    ------
    Exit
        With the command's own code if it failed; it has said why.
    """
    if not report.json:
        tell(f"\n$ simview {spelled}")
        if done.out.strip():
            tell(done.out.rstrip("\n"), flush=True)
    pass_on(done.err)
    if done.code:
        raise Exit(done.code)
    return json.loads(done.out) if report.json else None


def _lines(only: str | None) -> Iterator[str]:
    from simview.cli.app import modules

    shows = {name: module.DEMO for name, module in modules() if hasattr(module, "DEMO")}
    if only is not None:
        require_choice("--only", only, shows)
    for name, lines in shows.items():
        if only in (None, name):
            yield from (f"{name} {line}" for line in lines)


def _new_folder(wanted: Path | None, *, force: bool) -> Path:
    folder = free_name("simview-demo") if wanted is None else wanted
    try:
        folder.mkdir(exist_ok=force)
    except FileExistsError:
        if wanted is None:  # another demo took the name since it was looked at
            return _new_folder(None, force=False)
        if not folder.is_dir():
            raise FileError(
                "--out",
                got="a file",
                allowed="a new folder, or with --force one that is there",
                remedy="choose another name: a file is never replaced by a folder",
                where=str(folder),
            ) from None
        raise FileError(
            "folder is there already",
            remedy="choose another name or use --force",
            where=str(folder),
        ) from None
    except OSError as error:
        raise FileError(f"folder cannot be made ({error.strerror})", where=str(folder)) from None
    return folder
