"""Ctrl-C and the signals that end a process: each stops the work at once and leaves nothing.

A signal raises KeyboardInterrupt in the main thread, so that every ``finally`` runs. Should some
library swallow it, or hold on for long, a watchman ends the process all the same.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable
from types import FrameType
from typing import Final

from simview import clibrary

# The watchman's patience between a signal and the end of the process, s.
PATIENCE_S: Final = 3.0

# Linux's prctl: the signal that a process gets when the one that made it ends. prctl(2).
_PR_SET_PDEATHSIG: Final = 1

_SIGNALS: Final = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")

_received: int = 0
_usual = False
_words: Callable[[int], None] | None = None
_speaking = threading.Lock()
_at_end: list[Callable[[], None]] = []


def listen() -> None:
    """Stop at Ctrl-C, at the system's request to end, and when the terminal goes away.

    The terminal's end stays ignored where whoever started this process had it ignore it, as
    nohup does. Ctrl-C is heard always: shells have work in the background ignore it.
    """
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        kept = name == "SIGHUP" and signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
        if number is not None and not kept:
            signal.signal(number, _stop)
    sys.unraisablehook = _swallowed


def received() -> int:
    """Return the number of the signal that asked this process to end; 0 for none."""
    return _received


def forget() -> None:
    """Take the signal as dealt with: it was the usual way to end what was going on."""
    global _received, _usual
    _received, _usual = 0, False


def be_a_copy() -> None:
    """Have a copied process tell nothing and clean up nothing that is the first one's."""
    global _words  # noqa: PLW0603 (a signal belongs to the process)
    _words = None
    _at_end.clear()


def end_with(maker: int, number: int = signal.SIGTERM) -> None:
    """Have the system tell this process to end as soon as the one that made it has: on Linux.

    Whoever is killed outright can tell its copies nothing, and they would work on for nobody.

    Parameters
    ----------
    maker
        The number of that process, as it was known before this one was made.
    number
        The signal that it is told with.

    Raises
    ------
    KeyboardInterrupt
        Where it has ended already.
    """
    clibrary.ask("prctl", (_PR_SET_PDEATHSIG, number, 0, 0, 0))
    if os.getppid() != maker:
        raise KeyboardInterrupt


def numbers() -> tuple[int, ...]:
    """Return the signals that are listened to, as this system numbers them."""
    return tuple(getattr(signal, name) for name in _SIGNALS if hasattr(signal, name))


def are_usual() -> None:
    """Let a signal be the usual way to end: where it is lost, the code is 0 and no word is said."""
    global _usual  # noqa: PLW0603 (a signal belongs to the process)
    _usual = True


def expect(words: Callable[[int], None]) -> None:
    """Say how the line is made that tells what a signal stopped; it is told once."""
    global _words  # noqa: PLW0603 (a signal belongs to the process)
    _words = words


def tell(number: int) -> None:
    """Tell what the signal stopped, unless it has been told."""
    global _words
    with _speaking:
        words, _words = _words, None
        if words is not None:
            words(number)


def at_end(work: Callable[[], None]) -> None:
    """Have something done when the process is ended by a signal: the last of cleaning up."""
    if work not in _at_end:
        _at_end.append(work)


def leave(code: int) -> None:
    """End the process now, waiting for no thread, with everything cleaned up.

    Parameters
    ----------
    code
        Exit code; the shell's own for a signal is 128 and its number.
    """
    for work in _at_end:
        work()
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (AttributeError, OSError, ValueError):
            continue
    os._exit(code)


def _swallowed(told: sys.UnraisableHookArgs) -> None:
    """Say nothing where Python itself drops an interrupt: the watchman ends the process."""
    if not (_received and isinstance(told.exc_value, KeyboardInterrupt)):
        sys.__unraisablehook__(told)


def _stop(number: int, frame: FrameType | None) -> None:
    global _received
    first, _received = not _received, number
    if not first:
        return  # what is under way is the cleaning up
    watchman = threading.Timer(PATIENCE_S, _end_all_the_same, (number,))
    watchman.daemon = True
    watchman.start()
    raise KeyboardInterrupt


def _end_all_the_same(number: int) -> None:
    if _received and _usual:
        leave(0)
    if _received:
        tell(number)
        leave(128 + number)
