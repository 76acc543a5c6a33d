"""Threads of this machine: how many there are, and fine work shared out between them.

Fine work writes into arrays that the caller holds. Its answers are the same to the last bit,
however many threads there are.
"""

from __future__ import annotations

import os
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import copy_context
from typing import TYPE_CHECKING, Any, Final, TypeVar

from simview.errors import SimviewError

if TYPE_CHECKING:
    from concurrent.futures import ThreadPoolExecutor

Item = TypeVar("Item")
Answer = TypeVar("Answer")

# Threads where nobody says how many: one for each core, but no more than this, since each holds
# the arrays of one panel. A choice.
MOST_THREADS: Final = 8
# Threads that may be asked for.
_MOST_JOBS: Final = 256
# How long a thread may go on while another one waits for Python, s; by itself Python lets it have
# 0.005. By trial: views take 2 to 6 % less time (docs/performance.md).
_TURN_S: Final = 0.001

_jobs: int | None = None
_pools: dict[int, ThreadPoolExecutor] = {}
_lock = threading.Lock()
_blas: Any = None
_limit: Any = None
_limited = 0
_single = False
_own = threading.local()


def jobs() -> int:
    """Return how many threads of this machine work at once.

    Returns
    -------
    int
        As `use_executor` was told, else `SIMVIEW_JOBS`, else one for each core up to 8.

    Raises
    ------
    SimviewError
        If `SIMVIEW_JOBS` is no number from 1 to 256.
    """
    if _jobs is not None:
        return _jobs
    asked = os.environ.get("SIMVIEW_JOBS", "").strip()
    return _count(asked, "SIMVIEW_JOBS") if asked else min(_cores(), MOST_THREADS)


def set_jobs(count: int | None) -> int | None:
    """Set how many threads work at once, None for the default; return what was set before.

    Raises
    ------
    SimviewError
        If it is no number from 1 to 256.
    """
    global _jobs
    before, _jobs = _jobs, None if count is None else _count(count, "jobs")
    return before


def _count(asked: object, what: str) -> int:
    text = str(asked).strip()
    if text.isascii() and text.isdigit() and len(text) < 4 and 1 <= int(text) <= _MOST_JOBS:
        return int(text)
    raise SimviewError(
        what,
        got=asked,
        allowed=f"1 to {_MOST_JOBS} threads",
        remedy="leave it out to use every core",
    )


def _cores() -> int:
    """Return the cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def blas_has_one_thread() -> None:
    """Take it from whoever starts the process that linear algebra has one thread there for good.

    Then nothing has to be asked or told each time; loading what does takes a while, too.
    """
    global _single  # noqa: PLW0603 (the library's threads belong to the process)
    _single = True


def take_short_turns() -> None:
    """Have the threads of this process let one another go on soon: said by whoever starts it.

    One that has read a piece of a file, or comes back from a library, waits for the turn of the
    other to end: many times over while it loads modules and the other computes.
    """
    sys.setswitchinterval(_TURN_S)


def spread_work(work: Callable[[Item], Answer], items: Iterable[Item]) -> list[Answer]:
    """Call `work` on every item with this process's threads; keep the order.

    One linear-algebra thread each; an item is begun after those before it, and may wait for them.
    Called from within `work` it does its items one by one, but idle threads take of them.
    """
    todo = list(items)
    if within():
        helped = getattr(_own, "helped", False) and len(todo) > 1
        return _helped(work, todo) if helped else list(map(work, todo))
    with one_blas_thread():
        if len(todo) == 1 or jobs() == 1:
            return list(map(work, todo))
        return list(workers().map(work, todo))


def _helped(work: Callable[[Item], Answer], todo: list[Item]) -> list[Answer]:
    """Do items in this worker, while idle ones take of them too, all of them in order.

    It waits only for what another has begun, which waits for nothing that this one has to do.
    """
    left, done = deque(enumerate(todo)), dict[int, Answer]()

    def take() -> None:
        while True:
            try:
                place, item = left.popleft()
            except IndexError:
                return
            done[place] = work(item)

    helpers = [workers().submit(take) for _ in range(min(jobs(), len(todo)) - 1)]
    try:
        take()
    finally:
        left.clear()
        # What is under way may write into the caller's arrays.
        errors = [helper.exception() for helper in helpers if not helper.cancel()]
    for error in filter(None, errors):
        raise error
    return [done[place] for place in range(len(todo))]


def beside(work: Callable[[], Answer]) -> Callable[[], Answer]:
    """Begin work beside what the caller does next; return what waits for its answer.

    Where all threads are busy, or there is but one, the work is done when the answer is asked for.
    """
    if within() or jobs() == 1:
        return work

    def begun() -> Answer:
        with one_blas_thread():
            return work()

    return workers().submit(copy_context().run, begun).result


def within() -> bool:
    """Return whether this thread is one of the workers."""
    return getattr(_own, "working", False)


@contextmanager
def as_worker() -> Iterator[None]:
    """Let this thread count as one of the workers: what it calls keeps to it."""
    before = within()
    _own.working = True
    try:
        with one_blas_thread():
            yield
    finally:
        _own.working = before


@contextmanager
def one_blas_thread() -> Iterator[None]:
    """Return a context in which the linear algebra library keeps to the thread that calls it.

    The limit is the process's: the first thread that wants it sets it, and the last that no
    longer does gives the caller's own number of threads back.
    """
    global _limited, _limit  # noqa: PLW0603 (the library's threads belong to the process)
    if _single:
        yield
        return
    controls = _threads()
    with _lock:
        if _limited == 0:
            _limit = controls.limit(limits=1, user_api="blas")
        _limited += 1
    try:
        yield
    finally:
        with _lock:
            _limited -= 1
            if _limited == 0:
                _limit.restore_original_limits()


def threads() -> int:
    """Return how many threads a library's own work may take: one where all workers are busy."""
    return 1 if within() else jobs()


def workers() -> ThreadPoolExecutor:
    """Return the threads of this process; not to be waited for by one of them."""
    count = jobs()
    with _lock:
        if count not in _pools:
            # Here, since a command's help needs no workers.
            from concurrent.futures import ThreadPoolExecutor

            _pools[count] = ThreadPoolExecutor(
                count, thread_name_prefix="simview", initializer=_mark_worker
            )
        return _pools[count]


def rest() -> None:
    """Let the threads of this process go; they come again when there is work. None may be busy."""
    with _lock:
        pools = list(_pools.values())
        _pools.clear()
    for pool in pools:
        pool.shutdown()


def _mark_worker() -> None:
    _own.working = _own.helped = True


def _threads() -> Any:
    """Return the control over the linear algebra library's own threads."""
    global _blas  # noqa: PLW0603 (made once, on first use)
    with _lock:
        if _blas is None:
            from threadpoolctl import (  # type: ignore[import-untyped]
                ThreadpoolController,
            )

            _blas = ThreadpoolController()
        return _blas
