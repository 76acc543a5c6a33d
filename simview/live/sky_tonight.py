"""What stands in the sky of a place on an evening, and can be shown."""

from __future__ import annotations

from datetime import date
from typing import Any

from simview.advice.tonight import Sight, evening
from simview.errors import SimviewError
from simview.live.wish import Evening
from simview.scene.targets import entries, find

# Lowest height at which an object is offered, deg: below it air spoils every view. A choice.
LOWEST_DEG = 12.0


def tonight(wish: Evening) -> dict[str, Any]:
    """Return the evening in words, and its objects, the best first.

    Raises
    ------
    SimviewError
        For a date or a place that there is not.
    """
    try:
        day = date.fromisoformat(wish.date)
    except ValueError:
        raise SimviewError("date", got=wish.date, allowed="a day such as 2026-11-27") from None
    found = evening(day.year, day.month, wish.lat, wish.lon, day=day.day)
    up = [sight for sight in found.sights if sight.altitude_deg >= LOWEST_DEG]
    up.sort(key=lambda sight: (sight.rank, -sight.altitude_deg))
    return {
        "when": str(found.local),
        "where": str(found.latitude),
        "dark": found.dark,
        "sights": [told for sight in up if (told := _told(sight, wish)) is not None],
    }


def _told(sight: Sight, wish: Evening) -> dict[str, Any] | None:
    """Return one object as the page lists it; None where there is no picture of it."""
    try:
        entry = find(sight.name)
    except SimviewError:
        return None
    if entry not in entries() or entry.free:
        return None
    return {
        "name": entry.name,
        "title": str(sight.title),
        "kind": sight.kind,
        "altitude": round(sight.altitude_deg),
        "direction": str(sight.direction),
        "lit": round(sight.lit, 2) if sight.kind == "moon" else None,
    }
