"""What was made is held while it is used, within its bytes, and no two threads make the same."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, Event, Thread, get_ident

import pytest

from simview.executor.pieces import used
from simview.executor.threads import spread_work
from simview.memory import Memory, remembered


def memory(most: int) -> Memory[bytes]:
    return Memory(most, len)


def test_value_is_made_once_while_it_is_held() -> None:
    made: list[str] = []
    held = memory(100)

    def make() -> bytes:
        made.append("made")
        return b"value"

    assert held.get("a", make) == b"value"
    assert held.get("a", make) == b"value"
    assert made == ["made"]


def test_what_was_longest_unused_is_forgotten_first() -> None:
    held = memory(10)
    held.get("a", lambda: b"1234")
    held.get("b", lambda: b"1234")
    held.get("a", lambda: b"never")
    held.get("c", lambda: b"1234")
    assert "a" in held
    assert "b" not in held
    assert held.bytes == 8


def test_one_value_is_held_however_heavy() -> None:
    held = memory(10)
    held.get("a", lambda: b"1234")
    held.get("heavy", lambda: b"x" * 50)
    assert len(held) == 1
    assert "heavy" in held


def at_once(*works: Callable[[], object]) -> list[object]:
    """Return what threads find that begin together; half a minute at the most."""
    begin = Barrier(len(works))

    def one(work: Callable[[], object]) -> object:
        begin.wait(30)
        return work()

    pool = ThreadPoolExecutor(len(works))
    try:
        todo = [pool.submit(one, work) for work in works]
        return [each.result(30) for each in todo]
    finally:
        pool.shutdown(wait=False)


def test_threads_that_miss_the_same_key_at_once_make_it_once() -> None:
    made: list[int] = []
    held = memory(100)

    def make() -> bytes:
        made.append(get_ident())
        time.sleep(0.05)
        return b"value"

    found = at_once(*[lambda: held.get("a", make)] * 4)
    assert found == [b"value"] * 4
    assert len(made) == 1


def test_nobody_waits_for_another_key() -> None:
    held, begun, over = memory(100), Event(), Event()

    def slow() -> bytes:
        begun.set()
        assert over.wait(30)
        return b"slow"

    def quick() -> bytes:
        assert begun.wait(30)
        answer = held.get("quick", lambda: b"quick")
        over.set()
        return answer

    assert at_once(lambda: held.get("slow", slow), quick) == [b"slow", b"quick"]


def test_making_may_ask_for_other_keys_and_even_for_its_own() -> None:
    held = memory(100)

    def outer() -> bytes:
        return held.get("inner", lambda: b"inner") + held.get("outer", lambda: b"itself")

    found = at_once(lambda: held.get("outer", outer), lambda: held.get("inner", lambda: b"inner"))
    assert found[1] == b"inner"
    assert held.get("outer", lambda: b"never") == b"itself"


def test_those_that_waited_for_what_failed_try_by_themselves() -> None:
    held, tried = memory(100), []

    def make() -> bytes:
        tried.append(get_ident())
        time.sleep(0.05)
        if len(tried) == 1:
            raise ValueError("the first fails")
        return b"second"

    def ask() -> object:
        try:
            return held.get("a", make)
        except ValueError as error:
            return str(error)

    assert sorted(map(str, at_once(ask, ask))) == ["b'second'", "the first fails"]


def test_workers_do_not_wait_for_one_who_waits_for_workers() -> None:
    """Else all would stand still: what he makes is shared out to the very ones that wait."""
    held, begun = memory(100), Event()

    def make() -> bytes:
        begun.set()
        return b"".join(spread_work(lambda part: part, [b"a", b"b"]))

    def work(_: int) -> bytes:
        assert begun.wait(30)
        return held.get("shared", make)

    with used(jobs=2):
        found = at_once(lambda: held.get("shared", make), lambda: spread_work(work, range(2)))
    assert found == [b"ab", [b"ab", b"ab"]]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="copies are made by fork")
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_copy_of_the_process_waits_for_no_thread_that_it_has_not() -> None:
    held, begun, over = memory(100), Event(), Event()

    def slow() -> bytes:
        begun.set()
        assert over.wait(30)
        return b"slow"

    maker = Thread(target=lambda: held.get("a", slow))
    maker.start()
    assert begun.wait(30)
    child = os.fork()
    if child == 0:
        signal.alarm(20)
        os._exit(held.get("a", lambda: b"own") != b"own")
    _, status = os.waitpid(child, 0)
    over.set()
    maker.join(30)
    assert status == 0


def test_answers_are_remembered_by_all_that_was_given() -> None:
    asked: list[tuple[int, int]] = []

    @remembered(2)
    def both(a: int, *, b: int = 0) -> int:
        asked.append((a, b))
        return a + b

    assert [both(1), both(1), both(1, b=2), both(1, b=2)] == [1, 1, 3, 3]
    assert asked == [(1, 0), (1, 2)]
    both(5)  # the third: the one that was longest unused goes
    assert both(1) == 1
    assert asked[-2:] == [(5, 0), (1, 0)]
    both.cache_clear()
    assert both(5) == 5
    assert len(asked) == 5
