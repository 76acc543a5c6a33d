"""Copies of the program do pieces of work as threads do them, and leave nothing behind.

Each case runs in a process of its own: the one that tests has threads, and is not to be copied.
"""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import textwrap
import threading
import time
import uuid
from contextlib import suppress
from pathlib import Path

import pytest

from simview.errors import FileError, SimviewError, SunError
from simview.executor import copies, threads
from simview.executor.pieces import pieces, used

linux_only = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux alone")

BEGIN = """
import os, signal, sys, time
from simview.errors import RangeError, SimviewError
from simview.executor import copies
from simview.executor.pieces import pieces, use_executor
copies.allow()
use_executor(jobs=2)
"""


def told(words: str) -> str:
    """Run a program whose process may be copied; return what it printed."""
    program = BEGIN + textwrap.dedent(words)
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


@linux_only
def test_copies_answer_in_order_though_later_ones_are_done_first() -> None:
    words = """
    def work(number):
        time.sleep(0.3 * (number == 0))
        return number, os.getpid()

    found = list(pieces(work, range(7), apart=True))
    print([number for number, _ in found], os.getpid() in {pid for _, pid in found})
    print(len({pid for _, pid in found}))
    """
    assert told(words) == "[0, 1, 2, 3, 4, 5, 6] False\n2\n"


@linux_only
def test_what_takes_longest_is_begun_first_and_told_in_its_place() -> None:
    words = """
    def work(number):
        begun = time.monotonic_ns()
        time.sleep(0.1)
        return number, begun, os.getpid()

    for how in ({}, {"last_longest": True}):
        found = list(pieces(work, range(6), apart=True, **how))
        begun = sorted(range(6), key=lambda number: found[number][1])
        copies = len({pid for *_, pid in found})
        print([number for number, *_ in found], sorted(begun[:copies]), copies)
    """
    assert told(words) == (
        "[0, 1, 2, 3, 4, 5] [0, 1] 2\n"
        # One more than there are threads: whoever is left with the longest does not work alone.
        "[0, 1, 2, 3, 4, 5] [3, 4, 5] 3\n"
    )


@linux_only
def test_an_answer_larger_than_a_pipe_holds_arrives_whole() -> None:
    words = """
    found = list(pieces(lambda number: bytes([number]) * 5_000_000, [1, 2, 3], apart=True))
    print([(len(each), set(each)) for each in found])
    """
    assert told(words) == "[(5000000, {1}), (5000000, {2}), (5000000, {3})]\n"


@linux_only
def test_what_is_wrong_with_one_piece_is_raised_with_all_that_it_says() -> None:
    words = """
    def work(number):
        if number == 2:
            raise RangeError("--power", got=7, allowed="10 to 90", remedy="less")
        return number

    found = []
    try:
        for each in pieces(work, range(9), apart=True):
            found.append(each)
    except RangeError as error:
        print(found, error, error.got, error.allowed)
    """
    assert told(words) == "[0, 1] --power; got 7; allowed: 10 to 90; less 7 10 to 90\n"


@linux_only
def test_a_copy_that_is_ended_from_outside_is_told_in_one_line() -> None:
    words = """
    def work(number):
        if number == 1:
            os.kill(os.getpid(), signal.SIGKILL)
        return number

    try:
        list(pieces(work, range(3), apart=True))
    except SimviewError as error:
        print(error)
    """
    assert told(words) == (
        "this work; got 'an end from outside, as when memory runs out'; allowed: to the end;"
        " run it again with --jobs 1, or make it smaller\n"
    )


@linux_only
def test_a_copy_that_holds_much_makes_room_for_a_fresh_one() -> None:
    words = """
    kept = []

    def work(size):
        kept.append(bytearray(size))
        kept[-1][::4096] = b"x" * len(kept[-1][::4096])  # the system gives what is used
        return os.getpid()

    for size in (10_000, copies.GROWN + 50_000_000):
        print(len(set(pieces(work, [size] * 6, apart=True))))
    """
    assert told(words) == "2\n6\n"


@linux_only
def test_where_the_system_gives_no_copy_the_work_is_done_all_the_same() -> None:
    words = """
    fork = os.fork
    given = []

    def few():
        if len(given) >= most:
            raise OSError("no more")
        given.append(1)
        return fork()

    os.fork = few
    for most in (0, 1):
        found = list(pieces(lambda number: (number, os.getpid()), range(4), apart=True))
        print([number for number, _ in found], os.getpid() in dict(found).values(), len(given))
    """
    assert told(words) == "[0, 1, 2, 3] True 0\n[0, 1, 2, 3] False 1\n"


@linux_only
def test_no_copy_outlives_who_asked_for_it() -> None:
    words = """
    def work(number):
        time.sleep(30.0 * (number > 0))
        return os.getpid()

    asked = pieces(work, range(4), apart=True)
    next(asked)
    asked.close()
    try:
        os.wait()
    except ChildProcessError:
        print("none left")
    """
    assert told(words) == "none left\n"


def at_work(mark: str) -> list[int]:
    """Return the numbers of the processes whose environment has this mark."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):  # it has just ended, or is somebody else's
            if mark.encode() in (folder / "environ").read_bytes():
                found.append(int(folder.name))
    return found


SLEEPING = """
list(pieces(lambda _: time.sleep(60.0), range(2), apart=True))
"""
COMMANDS = """
from simview.cli.side_by_side import ran
list(ran([["startest", "--atlas", "--telescope-type", "newtonian", "--json"]] * 2))
"""


@linux_only
@pytest.mark.parametrize(
    ("words", "together"),
    # With the commands stand Python's own helper and the process that they are copied from.
    [pytest.param(SLEEPING, 3, id="pieces"), pytest.param(COMMANDS, 5, id="commands")],
)
def test_copies_end_soon_after_the_process_that_made_them_was_killed(
    words: str, together: int
) -> None:
    name, mark = "SIMVIEW_TEST_MARK", str(uuid.uuid4())
    around = {**os.environ, name: mark}
    with subprocess.Popen([sys.executable, "-c", BEGIN + words], env=around) as maker:
        until = time.monotonic() + 60.0
        while len(at_work(mark)) < together and time.monotonic() < until:
            time.sleep(0.02)
        begun = len(at_work(mark))
        time.sleep(0.5)  # each of them is past its first line
        maker.kill()
        maker.wait()
        until = time.monotonic() + 5.0  # what they are at takes several times that
        while at_work(mark) and time.monotonic() < until:
            time.sleep(0.05)
        left = at_work(mark)
        for number in left:
            os.kill(number, signal.SIGKILL)
    assert (begun, left) == (together, [])


@linux_only
def test_a_copy_whose_maker_has_ended_already_does_not_begin() -> None:
    words = """
    from simview import interrupts
    try:
        interrupts.end_with(os.getpid())  # nobody made himself
    except KeyboardInterrupt:
        print("told to end")
    """
    assert told(words) == "told to end\n"


@linux_only
def test_a_process_with_other_threads_is_not_copied() -> None:
    words = """
    import threading
    print(copies.possible())
    over = threading.Event()
    threading.Thread(target=over.wait).start()
    found = set(pieces(lambda _: os.getpid(), range(4), apart=True))
    print(copies.possible(), found == {os.getpid()})
    over.set()
    use_executor(jobs=1)
    print(copies.possible())
    """
    assert told(words) == "True\nFalse True\nFalse\n"


def test_a_library_is_never_copied() -> None:
    with used(jobs=2):
        assert not copies.possible()


def test_work_that_shares_itself_out_leaves_the_threads_to_its_parts() -> None:
    with used(jobs=2):
        own = threading.current_thread().name
        found = pieces(lambda _: threads.within(), range(3), apart=True, shares=True)
        assert list(found) == [False] * 3
        parts = pieces(lambda _: threading.current_thread().name, range(3), apart=True)
        assert own not in parts


def test_threads_come_again_after_a_rest() -> None:
    with used(jobs=3):
        names = {threading.current_thread().name}
        for _ in range(2):
            work = threads.spread_work(lambda _: threading.current_thread().name, range(3))
            assert not names & set(work)
            threads.rest()
    assert not [one for one in threading.enumerate() if one.name.startswith("simview_")]


@pytest.mark.parametrize(
    "error",
    [
        SimviewError("power", got=7, allowed="10 to 90", remedy="less"),
        SunError("--target", got="sun"),
        FileError("missing", where="kit.toml"),
    ],
)
def test_an_error_stays_as_it_is_on_its_way_between_processes(error: SimviewError) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert (type(again), str(again), vars(again)) == (type(error), str(error), vars(error))
