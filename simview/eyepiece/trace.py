"""Exact skew rays through spherical surfaces, many rays and wavelengths at once.

The refraction is Snell's law in vector form at the exact intersection with each sphere; nothing
is expanded. Rays that miss a sphere, meet a rim or are totally reflected are marked, not lost.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.eyepiece.lens import AIR, Lens, LensError

Floats = NDArray[np.float64]

# What became of a ray; the number of the surface stands beside it.
PASSED: Final = 0
MISSED: Final = 1
REFLECTED: Final = 2
CLIPPED: Final = 3
FATES: Final = ("passed", "missed the surface", "was totally reflected", "was stopped by the rim")


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """A lens prepared for tracing: k surfaces at n wavelengths.

    Parameters
    ----------
    curvature
        (k,) in 1/mm.
    vertex_mm
        (k,) places along the axis, the first at 0.
    index
        (k + 1, n) refractive index before the first and behind each surface.
    clear_radius_mm
        (k,) half of the clear diameters.
    wavelengths_nm
        (n,).
    """

    curvature: Floats
    vertex_mm: Floats
    index: Floats
    clear_radius_mm: Floats
    wavelengths_nm: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Rays:
    """Rays by a point and a direction each; all parts broadcast to one shape (n, ...).

    The first axis is the wavelength's. Direction cosines are normalised; z runs along the axis
    towards the eye, y is in the plane of the field angle.
    """

    x: Floats
    y: Floats
    z: Floats
    dx: Floats
    dy: Floats
    dz: Floats

    def at_plane(self, z_mm: float | Floats) -> tuple[Floats, Floats]:
        """Return (x, y) where the rays, or their prolongations, cross planes at `z_mm`."""
        run = (z_mm - self.z) / self.dz
        return self.x + run * self.dx, self.y + run * self.dy


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """What leaves the last surface.

    Parameters
    ----------
    rays
        On the last surface, with their directions behind it. Rays that did not pass carry the
        finite numbers of a grazing ray and mean nothing.
    path_mm
        Optical path from the rays' starts to the last surface.
    fate
        PASSED, MISSED, REFLECTED or CLIPPED.
    surface
        Number (from 1) of the surface that decided a fate other than PASSED; 0 for the others.
    points
        (k, 3, n, ...) places on each surface if they were asked for, otherwise None.
    """

    rays: Rays
    path_mm: Floats
    fate: NDArray[np.int8]
    surface: NDArray[np.int16]
    points: Floats | None = None

    @property
    def passed(self) -> NDArray[np.bool_]:
        """True where a ray came through."""
        return np.asarray(self.fate == PASSED)


def system(lens: Lens, wavelengths_nm: ArrayLike) -> System:
    """Prepare a lens for tracing at the given wavelengths (nm).

    Raises
    ------
    LensError
        For a glass that is not known; names the surface.
    """
    from simview.glass import index

    wavelengths = np.atleast_1d(np.asarray(wavelengths_nm, float))
    media = np.ones((len(lens.surfaces) + 1, len(wavelengths)))
    for number, surface in enumerate(lens.surfaces, 1):
        if surface.glass == AIR:
            continue
        try:
            media[number] = [index(surface.glass, float(nm)) for nm in wavelengths]
        except (ValueError, KeyError) as error:
            allowed = getattr(error, "allowed", "")
            raise LensError(
                f"surface {number} glass",
                got=surface.glass,
                allowed=allowed,
                remedy=getattr(error, "remedy", "") or "write 'air' between lenses",
            ) from None
    thickness = [surface.thickness_mm for surface in lens.surfaces[:-1]]
    return System(
        curvature=np.array([surface.curvature for surface in lens.surfaces]),
        vertex_mm=np.concatenate(([0.0], np.cumsum(thickness))),
        index=media,
        clear_radius_mm=np.array([surface.clear_mm / 2.0 for surface in lens.surfaces]),
        wavelengths_nm=wavelengths,
    )


def trace(optics: System, rays: Rays, *, clip: bool = False, record: bool = False) -> Traced:
    """Trace rays through every surface.

    Parameters
    ----------
    rays
        Broadcast to (n, ...), n wavelengths as in `optics`.
    clip
        Stop rays that pass a surface outside its clear diameter.
    record
        Keep the places on every surface.

    Notes
    -----
    Source: Welford, Aberrations of Optical Systems (1986), section 4.3 (intersection and
    refraction at a sphere in direction cosines).
    Checked by: tests/truth/test_lens_trace.py against an independent program.
    """
    parts = np.broadcast_arrays(rays.x, rays.y, rays.z, rays.dx, rays.dy, rays.dz)
    count = len(optics.wavelengths_nm)
    shape = np.broadcast_shapes(parts[0].shape, (count,) + (1,) * (parts[0].ndim - 1))
    x, y, z, dx, dy, dz = (np.broadcast_to(p, shape).astype(np.float64) for p in parts)
    path = np.zeros(shape)
    fate = np.zeros(shape, np.int8)
    number = np.zeros(shape, np.int16)
    points = np.empty((len(optics.curvature), 3, *shape)) if record else None
    media = optics.index.reshape(len(optics.index), count, *(1,) * (len(shape) - 1))
    for k, c in enumerate(optics.curvature):
        # To the vertex plane, then on to the sphere.
        run = (optics.vertex_mm[k] - z) / dz
        x += run * dx
        y += run * dy
        height2 = x * x + y * y
        lean = dz - c * (dx * x + dy * y)
        under = lean * lean - c * c * height2
        _mark(fate, number, under < 0.0, MISSED, k)
        cosine = np.sqrt(np.maximum(under, 0.0))
        onward = c * height2 / (lean + cosine)
        x += onward * dx
        y += onward * dy
        sag = onward * dz
        z = sag + optics.vertex_mm[k]
        path += media[k] * (run + onward)
        if clip:
            wide = x * x + y * y > optics.clear_radius_mm[k] ** 2 * (1.0 + 1e-12)
            _mark(fate, number, wide, CLIPPED, k)
        ratio = media[k] / media[k + 1]
        under = 1.0 - ratio * ratio * (1.0 - cosine * cosine)
        _mark(fate, number, under < 0.0, REFLECTED, k)
        bend = np.sqrt(np.maximum(under, 0.0)) - ratio * cosine
        dx = ratio * dx - bend * c * x
        dy = ratio * dy - bend * c * y
        dz = ratio * dz + bend * (1.0 - c * sag)
        if points is not None:
            points[k] = x, y, z
    return Traced(
        rays=Rays(x=x, y=y, z=z, dx=dx, dy=dy, dz=dz),
        path_mm=path,
        fate=fate,
        surface=number,
        points=points,
    )


def _mark(
    fate: NDArray[np.int8],
    number: NDArray[np.int16],
    where: NDArray[np.bool_],
    what: int,
    surface: int,
) -> None:
    """Write down the first thing that befalls a ray."""
    if where.any():
        first = where & (fate == PASSED)
        fate[first] = what
        number[first] = surface + 1
