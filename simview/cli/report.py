"""Figures and pictures out: results to standard output, remarks to standard error."""

from __future__ import annotations

import math
import shutil
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from simview.cli import ledger
from simview.cli.columns import side_by_side
from simview.cli.options import ReportOptions
from simview.cli.progress import ProgressBar
from simview.executor.threads import beside
from simview.picture.outputs import needs_picture, suffixes, write
from simview.terminal import json_text, remark, tell, tell_json, visible
from simview.textfile import free_name, require_writable, write_whole

if TYPE_CHECKING:
    from simview.picture.films.moving import Moving
    from simview.picture.finished import Told
    from simview.scene.scene import Target

# Where another command takes what this thread's commands make, instead of files and figures.
_taken: ContextVar[list[Told | Moving] | None] = ContextVar("taken", default=None)


@contextmanager
def taking() -> Iterator[list[Told | Moving]]:
    """Give what commands make within, sheets and films, instead of writing and telling it."""
    made: list[Told | Moving] = []
    token = _taken.set(made)
    try:
        yield made
    finally:
        _taken.reset(token)


# Rows that still stand side by side on a terminal. A choice.
MOST_COLUMNS: Final = 8


class Reporter:
    """Where one command's results go.

    Making it checks the name of the file to write, so that a wrong one is told before the work.

    Parameters
    ----------
    options
        As given on the command line.
    stem
        The file's name without ending, where none was given: ``"ladder-jupiter"``.
    suffix
        Ending of the file that the command writes; the usual one first where there are several.
        None for what any sheet can be.
    """

    def __init__(
        self,
        options: ReportOptions,
        *,
        stem: str = "",
        suffix: str | tuple[str, ...] | None = None,
    ) -> None:
        self._options = options
        self._path: Path | None = None
        if _taken.get() is not None:
            return
        allowed = suffixes() if suffix is None else suffix
        if options.out is not None:
            self._path = require_writable(options.out, force=options.force, suffix=allowed)
        elif stem and not options.json:
            usual = allowed if isinstance(allowed, str) else allowed[0]
            self._path = require_writable(free_name(f"{stem}{usual}"))
        if self._path is not None:
            ledger.plan(self._path)

    @property
    def path(self) -> Path | None:
        """Where the file goes; None when figures alone are wanted."""
        return self._path

    @property
    def draws(self) -> bool:
        """False where figures alone are wanted, so that no picture need be drawn."""
        return _taken.get() is not None or (self._path is not None and needs_picture(self._path))

    @property
    def force(self) -> bool:
        """True when a file that is there already may be replaced."""
        return self._options.force

    def progress(self) -> ProgressBar:
        """Return the bar for this command's work."""
        return ProgressBar(wanted=not self._options.quiet and not self._options.json)

    def fetch(self, *targets: Target) -> None:
        """Begin to read what targets are painted from, if they are: there is more to load yet."""
        if self.draws:
            for work in {target.fetch for target in targets if target.fetch}:
                beside(work)

    def remark(self, text: str) -> None:
        """Say something that is no result."""
        if not self._options.quiet:
            remark(text)

    def sheet(self, sheet: Told, remarks: Sequence[str] = (), *, words: str = "") -> None:
        """Write the file if one is wanted, then tell the figures, or `words` in their place.

        `remarks` come before those of the sheet itself.
        """
        if self.handed_over(sheet):
            return
        if self._path is not None:
            force, number = self._options.force, self._options.out is None
            with ledger.writing(self._path):
                self._path = write(sheet, self._path, force=force, number=number)
        for told in (*remarks, *sheet.remarks):
            self.remark(told)
        self.figures(sheet.figures, words=words)

    def handed_over(self, made: Told | Moving) -> bool:
        """Hand a sheet or film to the command that takes them; return False where none does."""
        taken = _taken.get()
        if taken is None:
            return False
        taken.append(made)
        return True

    def figures(self, figures: Mapping[str, Any], *, words: str = "") -> None:
        """Print figures: JSON, or the file's name and a table, or `words` in the table's place."""
        if self._options.json:
            tell_json(clean(figures))
            return
        if self._path is not None:
            tell(self._path)
        tell(visible(words) if words else table(figures))

    def rows(self, name: str, rows: Sequence[Mapping[str, Any]]) -> None:
        """Print a list, or write it to the file: JSON, or a line for each row."""
        text = json_text({name: clean(rows)}) if self._options.json else visible(_lines(rows))
        if self._path is not None:
            with ledger.writing(self._path):
                write_whole(self._path, text + "\n", force=self._options.force)
        if self._options.json:
            tell_json({name: clean(rows)})
        else:
            tell(text)


def clean(value: Any) -> Any:
    """Return figures as JSON knows them: plain numbers, and null for what is no number."""
    if isinstance(value, Mapping):
        return {str(key): clean(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [clean(item) for item in value]
    if hasattr(value, "tolist"):  # numpy's numbers and arrays
        return clean(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def table(figures: Mapping[str, Any]) -> str:
    """Return figures as text: single ones a line each, rows of like figures as columns.

    Many rows are lines below the names of the figures.
    """
    figures = clean(figures)
    single = {key: value for key, value in figures.items() if not isinstance(value, list | dict)}
    width = max((len(key) for key in single), default=0)
    parts = ["\n".join(f"{key:<{width}}  {_text(value)}" for key, value in single.items())]
    for value in figures.values():
        if isinstance(value, list) and value and all(isinstance(row, dict) for row in value):
            parts.append(_columns(value) if len(value) <= MOST_COLUMNS else _headed(value))
    return "\n\n".join(part for part in parts if part)


def _columns(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return like rows turned on their side: a figure a line, a row a column.

    Sentences are broken to fit the terminal, numbers never.
    """
    keys = dict.fromkeys(key for row in rows for key in row)
    values = [[_text(row.get(key)) for key in keys] for row in rows]
    width = shutil.get_terminal_size((100, 24)).columns
    return "\n".join(side_by_side(list(keys), values, width))


def _headed(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return many rows as lines, with a line of names above them."""
    return _lines([{key: key for key in rows[0]}, *rows])


def _lines(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return like rows as lines, their values in columns."""
    widths = {key: max(len(_text(row[key])) for row in rows) for key in rows[0]}
    lines = ("  ".join(f"{_text(row[key]):<{w}}" for key, w in widths.items()) for row in rows)
    return "\n".join(line.rstrip() for line in lines)


def _text(value: Any) -> str:
    if value is None:
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping) and "name" in value and "seen" in value:
        # A thin line or spot: what its figures come to, which --json holds one by one.
        return f"{value['name']}: {'seen' if value['seen'] else 'not seen'}"
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_text(item)}" for key, item in value.items()) or "-"
    if isinstance(value, list):
        return ", ".join(map(_text, value)) or "-"
    return f"{value:.4g}" if isinstance(value, float) else str(value)
