"""The command line program: ``simview`` or ``python -m simview``."""

from __future__ import annotations

import atexit
import os
import sys
import threading
from contextlib import suppress


def main() -> None:
    """Run the command line and leave with its exit code."""
    _open_what_is_closed()
    from simview import interrupts

    try:
        interrupts.listen()
        code = _run()
    except (KeyboardInterrupt, Exception) as error:
        # Before the first line of work, or after the last. Python before 3.12 makes an interrupt
        # that strikes while a class is made another error.
        if not (interrupts.received() or isinstance(error, KeyboardInterrupt)):
            raise
        print("simview: stopped; nothing is finished", file=sys.stderr or None)
        code = 128 + (interrupts.received() or 2)
    # Threads that compute on while Python is taken down would abort the process.
    if interrupts.received() or any(one.daemon for one in threading.enumerate()):
        interrupts.leave(code)
    sys.exit(code)


def _run() -> int:
    """Set up this process for one command, run it, and return its exit code."""
    # One thread inside the linear algebra: the work is shared out over wavelengths and panels,
    # and threads within threads only fight. It must be said before numpy loads, and only here,
    # since a library has no say in its user's threads.
    told = [
        os.environ.setdefault(name, "1")
        for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
    ]
    # Other packages' plugins have no say in how kits are read, and looking for them takes long.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from simview import heap, unused

    heap.keep()
    unused.put_off()
    from simview import late

    late.write_late()
    from simview import budget
    from simview.executor import copies, threads

    threads.take_short_turns()
    if set(told) == {"1"} and "numpy" not in sys.modules:
        threads.blas_has_one_thread()
    unused.warn_nobody()
    copies.allow()
    with budget.wall():
        from simview.cli.app import run

        return run()


def _open_what_is_closed() -> None:
    """Let no file that is opened later become standard input, output or error by chance."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


def start() -> None:
    """Run the command line as the whole of this process, which it ends."""
    code: list[int] = []

    def end() -> None:
        # All that libraries do at the end is done by now. What is left is to take each of some
        # 100,000 objects down, which takes 0.02 to 0.09 s and serves nobody.
        if code and not _is_watched():
            with suppress(OSError, ValueError, AttributeError):
                sys.stdout.flush()
                sys.stderr.flush()
                os._exit(code[0])

    atexit.register(end)  # the first of all, so that it is called last
    try:
        main()
    except SystemExit as ended:
        if isinstance(ended.code, int):
            code.append(ended.code)
        raise


def _is_watched() -> bool:
    """Return whether somebody follows each line, and wants to tell at the end what was run."""
    return bool(sys.gettrace() or sys.getprofile() or "coverage" in sys.modules)


if __name__ == "__main__":
    start()
