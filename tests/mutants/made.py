"""A changed file for a while, and tests that may mind it: for the scripts of this folder."""

from __future__ import annotations

import os
import re
import resource
import sys
import tempfile
import traceback
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_name] = "1"  # a fork holds no threads

import numpy as np  # noqa: E402, F401
import PIL.Image  # noqa: E402, F401
import pydantic  # noqa: E402, F401
import pytest  # noqa: E402
import scipy.fft  # noqa: E402
import scipy.ndimage  # noqa: E402
import scipy.optimize  # noqa: E402
import scipy.special  # noqa: E402, F401

HOME = Path(__file__).parents[2]

RAN_OUT = "out of time"

_PYTEST = ("-x", "-q", "-n", "0", "-p", "no:cacheprovider")


@contextmanager
def instead(path: Path, text: str) -> Iterator[None]:
    """Let a file hold another text, and put it back as it was, its time too."""
    before, stat = path.read_bytes(), path.stat()
    path.write_text(text, "utf-8")
    try:
        yield
    finally:
        path.write_bytes(before)
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))


def fails(tests: Sequence[str], *, seconds: float) -> str:
    """Run tests until one fails; return which one, `RAN_OUT` past its CPU time, or "" for none.

    `seconds`: of CPU time, not of the clock: the machine may be busy.
    """

    with tempfile.TemporaryFile("w+") as told:
        sys.stdout.flush()
        child = os.fork()
        if not child:
            _in_child(tests, int(seconds), told.fileno())
        _, status = os.waitpid(child, 0)
        told.seek(0)
        words = told.read()
    code = os.waitstatus_to_exitcode(status)
    if code < 0:
        return RAN_OUT
    if code in (0, 5):
        return ""
    named = re.search(r"^(?:FAILED|ERROR) (\S+)", words, re.MULTILINE)
    return named[1] if named else f"exit code {code}"


def _in_child(tests: Sequence[str], seconds: int, out: int) -> None:
    """Run the tests in a copy of this process, which has loaded what is large and never changed."""
    code = 3
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))
        os.dup2(out, 1)
        os.dup2(out, 2)
        os.chdir(HOME)
        code = int(pytest.main([*_PYTEST, *tests]))
        sys.stdout.flush()
    except Exception:
        traceback.print_exc()
    finally:
        os._exit(code)
