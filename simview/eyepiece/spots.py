"""What becomes of a point: angles of its rays at the eye as smooth functions of the pupil.

A few rays are traced for each field angle and wavelength; their angles about the main chief ray
and their places in the exit pupil are fitted by polynomials of the fifth degree in the place on
the objective. A spot with any number of rays, for any eye, is then one matrix product.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece.bundle import Setup, apparent_angle, chief, start
from simview.eyepiece.trace import Rays, trace

Floats = NDArray[np.float64]

# Powers (across, along) of the fit. The lens is its own mirror image across the plane of the
# field angle, so tangential parts are even and sagittal parts odd in the place across.
EVEN: Final = tuple((i, j) for i in (0, 2, 4) for j in range(6 - i))
ODD: Final = tuple((i, j) for i in (1, 3, 5) for j in range(6 - i))

# Rings and spokes of the traced half-pupil: 6 x 9 rays for at most 12 coefficients.
_RINGS: Final = 6
_SPOKES: Final = 9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpotFit:
    """Polynomials for n wavelengths and m field angles.

    Parameters
    ----------
    tangential, sagittal
        (n, m, terms) angle about the main chief ray in radians, outward and across.
    along_mm, across_mm
        (n, m, terms) place in the exit pupil, seen along the chief ray.
    """

    tangential: Floats
    sagittal: Floats
    along_mm: Floats
    across_mm: Floats

    def rays(
        self, across: Floats, along: Floats, accommodation_d: float | Floats = 0.0
    ) -> tuple[Floats, Floats]:
        """Return (tangential, sagittal) angles in radians, each (n, m, q).

        Parameters
        ----------
        across, along
            (q,) places on the objective in units of its radius.
        accommodation_d
            Of the eye in dioptres, one number or (m,): light that diverges so much is seen
            sharp.
        """
        even, odd = _powers(EVEN, across, along), _powers(ODD, across, along)
        eye = 1e-3 * np.asarray(accommodation_d, float)
        eye = eye.reshape(1, -1, 1)
        return (
            (self.tangential - eye * self.along_mm) @ even.T,
            (self.sagittal - eye * self.across_mm) @ odd.T,
        )


def fit_spots(place: Setup, height_mm: Floats) -> SpotFit:
    """Trace and fit the spots of image heights (m,) at the wavelengths of `place`.

    Checked by: tests/unit/eyepiece/test_spots.py against rays traced one by one.
    """
    across, along = _half_pupil()
    begin = start(place, height_mm[:, None], across[None, :], along[None, :])
    rays = trace(place.optics, begin).rays
    tangential, sagittal, along_mm, across_mm = about_chief(place, rays, height_mm)
    even, odd = _powers(EVEN, across, along), _powers(ODD, across, along)
    to_even, to_odd = np.linalg.pinv(even).T, np.linalg.pinv(odd).T
    return SpotFit(
        tangential=tangential @ to_even,
        sagittal=sagittal @ to_odd,
        along_mm=along_mm @ to_even,
        across_mm=across_mm @ to_odd,
    )


def about_chief(
    place: Setup, rays: Rays, height_mm: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Refer rays (n, m, q) to the main chief rays of image heights (m,).

    Returns
    -------
    Angles (tangential outward, sagittal) in radians and places (along, across) in mm in the
    plane square to the chief ray where it crosses the plane of the paraxial exit pupil.
    """
    main = chief(place, height_mm, main=True).rays
    angle = apparent_angle(main)[0][:, None]
    _, cross_y = main.at_plane(place.eye_mm)
    # Outward is the direction of growing apparent angle: towards negative y.
    sine, cosine = np.sin(angle), np.cos(angle)
    tangential = np.arcsin(-rays.dy * cosine - rays.dz * sine)
    sagittal = np.arctan2(rays.dx, rays.dz * cosine - rays.dy * sine)
    y = rays.y - cross_y[0][:, None]
    z = rays.z - place.eye_mm
    depth = z * cosine - y * sine
    forward = rays.dz * cosine - rays.dy * sine
    out = -y * cosine - z * sine - depth / forward * (-rays.dy * cosine - rays.dz * sine)
    side = rays.x - depth / forward * rays.dx
    return tangential, sagittal, out, side


def pupil_points(count: int, obstruction: float = 0.0) -> tuple[Floats, Floats]:
    """Return (across, along) of `count` points evenly spread over a ring-shaped pupil.

    Vogel's spiral (1979, Mathematical Biosciences 44, 179): equal areas, no rows that could
    show as lines.
    """
    part = (np.arange(count) + 0.5) / count
    radius = np.sqrt(obstruction**2 + part * (1.0 - obstruction**2))
    turn = np.pi * (3.0 - np.sqrt(5.0)) * np.arange(count)
    return radius * np.cos(turn), radius * np.sin(turn)


def _half_pupil() -> tuple[Floats, Floats]:
    """Rays of the half-pupil, on Chebyshev-like rings so that the fit does not swing at the rim."""
    ring = np.sin(np.pi / 2 * (np.arange(_RINGS) + 1) / _RINGS)
    spoke = np.pi * (np.arange(_SPOKES) + 0.5) / _SPOKES - np.pi / 2
    radius, turn = np.meshgrid(ring, spoke, indexing="ij")
    across, along = radius * np.cos(turn), radius * np.sin(turn)
    return np.append(across.ravel(), 0.0), np.append(along.ravel(), 0.0)


def _powers(terms: tuple[tuple[int, int], ...], across: Floats, along: Floats) -> Floats:
    return np.stack([across**i * along**j for i, j in terms], axis=1)
