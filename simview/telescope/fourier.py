"""From the pupil straight onto the wanted grid: a separable matrix Fourier transform.

The field in the focal plane is a sum over pupil samples of exp(-i x u). Around the centre the
exponential splits into cosine and sine, so the pupil is folded into its even and odd halves
along both axes, each half is multiplied by a half-size real matrix, and the results are put
together again: small real products instead of one large complex one. Halves that vanish by
symmetry are left out. The matrices are kept between calls.

Method: separable discrete transform of a pupil, Soummer, Pueyo, Sivaramakrishnan and Vanderbei
2007, Optics Express 15, 15935; the folding is elementary.
Checked by: tests/unit/telescope/test_fourier.py (against the plain sum),
tests/truth/test_airy.py
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from simview.telescope.kept import Kept

Array = NDArray[Any]
Item = TypeVar("Item")
Answer = TypeVar("Answer")

# Bytes of transform matrices that are kept; the oldest ones go first.
KEPT_BYTES: Final = 96_000_000

# Workers over wavelengths, focus positions or frames.
WORKERS: Final = max(1, min(2, os.cpu_count() or 1))


kernels: Final[Kept[tuple[Array, Array]]] = Kept(
    KEPT_BYTES, lambda pair: sum(array.nbytes for array in pair)
)
_own = threading.local()


def kernel(samples: int, pixels: int, step: float, dtype: Any) -> tuple[Array, Array]:
    """Return the half-size cosine and sine matrices, both (samples // 2, pixels // 2 + 1).

    Parameters
    ----------
    samples
        Pupil samples across (even).
    pixels
        Pixels across the image.
    step
        Cycles per pupil sample per pixel.

    Each column is divided by sinc(step k): a grey sample is the pupil's mean over a square, and
    the mean damps the field by that factor.
    """
    key = (samples, pixels, step, np.dtype(dtype).char)

    def make() -> tuple[Array, Array]:
        place = np.arange(samples // 2) + 0.5
        image = np.arange(pixels // 2 + 1) * step
        turns = place[:, None] * image[None, :]
        angle = 2.0 * np.pi * (turns - np.rint(turns))
        damp = 1.0 / np.sinc(image)
        pair = (np.cos(angle) * damp).astype(dtype), (np.sin(angle) * damp).astype(dtype)
        for matrix in pair:
            matrix.setflags(write=False)
        return pair

    return kernels.get(key, make)


def _buffer(name: str, shape: tuple[int, ...], dtype: Any) -> Array:
    """Return this thread's scratch array of that name; its old content is not cleared."""
    kept: dict[str, Array] = _own.__dict__.setdefault("arrays", {})
    array = kept.get(name)
    if array is None or array.shape != shape or array.dtype != dtype:
        array = kept[name] = np.empty(shape, dtype)
    return array


def fold(field: Array, *, even_y: bool, even_x: bool) -> Array:
    """Fold a field into its even and odd parts about the centre, along x and along y.

    Parameters
    ----------
    field
        (parts, ny, nx): real part and, where there is one, imaginary part. Along an axis in
        which it is even only the half from the centre on (down or right) is given.

    Returns
    -------
    numpy.ndarray
        (x parities, y parities, parts, half, half); the even parity first.
    """
    rows = 2.0 * field[:, None] if even_y else None
    if rows is None:
        half = field.shape[1] // 2
        below, above = field[:, half:], field[:, half - 1 :: -1]
        rows = np.stack((below + above, below - above), axis=1)
    if even_x:
        return np.ascontiguousarray(np.moveaxis(2.0 * rows, 1, 0))[None]
    half = rows.shape[-1] // 2
    right, left = rows[..., half:], rows[..., half - 1 :: -1]
    both = np.stack((right + left, right - left), axis=0)  # (x, parts, y, half, half)
    return np.ascontiguousarray(np.moveaxis(both, 1, 2))


def intensity(folded: Array, pixels: int, step: float, out: Array, scale: float = 1.0) -> None:
    """Write |transform|^2 of a folded field into `out`.

    Parameters
    ----------
    folded
        As `fold` returns it.
    pixels, step
        The output grid, centre pixel `pixels` // 2; see `kernel`.
    out
        (pixels, pixels), same precision.
    scale
        Factor on the intensity.
    """
    nx, ny, parts, half, _ = folded.shape
    dtype = folded.dtype
    pair = kernel(2 * half, pixels, step, dtype)
    m = pixels // 2 + 1
    first = _buffer("first", (nx, ny, parts, m, half), dtype)
    for parity in range(ny):
        np.matmul(pair[parity].T, folded[:, parity], out=first[:, parity])
    second = _buffer("second", (nx, ny * parts * m, m), dtype)
    for parity in range(nx):
        np.matmul(first[parity].reshape(-1, half), pair[parity], out=second[parity])
    field = second.reshape(nx, ny, parts, m, m)
    field *= np.sqrt(scale).astype(dtype)
    _unfold(field, pixels, out)


def _unfold(field: Array, pixels: int, out: Array) -> None:
    """Put the parities together: the four quadrants' intensities, written into `out`."""
    nx, ny, parts = field.shape[:3]
    even = [field[0, 0, k] for k in range(parts)]
    mixed: list[list[Array]] = [even, even]  # value in quadrants where sx sy = +1, -1
    if nx == 2 and ny == 2:
        mixed = [[e - o for e, o in zip(even, field[1, 1], strict=True)]]
        mixed.append([e + o for e, o in zip(even, field[1, 1], strict=True)])
    for sy in (1, -1):
        for sx in (1, -1):
            flat = mixed[0 if sx * sy > 0 else 1]
            odd = _odd(field, sx, sy)
            _place(_power(flat, odd), pixels, (sy, sx), out)


def _odd(field: Array, sx: int, sy: int) -> list[Array] | None:
    """Return sx E_x-odd + sy E_y-odd, the part that enters with -i, or None."""
    nx, ny = field.shape[:2]
    if nx == 2 and ny == 2:
        join = np.add if sx == sy else np.subtract
        together = join(field[1, 0], field[0, 1])
        return [sx * t for t in together] if sx < 0 else list(together)
    if nx == 2:
        return [sx * t for t in field[1, 0]]
    if ny == 2:
        return [sy * t for t in field[0, 1]]
    return None


def _power(flat: list[Array], odd: list[Array] | None) -> Array:
    """Return |flat - i odd|^2 of two fields given as real (and imaginary) parts."""
    real, imaginary = flat[0], flat[1] if len(flat) == 2 else None
    if odd is not None:
        # -i (a + i b) = b - i a
        imaginary = -odd[0] if imaginary is None else imaginary - odd[0]
        real = real + odd[1] if len(odd) == 2 else real
    power = real * real
    if imaginary is not None:
        power += imaginary * imaginary
    return np.asarray(power)


def _place(quadrant: Array, pixels: int, sign: tuple[int, int], out: Array) -> None:
    """Write one quadrant, which starts at the centre pixel, where it belongs."""
    centre = pixels // 2
    ways = []
    for s in sign:
        if s > 0:
            ways.append((slice(centre, pixels), slice(0, pixels - centre)))
        else:
            ways.append((slice(0, centre), slice(centre, 0, -1)))
    (rows, from_rows), (columns, from_columns) = ways
    out[rows, columns] = quadrant[from_rows, from_columns]


_pool: ThreadPoolExecutor | None = None
_pool_lock = threading.Lock()
_blas: Any = None


def spread_work(work: Callable[[Item], Answer], items: Iterable[Item]) -> list[Answer]:
    """Call `work` on every item with two workers, one linear-algebra thread each; keep order.

    Must not be called from within `work`.
    """
    global _pool, _blas  # noqa: PLW0603
    todo = list(items)
    with _pool_lock:
        if _blas is None:
            from threadpoolctl import (  # type: ignore[import-untyped]
                ThreadpoolController,
            )

            _blas = ThreadpoolController()
        if _pool is None:
            _pool = ThreadPoolExecutor(WORKERS, thread_name_prefix="simview")
    with _blas.limit(limits=1, user_api="blas"):
        if len(todo) == 1 or WORKERS == 1:
            return [work(item) for item in todo]
        return list(_pool.map(work, todo))
