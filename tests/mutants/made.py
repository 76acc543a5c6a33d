"""A changed file for a while, and tests that may mind it: for the scripts of this folder."""

from __future__ import annotations

import os
import re
import resource
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

HOME = Path(__file__).parents[2]

_PYTEST = ("-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-p", "no:randomly")


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
    """Run tests until one fails; return which one, "it runs on" past its CPU time, or "" for none.

    `seconds`: of CPU time, not of the clock: the machine may be busy.
    """

    def bound() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds) + 5))

    with tempfile.NamedTemporaryFile("w", suffix=".txt") as names:
        names.write("\n".join(tests))
        names.flush()
        done = subprocess.run(
            [sys.executable, "-B", *_PYTEST, f"@{names.name}"],
            cwd=HOME,
            capture_output=True,
            text=True,
            check=False,
            preexec_fn=bound,
        )
    if done.returncode < 0:
        return "it runs on"
    if done.returncode in (0, 5):
        return ""
    named = re.search(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)
    return named[1] if named else f"exit code {done.returncode}"
