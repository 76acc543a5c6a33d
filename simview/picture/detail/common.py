"""What the plots over power share: zones, level lines, ticks, figures at the powers asked for."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np

from simview.eye.stations import stations
from simview.picture.detail.case import Case
from simview.picture.detail.records import Fact, Line, Manner, Zone
from simview.picture.drawing import text
from simview.picture.drawing.plot import Point
from simview.picture.drawing.tongue import decimal, say
from simview.picture.retelling import named
from simview.power.finest import periods_at
from simview.power.records import Marks, State
from simview.power.words import wordings
from simview.scene.scene import Target

_MANNERS: Final[dict[State, Manner]] = {
    "low": "low",
    "enough": "enough",
    "air": "air",
    "full": "air",
    "light": "low",
    "empty": "empty",
    "plain": "low",
}


def as_angle(arcsec: float) -> str:
    """Return a round angle for a tick: 0.5″, 10″, 2′."""
    return decimal(f"{arcsec:g}″" if arcsec < 60.0 else f"{arcsec / 60.0:.3g}′")


def half(period: float | None) -> float | None:
    """Return half of a period: one dark or one bright bar."""
    return None if period is None else period / 2.0


def points_of(powers: Sequence[float], values: Sequence[float | None]) -> tuple[Point, ...]:
    """Return the points of a curve that have a value."""
    return tuple((p, v) for p, v in zip(powers, values, strict=True) if v is not None)


def span(low: float, high: float) -> tuple[float, float]:
    """Return the ends of a plot's scale of powers; a single power stands in its middle."""
    return (low, high) if high > low else (low / 2.0, 2.0 * low)


def power_zones(low: float, high: float, case: Case) -> tuple[Zone, ...]:
    """Return the band of a curve: more to see, enough, past the air, too dim, empty."""
    marks = case.marks
    ends = [low, *(power for power in marks.breaks() if low < power < high), high]
    zones: list[Zone] = []
    for start, end in itertools.pairwise(ends):
        if end <= start:
            continue
        state = marks.state(math.sqrt(start * end))
        words = () if state == "plain" else wordings(case.target.kind, state)
        if zones and zones[-1].words == words:
            zones[-1] = replace(zones[-1], high=end)
        else:
            zones.append(Zone(manner=_MANNERS[state], low=start, high=end, words=words))
    return tuple(zones)


def mark_facts(marks: Marks, enough: str, ever: str) -> list[Fact]:
    """Return the marks as large figures with a sentence each: enough, tonight's air, empty."""
    facts = []
    if marks.enough_from is not None:
        facts.append(Fact(figure=text.times(marks.enough_from), words=enough, manner="enough"))
    air, empty = marks.air_carries, marks.empty_above
    # Where the air takes nothing, its mark and the aperture's are one.
    if air is not None and empty is not None and air < 0.97 * empty:
        words = say("is as much as tonight's air carries; a better night would carry more.")
        facts.append(Fact(figure=text.times(air), words=words, manner="air"))
    if empty is not None:
        facts.append(Fact(figure=text.times(empty), words=ever, manner="empty"))
    return facts


def level(ends: Point, value: float, label: str, *, strong: bool = False) -> Line:
    """Return a level line, with points in between for its label to stand at."""
    powers = np.geomspace(ends[0], ends[1], 40)
    points = tuple((float(p), value) for p in powers)
    return Line(
        points=points, label=f"{label} {text.angle(value)}", dashed=not strong, strong=strong
    )


def short(target: Target) -> str:
    """Return a target in a word or two, without its size."""
    return named(target.title.partition(",")[0])


def figures_at(case: Case, target: Target) -> dict[str, Any]:
    """Return the powers that figures are wanted for, and the finest detail at each."""
    if case.asked is None:
        halves = list(map(half, periods_at(case.places, target)))
        return {"powers": list(case.powers), "finest_detail_arcsec": halves}
    places = stations(case.kit, target, powers=case.asked, sky=case.sky, observer=case.observer)
    halves = list(map(half, periods_at(places, target)))
    return {"powers": list(case.asked), "finest_detail_arcsec": halves}


def as_times(value: float) -> str:
    """Return a round figure for a tick."""
    return decimal(f"{value:g}")
