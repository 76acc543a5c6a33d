"""The faintest star against power, and from which power on it is reached."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from simview.air.conditions import conditions
from simview.eye.stations import stations
from simview.eye.thresholds import seen_fraction
from simview.kit import Kit, Observer, Sky
from simview.power.figures import faintest_magnitude
from simview.scene.scene import Target

# A limit within this of its best counts as reached, mag. A choice: about what observers can tell.
NEARLY_MAG: Final = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class StarCurve:
    """A field of stars against power.

    Parameters
    ----------
    powers
        Times, rising.
    limits
        V magnitude, outside the air, of the faintest star at each power.
    best_power
        Where the limit is faintest.
    enough_from
        Lowest power with a limit within 0.1 mag of that.
    """

    powers: tuple[float, ...]
    limits: tuple[float, ...]
    best_power: float
    enough_from: float


def star_curve(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> StarCurve:
    """Return the faintest star of a field at each power; parameters as in `detail_curve`.

    Parameters
    ----------
    kit, target, sky, observer
        As in `simview.look`.
    powers
        Times, rising; None for some that suit the kit.

    Notes
    -----
    Source: Crumey 2014, see `simview.eye.thresholds`.
    Checked by: tests/unit/power/test_starfields.py
    """
    sky, observer = conditions([kit], target, sky, observer)
    places = stations(kit, target, powers=powers, sky=sky, observer=observer)
    limits = [faintest_magnitude(p.path, p.eye, observer) for p in places if not p.dark]
    steps = [p.power for p in places if not p.dark]
    best = int(np.argmax(limits))
    nearly = limits[best] - NEARLY_MAG
    enough = next(p for p, limit in zip(steps, limits, strict=True) if limit >= nearly)
    return StarCurve(
        powers=tuple(steps),
        limits=tuple(limits),
        best_power=steps[best],
        enough_from=enough,
    )


def stars_seen(target: Target, limit: float) -> float:
    """Return how many of a field's stars an eye sees that reaches this magnitude, on average."""
    stars = target.scene(pixel_arcsec=target.size_arcsec / 32.0, pixels=32).stars
    near = np.hypot(stars.x_arcsec, stars.y_arcsec) <= target.size_arcsec / 2.0
    return float(seen_fraction(10.0 ** (0.4 * (limit - stars.magnitude[near]))).sum())
