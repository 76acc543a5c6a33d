"""Groups of options as one record."""

from __future__ import annotations

import inspect
from dataclasses import dataclass
from typing import Any

from simview.cli.groups import grouped


@dataclass(frozen=True)
class Pair:
    left: int = 1
    right: str = "r"


def test_group_is_spread_and_gathered_again() -> None:
    seen: list[Any] = []

    def command(name: str, pair: Pair = Pair(), last: bool = False) -> None:
        seen.append((name, pair, last))

    flat = grouped(command)
    parameters = inspect.signature(flat).parameters
    assert list(parameters) == ["name", "left", "right", "last"]
    assert parameters["left"].default == 1
    assert parameters["name"].default is inspect.Parameter.empty
    flat(name="n", left=2, right="q", last=True)
    assert seen == [("n", Pair(2, "q"), True)]
