"""Independent work shared out between two workers, one linear-algebra thread each."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from typing import Any, Final, TypeVar

Item = TypeVar("Item")
Answer = TypeVar("Answer")

# Workers over panels, wavelengths, focus positions or frames.
WORKERS: Final = max(1, min(2, os.cpu_count() or 1))

_pool: ThreadPoolExecutor | None = None
_pool_lock = threading.Lock()
_blas: Any = None
_own = threading.local()


def spread_work(work: Callable[[Item], Answer], items: Iterable[Item]) -> list[Answer]:
    """Call `work` on every item with two workers, one linear-algebra thread each; keep order.

    Called from within `work` it does its items one by one: both workers are busy already.
    """
    return list(one_by_one(work, items))


def one_by_one(work: Callable[[Item], Answer], items: Iterable[Item]) -> Iterator[Answer]:
    """Do as `spread_work`, but give each answer as soon as it and those before it are there."""
    todo = list(items)
    if within():
        yield from map(work, todo)
        return
    with one_blas_thread():
        if len(todo) == 1 or WORKERS == 1:
            yield from map(work, todo)
        else:
            yield from workers().map(work, todo)


def within() -> bool:
    """Return whether this thread is one of the workers."""
    return getattr(_own, "working", False)


def one_blas_thread() -> AbstractContextManager[Any]:
    """Return a context in which the linear algebra library keeps to the thread that calls it."""
    limited: AbstractContextManager[Any] = _threads().limit(limits=1, user_api="blas")
    return limited


def threads() -> int:
    """Return how many threads a library's own work may take: one where both workers are busy."""
    return 1 if within() else WORKERS


def workers() -> ThreadPoolExecutor:
    """Return the two workers; not to be waited for by one of them."""
    global _pool  # noqa: PLW0603 (made once, on first use)
    with _pool_lock:
        if _pool is None:
            _pool = ThreadPoolExecutor(
                WORKERS, thread_name_prefix="simview", initializer=_mark_worker
            )
        return _pool


def _mark_worker() -> None:
    _own.working = True


def _threads() -> Any:
    """Return the control over the linear algebra library's own threads."""
    global _blas  # noqa: PLW0603 (made once, on first use)
    with _pool_lock:
        if _blas is None:
            from threadpoolctl import (  # type: ignore[import-untyped]
                ThreadpoolController,
            )

            _blas = ThreadpoolController()
        return _blas
