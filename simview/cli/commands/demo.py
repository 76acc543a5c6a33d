"""Everything, on the demo scenario."""

from __future__ import annotations

import io
import json
import shlex
import shutil
from collections.abc import Iterator
from contextlib import nullcontext, redirect_stdout
from pathlib import Path
from typing import Annotated, Any

from typer import Option

from simview import interrupts
from simview.cli import ledger
from simview.cli.options import ReportOptions
from simview.cli.report import Reporter
from simview.demo import folder as demo_folder
from simview.errors import FileError, require_choice
from simview.terminal import tell
from simview.textfile import free_name

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
    shutil.copytree(demo_folder(), folder / "files", dirs_exist_ok=True)
    shown = []
    spelled_out = [line.format(folder=shlex.quote(str(folder))) for line in lines]
    ledger.plan(*map(_what, spelled_out))
    for spelled in spelled_out:
        if not report.json:
            tell(f"\n$ simview {spelled}")
        shown.append({"command": f"simview {spelled}", "figures": _run(spelled, report)})
        ledger.finish(_what(spelled))
    if report.json:
        reporter.figures({"demo": shown})
    reporter.remark(f"the demo's kits and adverts are in {folder / 'files'}, to be changed")


def _what(spelled: str) -> str:
    """Return what a command line makes: its file's name, or the command's where it has none."""
    words = shlex.split(spelled)
    return words[words.index("--out") + 1] if "--out" in words else words[0]


def _run(spelled: str, report: ReportOptions) -> Any:
    """Run one command line as the shell would; return its figures if they are asked for."""
    from simview.cli.app import INTERRUPTED, app

    flags = {"--json": report.json, "--quiet": report.quiet, "--force": report.force}
    words = [*shlex.split(spelled), *(flag for flag, given in flags.items() if given)]
    caught = io.StringIO()
    with redirect_stdout(caught) if report.json else nullcontext():
        code = app(words[0])(words, prog_name="simview", standalone_mode=False)
    # typer turns Ctrl-C into an exit code; it is meant for the whole demo.
    if code == INTERRUPTED or interrupts.received():
        raise KeyboardInterrupt
    return json.loads(caught.getvalue()) if report.json else None


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
        raise FileError(
            "folder is there already",
            remedy="choose another name or use --force",
            where=str(folder),
        ) from None
    except OSError as error:
        raise FileError(f"folder cannot be made ({error.strerror})", where=str(folder)) from None
    return folder
