"""Where nothing is measured, a benchmark only has to run: one case of each shows that it does."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the further cases, and whole programs, which the tests of commands start anyway."""
    if config.getoption("benchmark_enable"):
        return
    seen: set[tuple[Path, str]] = set()
    left = []
    for item in items:
        name = item.name.partition("[")[0]
        if HERE in item.path.parents:
            if (item.path, name) in seen or name.endswith("_as_a_whole_process"):
                left.append(item)
            seen.add((item.path, name))
    config.hook.pytest_deselected(items=left)
    gone = set(left)
    items[:] = [item for item in items if item not in gone]
