"""What an instrument in hand is to an eye's thresholds: an `Aid` from a light path."""

from __future__ import annotations

from simview.eye.state import EyeState
from simview.eye.system import LightPath
from simview.eye.thresholds import Aid
from simview.kit import Observer


def aid_of(path: LightPath, eye: EyeState, observer: Observer) -> Aid:
    """Return instrument and eye of one view as far as thresholds care."""
    beam = path.beam
    return Aid(
        power=beam.power,
        exit_pupil_mm=beam.exit_pupil_mm,
        eye_pupil_mm=eye.pupil_mm,
        transmission=beam.transmission * (1.0 - beam.obstruction**2),
        eyes=eye.eyes,
        field_factor=observer.field_factor,
        age_years=observer.age_years,
    )
