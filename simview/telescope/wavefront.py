"""The error of the optics as a map over the pupil.

Named faults are peak-to-valley over the full circle, at best focus and with tilt removed;
Noll entries are RMS. Angles run from the right (+x) anticlockwise, y upwards. A wavefront that
rises to the right moves the star to the right; coma's flare points along its angle.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from simview.kit import Wavefront
from simview.telescope.pupil import axis

Plane = NDArray[np.float64]


def path_waves(wavefront: Wavefront, samples: int, *, crop: float = 1.0) -> Plane:
    """Return the path error over the pupil in waves at 550 nm.

    Parameters
    ----------
    wavefront
        The faults, given over the full circle.
    samples
        Samples across the part that is used.
    crop
        Diameter of that part against the full circle, above 0 to 1. Nothing is re-balanced.

    Returns
    -------
    numpy.ndarray
        (samples, samples) float64, also outside the circle (smoothly continued).

    Notes
    -----
    Source: the forms stated in `simview.kit.Wavefront` (Born & Wolf, section 9.2); Noll 1976,
    JOSA 66, 207 for `noll`.
    Checked by: tests/unit/telescope/test_wavefront.py, tests/truth/test_strehl.py
    """
    x = axis(samples)[None, :] * crop
    y = -axis(samples)[:, None] * crop
    return path_at(wavefront, x, y)


def path_at(wavefront: Wavefront, x: Plane, y: Plane) -> Plane:
    """Return the path error in waves at 550 nm at points (x, y) in radii of the full circle."""
    r2 = x * x + y * y
    path = wavefront.defocus * r2 + 4.0 * wavefront.spherical * (r2 * r2 - r2)
    if wavefront.coma:
        along = _along(x, y, wavefront.coma_angle_deg)
        path = path + wavefront.coma / 2.0 * (3.0 * r2 - 2.0) * along
    if wavefront.astigmatism:
        along = _along(x, y, wavefront.astigmatism_angle_deg)
        path = path + wavefront.astigmatism / 2.0 * (2.0 * along * along - r2)
    if wavefront.trefoil:
        along = _along(x, y, wavefront.trefoil_angle_deg)
        path = path + wavefront.trefoil / 2.0 * (4.0 * along**3 - 3.0 * r2 * along)
    for index, waves in wavefront.noll.items():
        if waves:
            path = path + waves * zernike(index, x, y)
    return path


def _along(x: Plane, y: Plane, angle_deg: float) -> Plane:
    """Return the coordinate along a direction: r cos(t - angle)."""
    angle = math.radians(angle_deg)
    cosine, sine = (0.0 if abs(v) < 1e-12 else v for v in (math.cos(angle), math.sin(angle)))
    return np.asarray(x * cosine + y * sine)


def noll_to_nm(index: int) -> tuple[int, int]:
    """Return radial order and signed angular frequency of a Noll index (cosine positive).

    Source: Noll 1976, JOSA 66, 207, table I.
    Checked by: tests/truth/test_noll.py
    """
    order = math.ceil((math.sqrt(8.0 * index + 1.0) - 3.0) / 2.0)
    place = index - order * (order + 1) // 2  # 1 .. order + 1 within the row
    frequency = 2 * (place // 2) if order % 2 == 0 else 2 * ((place - 1) // 2) + 1
    return order, frequency if index % 2 == 0 else -frequency


@lru_cache(maxsize=256)
def _radial(order: int, frequency: int) -> tuple[int, ...]:
    """Return the coefficients of R_n^m / r^m in powers of r^2, lowest first."""
    terms = []
    for s in range((order - frequency) // 2, -1, -1):
        upper = math.factorial(order - s)
        lower = math.factorial(s) * math.factorial((order + frequency) // 2 - s)
        terms.append((-1) ** s * upper // (lower * math.factorial((order - frequency) // 2 - s)))
    return tuple(terms)


def zernike(index: int, x: Plane, y: Plane) -> Plane:
    """Return one Noll polynomial at points (x, y) in radii; its RMS over the unit disc is 1.

    Source: Noll 1976, JOSA 66, 207.
    Checked by: tests/truth/test_noll.py
    """
    order, signed = noll_to_nm(index)
    frequency = abs(signed)
    r2 = x * x + y * y
    radial = np.zeros_like(r2)
    for term in reversed(_radial(order, frequency)):
        radial = radial * r2 + term
    if frequency == 0:
        return math.sqrt(order + 1.0) * radial
    turn = (x + 1j * y) ** frequency  # r^m exp(i m t)
    part = turn.real if signed > 0 else turn.imag
    return np.asarray(math.sqrt(2.0 * (order + 1.0)) * radial * part)
