"""The finest detail of one object in one kit: the whole light path for every power of a curve."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final, Literal

import numpy as np

from simview.air.conditions import conditions
from simview.eye.reference import retinal_troland
from simview.eye.state import EyeState
from simview.eye.stations import Station, stations
from simview.eye.system import LightPath
from simview.eye.transfer import TransferCurve, transfer_curve
from simview.kit import Kit, Observer, Sky
from simview.power.detail import DetailCurve, Transfer, curve, finest_periods_arcsec
from simview.scene.scene import Target

# At a power that stops the telescope down, detail this many times coarser than the best is not
# looked for any closer: its neighbour along a curve, a thirteenth more power, is no best either.
_SURELY_COARSER: Final = 1.25

NO_SURFACE: Final = "it is a point of light without a surface; ask whether it splits instead"


def detail_curve(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> DetailCurve:
    """Return the finest visible period on an object against power.

    Parameters
    ----------
    kit
        Telescope, binocular or naked eye.
    target
        Its mean luminance, contrast and size count.
    powers
        Times, rising, each with the light of the pieces that give it; None takes 60 from an exit
        pupil of 7 mm to one of 0.25 mm, all with the light that the first eyepiece passes, so that
        the curve has no steps where one piece takes over from another.
    sky, observer
        As in `simview.look`.

    Raises
    ------
    SimviewError
        When powers are not rising numbers of 1 to 1e5.

    Notes
    -----
    Source: see `simview.power.detail`, `simview.eye.transfer`; docs/models/finest-detail.md.
    Checked by: tests/truth/test_finest_detail.py
    """
    sky, observer = conditions([kit], target, sky, observer)
    places = stations(kit, target, powers=powers, sky=sky, observer=observer)
    steps = [place.power for place in places]
    if target.luminance_cd_m2 is None:
        return replace(curve(steps, [None] * len(steps)), reason=NO_SURFACE)
    return curve(steps, periods_at(places, target), sight=observer.acuity)


def judging_curve(kit: Kit, target: Target, *, sky: Sky, observer: Observer) -> DetailCurve:
    """Return as much of `detail_curve` as its best and all past it need, and sooner.

    Low powers, whose wide beams the eye's pupil stops down, each take a transfer of their own.
    They are left out where the eye alone, before a perfect telescope, would see nothing as fine as
    the best.

    Notes
    -----
    Checked by: tests/unit/power/test_judging_curve.py
    """
    return _judging_curve(stations(kit, target, sky=sky, observer=observer), target, observer)


def judging_curves(
    kit: Kit, target: Target, *, sky: Sky, observer: Observer
) -> tuple[DetailCurve, DetailCurve]:
    """Return `judging_curve` tonight and without air, under which the eye is set the same."""
    places = stations(kit, target, sky=sky, observer=observer)
    clear = [
        replace(place, path=replace(place.path, sky=air_off(place.path.sky))) for place in places
    ]
    tonight, ever = (_judging_curve(each, target, observer) for each in (places, clear))
    return tonight, ever


def air_off(sky: Sky) -> Sky:
    """Return the same sky without air: no seeing, no dispersion, no light lost in it."""
    return replace(sky, air="none")


def _judging_curve(places: Sequence[Station], target: Target, observer: Observer) -> DetailCurve:
    stopped = [
        place.path.beam.aperture_mm < place.path.scope.working_aperture_mm for place in places
    ]
    whole = [place for place, less in zip(places, stopped, strict=True) if not less]
    found = dict(zip(map(id, whole), periods_at(whole, target), strict=True))
    best = min((period for period in found.values() if period is not None), default=math.inf)
    rest = [place for place, less in zip(places, stopped, strict=True) if less]
    eye_alone = periods_at(rest, target, kept=np.ones_like)
    for place, eye in reversed(list(zip(rest, eye_alone, strict=True))):
        if eye is not None and eye > _SURELY_COARSER * best:
            continue
        (period,) = periods_at([place], target)
        best = min(best, math.inf if period is None else period)
        found[id(place)] = period
    told = [place for place in places if id(place) in found]
    return curve(
        [place.power for place in told],
        [found[id(place)] for place in told],
        sight=observer.acuity,
    )


def finest_detail_of(
    path: LightPath, eye: EyeState, target: Target, observer: Observer
) -> float | None:
    """Return the finest detail in one view, arcsec: half of the finest visible period.

    None for points of light, and where nothing on the object can be made out.
    """
    del observer  # what counts of the observer is in `eye`
    period = period_at(path, eye, target)
    return None if period is None else period / 2.0


def period_at(
    path: LightPath, eye: EyeState, target: Target, kept: Transfer | None = None
) -> float | None:
    """Return the finest visible period on the object in one view, arcsec; None where none is.

    `kept`: contrast left at a frequency on the sky; None takes telescope, air and mount.
    """
    return periods_at([Station(path=path, eye=eye)], target, kept)[0]


def periods_at(
    places: Sequence[Station], target: Target, kept: Transfer | None = None
) -> list[float | None]:
    """Return `period_at` of each place of one observer."""
    if target.luminance_cd_m2 is None:
        return [None] * len(places)
    lit = [place for place in places if place.eye.object_cd_m2 and not place.dark]
    if not lit:
        return [None] * len(places)
    eye, power = lit[0].eye, np.array([place.power for place in lit])
    eyes: Literal[1, 2] = 2 if eye.eyes == 2 else 1
    periods = finest_periods_arcsec(
        [kept or transfer_at(place.path) for place in lit],
        power=power,
        troland=np.array([troland_of(place.eye) for place in lit]),
        contrast=np.array([seen_contrast(place.eye, target) for place in lit]),
        object_apparent_deg=target.size_arcsec * power / 3600.0,
        used_pupil_mm=np.array([place.path.beam.used_pupil_mm for place in lit]),
        eyes=eyes,
        sight=eye.sight,
    )
    found = dict(zip(map(id, lit), periods, strict=True))
    return [found.get(id(place)) for place in places]


def transfer_at(path: LightPath) -> TransferCurve:
    """Return what telescope, air and mount leave of contrast in one view."""
    return transfer_curve(
        path.scope,
        path.sky,
        path.mount,
        aperture_mm=path.beam.aperture_mm,
        obstruction=path.beam.obstruction,
    )


def troland_of(eye: EyeState) -> float:
    """Return the light of an object on the retina as the retina counts it, troland."""
    return float(retinal_troland(eye.object_cd_m2 or 0.0))


def seen_contrast(eye: EyeState, target: Target) -> float:
    """Return the contrast of an object's detail under the sky's light, 0 to 1."""
    # The sky's glow lies over light and dark bars alike.
    light = float(retinal_troland(eye.object_cd_m2 or 0.0)) or math.inf
    return target.contrast * (1.0 - float(retinal_troland(eye.sky_cd_m2)) / light)
