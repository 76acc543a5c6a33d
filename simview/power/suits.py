"""Which of a kit's own powers suits an object, where the one that is looked at does not."""

from __future__ import annotations

import math
from typing import Final

from simview.eyepiece.train import choices
from simview.kit import Kit
from simview.power.records import Marks, State
from simview.scene.scene import TargetKind

# Of these the whole is worth a look at any power.
WHOLE: Final[frozenset[TargetKind]] = frozenset({"moon", "photo", "daytime"})

# These show at the lowest power that is enough the most of themselves and of the sky around them;
# planets and doubles are looked at between what is enough and what the air carries.
WIDE: Final[frozenset[TargetKind]] = frozenset({"stars", "deep-sky"})


def suiting_power(kit: Kit, found: Marks, kind: TargetKind, power: float) -> float | None:
    """Return the power of the kit's own pieces that suits an object better than this one.

    Parameters
    ----------
    kit, found, kind
        The kit, its marks on the object, and the object's kind.
    power
        Looked at now, times.

    Returns
    -------
    float or None
        Times; None where this one is enough and no more, where no power is, where none of the
        pieces comes nearer, and for what is worth a look at any power.

    Notes
    -----
    Checked by: tests/unit/power/test_suits.py
    """
    enough, carried = found.shown_from, found.air_carries
    if kind in WHOLE or enough is None or found.state(power) in {"enough", "plain"}:
        return None
    wanted = enough if kind in WIDE or carried is None else math.sqrt(enough * max(enough, carried))
    own = [each for each, _ in choices(kit)]
    # A pair that is split and not yet wide is better than one past all that there is to see.
    best: tuple[State, ...] = ("enough", "tight")
    pools = ([each for each in own if found.state(each) == state] for state in best)
    pool = next(filter(None, pools), own)
    nearest = min(pool, key=lambda each: _apart(each, wanted), default=None)
    if nearest is None or nearest == power:
        return None
    worse = found.state(power) not in best and found.state(nearest) in best
    return nearest if worse or _apart(nearest, wanted) <= _apart(power, wanted) - 0.01 else None


def _apart(one: float, other: float) -> float:
    return abs(math.log(one / other))
