"""How the eye is set for a view: its pupil, the luminance it sees, its acuity."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from simview.air import extinction, glow
from simview.eye.acuity import critical_angle_arcsec
from simview.eye.pupil_size import diameter_mm
from simview.eye.reference import as_seen_by
from simview.eyepiece.beam import Beam
from simview.kit import Kit, Observer, Sky, Telescope
from simview.scene.scene import Target
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

# Spot on the retina that a star's light fills, as far as the eye's state goes: 4 arcmin across,
# the Airy disc at an exit pupil of 1 mm with some blur. A choice.
STAR_SPOT_ARCSEC: Final = 240.0
# Smallest width that receptors and nerves give to a point of light, arcsec at the eye, however dark
# the glow around it is: a star that is seen at all is far brighter in its own image. That of a
# surface of 0.1 cd/m2 (Schaefer 1993; a choice).
POINT_ACUITY_ARCSEC: Final = 103.0
STAR_SPOT_SR: Final = math.pi / 4.0 * (STAR_SPOT_ARCSEC / ARCSEC_PER_RADIAN) ** 2


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeState:
    """The observer's eye in one view.

    Parameters
    ----------
    pupil_mm
        The eye's own pupil.
    object_cd_m2
        Luminance at which the observers of published thresholds had as much light of it on their
        retinas (`simview.eye.reference`); None for points of light.
    sky_cd_m2
        The same for the sky background.
    acuity_arcsec
        Smallest detail that receptors and nerves resolve at this light, at the eye.
    eyes
        1 or 2.
    sight
        The observer's, 1 for 20/20.
    """

    pupil_mm: float
    object_cd_m2: float | None
    sky_cd_m2: float
    acuity_arcsec: float
    eyes: Literal[1, 2]
    sight: float = 1.0


def settle(
    beam: Beam, target: Target, sky: Sky, observer: Observer, *, binocular: bool
) -> EyeState:
    """Find the pupil that light and age give, and what follows from it.

    The pupil formula wants the light that enters the eye; a small exit pupil passes less than
    the pupil could take, and the pupil answers to that: four rounds settle it. Acuity goes by the
    light on the retina, so that the eye's own pupil plays no part where the beam is smaller.

    Parameters
    ----------
    beam
        What leaves the eyepiece, for an eye's pupil that is wide enough.
    target
        Its light decides, with the sky's.
    sky, observer
        As in `simview.look`.
    binocular
        True for two eyes.

    Notes
    -----
    Source: Watson & Yellott 2012 (pupil), Schaefer 1993 (acuity).
    """
    eyes: Literal[1, 2] = observer.eyes or (2 if binocular else 1)
    pupil = observer.pupil_mm if observer.pupil_mm is not None else 6.0
    for _ in range(4):
        if observer.pupil_mm is not None:
            break
        pupil = _pupil_mm(beam, target, observer, _entering(beam, target, sky, pupil), eyes)
    object_cd_m2, sky_cd_m2 = _as_seen(beam, target, sky, observer, pupil)
    seen = max(object_cd_m2 or 0.0, sky_cd_m2, _star_cd_m2(beam, target, observer, pupil))
    return EyeState(
        pupil_mm=pupil,
        object_cd_m2=object_cd_m2,
        sky_cd_m2=sky_cd_m2,
        acuity_arcsec=float(critical_angle_arcsec(seen, observer.acuity)),
        eyes=eyes,
        sight=observer.acuity,
    )


def _luminances(beam: Beam, target: Target, sky: Sky) -> tuple[float | None, float]:
    """Return the luminance of object and sky as they leave the instrument."""
    passed = beam.transmission * (1.0 - beam.obstruction**2)
    glow_cd_m2 = glow.luminance_cd_m2(sky) * passed
    if target.luminance_cd_m2 is None:
        return None, glow_cd_m2
    through = 10.0 ** (-0.4 * sky.extinction_mag * extinction.airmass(sky.altitude_deg))
    return target.luminance_cd_m2 * through * passed + glow_cd_m2, glow_cd_m2


def _entering(beam: Beam, target: Target, sky: Sky, pupil_mm: float) -> tuple[float | None, float]:
    """Return the luminances that, filling the eye's whole pupil, send as much light through it."""
    filled = min(1.0, beam.exit_pupil_mm / pupil_mm) ** 2
    object_cd_m2, sky_cd_m2 = _luminances(beam, target, sky)
    return None if object_cd_m2 is None else object_cd_m2 * filled, sky_cd_m2 * filled


def _as_seen(
    beam: Beam, target: Target, sky: Sky, observer: Observer, pupil_mm: float
) -> tuple[float | None, float]:
    used = min(beam.exit_pupil_mm, pupil_mm)
    object_cd_m2, sky_cd_m2 = _luminances(beam, target, sky)
    seen_sky = float(as_seen_by(sky_cd_m2, used, observer.age_years))
    if object_cd_m2 is None:
        return None, seen_sky
    return float(as_seen_by(object_cd_m2, used, observer.age_years)), seen_sky


def _star_cd_m2(beam: Beam, target: Target, observer: Observer, pupil_mm: float) -> float:
    """Return the luminance of a small spot that looks as bright as the target's stars.

    A star is a local light: the eye rests on it, and its light fills a spot of a few arcmin.
    """
    if target.luminance_cd_m2 is not None or target.magnitude is None:
        return 0.0
    passed = beam.transmission * (1.0 - beam.obstruction**2)
    light = illuminance_lux(target.magnitude) * passed * beam.power**2 / STAR_SPOT_SR
    used = min(beam.exit_pupil_mm, pupil_mm)
    return float(as_seen_by(light, used, observer.age_years))


def _pupil_mm(
    beam: Beam,
    target: Target,
    observer: Observer,
    luminances: tuple[float | None, float],
    eyes: Literal[1, 2],
) -> float:
    object_cd_m2, sky_cd_m2 = luminances
    field = math.pi / 4.0 * beam.apparent_field_deg**2
    side = min(target.size_arcsec * beam.power / 3600.0, beam.apparent_field_deg)
    covered = math.pi / 4.0 * side**2 if object_cd_m2 is not None else 0.0
    flux = sky_cd_m2 * (field - covered) + (object_cd_m2 or 0.0) * covered
    return float(diameter_mm(flux / field, field, observer.age_years, eyes))


def objective_of(kit: Kit, beam: Beam) -> Telescope:
    """Return the kit's objective; for a binocular and the naked eye, an equivalent one."""
    if kit.telescope is not None:
        return kit.telescope
    if kit.binocular is not None:
        pair = kit.binocular
        return Telescope(
            aperture_mm=pair.aperture_mm,
            focal_length_mm=pair.aperture_mm * pair.focal_ratio,
            objective="achromat",
            transmission=pair.transmission,
        )
    aperture = max(beam.eye_pupil_mm, 4.0)
    return Telescope(aperture_mm=aperture, focal_length_mm=100.0, transmission=1.0)
