"""What the plots over power share: zones, level lines, ticks, figures at the powers asked for."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from simview.eye.finest import period_at
from simview.eye.stations import stations
from simview.picture.detail.case import Case
from simview.picture.detail.records import Line, Manner, Zone
from simview.picture.drawing import text
from simview.picture.drawing.plot import Point
from simview.scene.scene import Target

_LOW: Final = ("too little power: more shows more", "more power shows more", "more to see")
_ENOUGH: Final = ("enough power", "enough")
_EMPTY: Final = (
    "empty magnification: larger and dimmer, nothing new",
    "empty magnification",
    "empty",
)


def as_angle(arcsec: float) -> str:
    """Return a round angle for a tick: 0.5″, 10″, 2′."""
    return f"{arcsec:g}″" if arcsec < 60.0 else f"{arcsec / 60.0:.3g}′"


def half(period: float | None) -> float | None:
    """Return half of a period: one dark or one bright bar."""
    return None if period is None else period / 2.0


def points_of(powers: Sequence[float], values: Sequence[float | None]) -> tuple[Point, ...]:
    """Return the points of a curve that have a value."""
    return tuple((p, v) for p, v in zip(powers, values, strict=True) if v is not None)


def span(low: float, high: float) -> tuple[float, float]:
    """Return the ends of a plot's scale of powers; a single power stands in its middle."""
    return (low, high) if high > low else (low / 2.0, 2.0 * low)


def power_zones(
    low: float, high: float, enough: float | None, empty: float | None
) -> tuple[Zone, ...]:
    """Return the band of a curve with two marks: more to see, enough, empty."""
    if enough is None and empty is None:
        return (Zone(manner="low", low=low, high=high, words=()),)
    # Past both marks: see `Marks.is_empty`.
    last = max(empty or high, enough or low)
    ends = [low, min(enough or last, last), last, high]
    kinds: tuple[tuple[Manner, tuple[str, ...]], ...] = (
        ("low", _LOW),
        ("enough", _ENOUGH),
        ("empty", _EMPTY),
    )
    held = [min(max(end, low), high) for end in ends]
    return tuple(
        Zone(manner=manner, low=start, high=end, words=words)
        for (start, end), (manner, words) in zip(itertools.pairwise(held), kinds, strict=True)
        if end > start
    )


def level(ends: Point, value: float, label: str, *, strong: bool = False) -> Line:
    """Return a level line, with points in between for its label to stand at."""
    powers = np.geomspace(ends[0], ends[1], 40)
    points = tuple((float(p), value) for p in powers)
    return Line(
        points=points, label=f"{label} {text.angle(value)}", dashed=not strong, strong=strong
    )


def short(target: Target) -> str:
    """Return a target in a word or two, without its size."""
    return target.title.partition(",")[0]


def figures_at(case: Case, target: Target) -> dict[str, Any]:
    """Return the powers that figures are wanted for, and the finest detail at each."""
    if case.asked is None:
        halves = [half(period_at(p.path, p.eye, target)) for p in case.places]
        return {"powers": list(case.powers), "finest_detail_arcsec": halves}
    places = stations(case.kit, target, powers=case.asked, sky=case.sky, observer=case.observer)
    halves = [half(period_at(p.path, p.eye, target)) for p in places]
    return {"powers": list(case.asked), "finest_detail_arcsec": halves}


def as_times(value: float) -> str:
    """Return a round figure for a tick."""
    return f"{value:g}"
