"""The mistakes that are made on purpose, by hand, can still be made where they are listed."""

from __future__ import annotations

import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_each_named_mistake_has_its_place_and_its_tests() -> None:
    listed = tomllib.loads((ROOT / "tests/mutants/named.toml").read_text("utf-8"))["mistake"]
    assert len(listed) >= 25
    wrong = []
    for one in listed:
        there = (ROOT / one["file"]).read_text("utf-8").count(one["find"])
        if there != 1 or one["put"] == one["find"]:
            wrong.append(f"{one['says']}: stands {there} times in {one['file']}")
        wrong += [
            f"{one['says']}: no {test}" for test in one["tests"] if not (ROOT / test).exists()
        ]
    assert wrong == []
