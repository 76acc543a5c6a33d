"""Dataclasses whose methods are written late are dataclasses like others."""

import copy
import dataclasses
import pickle
import sys
from threading import Barrier, Thread

import pytest

from simview import late

# Python 3.13 compiles all methods of a class at once, and is left alone.
written_late = pytest.mark.skipif(sys.version_info >= (3, 13), reason="written at once")


def made():
    @dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
    class Record:
        """One with a field of each sort."""

        record: str
        given: float = 2.0
        many: list[int] = dataclasses.field(default_factory=list, hash=False)

    @dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
    class More(Record):
        """One that has another's fields."""

        named: int = 0

        def __post_init__(self):
            if self.named < 0:
                raise ValueError("below 0")

    @dataclasses.dataclass(order=True)
    class Plain:
        """One that may change."""

        x: int
        y: int = 1

    return Record, More, Plain


@pytest.fixture
def classes(monkeypatch):
    # Only these are written late: what they are held against is Python's own.
    with monkeypatch.context() as patch:
        patch.setattr(
            dataclasses, late._WRITER, getattr(dataclasses, late._WRITER, None), raising=False
        )
        late.write_late()
        return made()


def test_late_records_do_what_all_do(classes):
    usual = made()
    for mine, others in zip(classes, usual, strict=True):
        names = {"record": "a"} if others is not usual[2] else {"x": 3}
        one, other = mine(**names), mine(**names)
        assert one == other
        assert one is not other
        assert repr(one) == repr(others(**names))
        assert dataclasses.asdict(one) == dataclasses.asdict(others(**names))
        assert copy.deepcopy(one) == one
        with pytest.raises(TypeError, match="unexpected keyword argument 'nothing'"):
            mine(nothing=1)
    record, more, plain = classes
    assert hash(record(record="a")) == hash(record(record="a"))
    with pytest.raises(dataclasses.FrozenInstanceError):
        record(record="a").given = 3.0
    with pytest.raises(ValueError, match="below 0"):
        more(record="a", named=-1)
    assert plain(1, 2) < plain(2, 1)
    assert dataclasses.replace(more(record="a"), named=4).named == 4
    assert record(record="a") != more(record="a")
    assert not hasattr(record(record="a"), "__dict__")


@written_late
def test_method_takes_its_place_when_first_called(classes):
    record, more, _ = classes
    first = record.__init__
    assert first.__qualname__.endswith("Record.__init__")
    record(record="a")
    assert record.__init__ is not first
    assert record.__init__.__code__.co_varnames[:3] == ("self", "record", "given")
    untouched = more.__eq__
    more(record="a")
    assert more.__eq__ is untouched


@written_late
def test_threads_that_come_first_together_get_the_same(classes):
    record, start, found = classes[0], Barrier(4), []

    def make():
        start.wait()
        found.append(record(record="a", given=5.0))

    threads = [Thread(target=make) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [record(record="a", given=5.0)] * 4


def test_records_of_the_program_survive_a_file():
    from simview.kit import Sky

    assert pickle.loads(pickle.dumps(Sky())) == Sky()


def test_nothing_is_written_late_unless_the_program_asks():
    @dataclasses.dataclass
    class Own:
        """Made by whoever imports simview."""

        x: int = 0

    assert Own.__init__.__code__.co_varnames[:2] == ("self", "x")
