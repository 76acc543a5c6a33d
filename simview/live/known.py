"""What every page is told when it opens: objects, kinds of air, faults of a star test."""

from __future__ import annotations

from typing import Any

from simview.kit import AIR_KINDS
from simview.scene.targets import entries
from simview.telescope.fault_kinds import KINDS


def known() -> dict[str, Any]:
    """Return what can be chosen on the page."""
    seen = [
        {"name": each.name, "title": each.title, "kind": each.kind, "teaches": each.teaches}
        for each in entries()
        if not each.free
    ]
    return {"targets": seen, "airs": _airs(), "faults": _faults()}


def _airs() -> list[str]:
    """Return the kinds of air, those that an eye has before the photographer's."""
    first = ("best", "typical", "moment")
    named = [word for word in first if word in AIR_KINDS]
    return [*named, *(word for word in AIR_KINDS if word not in named)]


def _faults() -> list[dict[str, Any]]:
    """Return the faults as the page offers them: one unit each, from the one table."""
    told = []
    for name, kind in KINDS.items():
        if name == "noll":
            continue
        unit, (_, high) = next(iter(kind.units.items()))
        strong = 1.5 * max(kind.strengths) if kind.strengths else kind.control
        told.append(
            {
                "name": name,
                "says": kind.says,
                "unit": unit,
                "most": min(high, strong),
                "directed": kind.directed,
            }
        )
    return told
