"""A small memory for what costs time to make: the latest used stays, within so many bytes."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

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
        self._most, self._weight = most_bytes, weight
        self._held: OrderedDict[Hashable, Value] = OrderedDict()
        self._lock = threading.Lock()
        self.bytes = 0

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
                self._held.move_to_end(key)
                return self._held[key]
        made = make()
        with self._lock:
            if key not in self._held:
                self._held[key] = made
                self.bytes += self._weight(made)
            while self.bytes > self._most and len(self._held) > 1:
                _, gone = self._held.popitem(last=False)
                self.bytes -= self._weight(gone)
        return made
