"""A small memory for what costs time to make: the latest used stays, within so many bytes.

What several threads want at once is made by the first of them, and the others wait for it.
"""

from __future__ import annotations

import os
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import wraps
from typing import Any, Generic, ParamSpec, Protocol, TypeVar

from simview.executor.threads import within

Value = TypeVar("Value")
Given = ParamSpec("Given")
Made_co = TypeVar("Made_co", covariant=True)


class _Making:
    """What a thread is making at this moment."""

    def __init__(self) -> None:
        self.thread = threading.get_ident()
        self.by_worker = within()
        self.done = threading.Event()

    def may_be_waited_for(self) -> bool:
        """Return whether this thread may wait for the one that makes it.

        A worker waits for workers alone: what anybody else makes may itself wait for workers. And
        nobody waits for himself.
        """
        return self.thread != threading.get_ident() and (self.by_worker or not within())


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
        self._most = most_bytes
        self._weight = weight
        # With their weights, the longest unused first.
        self._held: OrderedDict[Hashable, tuple[Value, int]] = OrderedDict()
        self._bytes = 0
        # By process too: a copy of this one has none of the threads that were making something.
        self._making: dict[tuple[int, Hashable], _Making] = {}
        self._lock = threading.Lock()

    @property
    def bytes(self) -> int:
        """Bytes held at the moment."""
        return self._bytes

    def __len__(self) -> int:
        return len(self._held)

    def __contains__(self, key: Hashable) -> bool:
        with self._lock:
            return key in self._held

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """Return what is held under `key`, made now if it is not.

        Of threads that miss the same key at once the first makes it, and the others wait for it;
        where it fails, each tries by itself. Making may ask for other keys.
        """
        place = (os.getpid(), key)
        with self._lock:
            if key in self._held:
                return self._used(key)
            making = self._making.get(place)
            mine = None if making else self._making.setdefault(place, _Making())
        if making is not None and making.may_be_waited_for():
            making.done.wait()
            with self._lock:
                if key in self._held:
                    return self._used(key)
        try:
            made = make()
            with self._lock:
                return self._used(key) if key in self._held else self._keep(key, made)
        finally:
            if mine is not None:
                with self._lock:
                    del self._making[place]
                mine.done.set()

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._held.clear()
            self._bytes = 0

    def _used(self, key: Hashable) -> Value:
        """Return what is held, from now on the latest used."""
        self._held.move_to_end(key)
        return self._held[key][0]

    def _keep(self, key: Hashable, made: Value) -> Value:
        """Hold it too, and forget what was longest unused until all is within the bytes."""
        # What is heavier than all that may be held counts as all of it, and so stands alone.
        weight = min(self._weight(made), self._most)
        while self._bytes + weight > self._most:
            self._bytes -= self._held.popitem(last=False)[1][1]
        self._held[key] = (made, weight)
        self._bytes += weight
        return made


class Remembered(Protocol[Given, Made_co]):
    """A function whose latest answers are kept."""

    def __call__(self, *args: Given.args, **kwargs: Given.kwargs) -> Made_co:
        """Return the answer, made now if it is not kept."""

    def cache_clear(self) -> None:
        """Forget every answer."""


def remembered(
    most: int,
) -> Callable[[Callable[Given, Value]], Remembered[Given, Value]]:
    """Keep the latest `most` answers of a function; threads do not make the same one twice.

    Like `functools.lru_cache`, which lets threads that miss at once all do the work: this is for
    work of milliseconds.
    """

    def around(work: Callable[Given, Value]) -> Remembered[Given, Value]:
        held: Memory[Value] = Memory(most, lambda _: 1)

        @wraps(work)
        def asked(*args: Given.args, **kwargs: Given.kwargs) -> Value:
            key = (args, tuple(sorted(kwargs.items())))
            return held.get(key, lambda: work(*args, **kwargs))

        found: Any = asked
        found.cache_clear = held.clear
        return found  # type: ignore[no-any-return]

    return around
