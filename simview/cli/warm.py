"""A warm start: command lines as processes that find their libraries loaded.

Loading takes most of a second of every command (docs/performance.md). On Linux one process loads
what most commands need and then only stands by; for each command line it is copied. A copy shares
nothing with the others that one of them changes. Elsewhere copying a process that has loaded
libraries is not safe, and nothing here is used.
"""

from __future__ import annotations

import os
import selectors
import signal
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from multiprocessing import context, forkserver, get_context, resource_tracker
from multiprocessing.connection import Connection
from typing import Final

# What many of the demo's commands load. One that is missing is loaded where it is needed.
_LIBRARIES: Final = (
    "PIL.GifImagePlugin",
    "PIL.Image",
    "PIL.ImageDraw",
    "PIL.JpegImagePlugin",
    "PIL.PngImagePlugin",
    "importlib.metadata",
    "numpy.ma",
    "numpy.random",
    "rich.console",
    "rich.markup",
    "rich.table",
    "scipy.ndimage",
    "threadpoolctl",
    "simview.advice.reading.assemble",
    "simview.advice.request",
    "simview.cli.app",
    "simview.cli.commands.view",
    "simview.cli.kits",
    "simview.cli.slideoptions",
    "simview.kitword",
    "simview.picture.drawing.canvas",
    "simview.picture.outputs",
    "simview.picture.slides.plan",
    "simview.picture.views.compose",
    "simview.picture.views.judged",
    "simview.scene.targets",
    "simview.telescope.faults",
)
_STANDS_BY: Final = "simview.cli.standby"
_SIGNALS: Final = () if sys.platform == "win32" else (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


def can_stand_by() -> bool:
    """Return whether a process may be copied here after libraries were loaded."""
    return sys.platform == "linux"


def stand_by() -> None:
    """Start the process that loads the libraries, unless it stands by already.

    Signals are held back in it, and in its copies until each of them is ready for them: a Ctrl-C is
    meant for the commands, and it ends with whoever started it.
    """
    _context().set_forkserver_preload([_STANDS_BY])
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _SIGNALS)
    try:
        # Python's own helper: starting it lets some of them through again.
        resource_tracker.ensure_running()
        signal.pthread_sigmask(signal.SIG_BLOCK, _SIGNALS)
        with _own_path_only():
            forkserver.ensure_running()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def load() -> None:
    """Load the libraries; called in the process that stands by."""
    import gc
    from importlib import import_module

    from simview import heap, interrupts, transforms, unused
    from simview.executor.threads import take_short_turns

    # It holds the other signals back; without this it would stay as long as one of its copies does.
    interrupts.end_with(os.getppid(), signal.SIGKILL)
    heap.keep()
    take_short_turns()
    transforms.compiled()
    unused.put_off()
    unused.warn_nobody()
    for name in _LIBRARIES:
        try:
            import_module(name)
        except ImportError:
            continue
    gc.freeze()  # what is shared is not to be copied for the sake of counting it


class Copy:
    """A command line at work in a copy of the process that stands by.

    Parameters
    ----------
    words
        After the program's name.
    around
        Its environment.
    """

    def __init__(self, words: Sequence[str], around: Mapping[str, str]) -> None:
        out, out_end = _context().Pipe(duplex=False)
        err, err_end = _context().Pipe(duplex=False)
        self._read = (out, err)
        self._process = _context().Process(
            target=_work, args=(list(words), dict(around), out_end, err_end), daemon=True
        )
        self._process.start()
        out_end.close()
        err_end.close()

    @property
    def returncode(self) -> int:
        """Exit code of what has ended; negative for a signal."""
        code = self._process.exitcode
        return -1 if code is None else code

    def communicate(self) -> tuple[str, str]:
        """Wait for its end, and return all that it printed and all that it complained of."""
        told: dict[Connection, list[bytes]] = {pipe: [] for pipe in self._read}
        with selectors.DefaultSelector() as waiting:
            for pipe in self._read:
                waiting.register(pipe, selectors.EVENT_READ, pipe)
            while waiting.get_map():
                for ready, _ in waiting.select():
                    part = os.read(ready.fd, 65536)
                    told[ready.data].append(part)
                    if not part:
                        waiting.unregister(ready.data)
        for pipe in self._read:
            pipe.close()
        self._process.join()
        out, err = (b"".join(told[pipe]).decode("utf-8", "replace") for pipe in self._read)
        return out, err

    def terminate(self) -> None:
        """Ask it to end."""
        self._process.terminate()

    def kill(self) -> None:
        """End it."""
        self._process.kill()

    def wait(self, seconds: float) -> None:
        """Wait for its end.

        Raises
        ------
        TimeoutError
            If it is still at work then.
        """
        self._process.join(seconds)
        if self._process.exitcode is None:
            raise TimeoutError


def _context() -> context.ForkServerContext:
    return get_context("forkserver")


@contextmanager
def _own_path_only() -> Iterator[None]:
    """Have a Python that is started look for modules where this one does: not where we stand."""
    kept = os.environ.get("PYTHONSAFEPATH")
    if not {"", os.getcwd()} & set(sys.path):
        os.environ["PYTHONSAFEPATH"] = "1"
    try:
        yield
    finally:
        if kept is None:
            os.environ.pop("PYTHONSAFEPATH", None)


def _work(
    words: list[str], around: dict[str, str], out: Connection, err: Connection
) -> None:  # pragma: no cover (in a process of its own)
    """Run a command line as the program does, told to two pipes."""
    from simview import budget, interrupts

    os.environ.clear()
    os.environ.update(around)
    for pipe, number in ((out, 1), (err, 2)):
        os.dup2(pipe.fileno(), number)
        pipe.close()
    sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115 (the process's own)
    sys.stderr = open(2, "w", 1, "utf-8", "backslashreplace", closefd=False)  # noqa: SIM115
    try:
        interrupts.listen()
        interrupts.end_with(os.getppid())  # that of what stands by, which ends with its maker
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _SIGNALS)
        with budget.wall():
            from simview.cli.app import run

            code = run(words)
    except KeyboardInterrupt:
        code = 128 + (interrupts.received() or 2)
    # No thread that still computes is waited for.
    interrupts.leave(code)
