"""Scratch arrays, one of a name for each thread."""

from __future__ import annotations

import threading
from typing import Any

import numpy as np
from numpy.typing import NDArray

_own = threading.local()


def scratch(name: str, shape: tuple[int, ...], dtype: Any) -> NDArray[Any]:
    """Return this thread's scratch array of that name; what it held before is not cleared.

    It is handed out again at the next call with the same name: for results that are used up at
    once.
    """
    arrays: dict[str, NDArray[Any]] = _own.__dict__.setdefault("arrays", {})
    array = arrays.get(name)
    if array is None or array.shape != shape or array.dtype != dtype:
        array = arrays[name] = np.empty(shape, dtype)
    return array
