"""Whether a galaxy or nebula shows in a kit, and at which power it shows best."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simview.air import extinction, glow
from simview.errors import SimviewError
from simview.eye.aided import aid_of
from simview.eye.stations import Station, stations
from simview.eye.thresholds import patch_visibility, seen_fraction
from simview.kit import Kit, Observer, Sky
from simview.scene.scene import Target


@dataclass(frozen=True, slots=True, kw_only=True)
class VisibilityCurve:
    """How far an extended object stands above threshold, against power.

    Parameters
    ----------
    powers
        Times, rising.
    above_threshold
        Contrast over threshold contrast at each power: below 1 it is missed more often than seen.
    best_power
        Where it stands highest.
    seen
        How often it is seen at the best power, 0 to 1.
    reason
        In words, why it is not seen; empty where it is.
    """

    powers: tuple[float, ...]
    above_threshold: tuple[float, ...]
    best_power: float
    seen: float
    reason: str = ""


def visibility_curve(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> VisibilityCurve:
    """Return how far `target` stands above threshold at each power.

    Parameters
    ----------
    kit, powers, sky, observer
        As in `simview.eye.finest.detail_curve`.
    target
        Its mean luminance and its size count; it is taken as a round even patch. A bright core
        shows earlier, faint outskirts later.

    Raises
    ------
    SimviewError
        When the target has no luminance.

    Notes
    -----
    Source: Crumey 2014; see `simview.eye.thresholds.patch_visibility`.
    Checked by: tests/unit/eye/test_faint.py
    """
    sky, observer = sky or Sky(), observer or Observer()
    if target.luminance_cd_m2 is None:
        raise SimviewError(
            "target",
            got=target.name,
            allowed="an object with a luminance: a galaxy, a nebula, a planet",
            remedy="for stars ask for the limiting magnitude",
        )
    places = stations(kit, target, powers=powers, sky=sky, observer=observer)
    above = [
        _above(place, target.luminance_cd_m2, target.size_arcsec, observer) for place in places
    ]
    steps = tuple(place.power for place in places)
    best = int(np.argmax(above))
    reason = "" if above[best] >= 1.0 else "too little contrast with the sky at every power"
    return VisibilityCurve(
        powers=steps,
        above_threshold=tuple(above),
        best_power=steps[best],
        seen=float(seen_fraction(above[best])),
        reason=reason,
    )


def _above(place: Station, luminance_cd_m2: float, size_arcsec: float, observer: Observer) -> float:
    """Return contrast over threshold contrast at one power."""
    if place.dark:
        return 0.0
    sky = place.path.sky
    lost = sky.extinction_mag * extinction.airmass(sky.altitude_deg)
    # Faults of the observer's own eye spread a small object over more sky.
    wide = math.hypot(size_arcsec, place.path.fault_arcsec)
    excess = luminance_cd_m2 * 10.0 ** (-0.4 * lost) * (size_arcsec / wide) ** 2
    aid = aid_of(place.path, place.eye, observer)
    size = (wide / 60.0, wide / 60.0)
    return patch_visibility(excess, glow.luminance_cd_m2(sky), aid, size_arcmin=size)
