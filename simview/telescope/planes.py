"""A star's image plane by plane, by the native engine or by poppy."""

from __future__ import annotations

import numpy as np

from simview.executor.threads import spread_work
from simview.telescope import fourier
from simview.telescope.exposure import Setting, Stack


def planes_of(taken: Setting, pixel_arcsec: float, pixels: int) -> Stack:
    """Return (n, pixels, pixels): intensity at each pixel's centre times its area.

    The light through the pupil is 1. The pixels must sample the pattern.
    """
    front = taken.front(pixel_arcsec * pixels / 2.0)
    if taken.engine == "poppy":
        from simview.telescope.poppy_bridge import poppy_stack

        return poppy_stack(taken, front, pixel_arcsec, pixels)
    dtype = np.float64 if taken.precise else np.float32
    stack = np.empty((len(taken.waves), pixels, pixels), dtype)
    amplitude = front.amplitude.astype(dtype)
    steps = pixel_arcsec / taken.unit_arcsec / front.samples

    alone = len(taken.waves) == 1

    def work(k: int) -> None:
        folded = fourier.fold(taken.field(front, amplitude, k))
        scale = float(steps[k]) ** 2 / front.light
        step = float(steps[k])
        fourier.intensity(folded, pixels, step, stack[k], scale, split=alone)

    spread_work(work, range(len(taken.waves)))
    return stack
