"""Work shared out between two workers."""

from __future__ import annotations

import threading

import pytest

from simview import workers


def test_work_is_answered_in_order():
    assert workers.spread_work(lambda k: k * k, range(7)) == [0, 1, 4, 9, 16, 25, 36]


def test_work_within_work_stays_with_its_worker():
    def inner(_: int) -> int:
        return threading.get_ident()

    def outer(_: int) -> set[int]:
        return {threading.get_ident(), *workers.spread_work(inner, range(5))}

    assert [len(threads) for threads in workers.spread_work(outer, range(4))] == [1, 1, 1, 1]


def test_the_callers_thread_is_no_worker():
    assert not workers.within()
    assert workers.spread_work(lambda _: workers.within(), [0]) == [False]


def test_an_error_in_one_item_reaches_the_caller():
    def work(k: int) -> float:
        return 1.0 / (k - 2)

    with pytest.raises(ZeroDivisionError):
        workers.spread_work(work, range(4))
