"""Who does the work: threads of this machine, another executor, or a cluster."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import simview
from simview.cli.app import run
from simview.executor import threads
from simview.executor.pieces import pieces, use_executor, used
from simview.executor.threads import beside
from simview.picture.drawing.tongue import speaking, spoken

KIT = simview.Kit(
    telescope=simview.Telescope(aperture_mm=100.0, focal_length_mm=900.0),
    eyepieces=(simview.Eyepiece(focal_length_mm=9.0, apparent_field_deg=50.0),),
)


@pytest.fixture(autouse=True)
def as_at_first() -> Iterator[None]:
    use_executor()
    yield
    use_executor()


def squared(number: int) -> int:
    return number * number


def test_fine_work_is_answered_in_order() -> None:
    assert threads.spread_work(squared, range(7)) == [0, 1, 4, 9, 16, 25, 36]


def test_pieces_within_pieces_stay_with_their_worker() -> None:
    def inner(_: int) -> int:
        return threading.get_ident()

    def outer(_: int) -> set[int]:
        return {threading.get_ident(), *pieces(inner, range(5))}

    assert [len(one) for one in pieces(outer, range(4))] == [1, 1, 1, 1]


def test_idle_threads_take_of_a_workers_fine_work_and_the_order_is_kept() -> None:
    both = threading.Barrier(2, timeout=20.0)

    def inner(number: int) -> int:
        if number in (0, 9):  # the first and the last meet: two threads are at it
            both.wait()
        return squared(number)

    def outer(_: int) -> list[int]:
        return threads.spread_work(inner, range(10))

    with used(jobs=2):
        # Two items, so that a worker does them: one is done at once.
        found = threads.spread_work(lambda k: outer(k) if k else [], range(2))
    assert found == [[], [k * k for k in range(10)]]


def test_workers_that_are_all_busy_do_their_fine_work_themselves() -> None:
    all_busy = threading.Barrier(3, timeout=20.0)

    def outer(_: int) -> set[int]:
        all_busy.wait()
        found = {threading.get_ident(), *threads.spread_work(ident, range(50))}
        all_busy.wait()
        return found

    def ident(_: int) -> int:
        return threading.get_ident()

    with used(jobs=3):
        assert [len(one) for one in threads.spread_work(outer, range(3))] == [1, 1, 1]


@given(shape=st.lists(st.lists(st.integers(0, 6), max_size=4), max_size=4))
def test_work_within_work_within_work_is_all_done(shape: list[list[int]]) -> None:
    def leaf(k: int) -> int:
        return k * k

    def branch(count: int) -> int:
        return sum(threads.spread_work(leaf, range(count)))

    def tree(counts: list[int]) -> list[int]:
        return threads.spread_work(branch, counts)

    with used(jobs=3):
        found = threads.spread_work(tree, shape)
    assert found == [[sum(map(leaf, range(count))) for count in counts] for counts in shape]


@pytest.mark.parametrize("wrong", [0, 5, 9])
def test_an_error_within_shared_work_reaches_the_caller_when_no_more_is_under_way(
    wrong: int,
) -> None:
    under_way = []

    def inner(number: int) -> None:
        under_way.append(number)
        time.sleep(0.01)
        under_way.remove(number)
        if number == wrong:
            raise KeyError(number)

    def outer(_: int) -> list[int]:
        with pytest.raises(KeyError):
            threads.spread_work(inner, range(10))
        return list(under_way)

    with used(jobs=3):
        assert threads.spread_work(lambda k: outer(k) if k else [], range(2)) == [[], []]


def test_copy_of_the_program_has_nobody_help_it() -> None:
    with threads.as_worker(), used(jobs=2):
        found = threads.spread_work(lambda _: threading.get_ident(), range(40))
    assert set(found) == {threading.get_ident()}


def test_the_callers_thread_is_no_worker() -> None:
    assert not threads.within()
    assert threads.spread_work(lambda _: threads.within(), [0]) == [False]


def test_an_error_in_one_item_reaches_the_caller() -> None:
    def work(k: int) -> float:
        return 1.0 / (k - 2)

    with pytest.raises(ZeroDivisionError):
        threads.spread_work(work, range(4))
    with pytest.raises(ZeroDivisionError):
        list(pieces(work, range(4)))


def test_pieces_come_in_order_though_later_ones_are_done_first() -> None:
    def work(number: int) -> int:
        time.sleep(0.02 * (number == 0))
        return number

    with used(jobs=3):
        assert list(pieces(work, range(9))) == list(range(9))


def test_nothing_further_begins_when_nobody_listens() -> None:
    begun: list[int] = []
    with used(jobs=2):
        answers = pieces(begun.append, range(100))
        next(answers)
        answers.close()  # type: ignore[attr-defined]
    assert len(begun) <= 8


def test_jobs_come_from_the_caller_then_the_environment_then_the_machine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert 1 <= threads.jobs() <= threads.MOST_THREADS
    monkeypatch.setenv("SIMVIEW_JOBS", "3")
    assert threads.jobs() == 3
    with used(jobs=5):
        assert threads.jobs() == 5
        with used():
            assert threads.jobs() == 5
    assert threads.jobs() == 3


@pytest.mark.parametrize("wrong", [0, -1, 257, 2.5, "two", "9" * 500])
def test_a_wrong_number_of_jobs_is_refused(wrong: object) -> None:
    with pytest.raises(simview.SimviewError, match="1 to 256 threads"):
        use_executor(jobs=wrong)  # type: ignore[arg-type]


def test_a_wrong_number_in_the_environment_is_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setenv("SIMVIEW_JOBS", "many")
    out = tmp_path / "jupiter.png"
    assert run(["view", "demo:tabletop-150", "-t", "jupiter", "--out", str(out)]) == 2
    assert "SIMVIEW_JOBS; got 'many'" in capsys.readouterr().err
    assert not out.exists()


def test_a_caller_brings_an_executor() -> None:
    with ThreadPoolExecutor(1, thread_name_prefix="mine") as mine:
        use_executor(mine)
        names = pieces(lambda _: threading.current_thread().name, range(3))
        assert {name.partition("_")[0] for name in names} == {"mine"}


def test_an_executor_and_a_cluster_at_once_are_refused() -> None:
    with ThreadPoolExecutor(1) as mine, pytest.raises(simview.SimviewError, match="one of them"):
        use_executor(mine, cluster="tcp://127.0.0.1:9")


def test_a_sheet_has_the_same_bytes_with_one_thread_and_with_three(tmp_path: Path) -> None:
    made = []
    for jobs in ("1", "3"):
        out = tmp_path / f"{jobs}.png"
        asked = ["ladder", "demo:tabletop-150", "-t", "saturn", "--powers", "30,75,150"]
        assert run([*asked, "--jobs", jobs, "--out", str(out), "--quiet"]) == 0
        made.append(out.read_bytes())
    assert made[0] == made[1]


def test_no_scheduler_is_one_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    for number in ("a", "b"):
        (tmp_path / f"{number}.txt").write_text("70/700 refractor, 10 mm eyepiece", "utf-8")
    assert run(["vet", str(tmp_path), "--cluster", "not an address"]) == 2
    assert "the address of a running Dask scheduler" in capsys.readouterr().err


@pytest.mark.filterwarnings("ignore")  # a library of its own, whose worker is killed on purpose
def test_a_cluster_does_the_same_and_a_lost_worker_costs_only_its_pieces(tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as machines:
        address = machines.scheduler_address
        killed = tmp_path / "killed"
        with used(cluster=address):
            answers = list(pieces(partial(_killing, killed), range(6)))
        asked = ["ladder", "demo:tabletop-150", "-t", "saturn", "--powers", "30,75,150", "--quiet"]
        there, here = tmp_path / "there.png", tmp_path / "here.png"
        assert run([*asked, "--cluster", address, "--out", str(there)]) == 0
        assert run([*asked, "--out", str(here)]) == 0
    assert [number for number, _ in answers] == list(range(6))
    assert killed.exists()
    assert os.getpid() not in {process for _, process in answers}
    assert there.read_bytes() == here.read_bytes()


def _killing(mark: Path, number: int) -> tuple[int, int]:
    """Return the number and the process; the first to come to number 2 kills itself."""
    if number == 2:
        try:
            mark.touch(exist_ok=False)
        except FileExistsError:
            pass
        else:
            os.kill(os.getpid(), signal.SIGKILL)
    return number, os.getpid()


def test_work_beside_is_begun_at_once_in_the_callers_language() -> None:
    begun = threading.Event()

    def work() -> tuple[str, int]:
        begun.set()
        return spoken(), threading.get_ident()

    with used(jobs=2), speaking("de"):
        answer = beside(work)
        assert begun.wait(30)  # nobody has asked for the answer
        language, thread = answer()
    assert language == "de"
    assert thread != threading.get_ident()


def test_work_beside_a_single_thread_is_done_when_its_answer_is_wanted() -> None:
    done: list[int] = []
    with used(jobs=1):
        answer = beside(lambda: done.append(threading.get_ident()))
        assert not done
        answer()
    assert done == [threading.get_ident()]


def test_what_goes_wrong_beside_is_raised_where_the_answer_is_wanted() -> None:
    def work() -> None:
        raise ValueError("no")

    with used(jobs=2):
        answer = beside(work)
        with pytest.raises(ValueError, match="no"):
            answer()
