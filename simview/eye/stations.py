"""One kit at many powers: objective, beam and eye at each, for every curve over power."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from simview.air.level import sky_before
from simview.errors import SimviewError, require_range
from simview.eye.eye_faults import with_eye_faults
from simview.eye.filters import filtered
from simview.eye.state import EyeState, objective_of, settle
from simview.eye.system import LightPath
from simview.eyepiece.beam import Beam
from simview.eyepiece.train import beam as form_beam
from simview.kit import Kit, Observer, Sky, Telescope
from simview.scene.scene import Target

# Powers of a curve when none are asked for: from an exit pupil of 7 mm (a dark-adapted eye's)
# to one of 0.25 mm (four times the mm of aperture, twice past the rule of thumb).
EXIT_PUPILS_MM: Final = (7.0, 0.25)
COUNT: Final = 60

# A secondary's shadow wider than this part of the eye's pupil leaves no view to speak of.
DARKEST_OBSTRUCTION: Final = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One power of a curve.

    Parameters
    ----------
    path
        What lies between the object and the retina; the observer's own faults are on its
        objective's wavefront.
    eye
        How the eye is set.
    """

    path: LightPath
    eye: EyeState

    @property
    def power(self) -> float:
        """Times."""
        return self.path.beam.power

    @property
    def dark(self) -> bool:
        """Whether the secondary's shadow fills the eye's pupil."""
        return self.path.beam.obstruction >= DARKEST_OBSTRUCTION


def stations(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky,
    observer: Observer,
    one_glass: bool = False,
) -> tuple[Station, ...]:
    """Return one kit at each power, the eye settled anew at each.

    Parameters
    ----------
    kit
        Telescope, binocular or naked eye.
    powers
        Times, rising; None takes 60 from an exit pupil of 7 mm to one of 0.25 mm, or the one
        power of a binocular.
    one_glass
        Whether the light that the first eyepiece passes is taken for all powers, so that a curve
        has no steps where one piece takes over from another: so it is where `powers` is None.
        Otherwise each of them has the light of the pieces that give it, as a look has.

    Raises
    ------
    SimviewError
        When powers are not rising numbers of 1 to 1e5.
    """
    base = filtered(base_beam(kit), observer)
    steps = powers_of(kit, objective_of(kit, base).working_aperture_mm, powers)
    one = powers is None or one_glass
    glasses = (base if one else filtered(_own_beam(kit, power), observer) for power in steps)
    return tuple(
        _station(kit, glass, power, target, sky, observer)
        for glass, power in zip(glasses, steps, strict=True)
    )


def highest(kit: Kit, target: Target, *, sky: Sky, observer: Observer) -> Station | None:
    """Return the station at the highest power of a curve that the secondary leaves any view at.

    The last of `stations` that is not dark, without the others; None where all are.
    """
    base = filtered(base_beam(kit), observer)
    steps = powers_of(kit, objective_of(kit, base).working_aperture_mm, None)
    each = (_station(kit, base, power, target, sky, observer) for power in reversed(steps))
    return next((place for place in each if not place.dark), None)


def _station(
    kit: Kit, base: Beam, power: float, target: Target, sky: Sky, observer: Observer
) -> Station:
    """Settle the eye at one power."""
    scope, sky = objective_of(kit, base), sky_before(target, sky)
    wide = at_power(base, scope, power, 7.0)
    eye = settle(wide, target, sky, observer, binocular=kit.kind != "telescope")
    beam = at_power(base, scope, power, eye.pupil_mm)
    own, blur = with_eye_faults(scope, beam, observer)
    path = LightPath(
        scope=own,
        beam=beam,
        sky=sky,
        mount=kit.mount,
        acuity_arcsec=eye.acuity_arcsec,
        fault_arcsec=blur,
        filter=observer.filter,
    )
    return Station(path=path, eye=eye)


def base_beam(kit: Kit) -> Beam:
    """Return the beam whose glass stands for all powers: the first or an imagined eyepiece."""
    if kit.telescope is not None and not kit.eyepieces:
        return form_beam(kit, power=kit.telescope.working_aperture_mm, eye_pupil_mm=7.0)
    return form_beam(kit, eyepiece=0, eye_pupil_mm=7.0)


def _own_beam(kit: Kit, power: float) -> Beam:
    """Return the beam of the pieces that give a power; of the first one where none can."""
    if kit.telescope is None:
        return base_beam(kit)
    try:
        return form_beam(kit, power=power, eye_pupil_mm=7.0)
    except SimviewError:
        return base_beam(kit)


def at_power(base: Beam, scope: Telescope, power: float, eye_pupil_mm: float) -> Beam:
    """Return the same beam at another power: first-order figures, the same glass."""
    exit_pupil = scope.working_aperture_mm / power
    used = min(exit_pupil, eye_pupil_mm)
    # The whole aperture to the last digit: what has been found for it then stands for all powers.
    whole = scope.working_aperture_mm
    aperture = whole if exit_pupil <= eye_pupil_mm else min(used * power, whole)
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


def powers_of(kit: Kit, aperture_mm: float, powers: Sequence[float] | None) -> tuple[float, ...]:
    """Return the powers of a curve: those asked for, checked, or 60 that suit the aperture.

    An instrument of one power has that one.
    """
    if powers is None:
        if kit.kind == "eye":
            return (1.0,)
        if kit.binocular is not None:
            return (kit.binocular.power,)
        widest, narrowest = EXIT_PUPILS_MM
        low = max(1.0, aperture_mm / widest)
        high = max(aperture_mm / narrowest, 2.0 * low)
        return tuple(float(power) for power in np.geomspace(low, high, COUNT))
    steps = tuple(require_range("power", power, 1.0, 1e5, unit="times") for power in powers)
    if not steps or any(b <= a for a, b in itertools.pairwise(steps)):
        raise SimviewError("powers", got=list(powers), allowed="one or more, rising")
    return steps
