"""Pieces done by copies of this process: on Linux, for the program itself.

Threads of Python wait for one another whenever they are not inside a library, and a process that
has made many things keeps much of the memory of each. A copy knows all that this process knows,
says what it made, and is gone, with all that it held. Elsewhere copying a process that has loaded
libraries is not safe, and in a process with other threads it never is: threads do it there.
"""

from __future__ import annotations

import gc
import os
import pickle
import signal
import struct
import sys
import threading
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext, suppress
from typing import Any, Final, TypeVar

from simview import heap, interrupts
from simview.errors import SimviewError
from simview.executor.threads import as_worker, jobs, rest, set_jobs, within

Item = TypeVar("Item")
Answer = TypeVar("Answer")

# A copy that has come to hold so many bytes more than it began with makes room for a fresh one. A
# choice: half of what one view of the Moon takes (docs/performance.md).
GROWN: Final = 150_000_000

# How long a copy that is told to end may clean up before it is ended all the same, s. Less than
# the patience of the watchman (`simview.interrupts`), who ends whoever waits here.
_PATIENCE_S: Final = 2.0
_LOOK_AGAIN_S: Final = 0.02

_READ: Final = 1 << 20
# A message is its length and a pickle; an order is the number of an item.
_LENGTH: Final = struct.Struct("Q")

_allowed = False
_running: set[_Copy] = set()


def allow() -> None:
    """Let this process be copied: said by the program, which knows what it has loaded."""
    global _allowed  # noqa: PLW0603 (a property of the process)
    _allowed = sys.platform == "linux"


def possible() -> bool:
    """Return whether pieces may be done by copies here and now."""
    return (
        _allowed
        and not within()
        and jobs() > 1
        and threading.current_thread() is threading.main_thread()
        and _alone()
    )


def _alone() -> bool:
    """Return whether no other thread is left, once ours are let go."""
    rest()
    return threading.active_count() == 1


def copied(
    work: Callable[[Item], Answer], items: Sequence[Item], *, last_longest: bool = False
) -> Iterator[Answer]:
    """Give what `work` returns for each item, in order, made by copies of this process.

    Parameters
    ----------
    work
        Anything that can be called; what it returns must be such as can be pickled.
    items
        Begun in this order, so many at once as there are threads.
    last_longest
        True begins with the last of them, and has half as many copies again at work.

    Raises
    ------
    SimviewError
        As `work` does, and where a copy was ended from outside.
    """
    at_once = min(jobs() + (jobs() // 2 if last_longest else 0), len(items))
    threads = jobs() // at_once
    waiting = list(range(len(items))[:: 1 if last_longest else -1])  # taken from its end
    copies: list[_Copy] = []
    done: dict[int, tuple[bool, Any]] = {}
    interrupts.at_end(_end_all)
    try:
        for number in range(len(items)):
            while number not in done:
                while waiting and len(copies) < at_once:
                    try:
                        copies.append(_Copy(work, items, threads))
                    except OSError:  # the system gives no more
                        at_once = len(copies)
                    else:
                        copies[-1].begin(waiting.pop())
                if not copies:
                    here = waiting.pop()
                    done[here] = (True, work(items[here]))
                for copy in _heard(copies) if copies else ():
                    done[copy.number] = copy.outcome()
                    if waiting and copy.stays:
                        copy.begin(waiting.pop())
                    else:
                        copies.remove(copy)
                        copy.leave()
            good, what = done.pop(number)
            if not good:
                raise what
            yield what
    finally:
        _end(copies)


def _end_all() -> None:
    """End every copy: nobody comes back to take what it makes."""
    _end(list(_running))


class _Copy:
    """A copy of this process, at work on one item after the other."""

    def __init__(self, work: Callable[[Any], Any], items: Sequence[Any], threads: int) -> None:
        for stream in (sys.stdout, sys.stderr):
            with suppress(AttributeError, OSError, ValueError):
                stream.flush()  # or the copy would say it, too
        orders, self._orders = os.pipe()
        self.answers, answers = os.pipe()
        maker = os.getpid()
        with _undisturbed():
            try:
                self._pid = os.fork()
            except OSError:
                for end in (orders, self._orders, self.answers, answers):
                    os.close(end)
                raise
            if not self._pid:  # pragma: no cover (in a process of its own)
                for other in (*_running, self):
                    os.close(other._orders)
                    os.close(other.answers)
                _work(work, items, threads, (orders, answers), maker)
        _running.add(self)
        os.close(orders)
        os.close(answers)
        self.number = -1
        self.stays = True
        self._said = bytearray()
        self._gone = False

    def begin(self, number: int) -> None:
        """Have it do one item."""
        self.number = number
        with suppress(BrokenPipeError):  # it was ended: found out when it is listened to
            os.write(self._orders, _LENGTH.pack(number))

    def hear(self) -> bool:
        """Read what the copy says now; return whether that was all of it."""
        part = os.read(self.answers, _READ)
        self._said += part
        if not part:
            return True
        whole = _LENGTH.size
        if len(self._said) >= whole:
            whole += _LENGTH.unpack_from(self._said)[0]
        return len(self._said) >= whole > _LENGTH.size

    def outcome(self) -> tuple[bool, Any]:
        """Return whether the item went well, and what was made or what went wrong."""
        try:
            good, what, self.stays = pickle.loads(memoryview(self._said)[_LENGTH.size :])
        except (EOFError, pickle.UnpicklingError):
            self.stays = False
            return False, SimviewError(
                "this work",
                got="an end from outside, as when memory runs out",
                allowed="to the end",
                remedy="run it again with --jobs 1, or make it smaller",
            )
        self._said = bytearray()
        return bool(good), what

    def leave(self) -> None:
        """Let it go: it finds nothing more to do, and ends."""
        os.close(self._orders)
        self._orders = -1
        self.wait(0)

    def wait(self, options: int) -> bool:
        """Return whether it has ended; with options 0 once it has."""
        if not self._gone and os.waitpid(self._pid, options)[0] == self._pid:
            self._gone = True
            _running.discard(self)
            for end in (self._orders, self.answers):
                if end >= 0:
                    os.close(end)
        return self._gone

    def tell_to_end(self, number: int) -> None:
        """Send it a signal, if it is still there."""
        if not self._gone:
            os.kill(self._pid, number)


def _heard(copies: Sequence[_Copy]) -> list[_Copy]:
    """Wait until one of them says something; return those that have said all of an answer."""
    import selectors  # here, since most commands have no copies

    with selectors.DefaultSelector() as listening:
        for copy in copies:
            listening.register(copy.answers, selectors.EVENT_READ, copy)
        return [ready.data for ready, _ in listening.select() if ready.data.hear()]


def _end(copies: Sequence[_Copy]) -> None:
    """End those that still work: each may clean up first, but not for long."""
    for copy in copies:
        copy.tell_to_end(signal.SIGTERM)
    until = time.monotonic() + _PATIENCE_S
    left = list(copies)
    while left and time.monotonic() < until:
        left = [copy for copy in left if not copy.wait(os.WNOHANG)]
        time.sleep(_LOOK_AGAIN_S if left else 0.0)
    for copy in copies:
        copy.tell_to_end(signal.SIGKILL)
        copy.wait(0)


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Hold signals back while there are two of us, and count no garbage: it would be copied."""
    gc.freeze()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, interrupts.numbers())
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        gc.unfreeze()


def _work(
    work: Callable[[Any], Any],
    items: Sequence[Any],
    threads: int,
    pipes: tuple[int, int],
    maker: int,
) -> None:  # pragma: no cover (in a process of its own)
    """Do what is ordered and say what came of it; what the first process cleans up is its own."""
    interrupts.be_a_copy()
    _running.clear()
    orders, answers = pipes
    code = 1
    try:
        interrupts.end_with(maker)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, interrupts.numbers())
        set_jobs(max(1, threads))
        most = _bytes_held() + GROWN
        while order := os.read(orders, _LENGTH.size):
            told = _said(work, items[_LENGTH.unpack(order)[0]], most, alone=threads < 2)
            _write(answers, _LENGTH.pack(len(told)) + told)
        code = 0
    except (KeyboardInterrupt, OSError):
        pass  # told to end, or nobody listens any longer
    finally:
        with suppress(AttributeError, OSError, ValueError):
            sys.stderr.flush()
        os._exit(code)


def _said(
    work: Callable[[Any], Any], item: Any, most: float, *, alone: bool
) -> bytes:  # pragma: no cover (in a process of its own)
    """Return in bytes whether it went well, what was made, and whether this copy stays."""
    try:
        with as_worker() if alone else nullcontext():
            made = work(item)
        if _bytes_held() > most:
            heap.trim()  # what is free already counts for nothing
        return pickle.dumps((True, made, _bytes_held() < most), pickle.HIGHEST_PROTOCOL)
    except Exception as error:
        try:
            told = pickle.dumps((False, error, True))
            pickle.loads(told)
        except Exception:
            told = pickle.dumps((False, RuntimeError(traceback.format_exc()), True))
        return told


def _bytes_held() -> float:  # pragma: no cover (in a process of its own)
    """Return how much memory this process holds, bytes; infinite where nobody says."""
    try:
        with open("/proc/self/statm", "rb") as told:
            return float(told.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, IndexError):
        return float("inf")


def _write(pipe: int, told: bytes) -> None:  # pragma: no cover (in a process of its own)
    left = memoryview(told)
    while left:
        left = left[os.write(pipe, left) :]
