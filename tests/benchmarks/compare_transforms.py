"""Time the real Fourier transforms of several libraries on the sizes that a view takes.

By hand, in an environment that holds scipy, ducc0 and pyfftw: ``python compare_transforms.py``.
Processor time of one thread, single precision, the fastest of 15 runs, in ms. None of the others
was 1.5 times as fast on all sizes, so the program keeps scipy's; docs/performance.md tells.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import ducc0
import numpy as np
import pyfftw
import scipy.fft

SHAPES = ((3, 256, 256), (3, 540, 540), (3, 900, 900), (4, 1215, 1215))
AXES = (1, 2)


def fastest_ms(work: Callable[[], Any]) -> float:
    """Return the least processor time of 15 runs, after two that do not count."""
    times = []
    for number in range(17):
        begun = time.process_time()
        work()
        if number > 1:
            times.append(time.process_time() - begun)
    return 1e3 * min(times)


def main() -> None:
    """Print a line for each size."""
    rng = np.random.default_rng(1)
    for shape in SHAPES:
        planes = rng.standard_normal(shape).astype(np.float32)
        spectrum = scipy.fft.rfft2(planes, axes=AXES)
        source = pyfftw.empty_aligned(shape, "float32")
        answer = pyfftw.empty_aligned(spectrum.shape, "complex64")
        planned = pyfftw.FFTW(source, answer, axes=AXES, threads=1, flags=("FFTW_MEASURE",))
        source[:] = planes
        back = {"axes": AXES, "lastsize": shape[2], "forward": False, "inorm": 2, "nthreads": 1}
        times = {
            "scipy": fastest_ms(lambda p=planes: scipy.fft.rfft2(p, axes=AXES)),
            "ducc0": fastest_ms(lambda p=planes: ducc0.fft.r2c(p, axes=AXES, nthreads=1)),
            "FFTW, planned": fastest_ms(planned),
            "back: scipy": fastest_ms(
                lambda s=spectrum, n=shape[1:]: scipy.fft.irfft2(s, s=n, axes=AXES)
            ),
            "back: ducc0": fastest_ms(lambda s=spectrum, b=back: ducc0.fft.c2r(s, **b)),
        }
        print(shape, ", ".join(f"{name} {ms:.2f}" for name, ms in times.items()))


if __name__ == "__main__":
    main()
