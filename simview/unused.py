"""What the program has no use for in its libraries.

scipy's transforms take over every name of numpy's, and with them numpy's reader of Fortran and its
tools for tests. Nobody here uses either, and loading them takes a tenth of a second of each
command. The standard library's lazy loader puts it off until one of their names is first used.
And what libraries warn of is meant for programmers; what goes wrong for users is said by us.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder
from importlib.util import LazyLoader
from types import ModuleType
from typing import Final

PUT_OFF: Final = ("numpy.f2py", "numpy.testing")


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
            spec.loader = LazyLoader(spec.loader)
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
