"""A bar on standard error: only when a terminal looks on, and only when it takes long."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import TYPE_CHECKING, Final

from simview.terminal import visible

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

# Work that is done sooner than this shows no bar, s.
PATIENCE_S: Final = 1.0


class ProgressBar:
    """Shows how far the work is; called with the fraction done and a word on what is going on.

    Parameters
    ----------
    wanted
        False keeps it silent whatever happens.
    """

    def __init__(self, *, wanted: bool) -> None:
        self._wanted = wanted and sys.stderr is not None and sys.stderr.isatty()
        self._start = time.monotonic()
        self._bar: Progress | None = None
        self._task: TaskID | None = None

    def __enter__(self) -> ProgressBar:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._bar is not None:
            self._bar.stop()

    def __call__(self, fraction: float, text: str) -> None:
        """Tell that `fraction` (0 to 1) is done and that `text` comes next."""
        if not self._wanted:
            return
        if self._bar is None:
            if time.monotonic() - self._start < PATIENCE_S:
                return
            self._show()
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, completed=fraction, description=visible(text))

    def _show(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

        self._bar = Progress(
            TextColumn("{task.description}", markup=False),
            BarColumn(),
            TimeRemainingColumn(),
            console=Console(stderr=True),
            transient=True,
        )
        self._task = self._bar.add_task("", total=1.0)
        self._bar.start()
