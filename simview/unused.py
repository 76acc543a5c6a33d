"""What a command most often has no use for in its libraries, and is not loaded until it has.

Libraries load at their start what few of their callers ever ask for: a packer of folders, the names
of a camera's notes, help on each function of numpy's. A tenth of the time in which a command starts
would go into that. Such a module stands in its place empty and is loaded when something in it is
first asked for, once, also where two threads ask at the same time. Python's own lazy loader would
load a module as soon as a second library imports it, and in Python 3.11 shows it half loaded to
other threads. And what libraries warn of is meant for programmers; what goes wrong for users is
said by us.

Checked by: tests/unit/test_unused.py, tests/unit/test_what_loads.py
"""

from __future__ import annotations

import sys
import threading
import warnings
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder
from types import ModuleType
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from importlib.abc import Loader

# Only what its importers name as a module (import X, or from a package): who takes names out of it,
# as in "from X import name", has it loaded at once. Beside each, who brings it along.
PUT_OFF: Final = frozenset(
    {
        "bz2",  # shutil, for archives
        "ipaddress",  # urllib, for addresses in brackets
        "lzma",  # shutil
        "numpy._core._add_newdocs",  # numpy: help texts
        "numpy._core._add_newdocs_scalars",
        "numpy.f2py",  # scipy takes over every name of numpy's
        "numpy.testing",  # so do its array tools
        "PIL.ExifTags",  # PIL.Image
        "pickle",  # numpy
        "subprocess",  # typer, for completion; PIL
        "tempfile",  # importlib.resources
        "textwrap",  # traceback
        "tokenize",  # inspect, linecache
    }
)


class _Waiting(ModuleType):
    """A module that is loaded when somebody first asks for what is in it."""

    def __getattr__(self, name: str) -> Any:
        spec = self.__spec__
        assert spec is not None
        with spec.loader_state.lock:
            # The module itself, while it is loaded, finds what it has so far, as usual.
            if type(self) is _Waiting and not spec.loader_state.loading:
                spec.loader_state.load(self)
        return ModuleType.__getattribute__(self, name)


class _Later:
    """Leaves a module empty, and loads it when it is asked to."""

    def __init__(self, own: Loader) -> None:
        self._own = own
        self.lock = threading.RLock()
        self.loading = False

    def create_module(self, spec: ModuleSpec) -> ModuleType | None:
        """Return None: the usual kind of module."""
        return self._own.create_module(spec)

    def exec_module(self, module: ModuleType) -> None:
        """Leave it empty for now."""
        assert module.__spec__ is not None
        module.__spec__.loader_state = self
        module.__spec__.loader = module.__loader__ = self._own
        module.__class__ = _Waiting

    def load(self, module: ModuleType) -> None:
        """Load it now; where that fails, the next who asks tries again."""
        self.loading = True
        try:
            self._own.exec_module(module)
            module.__class__ = ModuleType
        finally:
            self.loading = False


class _PutOff:
    """Finds the modules named above, and has them loaded on first use."""

    @staticmethod
    def find_spec(
        name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Return where such a module is, with a loader that waits; None for all others."""
        if name not in PUT_OFF:
            return None
        spec = PathFinder.find_spec(name, path, target)
        if spec is not None and spec.loader is not None:
            later: Any = _Later(spec.loader)  # all of a loader that importing asks for
            spec.loader = later
        return spec


def put_off() -> None:
    """Have them loaded on first use; the program's own choice, which no library makes."""
    if _PutOff not in sys.meta_path:
        sys.meta_path.insert(0, _PutOff)


def warn_nobody() -> None:
    """Leave unsaid what libraries warn programmers of, such as a picture's damaged EXIF data.

    Whoever starts Python with ``-W`` hears it all the same.
    """
    if not sys.warnoptions:
        warnings.simplefilter("ignore")
