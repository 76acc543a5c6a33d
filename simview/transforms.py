"""scipy's Fourier transforms without the rest of scipy.

``scipy.fft`` brings special functions, and what makes other libraries' arrays look like numpy's,
along: a tenth of a second of each command. The transforms themselves are one compiled module that
needs numpy alone. It is loaded from where scipy lies, unless scipy has been loaded anyway. It is no
public part of scipy: where it is missing, or does not answer as it should, scipy's public door is
taken, with the same results. The names, arguments and answers are those of ``scipy.fft``.

Checked by: tests/unit/test_transforms.py
"""

from __future__ import annotations

import re
import threading
from collections.abc import Sequence
from functools import lru_cache
from importlib.machinery import PathFinder
from importlib.util import find_spec, module_from_spec
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[Any]
Axes = tuple[int, ...]

_WITHIN: Final = ("fft", "_pocketfft")
_NAME: Final = "pypocketfft"
# How the compiled module knows by what the sum is divided: by nothing, or by their number.
_WHOLE: Final = 0
_MEAN: Final = 2
_BOTH: Final = (-2, -1)
# Older releases (1.13) are not trusted: a run with them ended in a crash.
_SINCE: Final = 15


_loading: Final = threading.Lock()


def compiled() -> Any:
    """Return scipy's compiled transforms; None where they are not as they are known to be."""
    # One thread at a time: a second one that loads it meanwhile finds the module still empty.
    with _loading:
        return _loaded()


@lru_cache(maxsize=1)
def _loaded() -> Any:
    try:
        home = find_spec("scipy")
        told = Path(home.submodule_search_locations[0], "version.py").read_text()  # type: ignore[union-attr,index]
        if _minor(told) < _SINCE:
            return None
        inside = [str(Path(home.submodule_search_locations[0], *_WITHIN))]  # type: ignore[union-attr,index]
        found = PathFinder.find_spec(_NAME, inside)
        module = module_from_spec(found)  # type: ignore[arg-type]
        found.loader.exec_module(module)  # type: ignore[union-attr]
        return module if _as_known(module) else None
    except Exception:
        return None


def _minor(told: str) -> int:
    """Return the second number of scipy's version, from its own file; 0 if it is not 1.x."""
    found = re.search(r'version = "1\.(\d+)', told)
    return int(found[1]) if found else 0


def _as_known(module: Any) -> bool:
    """Return whether transforms and sizes come out, asked for as below."""
    line = np.array([1.0, 2.0, 4.0, 3.0, 7.0, 5.0], np.float32)
    half = module.r2c(line, (0,), True, _WHOLE, None, 1)
    whole = module.c2c(line + 0j, (0,), True, _WHOLE, None, 1)
    back = module.c2c(whole, (0,), False, _MEAN, None, 1)
    real = module.c2r(half, (0,), 6, False, _MEAN, None, 1)
    truth = np.fft.fft(line)
    pairs = ((half, truth[:4]), (whole, truth), (back, line), (real, line))
    sized = module.good_size(13, False) == 14 and module.good_size(13, True) == 15
    return sized and all(np.allclose(ours, theirs, atol=1e-5) for ours, theirs in pairs)


def _public() -> Any:
    from scipy import fft

    return fft


def next_fast_len(target: int, real: bool = False) -> int:
    """Return the least size from `target` on that is quickly transformed."""
    if compiled() is None:
        return int(_public().next_fast_len(target, real=real))
    return int(compiled().good_size(target, real))


def fft(
    x: Numbers, n: int | None = None, axis: int = -1, overwrite_x: bool = False, workers: int = 1
) -> Numbers:
    """Return the transform of lines of numbers, cut or filled up with zeros to `n` of them.

    Parameters
    ----------
    x
        Real or complex, of any shape; in single precision if it is in single precision.
    n
        How many numbers of each line are taken; None for all.
    axis
        Along which the lines run.
    overwrite_x
        Whether `x` may be lost.
    workers
        Threads.
    """
    return _complex(x, _sized(x, (n,), (axis,)), (axis,), True, overwrite_x, workers)


def ifft(
    x: Numbers, n: int | None = None, axis: int = -1, overwrite_x: bool = False, workers: int = 1
) -> Numbers:
    """Return the lines of numbers whose transforms these are.

    Parameters
    ----------
    x, n, axis, overwrite_x, workers
        As of `fft`.
    """
    return _complex(x, _sized(x, (n,), (axis,)), (axis,), False, overwrite_x, workers)


def rfft(x: Numbers, n: int | None = None, axis: int = -1, workers: int = 1) -> Numbers:
    """Return the half of the transform of lines of real numbers that tells the other half."""
    return _half(_sized(x, (n,), (axis,)), (axis,), workers)


def irfft(x: Numbers, n: int | None = None, axis: int = -1, workers: int = 1) -> Numbers:
    """Return the lines of `n` real numbers with such halves of transforms."""
    n = 2 * (x.shape[axis] - 1) if n is None else n
    return _real(_sized(x, (n // 2 + 1,), (axis,)), (axis,), n, workers)


def rfft2(x: Numbers, s: tuple[int, int] | None = None, workers: int = 1) -> Numbers:
    """Return the half-plane transform over the last two axes, cut or filled up to `s`."""
    return _half(_sized(x, s or (None, None), _BOTH), _BOTH, workers)


def irfft2(x: Numbers, s: tuple[int, int], workers: int = 1) -> Numbers:
    """Return the real planes of shape `s` with such half-plane transforms."""
    return _real(_sized(x, (s[0], s[1] // 2 + 1), _BOTH), _BOTH, s[1], workers)


def fft2(x: Numbers, s: tuple[int, int] | None = None, workers: int = 1) -> Numbers:
    """Return the transform over the last two axes, cut or filled up to `s`."""
    return _complex(x, _sized(x, s or (None, None), _BOTH), _BOTH, True, False, workers)


def ifft2(x: Numbers, overwrite_x: bool = False, workers: int = 1) -> Numbers:
    """Return the planes whose transforms over the last two axes these are."""
    return _complex(x, x, _BOTH, False, overwrite_x, workers)


def _complex(
    given: Numbers, x: Numbers, axes: Axes, forward: bool, overwrite_x: bool, workers: int
) -> Numbers:
    """Return a transform; what was cut out or filled up for it is overwritten at any rate."""
    if compiled() is None:
        change = _public().fftn if forward else _public().ifftn
        return np.asarray(change(x, axes=axes, overwrite_x=overwrite_x, workers=workers))
    mine = overwrite_x or not np.may_share_memory(given, x)
    into = x if mine and x.dtype.kind == "c" and x.flags.writeable else None
    by = _WHOLE if forward else _MEAN
    return np.asarray(compiled().c2c(_known(x), axes, forward, by, into, workers))


def _half(x: Numbers, axes: Axes, workers: int) -> Numbers:
    if compiled() is None:
        return np.asarray(_public().rfftn(x, axes=axes, workers=workers))
    return np.asarray(compiled().r2c(_known(x), axes, True, _WHOLE, None, workers))


def _real(x: Numbers, axes: Axes, n: int, workers: int) -> Numbers:
    if compiled() is None:
        sizes = (*(x.shape[axis] for axis in axes[:-1]), n)
        return np.asarray(_public().irfftn(x, s=sizes, axes=axes, workers=workers))
    x = x if x.dtype.kind == "c" else x + 0j
    return np.asarray(compiled().c2r(x, axes, n, False, _MEAN, None, workers))


def _known(x: Numbers) -> Numbers:
    """Return numbers as the compiled module knows them: whole ones in double precision."""
    return x if x.dtype.kind in "fc" and x.dtype != np.float16 else x.astype(np.float64)


def _sized(x: Numbers, sizes: Sequence[int | None], axes: Axes) -> Numbers:
    """Return numbers cut or filled up with zeros to these sizes along the axes; None: as it is."""
    shape, lit = list(x.shape), [slice(None)] * x.ndim
    for axis, size in zip(axes, sizes, strict=True):
        if size is not None:
            shape[axis], lit[axis] = size, slice(min(size, x.shape[axis]))
    kept = x[tuple(lit)]
    if kept.shape == tuple(shape):
        return kept
    filled = np.zeros(shape, x.dtype)
    filled[tuple(lit)] = kept
    return filled
