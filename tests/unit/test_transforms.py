"""The transforms against scipy's public ones, and what is done without the compiled module."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import fft as public

from simview import transforms

ASKED: list[Callable[[Any, Any], Any]] = [
    lambda fft, x: fft.fft(x, n=20),
    lambda fft, x: fft.fft(x, n=7, axis=-2, workers=2),
    lambda fft, x: fft.ifft(x + 1j, axis=1),
    lambda fft, x: fft.rfft(x),
    lambda fft, x: fft.rfft(x, n=9),
    lambda fft, x: fft.rfft(x, n=21, axis=1),
    lambda fft, x: fft.irfft(x + 1j * x**2),
    lambda fft, x: fft.irfft(x + 1j * x**2, n=15),
    lambda fft, x: fft.irfft(x + 1j * x**2, n=30, workers=2),
    lambda fft, x: fft.rfft2(x),
    lambda fft, x: fft.rfft2(x, s=(15, 8)),
    lambda fft, x: fft.irfft2(x + 1j, s=(12, 17)),
    lambda fft, x: fft.irfft2(x + 1j, s=(9, 20)),
    lambda fft, x: fft.fft2(x),
    lambda fft, x: fft.fft2(x, s=(10, 14)),
    lambda fft, x: fft.ifft2(x + 1j),
]


@pytest.mark.parametrize("whole", [True, False], ids=["compiled", "public"])
@pytest.mark.parametrize("kind", [np.float32, np.float64, np.int16])
@pytest.mark.parametrize("number", range(len(ASKED)))
def test_transforms_are_those_of_scipy(
    number: int, kind: type, whole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    x = (np.random.default_rng(number).random((2, 12, 11)) * 100.0).astype(kind)
    if whole:
        assert transforms.compiled() is not None
    else:
        monkeypatch.setattr(transforms, "compiled", lambda: None)
    before = x.copy()
    ours, theirs = (ASKED[number](fft, x) for fft in (transforms, public))
    assert ours.dtype == theirs.dtype
    np.testing.assert_allclose(ours, theirs, rtol=1e-5, atol=1e-5 * np.abs(theirs).max())
    np.testing.assert_array_equal(x, before)


def test_transform_overwrites_only_where_it_may() -> None:
    x = np.random.default_rng(1).random((6, 8)) + 1j
    before = x.copy()
    for change in (transforms.fft, transforms.ifft):
        change(x, n=6)
        change(x, axis=0)
        change(x, n=12)
    np.testing.assert_array_equal(x, before)
    answer = transforms.fft(x, axis=0, overwrite_x=True)
    assert np.shares_memory(answer, x)
    np.testing.assert_allclose(answer, np.fft.fft(before, axis=0))


@pytest.mark.parametrize("real", [True, False])
def test_sizes_are_those_of_scipy(real: bool) -> None:
    for least in (1, 7, 13, 97, 1031):
        assert transforms.next_fast_len(least, real=real) == public.next_fast_len(least, real=real)


@pytest.mark.parametrize("found", [None, SimpleNamespace(submodule_search_locations=["/none"])])
def test_where_the_compiled_module_is_missing_scipy_answers(
    found: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(transforms, "find_spec", lambda name: found)
    transforms._loaded.cache_clear()
    try:
        assert transforms.compiled() is None
        np.testing.assert_allclose(transforms.rfft(np.eye(4)), np.fft.rfft(np.eye(4)), atol=1e-12)
    finally:
        monkeypatch.undo()
        transforms._loaded.cache_clear()


# Two threads that transform for the first time. Who has made the module, still empty, waits for the
# other to have done so too, if it ever does; the one whose module is whole is the later one.
AT_ONCE = """
import time
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, BrokenBarrierError
import numpy as np
from simview import transforms

both, make, known = Barrier(2), transforms.module_from_spec, transforms._as_known

def wait_for_the_other(spec):
    module = make(spec)
    try:
        both.wait(0.5)
    except BrokenBarrierError:
        pass
    return module

def slowly(module):
    found = known(module)
    time.sleep(0.2)
    return found

transforms.module_from_spec, transforms._as_known = wait_for_the_other, slowly
with ThreadPoolExecutor(2) as pool:
    first = list(pool.map(lambda line: transforms.rfft(line), [np.ones(8)] * 2))
print([line[0].real for line in first] == [8.0] * 2, transforms.compiled() is not None)
"""


def test_threads_that_transform_at_once_for_the_first_time_load_one_module() -> None:
    # The second used to find its module empty; kept in place of the first one's, it ended commands.
    done = subprocess.run(
        [sys.executable, "-c", AT_ONCE], capture_output=True, text=True, timeout=60, check=False
    )
    assert (done.returncode, done.stdout.split()) == (0, ["True", "True"]), done.stderr


def test_compiled_module_that_counts_otherwise_is_not_taken() -> None:
    module = transforms.compiled()
    kept = {name: getattr(module, name) for name in ("r2c", "c2c", "c2r", "good_size")}
    assert transforms._as_known(SimpleNamespace(**kept))
    other = {**kept, "c2r": lambda *asked: 2.0 * kept["c2r"](*asked)}
    assert not transforms._as_known(SimpleNamespace(**other))
