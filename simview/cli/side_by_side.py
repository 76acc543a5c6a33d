"""Whole command lines as processes of their own, side by side, their words given in order.

One process that runs many commands keeps the memory of all that it ever held, and its threads wait
for one another whenever they are not inside a library. Where it can be, the processes are copies of
one that has loaded the libraries (`simview.cli.warm`).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import Final

from simview import budget, interrupts
from simview.cli import warm
from simview.executor.threads import jobs

# Processes at once: more would pass the memory that one command may take by itself. A choice;
# none of the demo's commands takes half of it (docs/performance.md).
AT_ONCE: Final = 2
# How long a process that is told to end may clean up before it is ended all the same, s.
_PATIENCE_S: Final = 2.0
_LOOK_AGAIN_S: Final = 0.5


@dataclass(frozen=True, kw_only=True)
class Ran:
    """What one command line came to.

    Attributes
    ----------
    code
        Its exit code.
    out, err
        What it printed, as it would stand on a terminal.
    """

    code: int
    out: str
    err: str


def ran(
    lines: Sequence[Sequence[str]],
    *,
    first: Sequence[int] = (),
    ended: Callable[[int, Ran], None] | None = None,
    waiting: Callable[[], None] | None = None,
) -> Generator[Ran]:
    """Run simview's command lines side by side; give what each came to, in order.

    Those still at work are told to end when the caller takes no more, or is interrupted.

    Parameters
    ----------
    lines
        The words after the program's name, for each command.
    first
        Numbers of those to begin with; all others follow as they stand.
    ended
        Is called with a command's number and outcome as soon as it ends, in whatever order.
    waiting
        Is called twice a second while the next one in order is not there.

    Examples
    --------
    >>> [each.code for each in ran([["--version"]])]
    [0]
    """
    at_once = min(AT_ONCE, jobs()) if budget.fits(budget.BUDGET_GB * 1e9 - budget.PROGRAM) else 1
    running = _Running(threads=max(1, jobs() // at_once))
    interrupts.at_end(running.end)
    if warm.can_stand_by():
        warm.stand_by()

    def one(number: int) -> Ran:
        done = running.run(lines[number])
        if ended is not None:
            ended(number, done)
        return done

    pool = ThreadPoolExecutor(at_once)
    try:
        todo: dict[int, Future[Ran]] = {
            number: pool.submit(one, number)
            for number in dict.fromkeys((*first, *range(len(lines))))
        }
        for each in map(todo.__getitem__, range(len(lines))):
            while not each.done():
                wait([each], timeout=_LOOK_AGAIN_S)
                if waiting is not None:
                    waiting()
            yield each.result()
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
        running.end()


class _Running:
    """The processes at work."""

    def __init__(self, *, threads: int) -> None:
        self._lock = threading.Lock()
        self._children: set[subprocess.Popen[str] | warm.Copy] = set()
        self._over = False
        self._around = {
            **os.environ,
            "SIMVIEW_JOBS": str(threads),
            "PYTHONIOENCODING": "utf-8",
            "COLUMNS": str(shutil.get_terminal_size().columns),
        }

    def run(self, words: Sequence[str]) -> Ran:
        """Start one and wait for its end."""
        with self._lock:
            if self._over:
                return Ran(code=-1, out="", err="")
            copied = warm.can_stand_by()
            child = warm.Copy(words, self._around) if copied else self._started(words)
            self._children.add(child)
        try:
            out, err = child.communicate()
        finally:
            with self._lock:
                self._children.discard(child)
        return Ran(code=child.returncode, out=out, err=err)

    def _started(self, words: Sequence[str]) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "-m", "simview", *words],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            errors="replace",
            env=self._around,
        )

    def end(self) -> None:
        """Tell all that still work to end; each removes what it had half written."""
        with self._lock:
            self._over = True
            left = tuple(self._children)
        for child in left:
            child.terminate()
        for child in left:
            try:
                child.wait(_PATIENCE_S)
            except (subprocess.TimeoutExpired, TimeoutError):
                child.kill()
