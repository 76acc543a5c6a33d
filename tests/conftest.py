"""What holds for every test: the same run each time, on however few cores."""

from __future__ import annotations

import os
from typing import Any

import pytest

# Before numpy loads: pytest's workers share the cores already.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

from hypothesis import settings  # noqa: E402

# The same examples in every run, and no clock: a busy machine must not fail a test.
settings.register_profile("steady", derandomize=True, deadline=None, database=None)
# For hunting: --hypothesis-profile=hunt looks at ten times as many, new ones each time.
settings.register_profile("hunt", max_examples=1000, deadline=None)
settings.load_profile("steady")

# The files that took most processor time when it was last looked at, in that order.
LONG = (
    "test_power_laws.py",
    "test_reading_retyped.py",
    "test_moments.py",
    "test_diagnosis_outside.py",
    "test_memory_ceiling.py",
    "test_collimation_loop.py",
    "test_talk_command.py",
    "test_flat_loop.py",
    "test_moving_commands.py",
    "test_one_answer.py",
    "test_doubles_one_sky.py",
    "test_full_disk.py",
    "test_terminals.py",
    "test_targets_command.py",
    "test_detail_sheet.py",
    "test_sheets.py",
    "test_what_loads.py",
)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Give each file to one worker, which draws what its tests share once; long files first."""
    from xdist.scheduler import LoadFileScheduling

    config.option.loadscopereorder = False  # in the order of the list
    return LoadFileScheduling(config, log)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the files that take longest, lest one worker wait for another at the end."""
    long = {name: place for place, name in enumerate(LONG)}
    items.sort(key=lambda item: long.get(item.path.name, len(long)))
