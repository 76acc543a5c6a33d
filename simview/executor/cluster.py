"""Pieces of work on a Dask cluster: many machines, one order, the same bytes.

A lost worker costs only the pieces that it held: the scheduler gives them to another.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, Final

from simview import __version__
from simview.errors import SimviewError
from simview.executor.threads import as_worker

# How long to wait for the scheduler, and for its first worker, seconds. A choice.
_PATIENCE_S: Final = 20

_START: Final = "start one with `dask scheduler` and `dask worker ADDRESS`"

_known: dict[str, Cluster] = {}
_lock = threading.Lock()


class Cluster:
    """A connection to one Dask scheduler; `Cluster.at` keeps it for the next call.

    Parameters
    ----------
    address
        Of the scheduler: ``"tcp://192.168.1.20:8786"``.

    Raises
    ------
    SimviewError
        If Dask is not installed, nothing answers, or there is no worker.
    """

    def __init__(self, address: str) -> None:
        try:
            from distributed import Client
        except ImportError:
            raise SimviewError(
                "cluster",
                got=address,
                allowed="only with Dask installed",
                remedy="python -m pip install 'simview[cluster]'",
            ) from None
        self.address = address
        try:
            make: Any = Client
            self._client: Any = make(address, timeout=_PATIENCE_S, set_as_default=False)
        except (OSError, ValueError, TypeError) as error:
            raise SimviewError(
                "cluster",
                got=address,
                allowed="the address of a running Dask scheduler, as tcp://192.168.1.20:8786",
                remedy=_START,
            ) from error
        try:
            self._client.wait_for_workers(1, timeout=_PATIENCE_S)
        except TimeoutError:
            self.close()
            raise SimviewError(
                "cluster", got=f"{address} without a worker", allowed="one or more", remedy=_START
            ) from None

    @classmethod
    def at(cls, address: str) -> Cluster:
        """Return the connection to a scheduler, made on first use."""
        with _lock:
            known = _known.get(address)
            if known is None or known._client.status != "running":
                known = _known[address] = cls(address)
            return known

    def threads(self) -> int:
        """Return how many pieces the cluster does at once, as far as it is known now."""
        return max(1, int(sum(self._client.nthreads().values())))

    def taking(self, work: Callable[[Any], Any]) -> Callable[[Any], _Piece]:
        """Return a function that sends one item to be worked on.

        The work itself travels once, as a value that each worker can make anew from what the
        scheduler holds: it outlives the worker that had it first.
        """
        import cloudpickle

        packed = cloudpickle.dumps(work)
        there = self._client.submit(_unpacked, packed, __version__, pure=False)
        return lambda item: _Piece(
            self._client.submit(_done, there, item, pure=False), there, self.address
        )

    def close(self) -> None:
        """Let go of the scheduler."""
        self._client.close(timeout=2)


class _Piece:
    """One piece on its way, with the two methods of a future that `pieces` asks for."""

    def __init__(self, future: Any, work: Any, address: str) -> None:
        self._future, self._work, self._address = future, work, address

    def result(self) -> Any:
        from concurrent.futures import CancelledError

        from distributed.scheduler import KilledWorker

        try:
            return self._future.result()
        except (KilledWorker, CancelledError) as error:
            raise SimviewError(
                "cluster",
                got=f"{self._address}, whose workers went away over one piece",
                allowed="workers with enough memory",
                remedy="start them again, or leave --cluster out",
            ) from error
        except ModuleNotFoundError as error:
            raise SimviewError(
                "cluster",
                got=f"a worker of {self._address} without {error.name}",
                allowed=f"simview {__version__} on every worker",
                remedy="install it there and start the worker again",
            ) from error

    def cancel(self) -> None:
        self._future.cancel()


def _unpacked(packed: bytes, version: str) -> Callable[[Any], Any]:
    """Unpack the work on a worker that has the same simview."""
    import pickle

    if version != __version__:
        raise SimviewError(
            "cluster",
            got=f"a worker with simview {__version__}",
            allowed=f"simview {version}, as here",
            remedy="install the same on every worker, so that all pieces are alike",
        )
    work: Callable[[Any], Any] = pickle.loads(packed)
    return work


def _done(work: Callable[[Any], Any], item: Any) -> Any:
    """Do one piece in a worker's thread."""
    with as_worker():
        return work(item)
