"""The figures of a view, by the names that scripts and slides rely on."""

from __future__ import annotations

import math

from simview.air import alone, extinction, glow
from simview.eye.aided import aid_of
from simview.eye.clarity import airy_arcsec, width_arcsec
from simview.eye.state import EyeState, settle
from simview.eye.system import FAULT_WIDTH, LightPath
from simview.eye.thresholds import limiting_magnitude
from simview.eyepiece.drift import drift_seconds
from simview.eyepiece.train import beam as form_beam
from simview.kit import Kit, Observer, Sky
from simview.power.finest import finest_detail_of
from simview.scene.scene import Target


def numbers(
    path: LightPath, eye: EyeState, target: Target, observer: Observer
) -> dict[str, float | None]:
    """Return the figures of one view; None where one has no meaning for it.

    Returns
    -------
    power (times), exit_pupil_mm, true_field_arcmin, apparent_field_deg, drift_seconds (None for
    a driven mount), resolution_arcsec (full width at half maximum of the whole light path) and
    its three parts, relative_brightness (of a surface, against the naked eye's view),
    limiting_magnitude (None by day), finest_detail_arcsec.
    """
    beam = path.beam
    drifts = not path.mount.driven and not target.by_day and target.kind != "chart"
    return {
        "power": beam.power,
        "exit_pupil_mm": beam.exit_pupil_mm,
        "true_field_arcmin": beam.true_field_arcmin,
        "apparent_field_deg": beam.apparent_field_deg,
        "drift_seconds": (
            drift_seconds(beam.true_field_arcmin, target.declination_deg) if drifts else None
        ),
        "resolution_arcsec": width_arcsec(path),
        "resolution_aperture_arcsec": 1.21967 * airy_arcsec(path),
        "resolution_air_arcsec": alone.width_arcsec(path.sky, beam.aperture_mm),
        "resolution_eye_arcsec": eye.acuity_arcsec / beam.power,
        "relative_brightness": relative_brightness(path, target, observer),
        "limiting_magnitude": (
            None if target.level is not None else faintest_magnitude(path, eye, observer)
        ),
        "finest_detail_arcsec": finest_detail_of(path, eye, target, observer),
    }


def relative_brightness(path: LightPath, target: Target, observer: Observer) -> float:
    """Return a surface's brightness against the naked eye's view of it, with its own pupil.

    Above 1 only by what the eye opens behind an instrument that leaves less light in all.
    """
    beam = path.beam
    # By day all around is as bright, and the eye's pupil is the same.
    naked_mm = beam.eye_pupil_mm if target.by_day else naked_pupil_mm(target, path.sky, observer)
    share = (beam.used_pupil_mm / naked_mm) ** 2 * (1.0 - beam.obstruction**2)
    return beam.transmission * share


def naked_pupil_mm(target: Target, sky: Sky, observer: Observer) -> float:
    """Return the pupil that looks at the target without an instrument, with both eyes unless told.

    Source: Watson & Yellott 2012, see `simview.eye.pupil_size`.
    """
    return settle(
        form_beam(Kit(), eye_pupil_mm=7.0), target, sky, observer, binocular=True
    ).pupil_mm


def faintest_magnitude(path: LightPath, eye: EyeState, observer: Observer) -> float:
    """Return the V magnitude, outside the air, of the faintest star seen in this view.

    Source: Crumey 2014, see `simview.eye.thresholds`.
    """
    aid = aid_of(path, eye, observer)
    width = math.hypot(
        airy_arcsec(path),
        alone.width_arcsec(path.sky, path.beam.aperture_mm),
        FAULT_WIDTH * path.fault_arcsec,
    )
    limit = limiting_magnitude(glow.luminance_cd_m2(path.sky), aid, blur_arcsec=width)
    through = path.sky.extinction_mag * extinction.airmass(path.sky.altitude_deg)
    return limit - through
