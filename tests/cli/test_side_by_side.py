"""Whole commands side by side: in order, each with its code and words, ended when told to."""

from __future__ import annotations

import time
from contextlib import closing
from pathlib import Path

import pytest

from simview import budget
from simview.cli import side_by_side, warm
from simview.cli.commands import demo
from simview.cli.side_by_side import Ran, ran


def test_outcomes_come_in_order_each_with_its_code_and_words() -> None:
    ended: list[int] = []

    def note(number: int, done: Ran) -> None:
        ended.append(number)

    first, wrong, last = ran([["--version"], ["view", "none.toml"], ["--version"]], ended=note)
    assert first.code == last.code == 0
    assert first.out.startswith("simview ")
    assert first.out == last.out
    assert wrong.code == 2
    assert "none.toml" in wrong.err
    assert wrong.err.count("\n") == 1
    assert sorted(ended) == [0, 1, 2]


def test_what_is_begun_first_is_told_in_its_place_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    begun: list[str] = []
    run = side_by_side._Running.run

    def noted(self: side_by_side._Running, words: list[str]) -> Ran:
        begun.append(words[0])
        return run(self, words)

    monkeypatch.setattr(side_by_side._Running, "run", noted)
    with budget.used(0.6):  # one after the other
        outcomes = list(ran([["view", "none.toml"], ["--version"], ["--help"]], first=[2, 1]))
    assert begun == ["--help", "--version", "view"]
    assert [done.code for done in outcomes] == [2, 0, 0]
    assert outcomes[1].out.startswith("simview ")


def test_demo_leaves_nothing_long_for_its_end() -> None:
    lines = list(demo._lines(None))
    order = demo._begin_with(lines)
    assert sorted(order) == list(range(len(lines)))
    quick = [number for number in order if lines[number].startswith(demo._QUICK)]
    assert len(quick) >= len(demo._QUICK)
    assert order[-len(quick) :] == quick
    assert order[: -len(quick)] == sorted(order[: -len(quick)])


def test_whoever_takes_no_more_ends_those_at_work() -> None:
    long_work = ["startest", "--atlas", "--telescope-type", "newtonian", "--json"]
    start = time.monotonic()
    with closing(ran([["--version"], long_work, long_work, long_work])) as outcomes:
        assert next(outcomes).code == 0
    assert time.monotonic() - start < 30.0  # the three take longer than that anywhere
    with pytest.raises(StopIteration):
        next(outcomes)


def test_a_small_budget_has_them_one_after_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    at_work: list[int] = []
    most: list[int] = []
    run = __import__("simview.cli.side_by_side", fromlist=["_Running"])._Running.run

    def counted(self: object, words: list[str]) -> Ran:
        at_work.append(1)
        most.append(len(at_work))
        try:
            return run(self, words)  # type: ignore[no-any-return]
        finally:
            at_work.pop()

    monkeypatch.setattr("simview.cli.side_by_side._Running.run", counted)
    with budget.used(0.6):
        assert [done.code for done in ran([["--version"]] * 3)] == [0, 0, 0]
    assert max(most) == 1


def test_each_command_stands_where_its_caller_stands_now(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert [done.code for done in ran([["--version"]])] == [
        0
    ]  # whatever stands by stands elsewhere
    (tmp_path / "kit.toml").write_text("no kit = at all\n")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SIMVIEW_MEMORY", "none")
    (wrong_memory,) = ran([["view", "kit.toml"]])
    assert wrong_memory.err.startswith("simview: SIMVIEW_MEMORY")
    monkeypatch.delenv("SIMVIEW_MEMORY")
    (no_kit,) = ran([["view", "kit.toml"]])
    assert no_kit.code == 2
    assert "kit.toml" in no_kit.err
    assert "TOML" in no_kit.err  # it was found, and read


@pytest.mark.skipif(not warm.can_stand_by(), reason="no process is copied here")
def test_copies_say_the_same_as_processes_started_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = [
        ["targets", "--season", "may"],
        ["view", "nowhere"],
        ["targets", "--brighter", "bright"],
    ]
    copied = list(ran(lines))
    monkeypatch.setattr("simview.cli.warm.can_stand_by", lambda: False)
    assert list(ran(lines)) == copied
    assert [done.code for done in copied] == [0, 2, 2]
