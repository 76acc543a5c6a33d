"""Light from the telescope's focus through an eyepiece to the eye.

The objective, seen from its focus, is a disc of given focal ratio at a given distance; from
every point of the disc a ray runs to the image point in the focal plane and on through the lens.
The lens stands so that the middle of the field leaves it parallel. Angles behind the lens are the
apparent field angle (positive off axis) and, about the chief ray, "tangential" (in the plane of
axis and image point) and "sagittal" (across it).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.eyepiece import paraxial
from simview.eyepiece.lens import Lens, LensError
from simview.eyepiece.trace import FATES, Rays, System, Traced, system, trace

Floats = NDArray[np.float64]

# Fraunhofer's lines, nm: d (the textbooks' wavelength for focal lengths), F and C (colour).
LINE_D_NM: Final = 587.5618
LINE_F_NM: Final = 486.1327
LINE_C_NM: Final = 656.2725

# Steps of the search for an image height; it gains a digit or more with each.
_SEARCH_STEPS: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """A lens at the focus of a telescope.

    Parameters
    ----------
    lens
        As made, in mm.
    optics
        The same, prepared at the wavelengths of the work.
    main
        The same at the main wavelength alone (d light unless said otherwise).
    focal_length_mm
        Paraxial, at the main wavelength.
    focus_mm
        Place of the telescope's focus, the first vertex at 0.
    pupil_mm
        Place of the objective (or its image) on the same axis.
    focal_ratio
        Of the telescope.
    eye_mm
        Place of the exit pupil at the main wavelength, paraxially.
    field_radius_mm
        Radius of the telescope's own curved field; positive when its centre lies towards the
        eye; infinite for a flat field.
    """

    lens: Lens
    optics: System
    main: System
    focal_length_mm: float
    focus_mm: float
    pupil_mm: float
    focal_ratio: float
    eye_mm: float
    field_radius_mm: float

    @property
    def pupil_radius_mm(self) -> float:
        """Radius of the objective as the focal ratio makes it."""
        return (self.focus_mm - self.pupil_mm) / (2.0 * self.focal_ratio)

    @property
    def exit_pupil_diameter_mm(self) -> float:
        """Diameter of the paraxial exit pupil: focal length / focal ratio."""
        return self.focal_length_mm / self.focal_ratio

    @property
    def eye_relief_mm(self) -> float:
        """From the last vertex to the exit pupil."""
        return self.eye_mm - float(self.main.vertex_mm[-1])

    def focus_at(self, height_mm: ArrayLike) -> Floats:
        """Return the place on the axis of the (curved) focal surface at image heights, mm."""
        height = np.asarray(height_mm, float)
        return np.asarray(self.focus_mm + height * height / (2.0 * self.field_radius_mm))


def setup(
    lens: Lens,
    *,
    focal_ratio: float,
    objective_mm: float,
    wavelengths_nm: ArrayLike,
    main_nm: float = LINE_D_NM,
    field_radius_mm: float = math.inf,
) -> Setup:
    """Put a lens at the focus of a telescope.

    Parameters
    ----------
    focal_ratio
        Of the telescope, 1.5 to 200.
    objective_mm
        From the objective (or its image, where optics stand between) to the focus.

    Raises
    ------
    LensError
        If the lens does not magnify, or does not pass the middle of the field.
    """
    main = system(lens, main_nm)
    points = paraxial.cardinal(main)
    focal_length = float(points.focal_length_mm[0])
    if not 0.0 < focal_length < math.inf:
        raise LensError(
            "focal length",
            got=f"{focal_length:g} mm",
            allowed="more than 0 mm",
            remedy="an eyepiece gathers light; a Barlow goes before one",
        )
    focus = float(points.front_focus_mm[0])
    pupil = focus - objective_mm
    answer = Setup(
        lens=lens,
        optics=system(lens, wavelengths_nm),
        main=main,
        focal_length_mm=focal_length,
        focus_mm=focus,
        pupil_mm=pupil,
        focal_ratio=focal_ratio,
        eye_mm=float(paraxial.exit_pupil_mm(main, pupil)[0]),
        field_radius_mm=field_radius_mm,
    )
    require_passes(answer, np.zeros(1))
    return answer


def start(place: Setup, height_mm: ArrayLike, across: ArrayLike, along: ArrayLike) -> Rays:
    """Return rays from points of the objective to image points.

    Parameters
    ----------
    height_mm
        Image heights in the focal plane.
    across, along
        Places on the objective in units of its radius: sagittal and tangential.

    All three broadcast together; one axis for the wavelength is put before them.
    """
    height, across, along = np.broadcast_arrays(
        np.asarray(height_mm, float), np.asarray(across, float), np.asarray(along, float)
    )
    radius = place.pupil_radius_mm
    x, y = across * radius, along * radius
    run = place.focus_at(height) - place.pupil_mm
    dx, dy = -x, height - y
    norm = np.sqrt(dx * dx + dy * dy + run * run)
    parts = (x, y, np.full_like(x, place.pupil_mm), dx / norm, dy / norm, run / norm)
    x, y, z, dx, dy, dz = (part[None, ...] for part in parts)
    return Rays(x=x, y=y, z=z, dx=dx, dy=dy, dz=dz)


def chief(place: Setup, height_mm: ArrayLike, *, main: bool = False) -> Traced:
    """Trace the rays from the objective's middle to image heights (m,), shape (n, m)."""
    optics = place.main if main else place.optics
    heights = np.atleast_1d(np.asarray(height_mm, float))
    return trace(optics, start(place, heights, 0.0, 0.0))


def apparent_angle(rays: Rays) -> Floats:
    """Return the apparent field angle of rays in radians; positive for positive image heights."""
    return np.asarray(-np.arctan2(rays.dy, rays.dz))


def height_for(place: Setup, angle_rad: ArrayLike) -> Floats:
    """Return the image heights (mm) whose main chief rays leave at the apparent angles (m,).

    Raises
    ------
    LensError
        If the lens does not pass such an angle; names the surface and why.
    """
    angles = np.atleast_1d(np.asarray(angle_rad, float))
    focal = place.focal_length_mm
    target = np.tan(angles)
    heights = focal * target
    lost: Traced | None = None
    for _ in range(_SEARCH_STEPS):
        traced = chief(place, heights, main=True)
        lost = lost if traced.passed.all() else traced
        reached = -traced.rays.dy[0] / traced.rays.dz[0]
        # A ray that is lost went too far out.
        miss = np.where(traced.passed[0], reached - target, 0.5 * target)
        heights = heights - np.clip(0.7 * focal * miss, -0.2 * focal, 0.2 * focal)
        if np.all(np.abs(miss) < 1e-13):
            break
    if np.all(np.abs(miss) < 1e-6):
        require_passes(place, heights)
        return np.asarray(heights)
    worst = float(np.degrees(angles[np.argmax(np.abs(miss))]))
    if lost is not None:
        raise _lost(lost, f"{worst:.1f} deg off axis")
    raise LensError(
        "apparent field",
        got=f"{worst:.1f} deg off axis",
        allowed="what the glass can bend the light to",
        remedy="ask for a smaller apparent field",
    )


def require_passes(place: Setup, height_mm: Floats) -> None:
    """Check that the main chief rays to the image heights come through.

    Raises
    ------
    LensError
        Names the first surface that a ray misses or is totally reflected at.
    """
    traced = chief(place, height_mm, main=True)
    if not traced.passed.all():
        first = float(height_mm[np.argmin(traced.passed[0])])
        raise _lost(traced, f"{abs(first):.3g} mm off axis")


def _lost(traced: Traced, where: str) -> LensError:
    """Return the error about the first main chief ray that did not come through."""
    first = int(np.argmin(traced.passed[0]))
    number, fate = int(traced.surface[0, first]), int(traced.fate[0, first])
    return LensError(
        f"surface {number}",
        got=f"light for {where} that {FATES[fate]}",
        remedy="make the field smaller or the curves flatter",
    )


def coddington(place: Setup, height_mm: ArrayLike) -> tuple[Floats, Floats]:
    """Return the (tangential, sagittal) vergence at the exit pupil in dioptres, (n, m).

    Negative: the light diverges, and the eye must accommodate by as much.

    Source: Coddington's equations along the chief ray; Welford, Aberrations of Optical Systems
    (1986), section 9.4.
    Checked by: tests/truth/test_lens_third_order.py against close neighbour rays.
    """
    heights = np.atleast_1d(np.asarray(height_mm, float))
    begin = start(place, heights, 0.0, 0.0)
    traced = trace(place.optics, begin, record=True)
    assert traced.points is not None
    points = traced.points
    index = place.optics.index[:, :, None]
    at = np.broadcast_to(
        np.stack(np.broadcast_arrays(0.0 * heights, heights, place.focus_at(heights))),
        (points.shape[2], 3, *heights.shape),
    ).transpose(1, 0, 2)
    direction = np.stack(np.broadcast_arrays(begin.dx, begin.dy, begin.dz))
    # Signed way from the image point to the first surface; a virtual object makes it negative.
    way = ((points[0] - at) * direction).sum(axis=0)
    tangential = sagittal = -index[0] / way
    for k, c in enumerate(place.optics.curvature):
        here = points[k]
        normal_z = 1.0 - c * (here[2] - place.optics.vertex_mm[k])
        cos_in = direction[2] * normal_z - c * (direction[1] * here[1] + direction[0] * here[0])
        before, behind = index[k], index[k + 1]
        cos_out = np.sqrt(1.0 - (before / behind) ** 2 * (1.0 - cos_in**2))
        power = c * (behind * cos_out - before * cos_in)
        sagittal = sagittal + power
        tangential = (tangential * cos_in**2 + power) / cos_out**2
        bend = cos_out - before / behind * cos_in
        normal = np.stack((-c * here[0], -c * here[1], normal_z))
        direction = before / behind * direction + bend * normal
        if k + 1 < len(place.optics.curvature):
            onward = np.sqrt(((points[k + 1] - here) ** 2).sum(axis=0))
        else:
            onward = (place.eye_mm - here[2]) / direction[2]
        sagittal = sagittal / (1.0 - sagittal * onward / behind)
        tangential = tangential / (1.0 - tangential * onward / behind)
    return 1000.0 * tangential, 1000.0 * sagittal
