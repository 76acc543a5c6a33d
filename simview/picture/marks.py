"""Where power is enough and where it turns empty, for whatever stands in the view."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from simview.eye.clarity import width_arcsec
from simview.eye.detail import COMFORTABLE_ARCMIN
from simview.eye.finest import detail_curve
from simview.eye.splitting import split_in_view
from simview.eye.stations import EXIT_PUPILS_MM
from simview.eyepiece.train import LONGEST_EYEPIECE_MM
from simview.kit import Kit, Observer, Sky
from simview.scene.scene import Target
from simview.view import look

# Powers at which a pair is tried, from a wide exit pupil to a narrow one.
TRIED: Final = 36


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """Two powers that part too little from enough and enough from empty.

    Parameters
    ----------
    enough_from
        From here on more power shows hardly anything more; None where no power is enough, or
        where the object asks for none (a field of stars).
    empty_above
        Above this the finest that telescope and air give is already comfortably large.
    reason
        What was looked for, in words.
    """

    enough_from: float | None
    empty_above: float | None
    reason: str

    def is_empty(self, power: float) -> bool:
        """Return whether this power is past the mark."""
        return self.empty_above is not None and power > self.empty_above

    def is_enough(self, power: float) -> bool:
        """Return whether more power would show hardly anything more."""
        return self.enough_from is not None and power >= self.enough_from


def marks(kit: Kit, target: Target, *, sky: Sky, observer: Observer) -> Marks:
    """Find both marks for an object: by its finest visible detail, or by its stars' images.

    Surfaces: see `simview.eye.detail`. Doubles: enough from the lowest power that splits the
    pair. Stars: empty above the power that makes a star's own blur as large as the finest
    detail that a comfortable eye asks for.
    """
    if target.luminance_cd_m2 is not None:
        found = detail_curve(kit, target, sky=sky, observer=observer)
        reason = found.reason or f"finest detail of contrast {target.contrast:g}"
        return Marks(enough_from=found.enough_from, empty_above=found.empty_above, reason=reason)
    return _star_marks(kit, target, sky, observer)


def _star_marks(kit: Kit, target: Target, sky: Sky, observer: Observer) -> Marks:
    scope = kit.telescope
    if scope is None:
        return Marks(enough_from=None, empty_above=None, reason="one power only")
    low, high = (scope.working_aperture_mm / exit_pupil for exit_pupil in EXIT_PUPILS_MM)
    low = max(low, scope.focal_length_mm / LONGEST_EYEPIECE_MM, 1.0)
    powers = np.geomspace(low, max(high, 2.0 * low), TRIED)
    views = [look(kit, target, power=float(p), sky=sky, observer=observer) for p in powers]
    # A star's blur at the highest power: telescope and air, no longer the eye.
    blur = width_arcsec(views[-1].path)
    empty = COMFORTABLE_ARCMIN * 60.0 / blur
    pair = pair_of(target)
    if pair is None:
        return Marks(enough_from=None, empty_above=empty, reason="the stars' own blur")
    for power, view in zip(powers, views, strict=True):
        separation, magnitudes = pair
        found = split_in_view(
            view.path,
            view.eye,
            observer,
            separation_arcsec=separation,
            magnitudes=magnitudes,
        )
        if found.verdict == "split":
            return Marks(enough_from=float(power), empty_above=empty, reason="the pair splits")
    return Marks(enough_from=None, empty_above=empty, reason="no power splits the pair")


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
    return float(apart[0]), (first, second)
