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

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.executor.threads import jobs, within, workers
from simview.memory import Memory
from simview.telescope.scratch import scratch

Array = NDArray[Any]

# Bytes of transform matrices that are kept; the oldest ones go first.
KEPT_BYTES: Final = 96_000_000

kernels: Final[Memory[tuple[Array, Array]]] = Memory(
    KEPT_BYTES, lambda pair: sum(array.nbytes for array in pair)
)


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
        turns -= np.rint(turns)
        # In single precision the waves are found in it too, for half of the time.
        angle = (2.0 * np.pi * turns).astype(dtype)
        damp = (1.0 / np.sinc(image)).astype(dtype)
        pair = np.cos(angle) * damp, np.sin(angle) * damp
        for matrix in pair:
            matrix.setflags(write=False)
        return pair

    return kernels.get(key, make)


def fold(field: Array) -> Array:
    """Fold a field into its even and odd parts about the centre, along x and along y.

    Parameters
    ----------
    field
        (parts, qy, qx, half, half): real part and, where there is one, imaginary part, in
        quadrants that begin at the centre, down before up, right before left. One quadrant
        instead of two along an axis means that the field is even along it.

    Returns
    -------
    numpy.ndarray
        (x parities, y parities, parts, half, half), the even parity first; scratch space of
        this thread, overwritten by the next call.
    """
    parts, ny, nx, half, _ = field.shape
    folded = scratch("folded", (nx, ny, parts, half, half), field.dtype)
    rows = field
    if ny == 2:
        rows = scratch("rows", field.shape, field.dtype)
        np.add(field[:, 0], field[:, 1], out=rows[:, 0])
        np.subtract(field[:, 0], field[:, 1], out=rows[:, 1])
    for y in range(ny):
        if nx == 2:
            np.add(rows[:, y, 0], rows[:, y, 1], out=folded[0, y])
            np.subtract(rows[:, y, 0], rows[:, y, 1], out=folded[1, y])
        else:
            folded[0, y] = rows[:, y, 0]
    return folded


def intensity(
    folded: Array,
    pixels: int,
    step: float,
    out: Array,
    scale: float = 1.0,
    *,
    split: bool = False,
) -> None:
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
    split
        Share the work between two threads, unless this is one of the workers.
    """
    nx, ny, parts, half, _ = folded.shape
    dtype = folded.dtype
    pair = kernel(2 * half, pixels, step, dtype)
    m = pixels // 2 + 1
    first = scratch("first", (nx, ny, parts, m, half), dtype)
    second = scratch("second", (nx, ny * parts * m, m), dtype)

    def along(x: int) -> None:
        for y in range(ny):
            np.matmul(pair[y].T, folded[x, y], out=first[x, y])
        np.matmul(first[x].reshape(-1, half), pair[x], out=second[x])

    if split and nx == 2 and not within() and jobs() > 1:
        list(workers().map(along, range(2)))
    else:
        for x in range(nx):
            along(x)
    _unfold(second.reshape(nx, ny, parts, m, m), pixels, out)
    # A missing parity means that both halves of the axis are alike: twice the field.
    out *= dtype.type(scale * (3 - nx) ** 2 * (3 - ny) ** 2)


def _unfold(field: Array, pixels: int, out: Array) -> None:
    """Put the parities together: the four quadrants' intensities, written into `out`.

    The field at (sx x, sy y) is E - sx sy O - i (sx X + sy Y) of the parts that are even or odd
    along both axes (E, O), odd along x only (X) and odd along y only (Y).
    """
    nx, ny, parts = field.shape[:3]
    even = field[0, 0]
    if nx == ny == 1:
        power = _power(even[0], even[1] if parts == 2 else None)
        for sy, sx in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            _place(power, pixels, (sy, sx), out)
        return
    for product in (1, -1):
        flat = even
        if nx == ny == 2:
            flat = even - field[1, 1] if product > 0 else even + field[1, 1]
        odd = _odd(field, product)
        for sx in (1, -1):
            # -i sx (a + i b) = sx (b - i a)
            mix = (np.subtract, np.add) if sx > 0 else (np.add, np.subtract)
            real = mix[1](flat[0], odd[1]) if parts == 2 else flat[0]
            imaginary = mix[0](flat[1], odd[0]) if parts == 2 else odd[0]
            _place(_power(real, imaginary), pixels, (product * sx, sx), out)


def _odd(field: Array, product: int) -> Array:
    """Return X + sx sy Y, the part that enters with -i sx."""
    nx, ny = field.shape[:2]
    if nx == 2 and ny == 2:
        join = np.add if product > 0 else np.subtract
        return np.asarray(join(field[1, 0], field[0, 1]))
    odd = field[1, 0] if nx == 2 else field[0, 1]
    return np.asarray(-odd if nx == 1 and product < 0 else odd)


def _power(real: Array, imaginary: Array | None) -> Array:
    power: Array = real * real
    if imaginary is not None:
        power += imaginary * imaginary
    return power


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
