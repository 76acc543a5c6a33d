"""Answers that two visitors may ask for at the same moment, and that are worked out once."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import lru_cache, wraps
from threading import Lock
from typing import ParamSpec, TypeVar

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")


def once(most: int) -> Callable[[Callable[Asked, Answer]], Callable[Asked, Answer]]:
    """Keep the latest `most` answers of a function; who asks while one is worked out waits for it.

    Checked by: tests/unit/live/test_live_drag.py
    """

    def kept(work: Callable[Asked, Answer]) -> Callable[Asked, Answer]:
        held, door, locks = lru_cache(maxsize=most)(work), Lock(), dict[Hashable, Lock]()

        @wraps(work)
        def ask(*asked: Asked.args, **more: Asked.kwargs) -> Answer:
            key = (asked, tuple(sorted(more.items())))
            with door:
                lock = locks.setdefault(key, Lock())
            with lock:
                try:
                    return held(*asked, **more)  # type: ignore[arg-type] # they are hashable
                finally:
                    with door:
                        locks.pop(key, None)

        return ask

    return kept
