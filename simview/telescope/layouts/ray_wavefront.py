"""From rays to the error of the wavefront, by Noll's polynomials over the full circle."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.telescope.layouts.surfaces import Rays, Surface, trace
from simview.telescope.wavefront import zernike

Floats = NDArray[np.float64]

# Wavelength of all wavefront coefficients, nm.
REFERENCE_NM: Final = 550.0

# Noll's indices that rays are fitted with: to the eighth power of the radius.
MOST_TERMS: Final = 37

# Rays over the pupil. 400 hold every coefficient below within 1e-5 waves of 3000
# (tests/unit/telescope/test_layouts.py).
_RAYS: Final = 400

_ARCMIN: Final = math.radians(1.0 / 60.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A telescope by its surfaces.

    Parameters
    ----------
    name
        A layout's word.
    surfaces
        In the order in which the light meets them.
    stop_mm, aperture_mm
        z of the plane that bounds the light, and the diameter there.
    image_mm
        z of the focal plane in the middle of the field.
    secondary_mm
        z of what shades the middle of the pupil.
    """

    name: str
    surfaces: tuple[Surface, ...]
    stop_mm: float
    aperture_mm: float
    image_mm: float
    secondary_mm: float = 0.0

    def part(self, *names: str) -> tuple[Surface, ...]:
        """Return the surfaces of parts."""
        return tuple(each for each in self.surfaces if each.part in names)

    def with_parts(self, names: tuple[str, ...], **how: object) -> Layout:
        """Return the layout with these parts' surfaces changed."""
        surfaces = tuple(
            replace(each, **how) if each.part in names else each  # type: ignore[arg-type]
            for each in self.surfaces
        )
        return replace(self, surfaces=surfaces)


def beam(layout: Layout, star: tuple[float, float], points: Floats) -> Rays:
    """Return the rays of a star that pass points of the stop.

    Parameters
    ----------
    star
        Where it stands on the sky off the tube's axis, to the right and upwards, radians.
    points
        (n, 2) in radii of the aperture.
    """
    way = np.array([-math.tan(star[0]), -math.tan(star[1]), 1.0])
    way /= np.linalg.norm(way)
    radius = layout.aperture_mm / 2.0
    place = np.c_[radius * points, np.full(len(points), layout.stop_mm)]
    middle = np.array([0.0, 0.0, layout.stop_mm])
    # Back towards the sky until the rays stand before every surface, on one plane of the wave.
    first = min(each.z_mm for each in layout.surfaces) - layout.aperture_mm
    back = (layout.stop_mm - first) / way[2]
    run = back + (place - middle) @ way
    return Rays(
        point=place - run[:, None] * way,
        direction=np.broadcast_to(way, place.shape),
        path_mm=np.zeros(len(points)),
    )


def arrival(layout: Layout, star: tuple[float, float], wavelength_nm: float) -> Floats:
    """Return where a star's chief ray meets the focal plane, (2,) mm to the right and up."""
    found = trace(layout.surfaces, beam(layout, star, np.zeros((1, 2))), wavelength_nm)
    run = (layout.image_mm - found.point[0, 2]) / found.direction[0, 2]
    return np.asarray(found.point[0, :2] + run * found.direction[0, :2])


def scale_mm(layout: Layout, wavelength_nm: float = REFERENCE_NM) -> float:
    """Return the focal length: mm in the focal plane for a radian on the sky, signed."""
    small = 1e-5
    there = arrival(layout, (small, 0.0), wavelength_nm)
    other = arrival(layout, (-small, 0.0), wavelength_nm)
    return float((there - other)[0] / (2.0 * small))


def centred(layout: Layout, wavelength_nm: float = REFERENCE_NM) -> tuple[float, float]:
    """Return where the star stands whose picture is in the middle of the field, radians."""
    star = np.zeros(2)
    small = 1e-6
    for _ in range(4):
        here = arrival(layout, (star[0], star[1]), wavelength_nm)
        slopes = [
            (arrival(layout, (star[0] + dx, star[1] + dy), wavelength_nm) - here) / small
            for dx, dy in ((small, 0.0), (0.0, small))
        ]
        star = star - np.linalg.solve(np.array(slopes).T, here)
    return float(star[0]), float(star[1])


def coefficients(
    layout: Layout,
    star: tuple[float, float] = (0.0, 0.0),
    wavelength_nm: float = REFERENCE_NM,
    rays: int = _RAYS,
) -> Floats:
    """Return the wavefront of a star by Noll's polynomials.

    Parameters
    ----------
    star
        Where it stands off the tube's axis, radians.

    Returns
    -------
    numpy.ndarray
        (MOST_TERMS + 1,) RMS waves at 550 nm, by Noll's index; the first three are left at 0,
        and [0] is not used. Positive is early light.

    Notes
    -----
    Source: path to a sphere about the chief ray's point in the focal plane, Welford (1986,
    section 7.2); Noll (1976).
    """
    points, fit = _pupil(rays)
    found = trace(layout.surfaces, beam(layout, star, points), wavelength_nm)
    here = np.array([*arrival(layout, star, wavelength_nm), layout.image_mm])
    chief = trace(layout.surfaces, beam(layout, star, np.zeros((1, 2))), wavelength_nm)
    radius = float(np.linalg.norm(chief.point[0] - here))
    early = (_to_sphere(chief, here, radius)[0] - _to_sphere(found, here, radius)) / (
        REFERENCE_NM * 1e-6
    )
    answer = np.zeros(MOST_TERMS + 1)
    answer[1:] = fit @ early
    answer[1:4] = 0.0
    return answer


def _to_sphere(rays: Rays, centre: Floats, radius: float) -> Floats:
    """Return the rays' whole paths to a sphere before its centre, mm."""
    off = rays.point - centre
    along = np.einsum("ij,ij->i", off, rays.direction)
    run = -along - np.sqrt(along**2 - np.einsum("ij,ij->i", off, off) + radius**2)
    return np.asarray(rays.path_mm + run)


@lru_cache(maxsize=4)
def _pupil(count: int) -> tuple[Floats, Floats]:
    """Return points spread evenly over the circle, and what fits polynomials to values there."""
    number = np.arange(count) + 0.5
    r, t = np.sqrt(number / count), number * math.pi * (3.0 - math.sqrt(5.0))
    x, y = r * np.cos(t), r * np.sin(t)
    shapes = np.stack([zernike(j, x, y) for j in range(1, MOST_TERMS + 1)], axis=1)
    return np.stack((x, y), axis=1), np.asarray(np.linalg.pinv(shapes), np.float64)
