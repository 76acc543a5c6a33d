"""The figures of an eyepiece behind a telescope: what a data sheet would say if it were honest."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from simview.errors import require_range
from simview.eyepiece import coatings, paraxial
from simview.eyepiece.bundle import (
    LINE_C_NM,
    LINE_D_NM,
    LINE_F_NM,
    Setup,
    apparent_angle,
    chief,
    coddington,
    height_for,
    setup,
    start,
)
from simview.eyepiece.lens import Lens
from simview.eyepiece.lensfile import lens as from_library
from simview.eyepiece.lensfile import scaled_to
from simview.eyepiece.spots import SpotFit, fit_spots, pupil_points
from simview.eyepiece.trace import PASSED, Rays, trace
from simview.quantiles import quantile

Floats = NDArray[np.float64]

# Wavelengths of the spots, nm: the middles of nine equal bands of 420 to 690 nm.
SPOT_WAVELENGTHS_NM: Final = 420.0 + 30.0 * (np.arange(9) + 0.5)

# Field angles at which figures are computed, as parts of the edge's.
FIELD_PARTS: Final = np.linspace(0.0, 1.0, 17)

# Wavelength of the spherical aberration in waves, nm: the wavefront's convention of the project.
WAVE_NM: Final = 550.0

# Rays of a spot where its size is measured.
_SIZE_RAYS: Final = 400

# Part of the light inside the circle that is called the blur.
BLUR_LIGHT: Final = 0.8

_ARCMIN: Final = math.degrees(1.0) * 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class EyepieceFigures:
    """Figures of one eyepiece behind one telescope; m field angles, n wavelengths.

    Angles are those at the eye. "Accommodation" in dioptres is what the eye must do to see a
    point sharp against the middle of the field at rest; a negative value lies beyond infinity,
    where no healthy eye can go.

    Parameters
    ----------
    place
        The lens at the telescope's focus, with its spots' wavelengths.
    focal_length_mm, focal_ratio, objective_mm
        Of the lens; of the telescope; from the objective to the focus.
    exit_pupil_mm, eye_relief_mm
        Diameter of the exit pupil, and its distance behind the last surface.
    apparent_field_deg
        Full diameter.
    image_field_mm
        Diameter of the sky's image in the telescope's focal plane that is seen: the true field
        is this over the telescope's focal length.
    field_stop_mm
        Diameter of the ring itself; smaller than the image in a Huygens.
    angle_deg, height_mm
        (m,) apparent angles off axis and their image heights.
    tangential_d, sagittal_d
        (m,) accommodation for lines across and along the direction to the edge.
    astigmatic_blur_arcmin
        (m,) diameter of the roundest blur between the two.
    blur_arcmin
        (m,) diameter of the circle that holds 80 % of the light at the main wavelength, the
        eye set for the middle of the field; geometrical, diffraction left out.
    refocused_blur_arcmin
        (m,) the same with the eye set for that angle.
    lateral_colour_arcmin
        (m,) how much farther out blue (F) is seen than red (C).
    longitudinal_colour_d
        Accommodation for blue (F) less that for red (C), in the middle.
    distortion
        (m,) tan(apparent angle) x focal length / image height - 1; 0 keeps straight lines
        straight (the relation of ISO 14132-1).
    angular_distortion
        (m,) apparent angle x focal length / image height - 1; 0 keeps the power the same.
    spherical_waves
        Peak to valley at best focus in the middle, waves at 550 nm; positive: the rim of the
        pupil focuses nearer the lens.
    pupil_shift_mm
        (m,) how much nearer the lens a field angle's rays cross the axis than the paraxial
        exit pupil: the spherical aberration of the exit pupil.
    vignetting
        (m,) part of the light at the main wavelength that the rims let through.
    transmission_bare, transmission_coated
        Of all surfaces, mean over the spots' wavelengths.
    seidel
        Third-order sums for full aperture and edge of the field.
    spots
        Of every field angle, for `field_blur`.
    centre_accommodation_d
        Of the eye set for the middle: where the spot there is smallest.
    """

    place: Setup
    focal_length_mm: float
    focal_ratio: float
    objective_mm: float
    exit_pupil_mm: float
    eye_relief_mm: float
    apparent_field_deg: float
    image_field_mm: float
    field_stop_mm: float
    angle_deg: Floats
    height_mm: Floats
    tangential_d: Floats
    sagittal_d: Floats
    astigmatic_blur_arcmin: Floats
    blur_arcmin: Floats
    refocused_blur_arcmin: Floats
    lateral_colour_arcmin: Floats
    longitudinal_colour_d: float
    distortion: Floats
    angular_distortion: Floats
    spherical_waves: float
    pupil_shift_mm: Floats
    vignetting: Floats
    transmission_bare: float
    transmission_coated: float
    seidel: paraxial.Seidel
    spots: SpotFit
    centre_accommodation_d: float

    @property
    def lens(self) -> Lens:
        """The layout itself."""
        return self.place.lens

    def at(self, name: str, angle_deg: float) -> float:
        """Return a figure of (m,) values between its angles, by straight lines."""
        return float(np.interp(angle_deg, self.angle_deg, getattr(self, name)))


def eyepiece_figures(
    design: str | Lens,
    focal_length_mm: float | None,
    focal_ratio: float,
    objective_distance_mm: float,
    *,
    apparent_field_deg: float | None = None,
    field_radius_mm: float = math.inf,
    main_nm: float = LINE_D_NM,
) -> EyepieceFigures:
    """Trace an eyepiece behind a telescope and return its figures.

    Parameters
    ----------
    design
        A name of the library (simview.eyepiece.lensfile.NAMES) or a lens.
    focal_length_mm
        1 to 100 mm, to which the layout is scaled; None leaves a given lens as it is.
    focal_ratio
        Of the telescope, 1.5 to 200.
    objective_distance_mm
        From the objective (or its image) to the focus, 10 to 50000 mm.
    apparent_field_deg
        Full diameter, 5 to 120 deg; None takes the layout's own.
    field_radius_mm
        Radius of the telescope's own curved field, see `Setup`.
    main_nm
        Main wavelength; d light as in the textbooks.

    Raises
    ------
    LensError
        If the layout does not pass the light; names the surface and why.
    RangeError, ChoiceError
        For figures out of range and designs that are not known.

    Notes
    -----
    Source: exact trace (simview.eyepiece.trace), Coddington's equations for the two foci.
    Checked by: tests/truth/test_lens_trace.py, test_lens_third_order.py, test_lens_relations.py
    """
    ratio = require_range("focal_ratio", focal_ratio, 1.5, 200.0)
    distance = require_range(
        "objective_distance_mm", objective_distance_mm, 10.0, 50000.0, unit="mm"
    )
    place = setup(
        _layout(design, focal_length_mm),
        focal_ratio=ratio,
        objective_mm=distance,
        wavelengths_nm=SPOT_WAVELENGTHS_NM,
        main_nm=main_nm,
        field_radius_mm=field_radius_mm,
    )
    field = apparent_field_deg if apparent_field_deg is not None else place.lens.apparent_field_deg
    field = require_range("apparent_field_deg", field, 5.0, 120.0, unit="deg")
    angle = math.radians(field / 2.0) * FIELD_PARTS
    return _figures(place, field, angle, height_for(place, angle), distance)


def _layout(design: str | Lens, focal_length_mm: float | None) -> Lens:
    if isinstance(design, Lens):
        return design if focal_length_mm is None else scaled_to(design, focal_length_mm)
    return from_library(design, 25.0 if focal_length_mm is None else focal_length_mm)


def _figures(
    place: Setup, field: float, angle: Floats, height: Floats, distance: float
) -> EyepieceFigures:
    colour = _at(place, [LINE_F_NM, LINE_C_NM])
    main = _at(place, place.main.wavelengths_nm)
    tangential, sagittal = (-foci[0] for foci in coddington(main, height))
    fit = fit_spots(main, height)
    centre = smallest_spot_accommodation(fit, 0)
    medial = (tangential + sagittal) / 2.0 + centre
    blue_red = apparent_angle(chief(colour, height).rays)
    foci = coddington(colour, np.zeros(1))[1]
    chief_rays = chief(main, height).rays
    exit_pupil = place.exit_pupil_diameter_mm
    return EyepieceFigures(
        place=place,
        focal_length_mm=place.focal_length_mm,
        focal_ratio=place.focal_ratio,
        objective_mm=distance,
        exit_pupil_mm=exit_pupil,
        eye_relief_mm=place.eye_relief_mm,
        apparent_field_deg=field,
        image_field_mm=2.0 * float(height[-1]),
        field_stop_mm=2.0 * stop_radius_mm(place, float(height[-1])),
        angle_deg=np.degrees(angle),
        height_mm=height,
        tangential_d=tangential,
        sagittal_d=sagittal,
        astigmatic_blur_arcmin=np.abs(tangential - sagittal) / 2e3 * exit_pupil * _ARCMIN,
        blur_arcmin=spot_diameter(fit, centre),
        refocused_blur_arcmin=spot_diameter(fit, medial),
        lateral_colour_arcmin=(blue_red[0] - blue_red[1]) * _ARCMIN,
        longitudinal_colour_d=float(foci[1, 0] - foci[0, 0]),
        distortion=_against(np.tan(angle), height, place.focal_length_mm),
        angular_distortion=_against(angle, height, place.focal_length_mm),
        spherical_waves=spherical_waves(_at(place, [WAVE_NM])),
        pupil_shift_mm=_pupil_shift(place, chief_rays),
        vignetting=vignetting(main, height, height[-1])[0],
        transmission_bare=float(coatings.transmission(place.optics, "bare").mean()),
        transmission_coated=float(coatings.transmission(place.optics, "single").mean()),
        seidel=paraxial.seidel(
            _at(place, [float(place.main.wavelengths_nm[0]), LINE_F_NM, LINE_C_NM]).optics,
            focus_mm=place.focus_mm,
            pupil_mm=place.pupil_mm,
            focal_ratio=place.focal_ratio,
            height_mm=float(height[-1]),
        ),
        spots=fit_spots(place, height),
        centre_accommodation_d=centre,
    )


def _at(place: Setup, wavelengths_nm: ArrayLike) -> Setup:
    """Return the same set-up prepared at other wavelengths."""
    from dataclasses import replace

    from simview.eyepiece.trace import system

    return replace(place, optics=system(place.lens, wavelengths_nm))


def _against(value: Floats, height: Floats, focal_length: float) -> Floats:
    """Return value x focal length / height - 1, 0 in the middle."""
    safe = np.where(height == 0.0, 1.0, height)
    return np.where(height == 0.0, 0.0, value * focal_length / safe - 1.0)


def _pupil_shift(place: Setup, rays: Rays) -> Floats:
    """Return how much nearer the lens than the paraxial pupil the chief rays cross the axis."""
    slope = rays.dy[0] / rays.dz[0]
    level = np.abs(slope) < 1e-12
    crossing = rays.z[0] - rays.y[0] / np.where(level, 1.0, slope)
    shift = np.where(level, 0.0, place.eye_mm - crossing)
    return np.asarray(shift)


def stop_plane_mm(place: Setup) -> float:
    """Return where the field stop stands on the axis, the first vertex at 0."""
    lens = place.lens
    image = paraxial.image_after(place.main, lens.stop_after, place.focus_mm)
    return image + lens.stop_offset_mm


def stop_radius_mm(place: Setup, height_mm: float) -> float:
    """Return the field stop's radius that ends the field at an image height."""
    begin = start(place, np.array([height_mm]), 0.0, 0.0)
    plane = stop_plane_mm(place)
    after = place.lens.stop_after
    if after == 0:
        return abs(float(begin.at_plane(plane)[1][0, 0]))
    points = trace(place.main, begin, record=True).points
    assert points is not None
    return abs(float(_between(points[after - 1], points[after], plane)[1][0, 0]))


def vignetting(place: Setup, height_mm: Floats, edge_mm: float, *, stop: bool = False) -> Floats:
    """Return the part of the light of image heights (m,) that the rims pass, (n, m).

    With `stop` the field stop that ends the field at `edge_mm` counts as a rim, too.
    """
    across, along = pupil_points(_SIZE_RAYS)
    begin = start(place, height_mm[:, None], across, along)
    traced = trace(place.optics, begin, clip=True, record=True)
    through = traced.fate == PASSED
    if stop:
        through &= _inside_stop(place, begin, traced.points, edge_mm)
    return np.asarray(through.mean(axis=2))


def _inside_stop(
    place: Setup, begin: Rays, points: Floats | None, edge_mm: float
) -> NDArray[np.bool_]:
    assert points is not None
    plane, after = stop_plane_mm(place), place.lens.stop_after
    if after == 0:
        x, y = begin.at_plane(plane)
    else:
        x, y = _between(points[after - 1], points[after], plane)
    radius = stop_radius_mm(place, edge_mm)
    return np.asarray(np.broadcast_to(x * x + y * y <= radius * radius, points.shape[2:]))


def _between(here: Floats, there: Floats, plane: float) -> tuple[Floats, Floats]:
    """Return (x, y) at a plane on the rays from `here` to `there`, each (3, ...)."""
    part = (plane - here[2]) / (there[2] - here[2])
    return here[0] + part * (there[0] - here[0]), here[1] + part * (there[1] - here[1])


def smallest_spot_accommodation(fit: SpotFit, field: int) -> float:
    """Return the accommodation in dioptres that makes a spot's mean square smallest.

    Over all wavelengths of the fit, each with its own middle (lateral colour does not count).
    """
    across, along = pupil_points(_SIZE_RAYS)
    angle_t, angle_s = (part[:, field] for part in fit.rays(across, along))
    seen_t, seen_s = (part[:, field] for part in fit.rays(across, along, 1000.0))
    place_t, place_s = angle_t - seen_t, angle_s - seen_s
    over = (_vary(angle_t) * _vary(place_t) + _vary(angle_s) * _vary(place_s)).sum()
    under = (_vary(place_t) ** 2 + _vary(place_s) ** 2).sum()
    return float(1000.0 * over / under)


def _vary(values: Floats) -> Floats:
    return np.asarray(values - values.mean(axis=-1, keepdims=True))


def spot_diameter(fit: SpotFit, accommodation_d: float | Floats) -> Floats:
    """Return the diameter in arcmin that holds 80 % of the light, first wavelength, (m,)."""
    across, along = pupil_points(_SIZE_RAYS)
    tangential, sagittal = fit.rays(across, along, accommodation_d)
    radius = np.hypot(_vary(tangential[0]), _vary(sagittal[0]))
    return np.asarray(2.0 * _ARCMIN * quantile(radius, BLUR_LIGHT))


def spherical_waves(place: Setup) -> float:
    """Return the spherical aberration in the middle: peak to valley at best focus, in waves.

    From the optical paths of rays on a radius of the pupil; best focus is the least mean square
    over the pupil's area. The sign is that of W040.
    """
    rho = np.linspace(0.0, 1.0, 161)
    begin = start(place, 0.0, 0.0, rho)
    traced = trace(place.optics, begin)
    rays = traced.rays
    onward = (place.eye_mm - rays.z) / rays.dz
    height = rays.at_plane(place.eye_mm)[1][0]
    # The wave that leaves the objective is a sphere about the focus.
    behind = np.hypot(place.focus_mm - place.pupil_mm, rho * place.pupil_radius_mm)
    # The eye sees a plane wave as a point. Where the path to the pupil's plane is the shorter, the
    # wave is ahead: positive, as undercorrection makes the rim.
    path = (traced.path_mm + onward)[0] - behind
    waves = (path[0] - path) / (place.optics.wavelengths_nm[0] * 1e-6)
    weight = np.sqrt(rho)
    weight[-1] /= math.sqrt(2.0)  # the last ring is only half inside the pupil
    basis = np.stack([np.ones_like(rho), height**2], axis=1)
    fit = np.linalg.lstsq(basis * weight[:, None], waves * weight, rcond=None)[0]
    left = waves - basis @ fit
    bowl = left[0] + left[-1] - 2.0 * left[len(left) // 2]
    return float(math.copysign(np.ptp(left), bowl))
