"""The observer's own eye: short sight, astigmatism - and why power hides them.

A thin beam meets only the middle of the eye's lens, where its faults are flat.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from simview.errors import require_range
from simview.eyepiece.beam import Beam
from simview.kit import Observer, Telescope, Wavefront
from simview.units import ARCSEC_PER_RADIAN

# Wavelength at which faults are counted in waves, nm (the project's convention).
WAVELENGTH_NM: Final = 550.0

# Largest fault that a wavefront record holds, waves; past it all detail is gone anyway.
MOST_WAVES: Final = 30.0


def fault_waves(dioptre: float, pupil_mm: float) -> float:
    """Return the peak-to-valley path error of a fault at a pupil, waves at 550 nm.

    Holds for a sphere (defocus) and for a cylinder at its best focus (astigmatism) alike:
    W = D p^2 / 8.

    Parameters
    ----------
    dioptre
        Of sphere or cylinder, -30 to 30.
    pupil_mm
        What the eye sees through, 0 to 100 mm.

    Notes
    -----
    Source: sagitta of a wavefront of curvature D over a pupil p, Born & Wolf, Principles of
    Optics, section 8.8. Checked by: tests/truth/test_eye_faults.py
    """
    require_range("dioptre", dioptre, -30.0, 30.0, unit="dioptre")
    require_range("pupil_mm", pupil_mm, 0.0, 100.0, unit="mm")
    return dioptre * pupil_mm**2 / (8000.0 * WAVELENGTH_NM * 1e-6)


def blur_arcmin(dioptre: float, pupil_mm: float) -> float:
    """Return the geometric diameter of the blur at the eye, arcmin: pupil times dioptres."""
    return math.degrees(pupil_mm * 1e-3 * abs(dioptre)) * 60.0


def with_eye(
    scope: Telescope,
    exit_pupil_mm: float,
    *,
    cylinder_dioptre: float,
    axis_deg: float = 0.0,
    sphere_dioptre: float = 0.0,
) -> Telescope:
    """Return the telescope with the observer's own faults laid onto its wavefront.

    The exit pupil is the image of the objective, so a fault of the eye over the exit pupil is a
    fault of the telescope over its aperture; where the eye stops the telescope down, both are
    cropped together.

    Parameters
    ----------
    exit_pupil_mm
        Working aperture over power, also where it is larger than the eye's pupil.
    cylinder_dioptre
        Astigmatism of the eye, without spectacles, at best focus.
    axis_deg
        Its direction in the pupil, from the right anticlockwise.
    sphere_dioptre
        What is left of short or long sight after focusing: 0, since the focuser takes it up.
        Only an instrument without a focuser, or the naked eye, leaves it.

    Notes
    -----
    Faults above 30 waves are held there: no detail is left.
    Checked by: tests/truth/test_eye_faults.py
    """
    if cylinder_dioptre == 0.0 and sphere_dioptre == 0.0:
        return scope
    full_mm = exit_pupil_mm * scope.aperture_mm / scope.working_aperture_mm
    old = scope.wavefront
    x, y = _doubled(old.astigmatism, old.astigmatism_angle_deg)
    more_x, more_y = _doubled(_held(fault_waves(cylinder_dioptre, full_mm)), axis_deg)
    x, y = x + more_x, y + more_y
    wavefront: Wavefront = replace(
        old,
        defocus=_held(old.defocus + fault_waves(sphere_dioptre, full_mm)),
        astigmatism=_held(math.hypot(x, y)),
        astigmatism_angle_deg=math.degrees(math.atan2(y, x)) / 2.0,
    )
    return replace(scope, wavefront=wavefront)


def with_eye_faults(scope: Telescope, beam: Beam, observer: Observer) -> tuple[Telescope, float]:
    """Return the objective with this observer's faults on it, and how far they blur, arcsec.

    The blur is the geometric diameter on the sky, pupil in use times dioptres over power; a
    view that mirrors the object mirrors the axis of a cylinder against it.
    """
    cylinder, sphere = observer.cylinder_dioptre, observer.short_sight_dioptre
    if cylinder == 0.0 and sphere == 0.0:
        return scope, 0.0
    mirrored = beam.orientation in ("mirrored", "turned-mirrored")
    own = with_eye(
        scope,
        beam.exit_pupil_mm,
        cylinder_dioptre=cylinder,
        axis_deg=-observer.cylinder_axis_deg if mirrored else observer.cylinder_axis_deg,
        sphere_dioptre=sphere,
    )
    # At its best focus a cylinder leaves half of its dioptres on either side.
    worst = abs(sphere) + abs(cylinder) / 2.0
    return own, worst * beam.used_pupil_mm * 1e-3 * ARCSEC_PER_RADIAN / beam.power


def _doubled(waves: float, angle_deg: float) -> tuple[float, float]:
    angle = math.radians(2.0 * angle_deg)
    return waves * math.cos(angle), waves * math.sin(angle)


def _held(waves: float) -> float:
    return min(max(waves, -MOST_WAVES), MOST_WAVES)
