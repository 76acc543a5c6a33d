"""The beam that leaves the eyepiece: the record that travels to the eye."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from simview.kit import Eyepiece

Orientation = Literal["upright", "turned", "mirrored", "turned-mirrored"]
FieldCondition = Literal["field stop", "tangent", "angle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beam:
    """First-order figures of one instrument, one eyepiece and the pieces between them.

    Parameters
    ----------
    power
        Angular magnification, times (1 for the naked eye).
    exit_pupil_mm
        Working aperture / power.
    eye_pupil_mm
        The eye's own pupil.
    used_pupil_mm
        min(exit pupil, eye's pupil): what the eye sees through.
    aperture_mm
        Effective aperture: used pupil x power, never more than the working aperture.
    obstruction
        Secondary's diameter against the *effective* aperture.
    transmission
        Of all glass and mirrors together, 0 to 1, without the secondary's shadow.
    true_field_arcmin, apparent_field_deg
        Full diameters.
    condition
        How the true field follows: from the field stop's diameter, from the apparent field by
        the tangent condition (no distortion) or by the angle condition.
    orientation
        How the view is turned against the naked eye's.
    eyepiece_name, amplifier_name
        For labels; empty where there is none.
    eyepiece
        The piece itself, for those who trace it; None for a binocular and the naked eye.
    factor
        Of the pieces between objective and eyepiece together, times.
    in_the_box
        False when the power is asked for but no piece of the kit gives it.
    """

    power: float
    exit_pupil_mm: float
    eye_pupil_mm: float
    used_pupil_mm: float
    aperture_mm: float
    obstruction: float
    transmission: float
    true_field_arcmin: float
    apparent_field_deg: float
    condition: FieldCondition
    orientation: Orientation
    eyepiece_name: str = ""
    amplifier_name: str = ""
    eyepiece: Eyepiece | None = None
    factor: float = 1.0
    in_the_box: bool = True
