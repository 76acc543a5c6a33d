"""Arrays that are worth keeping between calls: up to a total size, or as scratch space."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

Value = TypeVar("Value")


_own = threading.local()


def scratch(name: str, shape: tuple[int, ...], dtype: Any) -> NDArray[Any]:
    """Return this thread's scratch array of that name; what it held before is not cleared.

    It is handed out again at the next call with the same name: for results that are used up at
    once.
    """
    arrays: dict[str, NDArray[Any]] = _own.__dict__.setdefault("arrays", {})
    array = arrays.get(name)
    if array is None or array.shape != shape or array.dtype != dtype:
        array = arrays[name] = np.empty(shape, dtype)
    return array


class Kept(Generic[Value]):
    """Values kept by key; the ones not used for longest go when their size passes a limit.

    Safe between threads.

    Parameters
    ----------
    limit_bytes
        How much is kept; a single value may be larger and then stands alone.
    size
        Bytes of a value.
    """

    def __init__(self, limit_bytes: int, size: Callable[[Value], int]) -> None:
        self.limit_bytes = limit_bytes
        self._measure = size
        self._total = 0
        self._items: OrderedDict[Hashable, Value] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """Return the value of a key, made by `make` where it is not there."""
        with self._lock:
            if key in self._items:
                self._items.move_to_end(key)
                return self._items[key]
        made = make()
        with self._lock:
            if key not in self._items:
                self._items[key] = made
                self._total += self._measure(made)
            while self._total > self.limit_bytes and len(self._items) > 1:
                _, gone = self._items.popitem(last=False)
                self._total -= self._measure(gone)
        return made

    @property
    def total_bytes(self) -> int:
        """Bytes kept at the moment."""
        return self._total

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._items.clear()
            self._total = 0
