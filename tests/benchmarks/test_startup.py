"""How long whole processes take to start. Nothing is asserted about time."""

from __future__ import annotations

import subprocess
import sys

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

COMMANDS = {
    "interpreter alone": ["-c", "pass"],
    "import simview": ["-c", "import simview"],
    "simview --help": ["-m", "simview", "--help"],
    "simview view --help": ["-m", "simview", "view", "--help"],
    "simview targets": ["-m", "simview", "targets"],
}


@pytest.mark.parametrize("name", COMMANDS)
def test_start_of_a_process(benchmark: BenchmarkFixture, name: str) -> None:
    def start() -> subprocess.CompletedProcess[bytes]:
        return subprocess.run([sys.executable, *COMMANDS[name]], capture_output=True, check=True)

    done = benchmark.pedantic(start, rounds=10, warmup_rounds=1)
    assert done.returncode == 0
