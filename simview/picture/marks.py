"""Where power is enough and where it turns empty, for whatever stands in the view."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from simview.eye.faint import is_glow, visibility_curve
from simview.eye.finest import detail_curve
from simview.eye.pairs import pair_curve
from simview.eye.starfields import star_curve
from simview.kit import Kit, Observer, Sky
from simview.scene.scene import Target

# Closest pair that is judged, arcsec.
LEAST_ARCSEC: Final = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """Two powers that part too little from enough and enough from empty.

    Parameters
    ----------
    enough_from
        From here on more power shows hardly anything more; None where no power is enough.
    empty_above
        Above this the finest that telescope and air give is already comfortably large.
    reason
        What was looked for, in words.
    """

    enough_from: float | None
    empty_above: float | None
    reason: str

    def is_empty(self, power: float) -> bool:
        """Return whether this power is past both marks.

        A large telescope in poor air reaches a comfortable size at an exit pupil so wide that the
        eye's own faults still cost detail; there power pays until it is enough.
        """
        return self.empty_above is not None and power > max(
            self.empty_above, self.enough_from or 0.0
        )

    def is_enough(self, power: float) -> bool:
        """Return whether more power would show hardly anything more."""
        return self.enough_from is not None and power >= self.enough_from


def marks(kit: Kit, target: Target, *, sky: Sky, observer: Observer) -> Marks:
    """Find both marks for an object: by its finest visible detail, or by its stars' images.

    Surfaces: see `simview.eye.detail`. Doubles: enough from the lowest power that splits the
    pair, empty above the power that makes a star's own blur as large as the finest detail that a
    comfortable eye asks for. Fields of stars: see `simview.eye.starfields`. Faint glows: enough
    where they stand out best, empty where they have faded by half and stars get no fainter.
    """
    if is_glow(target):
        return _glow_marks(kit, target, sky, observer)
    if target.luminance_cd_m2 is not None:
        found = detail_curve(kit, target, sky=sky, observer=observer)
        reason = found.reason or f"finest detail of contrast {target.contrast:g}"
        return Marks(enough_from=found.enough_from, empty_above=found.empty_above, reason=reason)
    return _star_marks(kit, target, sky, observer)


def _glow_marks(kit: Kit, target: Target, sky: Sky, observer: Observer) -> Marks:
    """Find the marks of a glow among stars: past them neither it nor fainter stars gain."""
    glow = visibility_curve(kit, target, sky=sky, observer=observer)
    field = star_curve(kit, target, sky=sky, observer=observer)
    return Marks(
        enough_from=glow.enough_from,
        empty_above=max(glow.fades_above or 0.0, field.empty_above),
        reason=glow.reason or "how the glow stands out, and the faintest stars",
    )


def _star_marks(kit: Kit, target: Target, sky: Sky, observer: Observer) -> Marks:
    scope = kit.telescope
    if scope is None:
        return Marks(enough_from=None, empty_above=None, reason="one power only")
    pair = pair_of(target)
    if pair is None:
        field = star_curve(kit, target, sky=sky, observer=observer)
        return Marks(
            enough_from=field.enough_from,
            empty_above=field.empty_above,
            reason="the faintest stars and their own blur",
        )
    separation, magnitudes = pair
    judged = pair_curve(
        kit,
        target,
        separation_arcsec=separation,
        magnitudes=magnitudes,
        sky=sky,
        observer=observer,
    )
    reason = judged.reason or "the pair splits"
    return Marks(enough_from=judged.splits_from, empty_above=judged.empty_above, reason=reason)


def pair_of(target: Target) -> tuple[float, tuple[float, float]] | None:
    """Return a double's separation in arcsec and magnitudes, or None for anything else."""
    if target.kind != "double":
        return None
    stars = target.scene(pixel_arcsec=target.size_arcsec / 8.0, pixels=32).stars
    bright = np.argsort(stars.magnitude)[:2]
    if len(bright) < 2:
        return None
    first, second = (float(m) for m in stars.magnitude[bright])
    apart = np.hypot(np.diff(stars.x_arcsec[bright]), np.diff(stars.y_arcsec[bright]))
    # Two at one place are one star to any eye.
    return max(float(apart[0]), LEAST_ARCSEC), (first, second)
