"""Under which sky, and by whose eye, something is looked at when nothing else is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from simview.kit import Kit, Observer, Sky
from simview.record import require_type
from simview.scene.scene import Target

# Lowest altitude that a Sky takes, deg: below it the formulas for the air lose their meaning.
LOWEST_DEG: Final = 3.0

# Latitude of the usual observer, deg: 45 north, where most reports come from, and south for a star
# that comes no higher than LOW_DEG there. Choices.
LATITUDE_DEG: Final = 45.0
LOW_DEG: Final = 20.0


def conditions(
    kits: Sequence[Kit],
    target: Target,
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> tuple[Sky, Observer]:
    """Return the one sky and the one eye for looking at a target through these kits.

    Parameters
    ----------
    kits
        The first that names a sky (an observer) tells what is usual.
    target
        One that was asked for at a date and place knows how high it stands; one that stands too
        low is drawn at `LOWEST_DEG`. A named double stands no higher than it culminates, unless
        the kit's sky says where to look.
    sky, observer
        Have the last word; None leaves it to kit and target.

    Raises
    ------
    SimviewError
        Where one of them is of another kind.
    """
    require_type("sky", sky, (Sky, type(None)), "a Sky, or None for the kit's own")
    require_type("observer", observer, (Observer, type(None)), "an Observer, or None")
    eye = observer or next((kit.observer for kit in kits if kit.observer), Observer())
    if sky is not None:
        return sky, eye
    usual = next((kit.sky for kit in kits if kit.sky), Sky())
    if target.altitude_deg is not None:
        usual = replace(usual, altitude_deg=max(target.altitude_deg, LOWEST_DEG))
    return culminating(usual, target), eye


def culminating(sky: Sky, target: Target) -> Sky:
    """Return the sky, a named double no higher in it than it culminates for the usual observer.

    Sirius never stands 50 deg high at `LATITUDE_DEG`, and much of what is reported of it comes
    from that. A sky of another height than the usual one has been asked for and stays.
    """
    told = sky.altitude_deg != Sky().altitude_deg or target.altitude_deg is not None
    if told or target.kind != "double" or target.declination_deg == 0.0:
        return sky
    north, south = (
        90.0 - abs(latitude - target.declination_deg) for latitude in (LATITUDE_DEG, -LATITUDE_DEG)
    )
    highest = north if north > LOW_DEG else south
    return replace(sky, altitude_deg=min(sky.altitude_deg, highest))
