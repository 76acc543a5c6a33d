"""Work that falls into pieces, and who does it: threads, any executor, or a Dask cluster.

A piece is whole in itself - a panel, a frame, an offer - and returns what it made. The answers
come in the order of the items, and are the same to the last bit, whoever made them.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, TypeVar

from simview.errors import SimviewError
from simview.executor import copies
from simview.executor.cluster import Cluster
from simview.executor.threads import jobs, one_blas_thread, set_jobs, within, workers

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

Item = TypeVar("Item")
Answer = TypeVar("Answer")

# Pieces that wait with their arguments or answers in memory, for each thread. A choice.
_AHEAD: Final = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chosen:
    """Who does the pieces; None and "" leave it to the surroundings."""

    executor: Executor | None = None
    cluster: str = ""


_chosen = _Chosen()


def use_executor(
    executor: Executor | None = None, *, jobs: int | None = None, cluster: str = ""
) -> None:
    """Choose who does the work from now on; without arguments, go back to how it was at first.

    Parameters
    ----------
    executor
        Any executor in the sense of `concurrent.futures`, for work that falls into pieces: the
        panels of a sheet, the frames of a film, the offers of a folder. It needs only `submit`.
        Other processes must be able to unpickle the work.
    jobs
        Threads on this machine, 1 to 256. Without it `SIMVIEW_JOBS` of the environment, and
        without that one for each core, at most 8.
    cluster
        Address of a Dask scheduler, ``"tcp://192.168.1.20:8786"``, for the same pieces. Without
        it `SIMVIEW_CLUSTER` of the environment. Needs ``pip install 'simview[cluster]'``.

    Returns
    -------
    None

    Raises
    ------
    SimviewError
        If `jobs` is out of range, or both an executor and a cluster are named. A cluster is
        called for the first time when there is work.

    Examples
    --------
    >>> import simview
    >>> simview.use_executor(jobs=1)  # one thing after the other
    >>> simview.use_executor()  # as at first
    """
    global _chosen  # noqa: PLW0603 (the one setting of the process)
    chosen = _checked(executor, cluster)
    set_jobs(jobs)
    _chosen = chosen


@contextmanager
def used(
    executor: Executor | None = None, *, jobs: int | None = None, cluster: str = ""
) -> Iterator[None]:
    """Choose as `use_executor` does, for one block; what is not named stays as it is."""
    global _chosen  # noqa: PLW0603 (the one setting of the process)
    before = _chosen
    chosen = _checked(executor, cluster) if executor is not None or cluster else before
    threads_before = set_jobs(jobs)
    if jobs is None:
        set_jobs(threads_before)
    _chosen = chosen
    try:
        yield
    finally:
        _chosen = before
        set_jobs(threads_before)


def _checked(executor: Executor | None, cluster: str) -> _Chosen:
    if executor is not None and cluster:
        raise SimviewError(
            "cluster", got=cluster, allowed="an executor or a cluster", remedy="name one of them"
        )
    return _Chosen(executor=executor, cluster=cluster)


def pieces(
    work: Callable[[Item], Answer],
    items: Iterable[Item],
    *,
    apart: bool = False,
    shares: bool = False,
    last_longest: bool = False,
) -> Iterator[Answer]:
    """Give what `work` returns for each item, in order, from the chosen executor.

    Parameters
    ----------
    work
        Called with one item, in a thread, a process or a machine of its own: it returns all that
        it has to say and changes nothing of the caller's.
    items
        What to do. A few more are begun than have been asked for, so that a long film need not
        be in memory at once.
    apart
        True where each takes half a second or more and returns little: where that is safe, each
        is then done by a copy of this process (`simview.executor.copies`) in place of a thread.
    shares
        True where each shares its own work out between threads: those of this process are then
        left to it, and the pieces done in turn.
    last_longest
        True where they are few and later ones take longer: copies begin with the last, and half as
        many again as there are threads are at work, so that no core is idle while the longest ends.

    Yields
    ------
    Answer
        As soon as it and all those before it are there, in the caller's own thread. When the
        caller stops listening, nothing further is begun.
    """
    todo = list(items)
    if within() or len(todo) < 2:
        with one_blas_thread():
            yield from map(work, todo)
        return
    cluster = _cluster()
    if _chosen.executor is not None:
        yield from _ahead(_to(_chosen.executor, work), todo, _AHEAD * jobs())
    elif cluster:
        there = Cluster.at(cluster)
        yield from _ahead(there.taking(work), todo, _AHEAD * there.threads())
    elif apart and copies.possible():
        with one_blas_thread():
            yield from copies.copied(work, todo, last_longest=last_longest)
    elif shares or jobs() == 1:
        with one_blas_thread():
            yield from map(work, todo)
    else:
        with one_blas_thread():
            yield from _ahead(_to(workers(), work), todo, _AHEAD * jobs())


def here() -> bool:
    """Return whether pieces are done by this process, in its own threads."""
    return _chosen.executor is None and not _cluster()


def _cluster() -> str:
    return _chosen.cluster or os.environ.get("SIMVIEW_CLUSTER", "").strip()


def _to(executor: Executor, work: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda item: executor.submit(work, item)


def _ahead(submit: Callable[[Any], Any], items: Iterable[Any], ahead: int) -> Iterator[Any]:
    """Submit items, `ahead` of them before the first answer is taken; cancel what is left over."""
    waiting: deque[Future[Any]] = deque()
    try:
        for item in items:
            waiting.append(submit(item))
            if len(waiting) > ahead:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        for left in waiting:
            left.cancel()
