"""A changed file for a while, and tests that may mind it: for the scripts of this folder."""

from __future__ import annotations

import importlib
import inspect
import os
import pkgutil
import re
import resource
import sys
import tempfile
import traceback
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from importlib.metadata import entry_points
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_name] = "1"  # a fork holds no threads

import hypothesis  # noqa: E402, F401
import numpy as np  # noqa: E402, F401
import PIL.Image  # noqa: E402, F401
import pydantic  # noqa: E402, F401
import pytest  # noqa: E402
import scipy.fft  # noqa: E402
import scipy.ndimage  # noqa: E402
import scipy.optimize  # noqa: E402
import scipy.signal  # noqa: E402
import scipy.special  # noqa: E402
import scipy.stats  # noqa: E402, F401

HOME = Path(__file__).parents[2]

RAN_OUT = "out of time"

# What has been loaded before pytest cannot be rewritten by it, nor need it be.
_REWRITE = "ignore::pytest.PytestAssertRewriteWarning"
PYTEST = ("-q", "-n", "0", "-p", "no:cacheprovider", "-W", _REWRITE)


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


def preload() -> None:
    """Load the program, so that copies of this process need not; only functions may change then."""
    import simview

    for found in pkgutil.walk_packages(simview.__path__, "simview."):
        with suppress(ImportError):
            if not found.name.endswith("__main__"):
                importlib.import_module(found.name)
    for plugin in entry_points(group="pytest11"):
        plugin.load()


def exchanged(path: Path) -> bool:
    """Give the loaded functions of a file the code that stands in it now; tell whether that is all.

    What stands outside of functions is not run again: where that has changed the answer is no.
    """
    module = sys.modules.get(".".join(path.relative_to(HOME).with_suffix("").parts))
    if module is None:
        return False
    codes = dict(_codes(compile(path.read_text("utf-8"), str(path), "exec")))
    changed = [function for function in _functions(module) if function.__qualname__ in codes]
    for function in changed:
        code = codes[function.__qualname__]
        if code.co_freevars != function.__code__.co_freevars:
            return False
    for function in changed:
        function.__code__ = codes[function.__qualname__]
    return bool(changed)


def _codes(code: CodeType) -> Iterator[tuple[str, CodeType]]:
    """Give the code of each function, by its qualified name."""
    for part in code.co_consts:
        if isinstance(part, CodeType):
            yield part.co_qualname, part
            if "<locals>" not in part.co_qualname:
                yield from _codes(part)


def _functions(module: ModuleType) -> Iterator[FunctionType]:
    """Give the functions of a module and of its classes, bare of what is wrapped around them."""
    held = list(vars(module).values())
    held += [one for kind in held if isinstance(kind, type) for one in vars(kind).values()]
    for one in held:
        bare = inspect.unwrap(getattr(one, "fget", None) or getattr(one, "__func__", one))
        if isinstance(bare, FunctionType) and bare.__module__ == module.__name__:
            yield bare


def fails(tests: Sequence[str], *, seconds: float, within: Path | None = None) -> str:
    """Run tests until one fails; return which one, `RAN_OUT` past its CPU time, or "" for none.

    Parameters
    ----------
    seconds
        Of CPU time, not of the clock: the machine may be busy.
    within
        The file in which only a function's body has changed since `preload`; None loads all anew.
    """

    with tempfile.TemporaryFile("w+") as told:
        sys.stdout.flush()
        child = os.fork()
        if not child:
            _in_child(tests, int(seconds), told.fileno(), within)
        _, status = os.waitpid(child, 0)
        told.seek(0)
        words = told.read()
    code = os.waitstatus_to_exitcode(status)
    if "ERROR: not found:" in words:
        raise SystemExit("reach.json knows tests that are no more: run reach.py again")
    if code < 0:
        return RAN_OUT
    if code in (0, 5):
        return ""
    named = re.search(r"^(?:FAILED|ERROR) (\S+)", words, re.MULTILINE)
    return named[1] if named else f"exit code {code}"


def _in_child(tests: Sequence[str], seconds: int, out: int, within: Path | None) -> None:
    """Run the tests in a copy of this process, which has loaded what is large and never changed."""
    code = 3
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))
        os.dup2(out, 1)
        os.dup2(out, 2)
        os.chdir(HOME)
        if within is None or not exchanged(within):
            for name in [one for one in sys.modules if one.split(".")[0] == "simview"]:
                del sys.modules[name]
        code = int(pytest.main(["-x", *PYTEST, *tests]))
        sys.stdout.flush()
    except Exception:
        traceback.print_exc()
    finally:
        os._exit(code)
