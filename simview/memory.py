"""A small memory for what costs time to make: the latest used stays, within so many bytes."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

from cachetools import LRUCache

Value = TypeVar("Value")


class Memory(Generic[Value]):
    """Hold what was made, and forget what was longest unused; safe between threads.

    Parameters
    ----------
    most_bytes
        Held at the most, by `weight`. One value is always kept, however heavy.
    weight
        Bytes of a value.
    """

    def __init__(self, most_bytes: int, weight: Callable[[Value], int]) -> None:
        # A heavier value than all that may be held counts as all of it, and so stands alone.
        self._held: LRUCache[Hashable, Value] = LRUCache(
            most_bytes, getsizeof=lambda value: min(weight(value), most_bytes)
        )
        self._lock = threading.Lock()

    @property
    def bytes(self) -> int:
        """Bytes held at the moment."""
        return int(self._held.currsize)

    def __len__(self) -> int:
        return len(self._held)

    def __contains__(self, key: Hashable) -> bool:
        with self._lock:
            return key in self._held

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """Return what is held under `key`, made now if it is not.

        Two threads that miss at once both make it; neither waits for the other.
        """
        with self._lock:
            if key in self._held:
                return self._held[key]
        made = make()
        with self._lock:
            return self._held.setdefault(key, made)

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._held.clear()
