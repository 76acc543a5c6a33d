"""Small work on a busy machine: a process that spins beside, one for each core.

People's machines are busy. Work below a millisecond must stay in its thread: a library's thread
that has to be woken waits its turn behind the neighbours, tens of milliseconds at a time.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

import pytest

import simview
from simview.executor.threads import jobs

SCOPE = simview.Telescope(
    aperture_mm=150.0,
    focal_length_mm=750.0,
    obstruction=0.25,
    vanes=4,
    wavefront=simview.Wavefront(coma=0.2, astigmatism=0.2),
)


@pytest.fixture(params=["idle", "busy"])
def neighbours(request: pytest.FixtureRequest) -> Iterator[str]:
    count = jobs() if request.param == "busy" else 0
    spinning = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(count)]
    yield request.param
    for each in spinning:
        each.kill()
        each.wait()


@pytest.mark.benchmark(group="busy neighbour")
def test_one_wavelength_stays_in_its_thread(benchmark, neighbours: str) -> None:
    benchmark.pedantic(
        lambda: simview.point_spread(SCOPE, pixel_arcsec=0.1, pixels=256),
        rounds=60,
        warmup_rounds=3,
    )
