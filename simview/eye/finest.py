"""The finest detail of one object in one kit: the whole light path for every power of a curve."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final, Literal

import numpy as np

from simview.errors import SimviewError, require_range
from simview.eye.adaptation import cone_efficiency
from simview.eye.detail import DetailCurve, curve, finest_period_arcsec
from simview.eye.state import EyeState, objective_of, settle
from simview.eye.system import LightPath
from simview.eye.transfer import transfer_curve
from simview.eyepiece.beam import Beam
from simview.eyepiece.train import beam as form_beam
from simview.kit import Kit, Mount, Observer, Sky, Telescope
from simview.scene.scene import Target

# Powers of a curve when none are asked for: from an exit pupil of 7 mm (a dark-adapted eye's)
# to one of 0.25 mm (four times the mm of aperture, twice past the rule of thumb).
EXIT_PUPILS_MM: Final = (7.0, 0.25)
COUNT: Final = 60

# A secondary's shadow wider than this part of the eye's pupil leaves no view to speak of.
DARKEST_OBSTRUCTION: Final = 0.95

NO_SURFACE: Final = "it is a point of light without a surface; ask whether it splits instead"


def detail_curve(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> DetailCurve:
    """Return the finest visible period on an object against power, with its two marks.

    Parameters
    ----------
    kit
        Telescope, binocular or naked eye. The light that its first eyepiece passes is taken for
        all powers, so that the curve has no steps where one piece takes over from another.
    target
        Its mean luminance, contrast and size count.
    powers
        Times, rising; None takes 60 from an exit pupil of 7 mm to one of 0.25 mm.
    sky, observer
        As in `simview.look`.

    Raises
    ------
    SimviewError
        When powers are not rising numbers of 1 to 1e5.

    Notes
    -----
    Source: see `simview.eye.detail`, `simview.eye.transfer`; docs/models/finest-detail.md.
    Checked by: tests/truth/test_finest_detail.py
    """
    sky, observer = sky or Sky(), observer or Observer()
    base = base_beam(kit)
    scope = objective_of(kit, base)
    steps = powers_of(scope.working_aperture_mm, powers, kit.kind)
    if target.luminance_cd_m2 is None:
        return replace(curve(steps, [None] * len(steps)), reason=NO_SURFACE)
    periods = []
    for power in steps:
        wide = at_power(base, scope, power, 7.0)
        eye = settle(wide, target, sky, observer, binocular=kit.kind != "telescope")
        view = at_power(base, scope, power, eye.pupil_mm)
        periods.append(_period(scope, view, sky, kit.mount, eye, target))
    return curve(steps, periods)


def finest_detail_of(
    path: LightPath, eye: EyeState, target: Target, observer: Observer
) -> float | None:
    """Return the finest detail in one view, arcsec: half of the finest visible period.

    None for points of light, and where nothing on the object can be made out.
    """
    del observer  # what counts of the observer is in `eye`
    period = _period(path.scope, path.beam, path.sky, path.mount, eye, target)
    return None if period is None else period / 2.0


def base_beam(kit: Kit) -> Beam:
    """Return the beam whose glass stands for all powers: the first or an imagined eyepiece."""
    if kit.telescope is not None and not kit.eyepieces:
        return form_beam(kit, power=kit.telescope.working_aperture_mm, eye_pupil_mm=7.0)
    return form_beam(kit, eyepiece=0, eye_pupil_mm=7.0)


def at_power(base: Beam, scope: Telescope, power: float, eye_pupil_mm: float) -> Beam:
    """Return the same beam at another power: first-order figures, the same glass."""
    exit_pupil = scope.working_aperture_mm / power
    used = min(exit_pupil, eye_pupil_mm)
    aperture = min(used * power, scope.working_aperture_mm)
    shadow = scope.obstruction * scope.aperture_mm / aperture
    return replace(
        base,
        power=power,
        exit_pupil_mm=exit_pupil,
        eye_pupil_mm=eye_pupil_mm,
        used_pupil_mm=used,
        aperture_mm=aperture,
        obstruction=min(shadow, 1.0),
        true_field_arcmin=60.0 * base.apparent_field_deg / power,
    )


def powers_of(
    aperture_mm: float, powers: Sequence[float] | None, kind: str = "telescope"
) -> tuple[float, ...]:
    """Return the powers of a curve: those asked for, checked, or 60 that suit the aperture."""
    if powers is None:
        if kind == "eye":
            return (1.0,)
        widest, narrowest = EXIT_PUPILS_MM
        low = max(1.0, aperture_mm / widest)
        high = max(aperture_mm / narrowest, 2.0 * low)
        return tuple(float(power) for power in np.geomspace(low, high, COUNT))
    steps = tuple(require_range("power", power, 1.0, 1e5, unit="times") for power in powers)
    if not steps or any(b <= a for a, b in itertools.pairwise(steps)):
        raise SimviewError("powers", got=list(powers), allowed="one or more, rising")
    return steps


def _period(
    scope: Telescope, beam: Beam, sky: Sky, mount: Mount, eye: EyeState, target: Target
) -> float | None:
    if target.luminance_cd_m2 is None or eye.object_cd_m2 is None or eye.object_cd_m2 <= 0.0:
        return None
    if beam.obstruction >= DARKEST_OBSTRUCTION:
        return None
    kept = transfer_curve(
        scope, sky, mount, aperture_mm=beam.aperture_mm, obstruction=beam.obstruction
    )
    # The sky's glow lies over light and dark bars alike.
    own = 1.0 - eye.sky_cd_m2 / eye.object_cd_m2
    # `object_cd_m2` is as if seen with the eye's whole pupil; cones count its edge for less.
    light = eye.object_cd_m2 * math.pi / 4.0 * eye.pupil_mm**2
    eyes: Literal[1, 2] = 2 if eye.eyes == 2 else 1
    return finest_period_arcsec(
        kept,
        power=beam.power,
        troland=light * float(cone_efficiency(beam.used_pupil_mm)),
        contrast=target.contrast * own,
        object_apparent_deg=target.size_arcsec * beam.power / 3600.0,
        used_pupil_mm=beam.used_pupil_mm,
        eyes=eyes,
    )
