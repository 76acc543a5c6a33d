"""Where a field is pointed that does not hold all of an object: where there is something to see."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from simview.scene.scene import Label, Scene, Target, by_several

# Steps an octave in which the field's size is taken, upwards, for where to point it: so that
# pictures of powers close together share their painting. A choice.
_STEPS: Final = 4.0

# A field is not moved by less than this share of the object's radius. A choice.
_LEAST: Final = 0.1


def aimed(target: Target, field_arcsec: float) -> Target:
    """Return a target with the place in the middle at which an observer would point such a field.

    The field is moved towards the target's `aim_arcsec` as far as it still lies on the object; one
    that holds all of the object, and a target that has been aimed, stay as they are.

    Parameters
    ----------
    field_arcsec
        Diameter of the true field.

    Notes
    -----
    Checked by: tests/unit/scene/test_aiming.py
    """
    if target.paint_at is None or target.aim_arcsec is None or any(target.aimed_arcsec):
        return target
    x, y = target.aim_arcsec
    radius, away = 0.5 * target.size_arcsec, math.hypot(x, y)
    if away < _LEAST * radius or field_arcsec >= target.size_arcsec or field_arcsec <= 0.0:
        return target
    smaller = math.log2(target.size_arcsec / field_arcsec)
    room = radius * (1.0 - 2.0 ** (-math.floor(_STEPS * smaller) / _STEPS))
    if room < _LEAST * radius:
        return target
    share = min(1.0, room / away)
    return _moved(target, (x * share, y * share))


def _moved(target: Target, at: tuple[float, float]) -> Target:
    assert target.paint_at is not None
    x, y = at
    paint = _Aside(target.paint_at, at)
    return replace(
        target,
        paint=paint,
        paint_at=paint,
        aimed_arcsec=at,
        interest_arcsec=(target.interest_arcsec[0] - x, target.interest_arcsec[1] - y),
        labels=tuple(_shifted(label, at) for label in target.labels),
        places=tuple(_shifted(label, at) for label in target.places),
    )


def _shifted(label: Label, at: tuple[float, float]) -> Label:
    return replace(label, x_arcsec=label.x_arcsec - at[0], y_arcsec=label.y_arcsec - at[1])


def near(target: Target) -> str | None:
    """Return the named place that lies next to the middle of an aimed target; None without one."""
    nearest = min(target.places, key=lambda p: math.hypot(p.x_arcsec, p.y_arcsec), default=None)
    return None if nearest is None else nearest.words


@dataclass(frozen=True, slots=True)
class _Aside:
    """Paints a target around another place than its middle; it can be pickled if the target can."""

    paint: Callable[..., Scene]
    middle: tuple[float, float]

    def __call__(
        self, pixel_arcsec: float, pixels: int, at_arcsec: tuple[float, float] = (0.0, 0.0)
    ) -> Scene:
        """Paint around the new middle, or a place right and up of it."""
        x, y = self.middle
        return self.paint(pixel_arcsec, pixels, (x + at_arcsec[0], y + at_arcsec[1]))

    @property
    def by_several(self) -> bool:
        """Whether several threads may paint at once."""
        return by_several(self.paint)
